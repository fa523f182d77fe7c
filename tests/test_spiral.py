"""The area schedule of a spiral by conserved angular momentum, and the plan of the discharge."""

import conftest
import numpy as np
import pytest

from aerodesign.aero.sections import section_named
from aerodesign.aero.spiral import flow_share, schedule, scroll_volume, tongue, wall_slope
from aerodesign.geometry.discharge import discharge, plan

NAMES = ("circle", "trapezoid", "rectangle")
THETA = np.linspace(0, 2 * np.pi, 33)


def volute_and_diffuser(name, **given):
    return conftest.volute_and_diffuser(section_named(name), **given)


def flow_through(section, size, r3, b3):
    """Integral of b(r)/r dr by the trapezoidal rule on very many points of half an outline, independent of the
    contour.
    """
    outline = section.outline(size=size, r3=r3, b3=b3)
    half = len(outline.r) // 2 + 1
    r, z = outline.r[:half], outline.z[:half]
    return np.sum(-(z[1:] + z[:-1]) * np.diff(np.log(r)))


@pytest.mark.parametrize("name", NAMES)
def test_flow_carried_is_proportional_to_what_the_wheel_has_delivered(name):
    volute, diffuser = volute_and_diffuser(name)

    spiral = schedule(volute, diffuser, THETA)

    carried = volute.section.angular_integral(size=spiral.size, r3=diffuser.r3, b3=diffuser.b3)
    share = volute.opening + (1 - volute.opening) * THETA / (2 * np.pi)
    np.testing.assert_allclose(carried / carried[-1], share, rtol=1e-9)
    np.testing.assert_allclose(carried, spiral.angular_integral, rtol=1e-9)
    np.testing.assert_allclose(spiral.size[-1], volute.size4, rtol=1e-9)
    np.testing.assert_allclose(spiral.area[-1], volute.A4, rtol=1e-9)
    np.testing.assert_allclose(spiral.centroid_radius[-1], volute.r4, rtol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_continuity_between_two_sections(name):
    """What leaves the wheel between two angles is the difference of the flows, counted by another quadrature."""
    volute, diffuser = volute_and_diffuser(name)
    fine = type(volute.section)(points=20001)
    sizes = schedule(volute, diffuser, np.array([1.0, 2.5, 5.0])).size

    flows = [flow_through(fine, size, diffuser.r3, diffuser.b3) for size in sizes]

    np.testing.assert_allclose((flows[2] - flows[1]) / (flows[1] - flows[0]), 2.5 / 1.5, rtol=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_areas_grow_from_the_tongue_to_the_throat(name):
    spiral = schedule(*volute_and_diffuser(name), THETA)
    assert np.all(np.diff(spiral.area) > 0)
    assert np.all(np.diff(spiral.centroid_radius) > 0)


@pytest.mark.parametrize("name", NAMES)
def test_wall_slope_against_differences(name):
    volute, diffuser = volute_and_diffuser(name)
    step = 1e-4
    inside = THETA[1:-1]
    before, after = (schedule(volute, diffuser, inside + d).outer_radius for d in (-step, step))

    np.testing.assert_allclose(
        wall_slope(volute, diffuser, inside), (after - before) / (step * (after + before)), rtol=1e-5
    )


def test_rectangle_is_a_logarithmic_spiral():
    """Constant width and r cu: tan(slope) = Q / (2 pi K b) all round (Pfleiderer, from memory; derived in one line)."""
    volute, diffuser = volute_and_diffuser("rectangle")
    slope = wall_slope(volute, diffuser, THETA)
    expected = (1 - volute.opening) * np.log(1 + volute.size4 / diffuser.r3) / (2 * np.pi)
    np.testing.assert_allclose(slope, expected, rtol=1e-6)


def test_tongue_stands_on_the_spirals_beginning():
    volute, diffuser = volute_and_diffuser("circle")
    found = tongue(volute, diffuser)
    start = schedule(volute, diffuser, 0.0)

    np.testing.assert_allclose(found.gap, start.size)
    np.testing.assert_allclose(found.tip_radius * np.sin(found.tip_angle), -volute.tongue_radius)
    np.testing.assert_allclose(found.tip_radius * np.cos(found.tip_angle), start.outer_radius + volute.tongue_radius)
    assert np.ndim(start.size) == 0


@pytest.mark.parametrize("name", NAMES)
def test_plan_is_one_closed_line_without_crossings(name):
    outline = plan(*volute_and_diffuser(name, r5=0.06))
    x, y = outline.x, outline.y
    np.testing.assert_allclose([x[0], y[0]], [x[-1], y[-1]], atol=1e-12)

    a = np.stack([x, y], axis=1)
    start, along = a[:-1, None], np.diff(a, axis=0)[:, None]
    other, other_along = a[None, :-1], np.diff(a, axis=0)[None]
    determinant = along[..., 0] * other_along[..., 1] - along[..., 1] * other_along[..., 0]
    parallel = np.abs(determinant) < 1e-15
    determinant = np.where(parallel, 1, determinant)
    gap = other - start
    s = (gap[..., 0] * other_along[..., 1] - gap[..., 1] * other_along[..., 0]) / determinant
    t = (gap[..., 0] * along[..., 1] - gap[..., 1] * along[..., 0]) / determinant
    cross = ~parallel & (s > 1e-9) & (s < 1 - 1e-9) & (t > 1e-9) & (t < 1 - 1e-9)
    assert not cross.any()


@pytest.mark.parametrize("name", NAMES)
def test_discharge_lies_round_its_axis(name):
    volute, diffuser = volute_and_diffuser(name)
    found = discharge(volute, diffuser)

    np.testing.assert_allclose(np.pi * found.duct_radius**2, volute.A4)
    np.testing.assert_allclose(found.outer_wall - found.axis, found.axis - found.inner_wall)
    np.testing.assert_allclose(np.tan(found.half_angle), (found.flange_radius - found.duct_radius) / volute.cone_length)
    assert found.inner_wall - tongue(volute, diffuser).wall_radius == pytest.approx(2 * volute.tongue_radius)


@pytest.mark.parametrize("name", NAMES)
def test_scroll_volume_against_the_trapezoidal_rule(name):
    volute, diffuser = volute_and_diffuser(name)
    theta = np.linspace(0, 2 * np.pi, 4001)
    spiral = schedule(volute, diffuser, theta)
    np.testing.assert_allclose(
        scroll_volume(volute, diffuser), np.trapezoid(spiral.area * spiral.centroid_radius, theta), rtol=1e-6
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_spiral_closed_at_its_start_begins_on_the_base_circle(name):
    spiral = schedule(*volute_and_diffuser(name, opening=0.0), THETA)
    assert 0 < spiral.size[0] < 2e-3 * spiral.size[-1]
    assert np.all(np.isfinite(spiral.area))
    np.testing.assert_allclose(spiral.angular_integral[1:] / spiral.angular_integral[-1], THETA[1:] / (2 * np.pi))


def test_broadcasting_over_designs():
    size4, r3 = np.linspace(0.08, 0.12, 7)[:, None], np.linspace(0.2, 0.3, 5)
    volute, diffuser = volute_and_diffuser("circle", size4=size4, r3=r3)

    together = schedule(volute, diffuser, THETA)
    outline = plan(volute, diffuser)

    assert together.size.shape == (33, 7, 5)
    assert scroll_volume(volute, diffuser).shape == (7, 5)
    assert flow_share(volute, 0.0) == volute.opening
    assert outline.x.shape == outline.y.shape == (len(outline.x), 7, 5)
    alone = volute_and_diffuser("circle", size4=size4[2, 0], r3=r3[4])
    np.testing.assert_allclose(together.size[:, 2, 4], schedule(*alone, THETA).size, rtol=1e-10)
    np.testing.assert_allclose(scroll_volume(volute, diffuser)[2, 4], scroll_volume(*alone), rtol=1e-10)
    np.testing.assert_allclose(outline.x[:, 2, 4], plan(*alone).x, rtol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_scaling(name):
    small = volute_and_diffuser(name)
    large = volute_and_diffuser(name, size4=0.33, r3=0.675, b3=0.057)
    np.testing.assert_allclose(schedule(*large, THETA).size, 3 * schedule(*small, THETA).size, rtol=1e-9)
    np.testing.assert_allclose(schedule(*large, THETA).area, 9 * schedule(*small, THETA).area, rtol=1e-9)
