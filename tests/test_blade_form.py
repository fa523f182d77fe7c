"""Blades by the choices of form: what was asked for comes out, closed forms, and surfaces without kinks."""

import numpy as np
import pytest
from conftest import largest_step_of_curvature
from test_geometry import WHEEL

from aerodesign.case import case_from_text
from aerodesign.core.errors import AerodesignError, CaseError
from aerodesign.core.flags import raised
from aerodesign.core.plain import from_plain, to_plain
from aerodesign.form import BladeForm, Form
from aerodesign.geometry import camber
from aerodesign.geometry.angle_law import by_loading, swirl_share, through_points
from aerodesign.geometry.blade import HUB_DIP, Blading
from aerodesign.geometry.nose import END, EXIT_FLAT, PURE, exit_share, nose_share
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.skin import skin

deg = np.radians

POINTS = BladeForm(angles="points", angles_at=(0.3, 0.7), hub_angles=(0.2, 0.8), shroud_angles=(0.4, 0.7))
LOADING = BladeForm(angles="loading", hub_loading=0.4, shroud_loading=0.6)
RULED = BladeForm(surface="ruled")


def xyz(line, x):
    p = line.at(x)
    return np.stack([p.r * np.cos(p.theta), p.r * np.sin(p.theta), p.z], axis=-1)


def test_wrap_at_a_constant_angle_is_a_logarithmic_spiral():
    x = np.linspace(0, 1, 401)
    wrapped = camber.wrap(x=x, r=0.06 + 0.09 * x, length=0.09, beta=np.full(401, deg(50)))
    assert wrapped == pytest.approx(np.tan(deg(50)) * np.log(0.15 / 0.06), rel=1e-9)


def test_angles_go_through_the_points():
    blading = Blading(WHEEL, POINTS.but(exact_angles=True))
    for s, first, shares in ((0, WHEEL.beta1h_blade, (0.2, 0.8)), (1, WHEEL.beta1s_blade, (0.4, 0.7))):
        wanted = first + (WHEEL.beta2_blade - first) * np.array([0.0, *shares, 1.0])
        np.testing.assert_allclose(blading.span(s).at([0, 0.3, 0.7, 1]).beta, wanted, atol=1e-12)
    # A straight line of points is a straight line between them and beyond.
    law = through_points(np.array([0.25, 0.6]), np.array([0.25, 0.6]), beta1=0.2, beta2=0.9)
    np.testing.assert_allclose(law(np.array([-0.1, 0.4, 1.1])), 0.2 + 0.7 * np.array([-0.1, 0.4, 1.1]), atol=1e-14)


@pytest.mark.parametrize("steepest", [0.3, 0.5, 0.7])
def test_loading_gives_the_swirl_that_was_asked_for(steepest):
    x = np.linspace(0, 1, 401)
    r, area = 0.05 + 0.1 * x**2, 0.02 * (1 - 0.3 * x)
    beta1, beta2 = deg(50), deg(35)
    beta = by_loading(steepest, beta1=beta1, beta2=beta2, x=x, r=r, area=area)(x)
    np.testing.assert_allclose(beta[[0, -1]], [beta1, beta2], atol=1e-12)
    # Velocity triangles at unit speed with continuity: cu / u rises from nothing as the law says.
    cm = r[0] / np.tan(beta1) * area[0] / area
    ratio = 1 - cm * np.tan(beta) / r
    np.testing.assert_allclose(ratio / ratio[-1], swirl_share(x, steepest), atol=1e-12)
    rise = np.gradient(ratio, x)
    assert x[np.argmax(rise)] == pytest.approx(steepest, abs=0.006)
    assert rise[0] < 0.02 * rise.max()
    assert rise[-1] < 0.02 * rise.max()
    if steepest == 0.5:
        np.testing.assert_allclose(swirl_share(x, 0.5), x**2 * (3 - 2 * x), atol=1e-12)  # the integral of 6 x (1 - x)


def test_loading_without_an_inlet_angle_is_refused():
    with pytest.raises(AerodesignError, match=r'angles = "loading" needs blade angles above 5 deg .* got 2 deg'):
        Blading(WHEEL.but(beta1h_blade=deg(2)), LOADING)


@pytest.mark.parametrize("form", [BladeForm(), POINTS, LOADING, RULED], ids=["smooth", "points", "loading", "ruled"])
def test_wrap_and_lean_are_met_whatever_the_angles(form):
    free = Blading(WHEEL, form)
    asked = form.but(wrap=free.wrap + deg(8), lean=deg(6))
    blading = Blading(WHEEL.but(rake=deg(10)), asked)
    assert not [flag for flag in raised(blading.flags) if flag.code == "blade wrap"]
    assert blading.wrap == pytest.approx(free.wrap + deg(8), abs=1e-9)
    leading = [blading.span(s).at(0.0).theta for s in (0, 0.5, 1)]
    assert leading[0] == pytest.approx(blading.wrap, abs=1e-9)
    assert leading[2] - leading[0] == pytest.approx(deg(6), abs=1e-9)
    trailing = blading.span(1).at(1.0)
    assert np.arctan(WHEEL.r2 * trailing.theta / WHEEL.b2) == pytest.approx(deg(10), abs=1e-9)
    for s, first in ((0, WHEEL.beta1h_blade), (1, WHEEL.beta1s_blade)):  # the hump leaves the ends alone
        np.testing.assert_allclose(blading.span(s).beta[[0, -1]], [first, WHEEL.beta2_blade], atol=1e-9)


@pytest.mark.parametrize("backsweep", [20, 50])
def test_the_angle_at_the_tip_falls_all_the_way_where_the_hub_can_take_it(backsweep):
    """A rise behind the leading edge would turn the blade's load round there."""
    wheel = WHEEL.but(beta2_blade=deg(backsweep))
    hub, tip = (Blading(wheel).span(s) for s in (0.0, 1.0))
    assert np.all(np.diff(tip.beta) < 1e-9)
    assert hub.beta.min() >= HUB_DIP * min(hub.beta[0], hub.beta[-1]) - deg(0.5)
    assert hub.theta[0] == pytest.approx(tip.theta[0], abs=1e-9)


def test_the_hub_s_dip_has_an_end_and_then_the_tip_rises():
    wheel = WHEEL.but(beta2_blade=deg(35))
    hub, tip = (Blading(wheel).span(s) for s in (0.0, 1.0))
    assert hub.beta.min() == pytest.approx(HUB_DIP * hub.beta[0], abs=deg(0.5))
    assert deg(0.1) < tip.beta.max() - tip.beta[0] < deg(1)
    assert hub.theta[0] == pytest.approx(tip.theta[0], abs=1e-9)


def test_a_wrap_that_bends_the_blade_round_is_refused_or_flagged():
    try:
        codes = [flag.code for flag in raised(Blading(WHEEL, BladeForm(wrap=deg(190))).flags)]
    except AerodesignError as refused:
        codes = [str(refused)]
    assert "blade wrap" in codes[0] or "ease wrap" in codes[0]


def test_exact_angles_let_the_leading_edge_lean():
    blading = Blading(WHEEL, BladeForm(exact_angles=True))
    line = blading.span(0)
    beta = WHEEL.beta1h_blade + (WHEEL.beta2_blade - WHEEL.beta1h_blade) * line.x**2 * (3 - 2 * line.x)
    np.testing.assert_allclose(line.beta, beta, atol=1e-12)
    assert abs(blading.span(1).theta[0] - line.theta[0]) > deg(1)


def from_elements(p, hub, tip):
    """Distance of points from the surface of the straight lines between two polylines, taken normal to the nearest line."""
    across, forward = tip - hub, np.gradient(hub, axis=0)
    part = np.sum((p[:, None] - hub) * across, axis=2) / np.sum(across**2, axis=1)
    gap = p[:, None] - hub - part[..., None] * across
    nearest = np.argmin(np.linalg.norm(gap, axis=2), axis=1)
    row = np.arange(len(p))
    part, gap = part[row, nearest][:, None], gap[row, nearest]
    forward = (1 - part) * forward[nearest] + part * np.gradient(tip, axis=0)[nearest]
    normal = np.cross(across[nearest], forward)
    return np.abs(np.sum(gap * normal, axis=1)) / np.linalg.norm(normal, axis=1)


def test_sides_of_a_ruled_blade_are_straight_from_hub_to_tip():
    sigma = np.linspace(-1, 1, 20001)
    for form, straight in ((RULED, True), (BladeForm(), False)):
        blading = Blading(WHEEL, form)
        edges = BladeSurface(blading, start=0.0, beyond=0.006)
        hub, tip = (edges.at(np.full(len(sigma), s), sigma) for s in (0.0, 1.0))
        blade = skin(blading, start=0.0, hub_radius=0.002, tip_radius=0.0).blade
        off = from_elements(blade[3:-3:4, 4], hub, tip).max()
        assert off < 3e-7 if straight else off > 1e-4


def test_spans_of_a_ruled_blade_lie_on_its_straight_lines():
    blading = Blading(WHEEL, RULED)
    x = np.linspace(0, 1, 4001)
    line = blading.span(0.4)
    along = line.at(np.linspace(0.02, 0.98, 25))
    np.testing.assert_allclose(np.stack([along.z, along.r], axis=1), line.contour.at(along.t), atol=1e-9)
    assert from_elements(xyz(line, along.x), *(xyz(blading.span(s), x) for s in (0, 1))).max() < 1e-7


def test_the_nose_is_an_ellipse_that_meets_the_sides_without_a_jump_of_curvature():
    ellipse = np.linspace(0, PURE, 51)
    np.testing.assert_allclose(nose_share(ellipse), np.sqrt(1 - (1 - ellipse) ** 2), atol=1e-14)
    assert nose_share(END) == 1
    assert nose_share(-0.1) == 0
    assert np.all(np.diff(nose_share(np.linspace(0, END, 301))) > 0)

    def curvature(d):
        """Of the outline (d, share) by second differences: the nose of the plain ellipse has 1 at its end, the side 0."""
        h = 1e-4
        slope = (nose_share(d + h) - nose_share(d - h)) / (2 * h)
        return (nose_share(d + h) - 2 * nose_share(d) + nose_share(d - h)) / h**2 / (1 + slope**2) ** 1.5

    for joint in (PURE, END):
        assert curvature(joint + 1e-3) == pytest.approx(curvature(joint - 1e-3), abs=0.02)
    assert abs(curvature(END)) < 0.01


def test_the_blade_surface_has_no_jump_of_curvature_round_the_nose():
    """Along the surface itself, fillets aside: neighbouring radii of curvature, on stations ever closer, come together."""
    surface = BladeSurface(Blading(WHEEL), start=0.0, beyond=0.004)

    def largest_step(stations):
        return largest_step_of_curvature(surface, np.linspace(-0.6, 0.6, stations))

    coarse, fine = largest_step(401), largest_step(1601)
    assert fine < 0.35 * coarse  # a jump would stay what it is
    assert fine < 0.02


def test_a_rounded_edge_goes_on_behind_the_rim_with_its_slope_and_then_levels_off():
    h = 1e-5
    assert (exit_share(h) - exit_share(0)) / h == pytest.approx((exit_share(0) - exit_share(-h)) / h, rel=1e-3)
    assert exit_share(np.array([-50.0]))[0] == pytest.approx(-EXIT_FLAT)
    assert np.all(np.diff(exit_share(np.linspace(-3, 1, 101))) > 0)


def test_thickness_follows_its_law_along_the_blade():
    form = BladeForm(thickness_along=(1.0, 1.3, 0.8))
    line = Blading(WHEEL, form).span(0)
    half = line.half_thickness_at(np.array([0.5, 1.0]))
    np.testing.assert_allclose(half, WHEEL.thickness_hub / 2 * np.array([1.3, 0.8]), rtol=1e-12)
    plain = Blading(WHEEL, BladeForm(thickness_along=(1.0, 1.0, 1.0))).span(0)
    np.testing.assert_allclose(plain.half_thickness, Blading(WHEEL).span(0).half_thickness, atol=1e-15)


def test_a_rounded_trailing_edge_is_an_ellipse_with_a_flat():
    form = BladeForm(trailing_edge="rounded", trailing_edge_ratio=2.5)
    line, plain = Blading(WHEEL, form).span(0), Blading(WHEEL).span(0)
    half = WHEEL.thickness_hub / 2
    assert line.half_thickness[-1] == pytest.approx(half * EXIT_FLAT, rel=1e-9)
    x = np.linspace(0.9, 1, 1001)
    d, found = line.at(1.0).d - line.at(x).d, line.half_thickness_at(x)
    cut = 1 - np.sqrt(1 - EXIT_FLAT**2)
    near = d / (2.5 * half) < PURE - cut
    assert near.sum() > 30
    np.testing.assert_allclose((1 - cut - d[near] / (2.5 * half)) ** 2 + (found[near] / half) ** 2, 1, atol=1e-12)
    early = d > 1.5 * 2.5 * half
    np.testing.assert_allclose(found[early], plain.half_thickness_at(x[early]), atol=1e-15)
    # Behind r2 it goes on without a kink.
    share = exit_share(np.array([-1e-7, 0.0, 1e-7]))
    assert share[2] - share[1] == pytest.approx(share[1] - share[0], rel=1e-4)


def test_a_splitter_may_stand_off_the_middle():
    row = blade_row(Blading(WHEEL, BladeForm(splitter_position=0.45)))
    assert row.splitter_turn == pytest.approx(0.45 * 2 * np.pi / 8)


def test_clearance_may_vary_from_inlet_to_exit():
    form = BladeForm(clearance_inlet=0.0009)
    blading = Blading(WHEEL, form)
    casing = blading.casing()
    tip = blading.meridional.shroud
    np.testing.assert_allclose(casing.at([0, 1]) - tip.at([0, 1]), [[0, 0.0009], [-WHEEL.clearance, 0]], atol=1e-14)
    fine = tip.at(np.linspace(-0.1, 1.1, 4001))
    gap = np.linalg.norm(casing.at(np.linspace(0, 1, 51))[:, None] - fine, axis=2).min(axis=1)
    assert np.all(np.diff(gap) < 5e-5)
    assert 0.0004 < gap.min() <= gap.max() < 0.00095
    covered = Blading(WHEEL.but(covered=True), form)
    np.testing.assert_array_equal(covered.casing().poles, covered.meridional.shroud.poles)


def case_with(blade):
    return f'title = "x"\n[duty]\nflow = "1 m3/s"\npressure_rise = "20 kPa"\n[site]\naltitude = "0 m"\ntemperature = "20 degC"\n[blade]\n{blade}'


def test_a_case_file_chooses_the_blade_and_a_record_brings_it_back():
    text = 'angles = "points"\nangles_at = [0.3, 0.7]\nhub_angles = [0.2, 0.8]\nshroud_angles = [0.4, 0.7]\nwrap = "60 deg"\nsurface = "ruled"\n'
    form = case_from_text(case_with(text)).form
    assert form.blade.hub_angles == (0.2, 0.8)
    assert form.blade.wrap == pytest.approx(deg(60))
    again = from_plain(Form, to_plain(form))
    assert to_plain(again) == to_plain(form)
    assert again.blade.hub_angles == (0.2, 0.8)


@pytest.mark.parametrize(
    ("blade", "said"),
    [
        ("hub_angles = 0.3", "blade.hub_angles = 0.3: must be a list of 1 to 8 values in square brackets"),
        ("angles_at = []", "blade.angles_at = an array of 0: must be a list of 1 to 8 values in square brackets"),
        ("thickness_along = [1, 9]", "must lie between 0.3 and 3"),
        ('angles = "points"', 'case:8 blade.angles_at: is missing; angles = "points" needs it'),
        (
            'angles = "points"\nangles_at = [0.3, 0.7]\nhub_angles = [0.1]\nshroud_angles = [0.1, 0.2]',
            "case:11 blade.hub_angles = an array of 1: lists 1 values for 2 in angles_at",
        ),
        (
            'angles = "points"\nangles_at = [0.7, 0.3]\nhub_angles = [0.1, 0.2]\nshroud_angles = [0.1, 0.2]',
            "blade.angles_at = an array of 2: must grow from value to value",
        ),
        ('exact_angles = true\nwrap = "60 deg"', "blade.wrap = \"60 deg\": follows from the angles"),
        ('exact_angles = true\nlean = "5 deg"', "blade.lean = \"5 deg\": follows from the angles"),
        ('surface = "rulled"', "did you mean ruled?"),
    ],
)  # fmt: skip
def test_wrong_choices_are_named_with_their_line(blade, said):
    with pytest.raises(CaseError) as refused:
        case_from_text(case_with(blade))
    assert said in str(refused.value)
