"""The passage mesh: a closed, sound, periodic body of the right volume, that survives being written and read."""

import tracemalloc
from types import SimpleNamespace

import meshio
import numpy as np
import pytest
from scipy.spatial import cKDTree

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.cfd.conditions import still_walls, turning_walls
from aerodesign.core.errors import AerodesignError, RejectedMesh
from aerodesign.form import BladeForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.profile import BladeSurface
from aerodesign.mesh import spans
from aerodesign.mesh.chart import Chart
from aerodesign.mesh.hexahedra import area_vectors, bilinear_flux, corner_jacobians, shared_faces, volumes
from aerodesign.mesh.io import patch_numbers, write_gmsh, write_vtu
from aerodesign.mesh.passage import Mesh, mesh_from_sheet, passage_mesh
from aerodesign.mesh.quality import aspect_ratios, face_quality, mesh_quality
from aerodesign.mesh.sheet import Sheet, Stations
from aerodesign.mesh.size import SIZES, Size
from aerodesign.mesh.smooth import smoothed
from aerodesign.mesh.spacing import growing, two_sided_tanh, with_slopes
from aerodesign.mesh.spans import INLET_LENGTH, PINCH, SPANS, lagrange
from aerodesign.mesh.wall import WallFlow, blade_heights, first_height, height_for, plate_friction, y_plus

CUBE = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]], float)
EIGHT = np.arange(8)[None]
SMALL = Size(inlet=6, blade=12, diffuser=6, across=8, layers=6, wall=1 / 200)


def wheel(**changes) -> Impeller:
    """A wheel of 300 mm with 16 blades."""
    return Impeller(
        r1h=0.040,
        r1s=0.085,
        r2=0.150,
        b2=0.018,
        axial_length=0.072,
        beta1h_blade=np.radians(45),
        beta1s_blade=np.radians(60),
        beta2_blade=np.radians(45),
        blades=16,
        thickness_hub=0.0025,
        thickness_shroud=0.0015,
        clearance=0.0003,
        fillet=0.002,
    ).but(**changes)


DIFFUSER = Diffuser(r3=0.240, b3=0.016)


@pytest.fixture(scope="module", params=["full blades", "splitters", "clearance", "splitters with clearance"])
def case(request) -> tuple[Impeller, Mesh]:
    impeller = wheel(blades=8, splitters=8) if "splitters" in request.param else wheel()
    return impeller, passage_mesh(impeller, DIFFUSER, clearance="clearance" in request.param)


def open_tips(mesh: Mesh) -> bool:
    return "blade_tip" in mesh.patches


# Spacing


def test_spacing_has_the_asked_slopes_and_after_correction_the_asked_end_cells() -> None:
    first, last, cells, fine = np.array([0.002, 0.02, 0.1]), np.array([0.01, 0.03, 0.04]), 20, 4000
    curve = with_slopes(fine, first=first * cells / fine, last=last * cells / fine)  # the same curve, finely sampled
    assert curve.shape == (fine + 1, 3)
    np.testing.assert_allclose(np.diff(curve, axis=0)[0] * fine / cells, first, rtol=5e-3)
    np.testing.assert_allclose(np.diff(curve, axis=0)[-1] * fine / cells, last, rtol=5e-3)

    steps = np.diff(two_sided_tanh(cells, first=first, last=last), axis=0)
    np.testing.assert_allclose(steps[0], first, rtol=1e-4)
    np.testing.assert_allclose(steps[-1], last, rtol=1e-4)


def test_spacing_rises_from_0_to_1_and_many_lines_equal_one_by_one() -> None:
    rng = np.random.default_rng(1)
    first, last = 10 ** rng.uniform(-5, -1.2, (2, 7, 5))
    points = two_sided_tanh(16, first=first, last=last)
    assert np.diff(points, axis=0).min() > 0
    assert (points[0] == 0).all()
    assert (points[-1] == 1).all()
    for line in np.ndindex(7, 5):
        one = two_sided_tanh(16, first=first[line], last=last[line])
        np.testing.assert_allclose(points[(slice(None), *line)], one, rtol=1e-13)


def test_spacing_mirrors_when_its_ends_are_swapped_and_is_even_at_the_mean() -> None:
    there, back = (two_sided_tanh(12, first=a, last=b) for a, b in ((0.003, 0.05), (0.05, 0.003)))
    np.testing.assert_allclose(there, 1 - back[::-1], atol=1e-13)
    np.testing.assert_allclose(two_sided_tanh(10, first=0.1, last=0.1), np.linspace(0, 1, 11), atol=1e-13)


def test_polynomial_through_the_spans_is_exact_for_its_degree() -> None:
    s = np.linspace(0, 1, 33)
    for power in range(len(SPANS)):
        np.testing.assert_allclose(lagrange(s) @ SPANS**power, s**power, atol=1e-13)


# Hexahedra and quality


def test_volume_of_a_warped_hexahedron_by_gauss_quadrature_of_its_trilinear_map() -> None:
    corners = CUBE + np.random.default_rng(2).uniform(-0.2, 0.2, (8, 3))
    nodes, weights = np.polynomial.legendre.leggauss(3)
    nodes, weights = (nodes + 1) / 2, weights / 2

    def gradients(u: float, v: float, w: float) -> np.ndarray:
        shape = [[(1 - x, x)[int(bit)] for x, bit in zip((u, v, w), corner, strict=True)] for corner in CUBE]
        sign = 2 * CUBE - 1
        return np.array(
            [
                [np.prod([sign[n, d] if d == axis else shape[n][d] for d in range(3)]) for n in range(8)]
                for axis in range(3)
            ]
        )

    exact = sum(
        a * b * c * np.linalg.det(gradients(u, v, w) @ corners)
        for u, a in zip(nodes, weights, strict=True)
        for v, b in zip(nodes, weights, strict=True)
        for w, c in zip(nodes, weights, strict=True)
    )
    assert volumes(corners, EIGHT)[0] == pytest.approx(exact, rel=1e-12)


def test_measures_of_a_cube_and_of_a_sheared_box() -> None:
    determinant, scaled = corner_jacobians(CUBE, EIGHT)
    np.testing.assert_allclose(determinant, 1)
    np.testing.assert_allclose(scaled, 1)

    shear, height = np.radians(50), 2.0
    box = CUBE * [1, 1, height] + np.outer(CUBE[:, 2] * height, [np.tan(shear), 0, 0])
    both = np.concatenate([box, box + np.array([1, 0, 0])])
    np.testing.assert_allclose(corner_jacobians(box, EIGHT)[1], np.cos(shear))
    np.testing.assert_allclose(aspect_ratios(box, EIGHT), height / np.cos(shear))

    hexes = np.array([[0, 1, 2, 3, 4, 5, 6, 7], [1, 9, 10, 2, 5, 13, 14, 6]])
    quality = mesh_quality(both, hexes)
    assert quality.non_orthogonality_max == pytest.approx(shear)
    assert quality.skewness_max == pytest.approx(0, abs=1e-12)
    assert quality.growth_max == pytest.approx(1)
    assert quality.volume == pytest.approx(2 * height)
    assert quality.sound


def test_skewness_and_growth_of_two_unequal_cells() -> None:
    # a unit cube and beside it a box 3 long, its far end raised by 2: the centres' line passes the face 0.25 too high
    far = CUBE * [3, 1, 1] + [1, 0, 0] + np.outer(CUBE[:, 0], [0, 0, 2])
    points = np.concatenate([CUBE, far])
    hexes = np.array([[0, 1, 2, 3, 4, 5, 6, 7], [1, 9, 10, 2, 5, 13, 14, 6]])
    face = face_quality(points, hexes, faces=shared_faces(hexes))
    assert face.growth[0] == pytest.approx(3)
    assert face.non_orthogonality[0] == pytest.approx(np.arctan2(1, 2))
    assert face.skewness[0] == pytest.approx(0.25 / np.sqrt(5))


def test_a_folded_cell_is_seen() -> None:
    folded = CUBE.copy()
    folded[6] = [0.2, 0.2, 0.2]
    assert corner_jacobians(folded, EIGHT)[0].min() < 0


# The passage as a body


def test_every_inner_face_is_shared_by_two_cells_and_patches_are_the_whole_boundary(case) -> None:
    _, mesh = case
    sides = ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
    every = np.sort(np.concatenate([mesh.hexes[:, s] for s in sides]), axis=1)
    faces, count = np.unique(every, axis=0, return_counts=True)
    assert count.max() == 2

    patched = np.sort(np.concatenate(list(mesh.patches.values())), axis=1)
    np.testing.assert_array_equal(np.unique(patched, axis=0), faces[count == 1])
    assert len(patched) == (count == 1).sum()

    inner = shared_faces(mesh.hexes)
    np.testing.assert_array_equal(np.unique(np.sort(inner.quads, axis=1), axis=0), faces[count == 2])
    assert (inner.owner < inner.neighbour).all()
    np.testing.assert_array_equal(np.unique(mesh.hexes), np.arange(len(mesh.points)))


def test_the_surface_is_closed_faces_outward_and_encloses_the_cells(case) -> None:
    _, mesh = case
    boundary = np.concatenate(list(mesh.patches.values()))
    areas = area_vectors(mesh.points, boundary)
    assert np.abs(areas.sum(axis=0)).max() < 1e-10 * np.abs(areas).sum()
    assert bilinear_flux(mesh.points[boundary]).sum() == pytest.approx(
        volumes(mesh.points, mesh.hexes).sum(), rel=1e-10
    )

    for name, quads in mesh.patches.items():
        outward = mesh.points[quads].mean(axis=1) - mesh.points[mesh.hexes[mesh.owners[name]]].mean(axis=1)
        assert (np.einsum("ij,ij->i", outward, area_vectors(mesh.points, quads)) > 0).all(), name


def test_inner_faces_point_from_owner_to_neighbour(case) -> None:
    _, mesh = case
    inner = shared_faces(mesh.hexes)
    centres = mesh.points[mesh.hexes].mean(axis=1)
    across = centres[inner.neighbour] - centres[inner.owner]
    assert (np.einsum("ij,ij->i", across, area_vectors(mesh.points, inner.quads)) > 0).all()


def test_periodic_sides_match_node_by_node(case) -> None:
    impeller, mesh = case
    c, s = np.cos(2 * np.pi / impeller.blades), np.sin(2 * np.pi / impeller.blades)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    low = mesh.points[mesh.patches["periodic_low"]] @ turn.T
    high = mesh.points[mesh.patches["periodic_high"]][:, [0, 3, 2, 1]]
    assert np.abs(low - high).max() < 1e-9 * impeller.r2


def test_volume_equals_the_channel_of_revolution_less_the_blades(case) -> None:
    impeller, mesh = case
    blading = Blading(impeller)
    outer = blading.casing() if open_tips(mesh) else blading.meridional.shroud
    gap = float(impeller.clearance) if open_tips(mesh) else 0.0
    t = np.linspace(0, 1, 801)
    turned = revolved(blading.meridional.hub.at(t), outer.at(t))

    pipe = np.pi * ((impeller.r1s + gap) ** 2 - impeller.r1h**2) * INLET_LENGTH * impeller.r1s
    radius = np.linspace(impeller.r2, DIFFUSER.r3, 20001)
    x = np.clip((radius / impeller.r2 - 1) / PINCH, 0, 1)
    exit_width = impeller.b2 + gap
    width = exit_width + (DIFFUSER.b3 - exit_width) * x**2 * (3 - 2 * x)
    disc = np.trapezoid(2 * np.pi * radius * width, radius)

    blades = sum(blade_volume(blading, start) for start in [0.0] + [impeller.splitter_start] * bool(impeller.splitters))

    assert mesh.quality.volume == pytest.approx((pipe + turned + disc) / impeller.blades - blades, rel=1e-3)


def revolved(hub: np.ndarray, shroud: np.ndarray) -> float:
    """Volume between two contours: pi times the integral of r^2 dz round them."""
    outline = np.concatenate([hub, shroud[::-1]])
    z, r = outline.T
    z_next, r_next = np.roll(outline, -1, axis=0).T
    return float(np.pi * np.abs(np.sum((z_next - z) * (r**2 + r * r_next + r_next**2)) / 3))


def blade_volume(blading: Blading, start: float) -> float:
    """Thickness in the direction of rotation times meridional area, with the rounded nose."""
    x, spans = start + (1 - start) * np.linspace(0, 1, 801) ** 2, np.linspace(0, 1, 9)
    lines = [blading.span(s) for s in spans]
    z, r, beta = (np.stack([getattr(line.at(x), n) for line in lines], axis=1) for n in ("z", "r", "beta"))
    thickness = 2 * np.stack([line.half_thickness_at(x, start=start) for line in lines], axis=1) / np.cos(beta)
    (z_x, z_s), (r_x, r_s) = np.gradient(z, x, spans), np.gradient(r, x, spans)
    return float(np.trapezoid(np.trapezoid(thickness * np.abs(z_x * r_s - z_s * r_x), spans, axis=1), x))


def test_blades_of_the_mesh_lie_on_the_blade_surface_round_the_nose_too(case) -> None:
    """Against the surface that the solids are made of, which has stations and splines of its own."""
    impeller, mesh = case
    blading, pitch = Blading(impeller), 2 * np.pi / impeller.blades
    starts = {"blade": 0.0} | ({"splitter": float(impeller.splitter_start)} if impeller.splitters else {})
    for name, start in starts.items():
        surface = BladeSurface(blading, start=start, beyond=0.005)
        for side, (low, high) in SIDES.items():
            place = blading.splitter_turn if name == "splitter" else (0.0 if side == "pressure" else pitch)
            layers = mesh.ijk[mesh.owners[f"{name}_{side}"], 2]
            for layer, span in ((0, 0), (layers.max(), 1)):
                quads = mesh.patches[f"{name}_{side}"][layers == layer]
                x, y, z = mesh.points[np.unique(quads[:, edge_of(side, top=span == 1)])].T
                turned = np.stack(
                    [x * np.cos(place) + y * np.sin(place), y * np.cos(place) - x * np.sin(place), z], axis=1
                )
                line = surface.at(np.full(20001, float(span)), np.linspace(low, high, 20001))
                assert off(line, turned).max() < 2e-4 * impeller.thickness_shroud, (name, side, span)


def off(line: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Distances of points from a finely sampled line: to the straight piece about the nearest sample."""
    near = np.clip(cKDTree(line).query(points)[1], 1, len(line) - 2)
    along = line[near + 1] - line[near - 1]
    along /= np.linalg.norm(along, axis=1)[:, None]
    return np.linalg.norm(np.cross(points - line[near], along), axis=1)


SIDES = {"pressure": (0.0, 1.0), "suction": (-1.0, 0.0), "leading_edge": (-0.4, 0.4)}


def edge_of(side: str, *, top: bool) -> list[int]:
    """Places in a face on a blade of the corners at its upper or lower edge."""
    corners = {"pressure": (0, 3, 2, 1), "suction": (4, 5, 6, 7), "leading_edge": (1, 2, 6, 5)}[side]
    return [n for n, corner in enumerate(corners) if (corner in (2, 3, 6, 7)) == top]


def test_patches_lie_where_their_names_say(case) -> None:
    impeller, mesh = case

    def at(name: str) -> tuple[np.ndarray, np.ndarray]:
        x, y, z = mesh.points[np.unique(mesh.patches[name])].T
        return np.hypot(x, y), z

    gap = float(impeller.clearance) if open_tips(mesh) else 0.0
    assert np.allclose(at("hub_inlet")[0], impeller.r1h)
    assert np.allclose(at("shroud_inlet")[0], impeller.r1s + gap)
    assert np.allclose(at("inlet")[1], -INLET_LENGTH * impeller.r1s)
    assert np.allclose(at("outlet")[0], DIFFUSER.r3)
    assert np.ptp(at("outlet")[1]) == pytest.approx(DIFFUSER.b3)
    assert np.allclose(at("hub_diffuser")[1], impeller.axial_length)
    assert np.allclose(at("blade_trailing_edge")[0], impeller.r2)
    assert -2 * impeller.thickness_hub < at("hub")[1].min() < 0  # the ring round the nose
    assert -impeller.thickness_hub / 4 < at("blade_leading_edge")[1].min() < 1e-9  # thickness is laid off from z = 0
    if gap:
        assert at("blade_tip")[0].max() == pytest.approx(impeller.r2)
        assert at("shroud")[1].max() == pytest.approx(impeller.axial_length - impeller.b2 - gap)


def test_pressure_sides_face_the_rotation_and_blades_have_their_thickness(case) -> None:
    impeller, mesh = case
    for kind in ("blade", "splitter") if impeller.splitters else ("blade",):
        for side, sign in (("pressure", -1), ("suction", 1)):
            quads = mesh.patches[f"{kind}_{side}"]
            x, y, _ = mesh.points[quads].mean(axis=1).T
            into_blade = area_vectors(mesh.points, quads)
            assert (sign * (x * into_blade[:, 1] - y * into_blade[:, 0]) > 0).all()

        edge = mesh.points[np.unique(mesh.patches[f"{kind}_trailing_edge"])]
        for z, thickness in (
            (impeller.axial_length, impeller.thickness_hub),
            (impeller.axial_length - impeller.b2, impeller.thickness_shroud),
        ):
            x, y, _ = edge[np.isclose(edge[:, 2], z)].T
            arc = np.ptp(np.unwrap(np.arctan2(y, x))) * impeller.r2
            assert arc * np.cos(impeller.beta2_blade) == pytest.approx(
                thickness, rel=0.02
            )  # the angle varies across it


def test_patches_explain_themselves_and_splitters_have_their_own(case) -> None:
    impeller, mesh = case
    kinds = ["blade"] + ["splitter"] * bool(impeller.splitters)
    parts = ["pressure", "suction", "leading_edge", "trailing_edge"] + ["tip"] * open_tips(mesh)
    assert set(mesh.patches) == {
        *("inlet", "outlet", "hub_inlet", "hub", "hub_diffuser", "shroud_inlet", "shroud", "shroud_diffuser"),
        *("periodic_low", "periodic_high"),
        *(f"{kind}_{part}" for kind in kinds for part in parts),
    }


def test_lines_go_on_past_both_edges_at_the_blade_angles_and_end_meridional() -> None:
    impeller = wheel()
    for span, beta1 in ((0.0, impeller.beta1h_blade), (1.0, impeller.beta1s_blade)):
        chart = Chart(Blading(impeller).span(span), inlet=0.085, r2=0.15, r3=0.24)
        m = np.array([chart.m_start, -1e-4, 1e-4, chart.length - 1e-4, chart.length + 1e-4, chart.m_end])
        slope = chart.zr(m)[:, 1] * (chart.camber(chart.x_of(m + 1e-6)) - chart.camber(chart.x_of(m - 1e-6))) / 2e-6
        np.testing.assert_allclose(slope[1:3], -np.tan(beta1), rtol=0.01)
        np.testing.assert_allclose(slope[3:5], -np.tan(impeller.beta2_blade), rtol=0.01)
        np.testing.assert_allclose(slope[[0, 5]], 0, atol=1e-3)


def test_a_chart_keeps_angles_and_returns() -> None:
    chart = Chart(Blading(wheel()).span(0.5), inlet=0.085, r2=0.15, r3=0.24)
    m = np.linspace(chart.m_start, chart.m_end, 301)
    np.testing.assert_allclose(chart.m_of(chart.x_of(m)), m, atol=1e-8)
    z, r = chart.zr(m).T
    way = np.hypot(np.diff(z), np.diff(r))
    np.testing.assert_allclose(np.diff(chart.x_of(m)), 2 * way / (r[1:] + r[:-1]), rtol=1e-3)  # dx = dm / r


@pytest.mark.parametrize("seed", range(15))
def test_no_cell_folds_over_the_range_of_impellers(seed: int) -> None:
    rng = np.random.default_rng(seed)
    u = rng.uniform
    r2, blades = u(0.08, 0.3), int(rng.integers(7, 19))
    r1s, b2 = r2 * u(0.45, 0.72), r2 * u(0.06, 0.22)
    impeller = Impeller(
        r1h=r1s * u(0.3, 0.5),
        r1s=r1s,
        r2=r2,
        b2=b2,
        axial_length=r2 * u(0.4, 0.65),
        beta1h_blade=np.radians(u(30, 45)),
        beta1s_blade=np.radians(u(50, 65)),
        beta2_blade=np.radians(u(0, 60)),
        blades=blades,
        splitters=blades * int(rng.integers(0, 2)),
        splitter_start=u(0.25, 0.5),
        thickness_hub=r2 * u(0.01, 0.016),
        thickness_shroud=r2 * u(0.005, 0.012),
        clearance=0.0003,
        fillet=0.002,
    )
    quality = passage_mesh(impeller, Diffuser(r3=r2 * u(1.2, 1.8), b3=b2 * u(0.8, 1))).quality
    assert quality.jacobian_min > 0
    assert quality.scaled_jacobian_min > 0.1
    assert quality.growth_max < 10  # one place: beside a corner of a ring, where five cells meet
    assert quality.non_orthogonality_max < np.radians(80)


def test_a_look_has_about_20_000_cells_a_passage(case) -> None:
    impeller, mesh = case
    passages = 2 if impeller.splitters else 1
    assert 18e3 < len(mesh.hexes) / passages < (32e3 if open_tips(mesh) else 26e3)
    assert mesh.quality.cells == len(mesh.hexes)


@pytest.mark.slow
@pytest.mark.parametrize(("size", "low", "high"), [("design", 55e3, 80e3), ("study", 130e3, 200e3)])
def test_finer_sizes_have_about_the_cells_they_promise_and_the_same_volume(size: str, low: float, high: float) -> None:
    for blades, splitters in ((16, 0), (8, 8)):
        impeller = wheel(blades=blades, splitters=splitters)
        mesh = passage_mesh(impeller, DIFFUSER, size)
        assert low < len(mesh.hexes) / (2 if splitters else 1) < high
        assert mesh.quality.volume == pytest.approx(passage_mesh(impeller, DIFFUSER).quality.volume, rel=1e-3)


def test_ruled_blades_that_wrap_far_have_one_angle_at_all_spans() -> None:
    """A wrap of 150 deg: the angle about the axis passes a half turn, and hub, middle and tip must count it alike."""
    form = BladeForm(surface="ruled", wrap=np.radians(150))
    blading = Blading(wheel(blades=8), form)
    for span in (0.1, 0.5, 0.9):
        low, here, high = (blading.span(s).at(0.5).theta for s in (0.0, span, 1.0))
        assert min(low, high) - 0.2 < here < max(low, high) + 0.2


# First cells, growth and smoothing


@pytest.mark.parametrize("first", [None, 5e-5])
def test_first_cells_at_walls_have_the_height_asked_for(first: float | None) -> None:
    mesh = passage_mesh(wheel(), DIFFUSER, first=first)
    asked = first or SIZES["look"].wall * wheel().r2
    on_blades = blade_heights(mesh)
    assert np.median(on_blades) == pytest.approx(asked, rel=0.05)
    assert np.mean(np.abs(on_blades / asked - 1) < 0.1) > 0.75  # less where the ring turns to the exit's cylinder

    x, y, z = mesh.points[mesh.hexes].transpose(2, 0, 1)
    r = np.hypot(x, y)
    i, _, k = mesh.ijk.T
    height = np.hypot(z[:, 3] - z[:, 0], r[:, 3] - r[:, 0])
    at_hub = height[(k == 0) & (i < mesh.trailing_edge)]
    assert np.median(at_hub) == pytest.approx(asked, rel=0.05)
    assert np.abs(at_hub / asked - 1).max() < 0.2


def test_a_ring_stands_normal_on_the_blade_round_its_nose() -> None:
    mesh = passage_mesh(wheel(), DIFFUSER, "design")
    for name, inwards in (("blade_leading_edge", (0, 1)), ("blade_pressure", (4, 0)), ("blade_suction", (0, 4))):
        owner = mesh.owners[name]
        early = mesh.ijk[owner, 0] < mesh.leading_edge + 25
        first = mesh.points[mesh.hexes[owner[early]]]
        edge = first[:, inwards[1]] - first[:, inwards[0]]
        normal = area_vectors(mesh.points, mesh.patches[name][early])
        cosine = np.sum(edge * normal, axis=1) / np.linalg.norm(edge, axis=1) / np.linalg.norm(normal, axis=1)
        # layers lean against the blade where the channel turns, so the edge may miss the normal of the warped face
        assert np.degrees(np.arccos(np.clip(np.median(cosine), -1, 1))) < 12, name


def test_cells_grow_by_no_more_than_the_ratio_of_their_size() -> None:
    for name in ("look", "design"):
        mesh = passage_mesh(wheel(), DIFFUSER, name)
        x, y, z = mesh.points[mesh.hexes].transpose(2, 0, 1)
        r = np.hypot(x, y)
        height = np.hypot(z[:, 3] - z[:, 0], r[:, 3] - r[:, 0])
        i, j, k = mesh.ijk.T
        column = (j == j[i == 0].min()) & (i == 0)
        steps = height[column][np.argsort(k[column])]
        ratio = np.maximum(steps[1:] / steps[:-1], steps[:-1] / steps[1:])
        assert ratio.max() < SIZES[name].growth * 1.1


def test_geometric_growth_fills_its_line_from_the_first_cell_on() -> None:
    steps = np.diff(growing(6, 0.03))
    assert steps[0] == pytest.approx(0.03)
    np.testing.assert_allclose(steps[1:] / steps[:-1], steps[1] / steps[0])
    np.testing.assert_allclose(growing(4, 0.5), np.linspace(0, 1, 5))


def test_friction_of_a_plate_by_the_logarithmic_law_of_schultz_grunow() -> None:
    """F. Schultz-Grunow, 1940, cf = 0.370 (log10 Re)^-2.584, as quoted by H. Schlichting, "Boundary-Layer Theory" (from memory)."""
    for reynolds in (3e5, 1e6, 1e7):
        assert plate_friction(reynolds=reynolds) == pytest.approx(0.370 * np.log10(reynolds) ** -2.584, rel=0.12)


def test_first_height_for_a_wanted_y_plus_and_back() -> None:
    flow = WallFlow(velocity=120.0, density=1.15, viscosity=1.8e-5, length=0.15)
    assert y_plus(height=height_for(y_plus=30.0, flow=flow), flow=flow) == pytest.approx(30)
    # by hand: Re 1.15e6, cf 0.00368, friction velocity 5.15 m/s, viscous length 3.04 um
    assert flow.viscous_length == pytest.approx(3.04e-6, rel=0.01)
    assert first_height("y+ 30", flow) == pytest.approx(60 * flow.viscous_length)
    assert first_height("0.1 mm", flow) == pytest.approx(1e-4)
    assert "between 0.2 and 500" in refusal(AerodesignError, lambda: first_height("y+ 4000", flow))
    assert "unit" in refusal(AerodesignError, lambda: first_height("0.1", flow))


def test_smoothing_lowers_what_checks_of_meshes_measure(monkeypatch) -> None:
    """Largest angle between cell centres and faces: 68 to 56 deg on a wheel of moderate angles, 79 to 71 deg on a steep one."""
    for changes, gain in (
        (dict(beta1s_blade=np.radians(50), beta2_blade=0.2), 8),
        (dict(beta1s_blade=np.radians(65)), 3),
    ):
        plain, smooth = (unsmoothed(monkeypatch, changes, sweeps) for sweeps in (0, None))
        assert np.degrees(plain.non_orthogonality_max - smooth.non_orthogonality_max) > gain
        assert smooth.non_orthogonality_mean < plain.non_orthogonality_mean + np.radians(0.5)


def unsmoothed(monkeypatch, changes, sweeps: int | None):
    """Quality of a mesh with a number of sweeps; None leaves the usual one."""
    with monkeypatch.context() as patch:
        if sweeps is not None:
            usual = spans.smooth_rows
            patch.setattr(spans, "smooth_rows", lambda *args, **named: usual(*args, **named, sweeps=sweeps))
        return passage_mesh(wheel(**changes), DIFFUSER).quality


def test_smoothing_leaves_a_grid_that_solves_laplace_s_equation_as_it_is() -> None:
    """An even grid, sheared: columns repeat after a pitch, nothing is to be moved."""
    i, j = np.meshgrid(np.linspace(0, 1, 9), np.linspace(0, 1, 7)[:-1], indexing="ij")
    points = np.stack([i, 0.3 * j + 0.2 * i])
    free = np.ones((9, 6), bool)
    np.testing.assert_allclose(smoothed(points, free, pitch=0.3, sweeps=20), points, atol=1e-13)


def test_memory_stays_below_a_kilobyte_a_cell() -> None:
    tracemalloc.start()
    mesh = passage_mesh(wheel(), DIFFUSER, "study")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak / len(mesh.hexes) < 1000


# Thin blades, on a sheet of our own: a straight annulus


def annulus(*, thickness: float = 0.0) -> tuple[Sheet, Stations]:
    """A straight pipe of radii 0.1 and 0.2 and length 1, blades without lean or angle in its middle."""
    x = np.linspace(0, 1, 13)
    z = np.linspace(-0.3, 0.7, 25)[:, None] + np.zeros(7)
    r = np.linspace(0.1, 0.2, 7) + np.zeros((25, 1))
    half = np.zeros_like(z)
    half[7:19] = thickness / 2 / r[7:19] * np.minimum(np.arange(1, 13) / 4, 1)[:, None]
    half[19:] = half[18]
    sheet = Sheet(m=z, z=z, r=r, theta=0 * z, half=half, splitter_half=half, cos_beta=1 + 0 * z)
    return sheet, Stations(upstream=x[:7], x=x, downstream=x[:7], leading=6, splitter=9, trailing=18)


@pytest.mark.parametrize("splitters", [False, True])
def test_an_annulus_with_blades_of_no_thickness_has_the_volume_of_the_annulus(splitters: bool) -> None:
    errors = []
    for across in (16, 32):
        size = Size(inlet=6, blade=12, diffuser=6, across=across, layers=6, wall=0.02)
        mesh = mesh_from_sheet(*annulus(), size=size, blades=12, splitters=splitters, r2=0.2)
        exact = np.pi * (0.2**2 - 0.1**2) * 1.0 / 12
        assert mesh.quality.volume == pytest.approx(exact, rel=1e-3)
        errors.append(1 - mesh.quality.volume / exact)

        assert "blade_trailing_edge" not in mesh.patches
        boundary = np.concatenate(list(mesh.patches.values()))
        areas = area_vectors(mesh.points, boundary)
        assert np.abs(areas.sum(axis=0)).max() < 1e-10 * np.abs(areas).sum()
        assert bilinear_flux(mesh.points[boundary]).sum() == pytest.approx(mesh.quality.volume, rel=1e-10)
    assert 0 < errors[1] < 0.45 * errors[0]  # chords for arcs: second order in the cells across


def test_thick_blades_take_their_volume_from_the_annulus() -> None:
    size = Size(inlet=6, blade=12, diffuser=6, across=32, layers=6, wall=0.02)
    blocked = mesh_from_sheet(*annulus(thickness=0.01), size=size, blades=12, splitters=False, r2=0.2)
    profile = np.minimum(np.arange(13) / 4, 1)
    blade = 0.01 * (0.2 - 0.1) * np.trapezoid(profile, dx=1 / 24)
    assert blocked.quality.volume == pytest.approx(np.pi * (0.2**2 - 0.1**2) / 12 - blade, rel=5e-4)


# What the flow solver is told


def test_with_an_open_clearance_tips_turn_and_the_shroud_rests(case) -> None:
    impeller, mesh = case
    point = SimpleNamespace(covered=bool(impeller.covered))
    turning, still = turning_walls(mesh, point), still_walls(mesh, point)
    kinds = ["blade"] + ["splitter"] * bool(impeller.splitters)
    parts = ["pressure", "suction", "leading_edge", "trailing_edge"] + ["tip"] * open_tips(mesh)
    assert set(turning) == {"hub", *(f"{kind}_{part}" for kind in kinds for part in parts)}
    assert set(still) == {"shroud_inlet", "shroud", "shroud_diffuser", "hub_diffuser"}


# Refusals


def refusal(error: type[AerodesignError], act) -> str:
    with pytest.raises(error) as caught:
        act()
    message = str(caught.value)
    assert "\n" not in message
    return message


def test_blades_that_fill_the_passage_are_refused() -> None:
    thick = wheel(thickness_hub=0.02)
    message = refusal(RejectedMesh, lambda: passage_mesh(thick, DIFFUSER))
    assert "no passage left between blades" in message
    assert RejectedMesh.exit_status == 6


def test_folded_cells_are_refused() -> None:
    sheet, along = annulus()
    crossed = sheet.r.copy()
    crossed[10, 3] = crossed[10, 5]
    folded = Sheet(**{**vars(sheet), "r": crossed})
    act = lambda: mesh_from_sheet(folded, along, size=SMALL, blades=12, splitters=False, r2=0.2)  # noqa: E731
    assert "folded" in refusal(RejectedMesh, act)


def test_points_that_are_not_numbers_are_refused() -> None:
    sheet, along = annulus()
    broken = sheet.z.copy()
    broken[10, 3] = np.nan
    lost = Sheet(**{**vars(sheet), "z": broken})
    act = lambda: mesh_from_sheet(lost, along, size=SMALL, blades=12, splitters=False, r2=0.2)  # noqa: E731
    assert "folded" in refusal(RejectedMesh, act)


def test_wrong_questions_are_answered_in_one_line() -> None:
    assert "look, design, study" in refusal(AerodesignError, lambda: passage_mesh(wheel(), DIFFUSER, "huge"))
    assert "clearance" in refusal(AerodesignError, lambda: passage_mesh(wheel(covered=True), DIFFUSER, clearance=True))
    assert "first cells" in refusal(AerodesignError, lambda: passage_mesh(wheel(), DIFFUSER, first=0.01))
    assert "splitters = 3" in refusal(AerodesignError, lambda: passage_mesh(wheel(splitters=3), DIFFUSER))
    assert "beyond r2" in refusal(AerodesignError, lambda: passage_mesh(wheel(), Diffuser(r3=0.15, b3=0.016)))
    several = wheel(r1h=np.array([0.03, 0.04]))
    assert "single impeller" in refusal(AerodesignError, lambda: passage_mesh(several, DIFFUSER))


# Files


def test_vtu_keeps_points_and_cells_bit_for_bit(case, tmp_path) -> None:
    _, mesh = case
    back = meshio.read(write_vtu(mesh, tmp_path / "passage.vtu"))
    assert np.array_equal(back.points, mesh.points)
    np.testing.assert_array_equal(back.cells_dict["hexahedron"], mesh.hexes)
    numbers = back.cell_data_dict["patch"]["quad"]
    for name, number in patch_numbers(mesh).items():
        np.testing.assert_array_equal(back.cells_dict["quad"][numbers == number], mesh.patches[name])
    np.testing.assert_array_equal(back.cell_data_dict["station"]["hexahedron"], mesh.ijk[:, 0])


def test_vtu_read_by_another_library_has_the_same_volumes(case, tmp_path) -> None:
    xml = pytest.importorskip("vtkmodules.vtkIOXML")
    verdict = pytest.importorskip("vtkmodules.vtkFiltersVerdict")
    from vtkmodules.util.numpy_support import vtk_to_numpy

    _, mesh = case
    reader = xml.vtkXMLUnstructuredGridReader()
    reader.SetFileName(str(write_vtu(mesh, tmp_path / "passage.vtu")))
    measure = verdict.vtkCellSizeFilter()
    measure.SetInputConnection(reader.GetOutputPort())
    measure.Update()
    theirs = vtk_to_numpy(measure.GetOutput().GetCellData().GetArray("Volume"))[: len(mesh.hexes)]
    ours = volumes(mesh.points, mesh.hexes)
    np.testing.assert_allclose(theirs, ours, rtol=1e-10)


def test_gmsh_keeps_names_points_and_faces(case, tmp_path) -> None:
    _, mesh = case
    back = meshio.read(write_gmsh(mesh, tmp_path / "passage.msh"))
    assert np.array_equal(back.points, mesh.points)
    np.testing.assert_array_equal(back.cells_dict["hexahedron"], mesh.hexes)
    assert set(back.field_data) == {"fluid", *mesh.patches}
    groups = back.cell_data_dict["gmsh:physical"]["quad"]
    for name, quads in mesh.patches.items():
        number, dimension = back.field_data[name]
        assert dimension == 2
        np.testing.assert_array_equal(back.cells_dict["quad"][groups == number], quads)


@pytest.fixture(scope="module")
def cgns(case, tmp_path_factory) -> tuple[Mesh, str]:
    pytest.importorskip("h5py")
    from aerodesign.mesh.cgns import write_cgns

    mesh = case[1]
    return mesh, str(write_cgns(mesh, tmp_path_factory.mktemp("cgns") / "passage.cgns", stamp="a stamp"))


def test_cgns_read_by_a_viewer_s_library_has_names_and_volumes(cgns) -> None:
    """VTK's own reader of the HDF5 file."""
    reading = pytest.importorskip("vtkmodules.vtkIOCGNSReader")
    verdict = pytest.importorskip("vtkmodules.vtkFiltersVerdict")
    from vtkmodules.util.numpy_support import vtk_to_numpy

    mesh, path = cgns
    reader = reading.vtkCGNSReader()
    reader.SetFileName(path)
    reader.SetLoadBndPatch(True)
    reader.UpdateInformation()
    reader.EnableAllBases()
    reader.EnableAllFamilies()
    reader.Update()
    zone = reader.GetOutput().GetBlock(0).GetBlock(0)
    inside, patches = zone.GetBlock(0), zone.GetBlock(1)

    measure = verdict.vtkCellSizeFilter()
    measure.SetInputData(inside)
    measure.Update()
    theirs = vtk_to_numpy(measure.GetOutput().GetCellData().GetArray("Volume"))
    np.testing.assert_allclose(theirs, volumes(mesh.points, mesh.hexes), rtol=1e-10)

    found = {
        patches.GetMetaData(n).Get(patches.NAME()): patches.GetBlock(n) for n in range(patches.GetNumberOfBlocks())
    }
    assert list(found) == list(mesh.patches)
    for name, quads in mesh.patches.items():
        measure.SetInputData(found[name])
        measure.Update()
        area = vtk_to_numpy(measure.GetOutput().GetCellData().GetArray("Area"))
        ours = np.linalg.norm(area_vectors(mesh.points, quads), axis=1)
        np.testing.assert_allclose(area, ours, rtol=0.02)  # of warped faces theirs is that of two triangles
        assert area.sum() == pytest.approx(ours.sum(), rel=2e-3)


def test_cgns_read_by_the_standard_s_own_library(cgns, gmsh) -> None:
    """Gmsh reads with the CGNS library itself, which refuses words that the standard does not know."""
    mesh, path = cgns
    gmsh.open(path)
    _, xyz, _ = gmsh.model.mesh.getNodes()
    counts = dict(zip(*gmsh.model.mesh.getElements()[:2], strict=True))
    names = {gmsh.model.getEntityName(*entity) for entity in gmsh.model.getEntities(2)}
    assert len(counts[5]) == len(mesh.hexes)
    assert len(counts[3]) == sum(len(quads) for quads in mesh.patches.values())
    np.testing.assert_array_equal(np.sort(xyz), np.sort(mesh.points.ravel()))
    assert set(mesh.patches) <= names


def test_a_file_that_fails_leaves_the_old_one_and_nothing_else(tmp_path, monkeypatch) -> None:
    mesh = mesh_from_sheet(*annulus(), size=SMALL, blades=12, splitters=False, r2=0.2)
    old = write_gmsh(mesh, tmp_path / "passage.msh").read_bytes()

    def break_off(path, *_, **__) -> None:
        path.write_text("half a file")
        raise OSError("disk full")

    monkeypatch.setattr(meshio, "write", break_off)
    with pytest.raises(OSError, match="disk full"):
        write_gmsh(mesh, tmp_path / "passage.msh")
    assert (tmp_path / "passage.msh").read_bytes() == old
    assert [p.name for p in tmp_path.iterdir()] == ["passage.msh"]


def test_file_names_are_checked_at_the_door(tmp_path) -> None:
    mesh = mesh_from_sheet(*annulus(), size=SMALL, blades=12, splitters=False, r2=0.2)
    assert "must end in .vtu" in refusal(AerodesignError, lambda: write_vtu(mesh, tmp_path / "passage.vtk"))
    assert "does not exist" in refusal(AerodesignError, lambda: write_gmsh(mesh, tmp_path / "nowhere" / "passage.msh"))
