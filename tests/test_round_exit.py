"""Full round trailing edges: where they end, what shape they have, solids of every kind with them, and refusals."""

import numpy as np
import pytest
from conftest import WHEEL, largest_step_of_curvature
from scipy.interpolate import CubicSpline

from aerodesign.case import case_from_text
from aerodesign.core.errors import CaseError, RejectedSolid
from aerodesign.form import BladeForm, Form
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.nose import ROUND_WITHIN
from aerodesign.geometry.possible import refuse_impossible
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.skin import skin

ROUND = BladeForm(trailing_edge="full round")
HALF_CIRCLE = ROUND.but(trailing_edge_ratio=1.0)


def profile(form, s, count=8001, wheel=WHEEL):
    sigma = np.linspace(-1, 1, count)
    return BladeSurface(Blading(wheel, form), start=0.0, beyond=0.0).at(np.full(count, s), sigma)


@pytest.mark.parametrize("ratio", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("surface", ["free", "ruled"])
def test_its_outermost_points_lie_a_hair_within_the_rim_at_every_height(ratio, surface):
    for s in (0.0, 0.3, 0.8, 1.0):
        points = profile(ROUND.but(trailing_edge_ratio=ratio, surface=surface), s)
        within = WHEEL.r2 - np.hypot(points[:, 0], points[:, 1]).max()
        assert within == pytest.approx(ROUND_WITHIN * WHEEL.r2, abs=2e-6)
        np.testing.assert_allclose(points[0], points[-1], atol=1e-12)


def test_a_ratio_of_one_is_a_half_circle():
    """Where the ellipse is kept pure, to half of its axis, points lie on a circle of half the thickness; the plane is that of (m, r theta)."""
    blading = Blading(WHEEL, HALF_CIRCLE)
    line, half = blading.span(0.0), WHEEL.thickness_hub / 2
    points = profile(HALF_CIRCLE, 0.0, 20001)
    near = np.r_[points[-60:], points[1:60]]
    centre_x = line.end - half * np.cos(line.beta_at(np.array(line.end))) / line.length
    c = line.at(centre_x)
    centre = np.array([c.r * np.cos(c.theta), c.r * np.sin(c.theta), c.z])
    np.testing.assert_allclose(np.linalg.norm(near - centre, axis=1), half, rtol=0.01)


@pytest.mark.parametrize("form", [ROUND, HALF_CIRCLE], ids=["ellipse", "half circle"])
def test_the_edge_runs_into_the_sides_and_round_without_a_jump_of_curvature(form):
    def largest_step(stations):
        surface = BladeSurface(Blading(WHEEL, form), start=0.0, beyond=0.0)
        return largest_step_of_curvature(surface, np.linspace(0.7, 1.3, stations))

    coarse, fine = largest_step(401), largest_step(1601)
    assert fine < 0.35 * coarse
    assert fine < 0.02


def test_the_sides_are_those_of_a_cut_blade_up_to_where_the_ellipse_begins():
    cut, full = Blading(WHEEL).span(0.5), Blading(WHEEL, ROUND).span(0.5)
    assert full.half_thickness_at(full.end) == 0
    d = full.at(full.end).d - full.at(full.x).d
    early = d > 1.5 * full.exit_length
    assert early.sum() > 300
    np.testing.assert_allclose(full.half_thickness[early], cut.half_thickness[early], atol=1e-15)


@pytest.mark.parametrize("covered", [False, True])
def test_its_fillet_touches_the_blade_and_ends_on_the_rim(covered):
    row = blade_row(Blading(WHEEL.but(covered=covered), HALF_CIRCLE))
    for made in (row.full, row.splitter):
        fillets = [made.exit.hub, made.exit.tip] if covered else [made.exit.hub]
        for grid, column in zip(fillets, (0, -1), strict=False):
            radius = np.hypot(grid[..., 0], grid[..., 1])
            np.testing.assert_allclose(radius[:, -1], WHEEL.r2, atol=1e-10)
            assert radius.max() < WHEEL.r2 + 1e-10
            np.testing.assert_allclose(grid[:, 0], made.exit.blade[:, column], atol=1e-9)
            # a section of the ball stays a circle of the fillet's radius: curvature through three points
            a, b, c = grid[28, 0], grid[28, 4], grid[28, 8]
            area = np.linalg.norm(np.cross(b - a, c - a)) / 2
            sides = [np.linalg.norm(p - q) for p, q in ((a, b), (b, c), (c, a))]
            assert np.prod(sides) / (4 * area) == pytest.approx(row.fillet, rel=1e-6)
        for row_number, corner in ((0, -1), (-1, 0)):
            np.testing.assert_allclose(made.exit.blade[row_number], made.blade[corner], atol=1e-9)
        assert (made.exit.tip is None) != covered


def test_without_fillets_it_closes_in_itself():
    made = skin(Blading(WHEEL, ROUND), start=0.0, hub_radius=0.0, tip_radius=0.0)
    outline = made.outline(4)
    gaps = np.linalg.norm(outline - np.roll(outline, -1, axis=0), axis=1)
    assert gaps.max() < 0.008
    again = CubicSpline(np.arange(len(outline) + 1), np.vstack([outline, outline[:1]]), bc_type="periodic")
    assert np.hypot(*again(np.linspace(0, len(outline), 20001))[:, :2].T).max() < WHEEL.r2


def test_it_is_refused_without_a_fillet_and_a_flat_needs_a_longer_ellipse():
    with pytest.raises(RejectedSolid, match='trailing_edge = "full round" needs a root fillet, got fillet = 0 mm'):
        refuse_impossible(WHEEL.but(fillet=0.0), ROUND)
    text = (
        'title = "x"\n[duty]\nflow = "1 m3/s"\npressure_rise = "20 kPa"\n[site]\naltitude = "0 m"\ntemperature = "20 degC"\n'
        '[blade]\ntrailing_edge = "{}"\ntrailing_edge_ratio = 1'
    )
    assert case_from_text(text.format("full round")).form.blade.trailing_edge_ratio == 1
    with pytest.raises(CaseError, match='trailing_edge_ratio = 1: must be 2 at least where trailing_edge = "rounded"'):
        case_from_text(text.format("rounded"))


OPEN = WHEEL.but(blades=3, splitters=3)


@pytest.mark.solids
@pytest.mark.parametrize(
    ("wheel", "blade"),
    [
        (OPEN, HALF_CIRCLE.but(surface="ruled")),
        pytest.param(OPEN.but(covered=True), ROUND, marks=pytest.mark.slow),
        pytest.param(OPEN.but(splitters=0, covered=True), HALF_CIRCLE, marks=pytest.mark.slow),
    ],
    ids=["semi-open, splitters, ruled", "covered, splitters", "covered"],
)
def test_wheels_with_it_pass_the_gate(wheel, blade):
    from aerodesign.cad.gate import accept
    from aerodesign.cad.impeller import impeller_solid

    solid = impeller_solid(wheel, Form(blade=blade))
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=True)
    assert judged.volume == pytest.approx(solid.volume, rel=2e-5)
    assert judged.tolerance < 3e-6
    assert solid.flags == []


@pytest.mark.solids
@pytest.mark.slow
@pytest.mark.parametrize("covered", [False, True], ids=["semi-open", "covered"])
def test_the_gas_of_a_wheel_with_it_passes_the_gate(covered):
    from aerodesign.cad.gate import accept
    from aerodesign.cad.passage import annulus_solid, passage_solid
    from aerodesign.geometry.gas_room import gas_room

    room = gas_room(OPEN.but(covered=covered), HALF_CIRCLE)
    for build in (passage_solid, annulus_solid):
        solid = build(room)
        accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=True)


def test_meshes_of_wheels_with_it_end_the_blade_on_a_flat():
    from test_mesh import DIFFUSER

    from aerodesign.mesh.passage import passage_mesh

    flat = passage_mesh(WHEEL, DIFFUSER, form=BladeForm(trailing_edge="rounded"))
    full = passage_mesh(WHEEL, DIFFUSER, form=ROUND)
    np.testing.assert_array_equal(flat.points, full.points)
