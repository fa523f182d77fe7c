"""Blade geometry: the contours and angles that were asked for, identities of the surfaces, closed forms of the volumes."""

from itertools import pairwise

import numpy as np
import pytest
from conftest import WHEEL

from aerodesign.core.errors import AerodesignError, RejectedSolid
from aerodesign.core.flags import raised
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body, revolved_volume
from aerodesign.geometry.fillet import roll
from aerodesign.geometry.meridional import meridional
from aerodesign.geometry.nose import PURE
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.roots import NoBracket, solve
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.skin import DEGREE_ACROSS, skin
from aerodesign.geometry.volume import blade_volume, flux

deg = np.radians


def random_wheels(count):
    rng = np.random.default_rng(3)
    for _ in range(count):
        r2 = rng.uniform(0.08, 0.3)
        r1s = r2 * rng.uniform(0.45, 0.72)
        b2 = r2 * rng.uniform(0.06, 0.22)
        yield WHEEL.but(
            r2=r2,
            r1s=r1s,
            r1h=r1s * rng.uniform(0.3, 0.5),
            b2=b2,
            axial_length=b2 + r2 * rng.uniform(0.35, 0.5),
            beta1h_blade=deg(rng.uniform(30, 45)),
            beta1s_blade=deg(rng.uniform(50, 65)),
            beta2_blade=deg(rng.uniform(0, 55)),
        )


@pytest.fixture(scope="module")
def blading():
    return Blading(WHEEL)


@pytest.fixture(scope="module")
def full(blading):
    return skin(blading, start=0.0, hub_radius=0.002, tip_radius=0.0)


@pytest.mark.parametrize("wheel", [WHEEL, *random_wheels(8)])
def test_contours_meet_the_dimensions_and_the_area_goes_smoothly(wheel):
    channel = meridional(wheel)
    np.testing.assert_allclose(channel.hub.at([0.0, 1.0]), [[0, wheel.r1h], [wheel.axial_length, wheel.r2]], atol=1e-14)
    exit_z = wheel.axial_length - wheel.b2
    np.testing.assert_allclose(channel.shroud.at([0.0, 1.0]), [[0, wheel.r1s], [exit_z, wheel.r2]], atol=1e-14)

    t = np.linspace(0, 1, 101)
    inlet, outlet = np.pi * (wheel.r1s**2 - wheel.r1h**2), 2 * np.pi * wheel.r2 * wheel.b2
    area = channel.area(t)
    np.testing.assert_allclose(area[[0, -1]], [inlet, outlet], rtol=1e-12)
    assert np.all(np.abs(area / (inlet + (outlet - inlet) * t**2 * (3 - 2 * t)) - 1) < 0.12)
    for contour in (channel.hub, channel.shroud):
        assert np.all(contour.curvature(t) > -1e-9)  # bends one way only
        np.testing.assert_allclose(contour.tangent([0.0, 1.0]), [[1, 0], [0, 1]], atol=1e-12)


def test_contours_go_on_straight_with_continuous_curvature():
    hub = meridional(WHEEL).hub
    np.testing.assert_allclose(hub.at([-0.8, -0.1])[:, 1], WHEEL.r1h, rtol=1e-14)
    np.testing.assert_allclose(hub.at([1.1, 1.9])[:, 0], WHEEL.axial_length, rtol=1e-12)
    for joint in (0.0, 1.0):
        for order in (0, 1, 2):
            before, after = (hub.slope(joint + step, order) for step in (-1e-9, 1e-9))
            np.testing.assert_allclose(before, after, atol=1e-6)


def test_casing_leaves_the_clearance():
    channel = meridional(WHEEL)
    t = np.linspace(0, 1, 51)
    gap = channel.casing(0.0005).at(t)[:, None, :] - channel.shroud.at(np.linspace(-0.1, 1.1, 2001))
    np.testing.assert_allclose(np.min(np.linalg.norm(gap, axis=2), axis=1), 0.0005, rtol=0.25)


@pytest.mark.parametrize("wheel", [WHEEL, WHEEL.but(rake=deg(20)), *random_wheels(4)])
def test_blade_angles_and_wrap(wheel):
    blading = Blading(wheel)
    hub, tip = blading.span(0), blading.span(1)
    np.testing.assert_allclose(hub.beta[[0, -1]], [wheel.beta1h_blade, wheel.beta2_blade])
    np.testing.assert_allclose(tip.beta[[0, -1]], [wheel.beta1s_blade, wheel.beta2_blade])
    for s in (0.25, 0.5, 0.8, 1.0):  # the leading edge is one ray, the trailing edge leans by the rake
        assert blading.span(s).theta[0] == pytest.approx(hub.theta[0], abs=1e-7)
        lean = np.arctan(wheel.r2 * blading.span(s).theta[-1] / (s * wheel.b2))
        assert lean == pytest.approx(wheel.rake, abs=1e-9)
    assert blading.wrap == pytest.approx(hub.theta[0], abs=1e-7)
    assert hub.theta[0] > 0  # the blade lags behind its leading edge: backswept against +theta


def test_camber_follows_the_blade_angle(blading):
    line = blading.span(0.6)
    step = 1e-5
    before, after = line.at(line.x[1:-1] - step), line.at(line.x[1:-1] + step)
    slope = (after.theta - before.theta) / (after.m - before.m)
    np.testing.assert_allclose(slope, -np.tan(line.beta[1:-1]) / line.r[1:-1], rtol=1e-5)
    length = np.hypot(after.z - before.z, after.r - before.r)
    np.testing.assert_allclose(length, after.m - before.m, rtol=1e-5)


def test_thickness_tapers_and_the_nose_is_an_ellipse(blading):
    for s in (0.0, 0.3, 1.0):
        line = blading.span(s)
        half = ((1 - s) * WHEEL.thickness_hub + s * WHEEL.thickness_shroud) / 2
        assert line.half_thickness[0] == 0
        assert line.half_thickness[-1] == pytest.approx(half)
        d, along = line.at(line.x).d, WHEEL.leading_edge_ratio * half
        inside = d < PURE * along
        np.testing.assert_allclose(
            ((along - d[inside]) / along) ** 2 + (line.half_thickness[inside] / half) ** 2, 1, atol=1e-12
        )
        assert np.all(line.splitter_half_thickness[line.x < WHEEL.splitter_start - 1e-9] == 0)


def test_profile_stands_off_the_camber_by_its_half_thickness(blading):
    surface = BladeSurface(blading, start=0.0, beyond=0.004)
    sigma = np.array([-0.8, -0.5, 0.5, 0.8])
    line = blading.span(0.0)
    p = surface.at(np.zeros(4), sigma)
    x = np.linspace(0, 1.02, 20001)
    camber = line.at(x)
    spot = np.stack([camber.r * np.cos(camber.theta), camber.r * np.sin(camber.theta), camber.z], axis=1)
    distance = np.min(np.linalg.norm(p[:, None] - spot, axis=2), axis=1)
    np.testing.assert_allclose(distance, WHEEL.thickness_hub / 2, rtol=0.01)
    theta = np.arctan2(p[:, 1], p[:, 0])
    nearest = np.argmin(np.linalg.norm(p[:, None] - spot, axis=2), axis=1)
    np.testing.assert_array_equal(np.sign(theta - camber.theta[nearest]), np.sign(sigma))


def test_skin_ends_on_the_cylinder_and_its_fillet_on_the_hub(blading, full):
    for grid in (full.blade, full.hub.grid):
        np.testing.assert_allclose(np.hypot(grid[[0, -1], :, 0], grid[[0, -1], :, 1]), WHEEL.r2, atol=1e-10)
    foot = full.hub.grid[:, -1]
    on_hub = blading.meridional.hub.at(full.hub.track[:, 1])
    np.testing.assert_allclose(foot[:, 2], on_hub[:, 0], atol=1e-12)
    np.testing.assert_allclose(np.hypot(foot[:, 0], foot[:, 1]), on_hub[:, 1], atol=1e-12)
    np.testing.assert_array_equal(full.blade[:, 0], full.hub.grid[:, 0])


def test_ball_touches_blade_and_hub_and_nothing_in_between(blading):
    surface = BladeSurface(blading, start=0.0, beyond=0.006)
    ball = roll(surface, at_hub=True, radius=0.002, at_nose=1.0)
    sigma = np.linspace(-0.95, 0.95, 39)
    contact = ball.contact(sigma)
    np.testing.assert_allclose(np.linalg.norm(contact.to_wall, axis=1), 1, atol=1e-6)
    tangent = surface.hub.tangent(contact.t)
    across = (
        contact.to_wall[:, 2] * tangent[:, 0]
        + (contact.to_wall[:, 0] * np.cos(contact.theta) + contact.to_wall[:, 1] * np.sin(contact.theta))
        * tangent[:, 1]
    )
    np.testing.assert_allclose(across, 0, atol=1e-6)  # the radius to the foot point stands on the hub
    spans = np.linspace(0, 1, 60)
    others = np.stack([surface.at(np.full(39, s), sigma) for s in spans])
    assert np.min(np.linalg.norm(others - contact.centre, axis=2)) > 0.002 * (1 - 1e-6)


def test_blade_volume_is_thickness_over_the_camber_surface(blading):
    bare = skin(blading, start=0.0, hub_radius=0.0, tip_radius=0.0)
    found = blade_volume(bare, blading.meridional.hub, blading.meridional.shroud, WHEEL.r2)
    edges = np.linspace(0, 1, 21)
    expected = 0.0
    for low, high in pairwise(edges):
        line = blading.span((low + high) / 2)
        across = blading.meridional.contour(high).at(line.t) - blading.meridional.contour(low).at(line.t)
        along = line.contour.tangent(line.t)
        width = np.abs(across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0])
        expected += np.trapezoid(2 * line.half_thickness * width, line.at(line.x).d)
    assert found == pytest.approx(expected, rel=2e-3)


def test_flux_of_a_sphere_and_volume_of_a_cylinder_are_their_closed_forms():
    u, v = np.linspace(0, 2 * np.pi, 61), np.linspace(0, np.pi, 41)
    lon, lat = np.meshgrid(u, v, indexing="ij")
    sphere = 0.1 * np.stack([np.cos(lon) * np.sin(lat), np.sin(lon) * np.sin(lat), -np.cos(lat)], axis=2)
    assert DEGREE_ACROSS == 5
    assert flux(sphere, u, v) == pytest.approx(4 / 3 * np.pi * 0.1**3, rel=1e-5)
    assert revolved_volume(np.array([[0, 0], [0, 0.1], [0.3, 0.1], [0.3, 0]])) == pytest.approx(np.pi * 0.1**2 * 0.3)


def test_roots_of_many_equations_at_once():
    target = np.array([0.1, 1.0, 20.0])
    x = solve(lambda x: x**3 - target, np.zeros(3), np.full(3, 5.0), tolerance=1e-12, what="cube roots")
    np.testing.assert_allclose(x, np.cbrt(target), rtol=1e-9)
    with pytest.raises(NoBracket, match="cube roots: 1 of 2"):
        solve(lambda x: x**3 - np.array([1, 200.0]), np.zeros(2), np.full(2, 5.0), tolerance=1e-9, what="cube roots")


def test_a_fillet_without_room_shrinks_with_a_flag():
    row = blade_row(Blading(WHEEL.but(fillet=0.006, covered=True, blades=12, splitters=12)))
    assert 0 < row.fillet < 0.006
    assert "fillet smaller" in [flag.code for flag in raised(row.flags)]
    assert not raised(blade_row(Blading(WHEEL)).flags)


def test_blades_that_leave_no_passage_are_refused():
    with pytest.raises(RejectedSolid, match="fewer or thinner blades"):
        blade_row(Blading(WHEEL.but(blades=40, splitters=40, thickness_hub=0.006)))


@pytest.mark.parametrize("width", [0.024, 0.03, 0.036])
def test_the_passage_widens_all_the_way_where_its_exit_is_the_wider_end(width):
    """To a quarter of a per cent: the trade against gentle bends."""
    channel = meridional(WHEEL.but(b2=width))
    assert channel.area(1.0) > 1.1 * channel.area(0.0)
    assert channel.turning_back() < 0.0025


def test_a_passage_that_turns_back_is_told_and_flagged():
    """Between any two stations in their order; of a wheel with ends of about equal area."""
    even = next(w for w in random_wheels(8) if 1 < 2 * w.b2 * w.r2 / (w.r1s**2 - w.r1h**2) < 1.02)
    channel = meridional(even)
    area = channel.area(np.linspace(0, 1, 201))
    fallen = max(area[i] - area[j] for i in range(200) for j in range(i + 1, 201))
    assert channel.turning_back() == pytest.approx(fallen / area[0])
    assert "passage area" in [flag.code for flag in raised(Blading(even).flags)]
    assert "passage area" not in [flag.code for flag in raised(Blading(WHEEL.but(b2=0.03)).flags)]


def test_a_wrap_that_cannot_be_matched_is_a_grave_flag():
    flags = raised(Blading(WHEEL.but(beta1h_blade=deg(78), beta1s_blade=deg(5), beta2_blade=deg(0))).flags)
    assert flags
    assert flags[0].grave
    assert not Blading(WHEEL).flags[0].raised


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"r1s": 0.149}, r"r1s = 0.149 m must be below 0.95 r2 = 0.1425"),
        ({"b2": 0.08}, r"b2 = 0.08 m must be below 0.8 axial_length"),
        ({"b1": 0.03}, "cylindrical leading edge"),
        ({"blades": np.array([7, 8])}, "one design at a time"),
    ],
)
def test_what_has_no_axial_channel_is_refused_in_words(change, message):
    with pytest.raises(AerodesignError, match=message):
        Blading(WHEEL.but(**change))


def test_a_bore_wider_than_the_hub_is_refused():
    with pytest.raises(RejectedSolid, match="a bore of 60 mm"):
        body(WHEEL.but(bore=0.06), meridional(WHEEL), lead=0.1)
