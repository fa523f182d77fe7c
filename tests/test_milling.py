"""Milling checks against closed forms: plates, vanes, cones, helicoids, hyperbolic paraboloids, cylinders; and the record and page."""

import json

import numpy as np
import pytest
from scipy.optimize import minimize, minimize_scalar

from aerodesign.aero.impeller import Impeller
from aerodesign.case import case_from_text
from aerodesign.core.errors import AerodesignError
from aerodesign.core.plain import from_plain, to_plain
from aerodesign.form import Shop, WheelForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body, points
from aerodesign.milling import flank, judge
from aerodesign.milling.access import Surroundings, Tool, _past, _signed, fan_about
from aerodesign.milling.ball import largest_balls, touching, touching_surface
from aerodesign.milling.casting import casting_findings, draft
from aerodesign.milling.changes import changes_for, least_ball
from aerodesign.milling.finding import Finding
from aerodesign.milling.gap import least_gaps
from aerodesign.milling.scallop import scallop_height, scallop_height_exact, step_over
from aerodesign.milling.sheets import Cloud, turned
from aerodesign.milling.survey import survey_of, tools
from aerodesign.milling.sweep import least_window
from aerodesign.milling.wheel import bare_wheel, wheel_of
from aerodesign.milling.work import area, chip_volume, work
from aerodesign.report.display import Units
from aerodesign.report.figures_milling import milling_view
from aerodesign.report.milling_lines import milling_chapter, milling_record

deg = np.radians

WHEEL = Impeller(
    r1h=0.035, r1s=0.085, r2=0.15, b2=0.02, axial_length=0.09,
    beta1h_blade=deg(35), beta1s_blade=deg(57), beta2_blade=deg(40),
    blades=8, splitters=8, splitter_start=0.35,
    thickness_hub=0.003, thickness_shroud=0.0016, clearance=0.0005, fillet=0.002, bore=0.012,
)  # fmt: skip
PLAIN = WHEEL.but(blades=12, splitters=0)
COVERED = PLAIN.but(blades=8, covered=True)
STRAIGHT = PLAIN.but(
    blades=24,
    beta1h_blade=0.0,
    beta1s_blade=0.0,
    beta2_blade=0.0,
    thickness_hub=0.002,
    thickness_shroud=0.002,
    fillet=0.0,
)


@pytest.fixture(scope="module")
def surveys():
    return {
        name: survey_of(wheel, Shop()) for name, wheel in (("split", WHEEL), ("plain", PLAIN), ("covered", COVERED))
    }


@pytest.fixture(scope="module")
def vanes():
    """Straight radial vanes of even thickness, without fillets: plane plates at a distance of half their thickness from the axis."""
    return bare_wheel(STRAIGHT)


# --- balls ---


def test_ball_between_parallel_plates_is_half_their_distance():
    x, y = np.meshgrid(np.linspace(-1, 1, 41), np.linspace(-1, 1, 41))
    plate = np.stack([x.ravel(), y.ravel(), np.full(x.size, 0.3)], axis=1)
    p, n = np.array([[0.05, -0.1, 0.0], [0.5, 0.25, 0.0]]), np.array([[0.0, 0, 1]] * 2)
    np.testing.assert_allclose(touching(p, n, plate), 0.15, rtol=1e-12)


def test_ball_in_a_wedge():
    """Touching one side at d from the edge of a wedge of opening 2a it has the radius d tan a."""
    d, a = 0.04, deg(13)
    along, across = np.meshgrid(np.linspace(0, 0.1, 1001), np.linspace(-0.02, 0.02, 41))
    other = np.stack([along * np.cos(2 * a), along * np.sin(2 * a), across], axis=-1).reshape(-1, 3)
    assert touching(np.array([[d, 0, 0]]), np.array([[0, 1.0, 0]]), other)[0] == pytest.approx(d * np.tan(a), rel=1e-5)


def test_ball_on_few_points_with_normals():
    """Plates known by points as far apart as they are: the planes between still give half their distance."""
    x, y = np.meshgrid(np.linspace(-0.01, 0.01, 11), np.linspace(-0.01, 0.01, 11))
    plate = np.stack([x.ravel(), y.ravel(), np.full(x.size, 0.002)], axis=1)
    p, n = np.array([[0.0009, -0.0011, 0.0]]), np.array([[0.0, 0, 1]])
    assert touching_surface(p, n, Cloud(plate, np.array([[0.0, 0, -1]] * x.size)), 0.002)[0] == pytest.approx(
        0.001, rel=1e-12
    )
    assert touching(p, n, plate)[0] > 0.0014


def test_nothing_ahead_leaves_any_ball():
    assert touching(np.zeros((1, 3)), np.array([[0.0, 0, 1]]), np.array([[0.1, 0, -0.2]]))[0] == np.inf


def test_ball_between_straight_radial_vanes_at_the_exit(vanes):
    """There the hub is a plane: the centre is at r2 on the bisector, r2 sin(pitch/2) from the vanes' middle planes."""
    ball = largest_balls(vanes)[0]
    exact = 0.15 * np.sin(np.pi / 24) - 0.001
    assert ball.t[-1] == 1.0
    assert ball.radius[-1] == pytest.approx(exact, rel=1e-4)
    # behind the noses the two vanes alone limit it, wherever its centre lies
    centre = np.hypot(*ball.centre[:, :2].T)
    late = ball.t > 0.04
    np.testing.assert_allclose(ball.radius[late], centre[late] * np.sin(np.pi / 24) - 0.001, rtol=2e-4)


def test_ball_in_a_covered_exit_is_half_its_width():
    assert largest_balls(bare_wheel(COVERED))[0].radius[-1] == pytest.approx(COVERED.b2 / 2, rel=1e-6)


def test_balls_pass_over_the_fillets():
    """A ball larger than the fillet touches hub and blade beyond it, so that the fillet does not count."""
    filleted, bare = (largest_balls(w)[0] for w in (wheel_of(PLAIN), bare_wheel(PLAIN)))
    np.testing.assert_allclose(filleted.radius, bare.radius, rtol=0.01)
    assert filleted.radius.min() > PLAIN.fillet


def test_balls_touch_the_blades_and_enter_none():
    wheel = wheel_of(WHEEL)
    points = np.concatenate([blade.cloud.points for blade in wheel.blades])
    for ball in largest_balls(wheel):
        distance = np.array([np.linalg.norm(points - c, axis=1).min() for c in ball.centre])
        np.testing.assert_allclose(distance, ball.radius, rtol=0.01)


# --- gaps ---


def test_gap_between_straight_vanes(vanes):
    """Points at the radius r of two plates h off their middle planes: 2 (sqrt(r^2 - h^2) sin(pitch/2) - h cos(pitch/2)) apart."""
    gap = least_gaps(vanes)[0]
    r, h, half = STRAIGHT.r1h, 0.001, np.pi / 24
    exact = 2 * (np.sqrt(r**2 - h**2) * np.sin(half) - h * np.cos(half))
    assert gap.distance == pytest.approx(exact, rel=2e-3)
    assert gap.r == pytest.approx(r, rel=0.03)


def test_gap_is_the_least_over_dense_points():
    wheel = wheel_of(PLAIN)
    first, second = wheel.blades
    one, other = first.pressure.face.reshape(-1, 3), turned(second.suction.face, second.angle).reshape(-1, 3)
    coarse = min(np.linalg.norm(other - p, axis=1).min() for p in one)
    found = least_gaps(wheel)[0].distance
    assert found <= coarse * (1 + 1e-9)
    assert found == pytest.approx(coarse, rel=2e-3)


# --- flank milling ---


def paraboloid(twist, length):
    """Points (n, 3) of z = -x eta tan(twist/2) at any (x, y), eta = 2 y / length."""
    return lambda x, y: np.stack([x, y, -x * 2 * y / length * np.tan(twist / 2)], axis=-1)


def clearance(foot, head, radii, surface, length, width):
    """Least distance of the surface from a cutter at each y; negative: cut too deep.

    Its axis goes through two points; ``radii`` are its own across the element at both ends, which a cone's axis is not parallel to.
    """
    y = np.linspace(-length / 2, length / 2, 41)
    direction = (head - foot) / np.linalg.norm(head - foot)
    x = np.linspace(-width, width, 2001)
    p = surface(*np.broadcast_arrays(x[None, :], y[:, None])) - (foot + head) / 2
    along = p @ direction
    aside = np.linalg.norm(p - along[..., None] * direction, axis=-1)
    taper = np.arctan((radii[1] - radii[0]) / length)
    at = along[[0, -1], 1000]  # of both ends of the element
    own = np.cos(taper) * (radii[0] + (radii[1] - radii[0]) * (along - at[0]) / (at[1] - at[0]))
    return np.cos(taper) * (aside - own).min(axis=1)


def on_both_ends(radii, twist, length):
    """Ends of the axis of a cutter of those radii that touches a twisted strip at both ends, where the normals lean by half the twist."""
    return (
        np.array([s * R * np.sin(twist / 2), s * length / 2, R * np.cos(twist / 2)])
        for s, R in zip((-1, 1), radii, strict=True)
    )


@pytest.mark.parametrize("twist", deg([5, 15, 30]))
def test_overcut_of_a_cylinder_on_both_ends_of_a_twisted_strip(twist):
    """Against the true distance in space from the axis to a hyperbolic paraboloid."""
    radius, length = 0.006, 0.04
    off = clearance(
        *on_both_ends((radius, radius), twist, length), (radius, radius), paraboloid(twist, length), length, 0.004
    )
    expected = flank.overcut(radius=radius, twist=twist)
    # the slant of the axis against the element counts in the fourth order of the twist
    assert -off.min() == pytest.approx(expected, rel=0.03)
    assert np.argmin(off) == 20
    assert expected == pytest.approx(radius * twist**2 / 8, rel=0.02)


@pytest.mark.parametrize("twist", deg([5, 15, 30]))
def test_a_cone_cuts_in_as_the_cylinder_of_its_radius_at_mid_length(twist):
    """Against the same distances in space."""
    radii, length = (0.004, 0.008), 0.04
    off = clearance(*on_both_ends(radii, twist, length), radii, paraboloid(twist, length), length, 0.004)
    assert -off[20] == pytest.approx(flank.overcut(radius=0.006, twist=twist), rel=0.03)
    assert -off.min() == pytest.approx(-off[20], rel=0.1)


def test_the_flank_of_a_tapered_cutter_is_judged_by_its_width_on_the_blade():
    cylinder, cone = ({f.name: f for f in judge.findings(survey_of(PLAIN, Shop(taper=t)))} for t in (0.0, deg(3)))
    largest = "largest cutter whose flank keeps the error allowed"
    assert cone[largest].value < cylinder[largest].value
    overcut = "overcut of a flank of that twist"
    assert cone[overcut].value > cylinder[overcut].value
    assert "half-way up the element" in cone[overcut].where
    narrowed = survey_of(PLAIN, Shop(taper=deg(3))).elements[0].length.max() * np.tan(deg(3))
    assert cylinder[largest].value - cone[largest].value == pytest.approx(narrowed, rel=0.3)


def test_least_error_against_a_numeric_fit():
    """The best of all axes x = k eta, z = h, by the distance in the planes y = const; our closed form is for small twist."""
    radius, twist = 0.006, deg(30)
    eta, T = np.linspace(-1, 1, 401), np.tan(twist / 2)

    def worst(axis):
        k, h = axis
        return np.max(np.abs((k * T * eta**2 + h) / np.sqrt(1 + (eta * T) ** 2) - radius)) / radius

    start = np.array([radius * T / 2, radius])
    best = min(minimize(worst, start * s, method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-14, "maxiter": 4000}).fun
               for s in (1.0, 0.99, 1.01))  # fmt: skip
    assert flank.least_error(radius=radius, twist=twist) == pytest.approx(best * radius, rel=0.12)
    assert worst(start) < flank.overcut(radius=1.0, twist=twist) / 20


def test_largest_radius_for_an_error_is_the_inverse():
    radius = flank.largest_radius(error=5e-5, twist=0.3)
    assert flank.overcut(radius=radius, twist=0.3) == pytest.approx(5e-5, rel=1e-12)
    assert flank.largest_radius(error=5e-5, twist=0.0) == np.inf


def helicoid(height, place):
    """Radial elements from r = 1 to 3 that climb by 0.5 a radian."""
    r, c = 1 + 2 * height, 0.5
    point = np.stack([r * np.cos(place), r * np.sin(place), c * place], axis=-1)
    normal = np.stack([c * np.sin(place), -c * np.cos(place), r], axis=-1)
    return point, normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def cone(height, place):
    r = 1 + 2 * height
    point = np.stack([r * np.cos(place), r * np.sin(place), height], axis=-1)
    return point, np.stack([np.cos(place), np.sin(place), -2 + 0 * place], axis=-1) / np.sqrt(5)


def test_elements_of_a_helicoid_are_its_radii():
    """No deviation; the normal leans by arctan(c / r), so that the twist is arctan(c / r1) - arctan(c / r3)."""
    found = flank.nearest_elements(helicoid, np.linspace(-0.6, 0.6, 7))
    np.testing.assert_allclose(found.deviation, 0, atol=1e-12)
    np.testing.assert_allclose(found.twist, np.arctan(0.5) - np.arctan(0.5 / 3), rtol=1e-9)
    np.testing.assert_allclose(found.direction[:, 2], 0, atol=1e-12)


def test_a_cone_is_straight_and_without_twist():
    found = flank.nearest_elements(cone, np.linspace(-0.6, 0.6, 7))
    np.testing.assert_allclose(found.deviation, 0, atol=1e-12)
    np.testing.assert_allclose(found.twist, 0, atol=1e-6)


def test_a_bulge_lies_half_its_height_off_the_nearest_line():
    """A parabola of height b over its chord is b/2 off the best straight line (Chebyshev)."""

    def bulged(height, place):
        point = np.stack([place, height, 0.01 * 4 * height * (1 - height)], axis=-1)
        return point, np.broadcast_to([0.0, 0.0, 1.0], point.shape)

    found = flank.nearest_elements(bulged, np.array([0.0]))
    assert found.deviation[0] == pytest.approx(0.005, rel=1e-9)


def test_straight_vanes_have_straight_elements(vanes):
    from aerodesign.geometry.profile import BladeSurface

    side = flank.blade_elements(BladeSurface(vanes.blading, start=0.0, beyond=0.003), pressure=True)
    assert side.deviation.max() < 2e-7
    assert side.twist.max() < 2e-3


# --- ridges ---


def test_ridges_on_a_flat_and_on_round_surfaces():
    """Where two circles of radius R, their centres a step apart, cross: R - sqrt(R^2 - s^2/4) on a flat."""
    s, R = 0.0006, 0.003
    assert scallop_height_exact(step=s, radius=R) == pytest.approx(R - np.sqrt(R**2 - s**2 / 4), rel=1e-12)
    assert scallop_height(step=s, radius=R) == pytest.approx(s**2 / (8 * R), rel=1e-12)
    for curvature in (0.0, 20.0, -100.0, 250.0):
        exact = scallop_height_exact(step=s, radius=R, curvature=curvature)
        assert scallop_height(step=s, radius=R, curvature=curvature) == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize("rho", [0.02, -0.02])
def test_exact_ridge_against_distances(rho):
    """The crossing point is one radius from both centres."""
    s, R = 0.002, 0.003
    h = scallop_height_exact(step=s, radius=R, curvature=1 / rho)
    tip = rho + h
    half = s / (2 * rho)
    centre = (rho + R) * np.array([np.cos(half), np.sin(half)])
    assert np.hypot(centre[0] - tip, centre[1]) == pytest.approx(R, rel=1e-9)


def test_step_over_is_the_inverse_and_bounded():
    s = step_over(height=1e-5, radius=0.004, curvature=30.0)
    assert scallop_height(step=s, radius=0.004, curvature=30.0) == pytest.approx(1e-5, rel=1e-12)
    assert step_over(height=1e-5, radius=0.004, curvature=-1 / 0.004) == 0.008


# --- reach ---


@pytest.mark.parametrize("taper", [0.0, deg(1.5), deg(4)])
def test_how_far_a_tool_may_lean_between_two_walls(taper):
    """Between walls w apart that rise H over the ball's centre, a cylinder of radius R leans until (w/2) cos a - H sin a = R.

    A cone leans less, by its half angle.
    """
    w, H, R = 0.02, 0.04, 0.004
    y, z = np.meshgrid(np.linspace(-0.03, 0.03, 121), np.linspace(-0.005, H, 181))
    walls = np.concatenate([np.stack([np.full(y.size, x), y.ravel(), z.ravel()], axis=1) for x in (-w / 2, w / 2)])

    def clears(a):
        axis = np.array([[np.sin(a), 0.0, np.cos(a)]])
        return _past(axis, walls, R, Tool(R, 1.0, 1.0, taper))[0][0]

    angle = minimize_scalar(lambda a: abs(w / 2 * np.cos(a) - H * np.sin(a) - R), bounds=(0, 1), method="bounded").x
    assert clears(angle - taper - deg(0.1))
    assert not clears(angle - taper + deg(0.1))


def test_the_holder_asks_for_reach():
    """A wall beside the tool, nearer than the holder is thick, must stay below it."""
    wall = np.stack([np.full(50, 0.01), np.zeros(50), np.linspace(0, 0.03, 50)], axis=1)
    free, last = _past(np.array([[0.0, 0, 1]]), wall, 0.003, Tool(0.003, 1.0, 0.014))
    assert free[0]
    assert last[0] == pytest.approx(0.03, rel=1e-5)
    assert _past(np.array([[0.0, 0, 1]]), wall, 0.003, Tool(0.003, 1.0, 0.009))[1][0] == 0


def test_distance_from_a_body_of_revolution():
    """A circle as polygon: distance from its centre less its radius."""
    a = np.linspace(0, 2 * np.pi, 721)[:-1]
    ring = 0.5 * np.stack([np.cos(a), np.sin(a)], axis=1)
    at = np.array([[0.0, 0.0], [0.3, 0.1], [0.9, 0.2], [-0.1, -0.8]])
    np.testing.assert_allclose(_signed(ring, at), np.linalg.norm(at, axis=1) - 0.5, atol=2e-5)


def test_a_tool_stands_upright_on_the_exit_of_straight_vanes(vanes):
    """The hub is a plane there, the vanes are plane and upright: the axis of the wheel is free; lying down into the hub is not."""
    ball = largest_balls(vanes)[0]
    tool = Tool(0.004, 0.1, 0.012)
    around = Surroundings(vanes)
    fan = fan_about(np.array([0.0, 0, -1]), ball.foot[-1] - ball.foot[-2])
    reach = around.reach(ball.foot[-1], ball.normal[-1], fan, tool, around.blades(tool.radius))
    assert reach.tilt.min() < deg(1)
    assert np.all(reach.tilt <= deg(90) + 1e-6)
    # nobody can lean across by more than the window between the vanes
    window = np.arctan((0.15 * np.sin(np.pi / 24)) / (STRAIGHT.b2 - 0.004))
    upright = reach.tilt[np.abs(reach.lead) < 1e-9]
    assert upright.max() < window


def test_a_cone_behind_the_ball_touches_the_ball_and_ends_in_the_holder():
    tool = Tool(0.002, 0.05, 0.01, taper=deg(5))
    assert tool.half_width(-0.002 * np.sin(deg(5))) == pytest.approx(0.002 * np.cos(deg(5)))
    assert tool.half_width(0.03) == pytest.approx(0.002 / np.cos(deg(5)) + 0.03 * np.tan(deg(5)))
    assert tool.half_width(0.5) == 0.01
    assert Tool(0.002, 0.05, 0.01).half_width(0.03) == 0.002


def test_a_point_blocks_a_tapered_tool_where_its_cone_is_wider():
    """One axis and one point beside it: past by a cylinder, not past by a cone of that half angle, past again by a slimmer one."""
    axis, point = np.array([[0.0, 0.0, 1.0]]), np.array([[0.005, 0.0, 0.03]])
    for taper, free in ((0.0, True), (deg(8), False), (deg(4), True)):
        assert _past(axis, point, 0.002, Tool(0.002, 0.1, 0.02, taper))[0][0] == free
    assert np.arctan(3 / 30) > deg(4)


def test_a_tapered_cutter_leans_across_less_between_straight_vanes(vanes):
    """Every axis that a cone has is free for the cylinder too, and the cone has fewer."""
    ball = largest_balls(vanes)[0]
    around = Surroundings(vanes)
    fan = fan_about(np.array([0.0, 0, -1]), ball.foot[-1] - ball.foot[-2])
    free = []
    for taper in (0.0, deg(10)):
        tool = Tool(0.004, 0.1, 0.03, taper)
        reach = around.reach(ball.foot[-1], ball.normal[-1], fan, tool, around.blades(tool.radius))
        free.append({(round(t, 9), round(lead, 9)) for t, lead in zip(reach.tilt, reach.lead, strict=True)})
    assert free[1] < free[0]
    cylinder, cone = (survey_of(PLAIN, Shop(cutters=(0.006,), reaches=(0.08,), taper=t)) for t in (0.0, deg(6)))
    assert cone.hub.part <= cylinder.hub.part
    wanted = [next(f for f in judge.findings(s) if f.name.startswith("least gap")).limit for s in (cylinder, cone)]
    assert wanted[1] > wanted[0] + 0.002


def test_a_longer_boss_or_nose_is_in_the_way_of_a_tool():
    """The table of distances is that of the body as it is asked for."""
    plain, long = (
        Surroundings(wheel_of(PLAIN, None, form)) for form in (None, WheelForm(nose_length=2.0, nose="cone"))
    )
    tip = min(float(points(curve)[:, 0].min()) for curve in body(PLAIN, Blading(PLAIN).meridional, lead=0.25).outline)
    ahead = np.array([[0.0, 0.5 * PLAIN.bore + 0.001, tip - 0.2 * PLAIN.r1h]])
    assert plain.room(ahead) > 0.15 * PLAIN.r1h > 0 > long.room(ahead)


def test_narrowest_range_of_angles():
    """Against all pairs of bounds."""
    rng = np.random.default_rng(1)
    groups = [rng.uniform(0, 10, n) for n in (3, 7, 2, 5)]
    every = np.concatenate(groups)
    best = min(b - a for a in every for b in every if all(np.any((g >= a) & (g <= b)) for g in groups))
    low, high = least_window(groups)
    assert high - low == pytest.approx(best)
    assert least_window([np.array([1.0, 2.0]), np.array([2.0, 5.0])]) == (2.0, 2.0)
    assert np.isnan(least_window([])[0])


def test_survey_finds_places_that_a_short_tool_does_not_reach():
    short = Shop(cutters=(0.006,), reaches=(0.008,))
    found = survey_of(PLAIN, short)
    assert found.hub.part < 1
    assert found.hub.missed["reach"] > 0
    rows = {one.name: one for one in judge.findings(found)}
    assert not rows["cutter must stand out of its holder"].kept
    stiff = survey_of(PLAIN, Shop(cutters=(0.006,), reaches=(0.05,), tilt=deg(10)))
    assert stiff.hub.missed["tilt"] > 0


# --- work ---


def test_area_of_a_cylinder():
    a, z = np.meshgrid(np.linspace(0, np.pi, 181), np.linspace(0, 0.2, 5), indexing="ij")
    grid = np.stack([0.1 * np.cos(a), 0.1 * np.sin(a), z], axis=-1)
    assert area(grid) == pytest.approx(np.pi * 0.1 * 0.2, rel=1e-4)


def test_chips_are_the_room_less_straight_vanes(vanes):
    """Vanes laid off in r theta hold thickness times meridional area, less (1 - pi/4) t L of each elliptic nose."""
    channel = vanes.blading.meridional
    t = np.linspace(0, 1, 4001)
    hub, shroud = channel.hub.at(t), channel.shroud.at(t)
    ring = np.concatenate([hub, shroud[::-1]])
    x, y = ring.T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    flat = abs(cross.sum()) / 2
    centroid = abs(((y + np.roll(y, -1)) * cross).sum()) / 6 / flat
    room = 2 * np.pi * centroid * flat  # Pappus
    nose = (1 - np.pi / 4) * 0.002 * (3 * 0.001) * (STRAIGHT.r1s - STRAIGHT.r1h)
    assert chip_volume(vanes) == pytest.approx(room - 24 * (0.002 * flat - nose), rel=1e-4)


def test_work_follows_the_rates():
    wheel = wheel_of(PLAIN)
    one = work(wheel, Shop(), cutter=0.008, root_cutter=0.004)
    fast = work(wheel, Shop(feed=0.06, removal_rate=2e-6), cutter=0.008, root_cutter=0.004)
    assert fast.finishing == pytest.approx(one.finishing / 2)
    assert fast.roughing == pytest.approx(one.roughing / 2)
    assert one.cost == pytest.approx(one.total / 3600 * 90.0)
    assert one.total == pytest.approx(1.3 * (one.roughing + one.finishing) + 3600)
    # ridges four times as high double the step, where the cutter is not the bound
    rough = work(wheel, Shop(scallop=40e-6), cutter=0.008, root_cutter=0.004)
    assert rough.parts[0].time == pytest.approx(one.parts[0].time / 2)


# --- changes ---


def test_fewer_blades_is_the_smallest_number_that_works():
    wheel = wheel_of(PLAIN)
    needed = 1.1 * least_ball(wheel)
    change = next(c for c in changes_for(wheel, needed) if c.name == "fewer blades")
    blading = Blading(PLAIN)
    assert least_ball(bare_wheel(PLAIN.but(blades=change.after), blading)) >= needed
    assert least_ball(bare_wheel(PLAIN.but(blades=change.after + 1), blading)) < needed


def test_changes_work_when_the_wheel_is_made_anew(surveys):
    survey = surveys["split"]
    needed = survey.next_cutter / 2 + Shop().stock
    assert [c.size for c in survey.changes] == sorted(c.size for c in survey.changes)
    anew = {
        "splitters begin later": lambda after: {"splitter_start": after},
        "wider exit b2": lambda after: {"b2": after},
        "no splitters": lambda after: {"splitters": after},
        "fewer blades": lambda after: {"blades": after, "splitters": after},
    }
    assert {"splitters begin later", "no splitters"} <= {c.name for c in survey.changes}
    for change in survey.changes:
        assert least_ball(bare_wheel(WHEEL.but(**anew[change.name](change.after)))) >= needed
    assert least_ball(bare_wheel(WHEEL)) < needed


def test_a_covered_exit_is_let_wider(surveys):
    """At the exit the ball is half of b2: the next cutter needs b2 of its diameter and the gaps."""
    survey = surveys["covered"]
    wider = next(c for c in survey.changes if c.name == "wider exit b2")
    least = survey.next_cutter + 2 * Shop().stock
    assert least <= wider.after <= 1.02 * least
    assert least_ball(bare_wheel(COVERED.but(b2=wider.after))) >= survey.next_cutter / 2 + Shop().stock


# --- casting ---


def test_draft_of_a_cone():
    """The outside of a cone of half angle a that narrows towards the inlet has the draft a."""
    a = deg(7)
    outward = np.array([np.cos(a), 0.0, -np.sin(a)])
    assert draft(outward) == pytest.approx(a)
    assert draft(-outward) == pytest.approx(-a)


def test_walls_and_draft_of_straight_vanes(vanes):
    found = {one.name: one for one in casting_findings(vanes)}
    assert found["least wall, investment casting"].kept
    assert not found["least wall, sand casting"].kept
    drawn = next(one for name, one in found.items() if "draft" in name)
    # upright walls have no draft; only the noses face the inlet
    assert drawn.value < 0.05
    assert not drawn.kept


# --- the whole ---


def test_findings_keep_their_books(surveys):
    for survey in surveys.values():
        for one in [*judge.findings(survey), *survey.casting]:
            assert np.isfinite(one.value), one.name
            assert one.kept == (not one.sense or one.margin >= 0 or one.value == one.limit), one.name
            assert one.source
            assert one.kept or one.advice
        assert survey.cutter in Shop().cutters
        assert survey.cutter + 2 * Shop().stock <= survey.largest_ball
        assert survey.next_cutter + 2 * Shop().stock > survey.largest_ball
    covered = [one.name for one in judge.findings(surveys["covered"])]
    assert "part reached from the inlet alone" in covered
    assert "part reached from the inlet alone" not in [one.name for one in judge.findings(surveys["plain"])]


def test_margin_of_a_finding():
    assert Finding("a", 3.0, "ratio", 2.0, "at least").margin == pytest.approx(0.5)
    assert Finding("a", 3.0, "ratio", 2.0, "at most").margin == pytest.approx(-0.5)
    assert not Finding("a", float("nan"), "ratio", 2.0, "at most").kept


def test_no_cutter_small_enough():
    survey = survey_of(PLAIN, Shop(cutters=(0.05,), reaches=(0.2,)))
    assert survey.cutter is None
    assert survey.work is None
    assert "No cutter on hand passes" in milling_chapter(survey, Units())["verdict"]
    json.dumps(milling_record(survey, stamp=""), allow_nan=False)


@pytest.mark.parametrize("system", ["si", "us"])
def test_chapter_and_record(surveys, system):
    for survey in surveys.values():
        chapter = milling_chapter(survey, Units(system))
        assert "The shop decides" in chapter["deference"]
        assert all(len(row) == len(chapter["heads"]) for row in [*chapter["rows"], *chapter["casting"]])
        assert all(len(row) == len(chapter["work_heads"]) for row in chapter["work"])
        text = json.dumps(chapter)
        assert "nan" not in text
        assert (" mm" in text) == (system == "si")
        assert (" in/min" in text) == (system == "us")
        record = json.loads(json.dumps(milling_record(survey, stamp="s"), allow_nan=False))
        assert record["cutter"] == survey.cutter
        assert len(record["findings"]) == len(chapter["rows"])
        assert len(milling_view(survey, Units(system)).axes) == 4


def test_a_wheel_without_drawing_is_refused():
    with pytest.raises(AerodesignError, match="cylindrical leading edge"):
        survey_of(PLAIN.but(b1=0.02, r1h=0.085), Shop())


# --- the shop's table ---

CASE = """
service = "pressure"
[duty]
flow = "1 m3/s"
pressure_rise = "15 kPa"
[site]
pressure = "1 bar"
temperature = "20 degC"
[shop]
"""


def test_cutters_of_a_case():
    shop = case_from_text(
        CASE + 'cutters = ["6 mm", "0.25 in"]\nreaches = ["30 mm", "40 mm"]\nfeed = "900 mm/min"\n'
    ).form.shop
    assert shop.cutters == pytest.approx((0.006, 0.00635))
    assert shop.feed == pytest.approx(0.015)
    assert [tool.radius for tool in tools(shop)] == pytest.approx([0.003, 0.003175])
    again = from_plain(Shop, json.loads(json.dumps(to_plain(shop))))
    assert again.cutters == shop.cutters
    assert again.shape == ()


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('cutters = "6 mm"', "must be a list of 1 to 40 values in square brackets"),
        ("cutters = []", "must be a list of 1 to 40 values"),
        ('cutters = ["6 mm", "-1 mm"]', "must be positive"),
        ("cutters = [6]", "needs its unit in quotes"),
        ('cutters = ["6 mm"]', "must give one reach for each cutter: got 1 cutters and 10 reaches"),
        ('tilt = "200 deg"', "must lie between 0 deg and 180 deg"),
    ],
)
def test_a_wrong_table_is_refused_in_its_own_words(lines, said):
    with pytest.raises(AerodesignError, match=said):
        case_from_text(CASE + lines + "\n")
