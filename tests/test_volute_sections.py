"""Cross-sections of a volute against closed forms and an independent quadrature."""

import numpy as np
import pytest
from scipy.integrate import quad

from aerodesign.aero.sections import Circle, Ellipse, Rectangle, RoundedTrapezoid, Section, section_named
from aerodesign.core.errors import CaseError

NAMES = ("circle", "ellipse", "trapezoid", "rectangle")
R3, B3, SIZE = 0.225, 0.019, 0.11


def width_at(outline, r):
    """Width of a section at a radius, from straight lines between very many points of half its outline."""
    half = len(outline.r) // 2 + 1
    return 2 * np.interp(r, outline.r[:half], -outline.z[:half])


@pytest.mark.parametrize("name", NAMES)
def test_names_lead_to_the_classes(name):
    section = section_named(name)
    assert section.name == name
    assert isinstance(section, Section)


def test_an_unknown_name_says_what_is_allowed():
    with pytest.raises(CaseError, match=r"oval.*circle.*ellipse.*trapezoid.*rectangle"):
        section_named("oval")


def test_ellipse_is_a_stretched_circle():
    """Stretching along the axis multiplies areas, and leaves radii: an ellipse on a slot is a circle on a narrower one."""
    slot = {"size": SIZE, "r3": R3}
    ellipse, circle = Ellipse(aspect=1.7, points=401), Circle(points=401)

    np.testing.assert_allclose(ellipse.area(b3=1.7 * B3, **slot), 1.7 * circle.area(b3=B3, **slot), rtol=1e-12)
    np.testing.assert_allclose(
        ellipse.centroid_radius(b3=1.7 * B3, **slot), circle.centroid_radius(b3=B3, **slot), rtol=1e-12
    )
    z = ellipse.outline(b3=1e-9, **slot).z
    np.testing.assert_allclose(np.ptp(z), 1.7 * SIZE, rtol=1e-4)


@pytest.mark.parametrize(
    ("upright", "drawn"),
    [
        (Circle(), Circle(lean=0.5)),
        (Ellipse(), Ellipse(lean=-0.4)),
        (RoundedTrapezoid(), RoundedTrapezoid(lean=0.3)),
        (Rectangle(width=4.0), Rectangle(width=4.0, side=-1.0)),
    ],
)
def test_drawn_to_one_side_a_section_keeps_area_and_integral(upright, drawn):
    """Cavalieri: every radius keeps its width."""
    slot = {"size": SIZE, "r3": R3, "b3": B3}
    for integral in ("area", "angular_integral", "centroid_radius"):
        np.testing.assert_allclose(getattr(drawn, integral)(**slot), getattr(upright, integral)(**slot), rtol=1e-9)
    outline = drawn.outline(**slot)
    np.testing.assert_allclose([outline.r[0], outline.z[0], outline.r[-1], outline.z[-1]], [R3, -B3 / 2, R3, B3 / 2])


def test_a_rectangle_wholly_to_one_side_is_flush_with_the_slot():
    low, high = Rectangle(width=4.0, side=1.0).walls(B3)
    np.testing.assert_allclose([low, high], [-B3 / 2, 3.5 * B3])


@pytest.mark.parametrize("name", NAMES)
def test_an_outline_runs_from_corner_to_corner_with_joints_at_even_indices(name):
    section = section_named(name)
    outline = section.outline(size=SIZE, r3=R3, b3=B3)
    n = len(outline.r)

    assert n % 2 == 1
    assert section.joints[0] == 0
    assert section.joints[-1] == n - 1
    assert all(joint % 2 == 0 for joint in section.joints)
    np.testing.assert_allclose([outline.r[0], outline.z[0], outline.r[-1], outline.z[-1]], [R3, -B3 / 2, R3, B3 / 2])
    np.testing.assert_allclose(np.max(outline.r), R3 + SIZE)
    np.testing.assert_allclose(outline.z, -outline.z[::-1], atol=1e-15)


def test_circle_against_its_segment():
    """A disc less the segment that the slot's chord cuts off, and the first moment of both."""
    radius = (SIZE**2 + B3**2 / 4) / (2 * SIZE)
    centre = R3 + SIZE - radius
    half_angle = np.arcsin(B3 / 2 / radius)
    segment = radius**2 * (half_angle - np.sin(half_angle) * np.cos(half_angle))
    moment = np.pi * radius**2 * centre - segment * centre + 2 / 3 * (radius * np.sin(half_angle)) ** 3

    fine = Circle(points=401)
    area = fine.area(size=SIZE, r3=R3, b3=B3)

    np.testing.assert_allclose(area, np.pi * radius**2 - segment, rtol=1e-8)
    np.testing.assert_allclose(fine.centroid_radius(size=SIZE, r3=R3, b3=B3) * area, moment, rtol=1e-8)
    np.testing.assert_allclose(Circle().area(size=SIZE, r3=R3, b3=B3), area, rtol=2e-5)


def test_circle_tangent_to_the_base_circle_is_the_limit_of_a_narrow_slot():
    """Free vortex through a circle of radius p on the base circle: p = X + sqrt(2 r3 X), X = integral(dA/r) / 2 pi.

    Derived: integral(dA/r) over a circle about r3 + p is 2 pi (r3 + p - sqrt((r3 + p)^2 - p^2)).
    """
    x = np.array([1e-4, 1e-3, 1e-2])

    size = Circle(points=201).size_for(angular_integral=2 * np.pi * x, r3=R3, b3=1e-6)

    np.testing.assert_allclose(size / 2, x + np.sqrt(2 * R3 * x), rtol=1e-7)


def test_trapezoid_without_arcs_against_its_closed_integral():
    """Width b + 2 t (r - r3): integral(b/r dr) = (b - 2 t r3) ln(r/r3) + 2 t (r - r3)."""
    flare = np.radians(20)
    t = np.tan(flare)
    sharp = RoundedTrapezoid(flare_start=flare, flare=flare, corner=0, points=65)

    np.testing.assert_allclose(
        sharp.angular_integral(size=SIZE, r3=R3, b3=B3),
        (B3 - 2 * t * R3) * np.log((R3 + SIZE) / R3) + 2 * t * SIZE,
        rtol=1e-8,
    )
    np.testing.assert_allclose(sharp.area(size=SIZE, r3=R3, b3=B3), SIZE * (B3 + t * SIZE), rtol=1e-12)


def test_rectangle_against_its_closed_integral():
    wide = Rectangle(width=1.8)
    np.testing.assert_allclose(
        wide.angular_integral(size=SIZE, r3=R3, b3=B3), 1.8 * B3 * np.log((R3 + SIZE) / R3), rtol=1e-10
    )


@pytest.mark.parametrize(("size", "b3"), [(0.11, 0.019), (0.03, 0.045), (0.004, 0.019), (0.25, 0.012)])
def test_rounded_trapezoid_against_adaptive_quadrature_of_its_width(size, b3):
    fine = RoundedTrapezoid(points=4001).outline(size=size, r3=R3, b3=b3)
    kinks = np.linspace(R3, R3 + size, 30)[1:-1]
    area, _ = quad(lambda r: width_at(fine, r), R3, R3 + size, points=kinks, limit=400)
    integral, _ = quad(lambda r: width_at(fine, r) / r, R3, R3 + size, points=kinks, limit=400)

    section = RoundedTrapezoid()

    np.testing.assert_allclose(section.area(size=size, r3=R3, b3=b3), area, rtol=2e-5)
    np.testing.assert_allclose(section.angular_integral(size=size, r3=R3, b3=b3), integral, rtol=2e-5)


def test_rounded_trapezoid_is_a_trapezoid_less_its_corners():
    """Each arc cuts rho^2 (tan(turn/2) - turn/2) from the corner, with rho read off the outline's curvature."""
    outline = RoundedTrapezoid(points=401).outline(size=SIZE, r3=R3, b3=B3)
    arc = slice(500, 700)
    r, z = outline.r[arc], outline.z[arc]
    matrix = np.stack([r, z, np.ones_like(r)], axis=1)
    a, b, c = np.linalg.lstsq(matrix, r**2 + z**2, rcond=None)[0]
    rho = np.sqrt(c + a**2 / 4 + b**2 / 4)
    slope = (outline.z[0] - outline.z[100]) / (outline.r[100] - outline.r[0])
    turn = np.pi / 2 + np.arctan(slope)

    cut = 2 * rho**2 * (np.tan(turn / 2) - turn / 2)

    np.testing.assert_allclose(
        RoundedTrapezoid().area(size=SIZE, r3=R3, b3=B3), SIZE * (B3 + slope * SIZE) - cut, rtol=2e-5
    )


def test_trapezoid_grows_smoothly():
    size = np.geomspace(0.001, 0.5, 2001)
    area = RoundedTrapezoid().area(size=size, r3=R3, b3=B3)
    power = np.gradient(np.log(area), np.log(size))

    assert np.all((power > 0.9) & (power < 2.0))
    assert np.max(np.abs(np.diff(power))) < 0.01


@pytest.mark.parametrize("name", NAMES)
def test_size_for_inverts_the_integral_over_the_range_of_blowers(name):
    section = section_named(name)
    r3 = 0.2
    b3 = r3 * np.geomspace(0.02, 0.3, 9)[:, None]
    size = r3 * np.geomspace(0.004, 1.5, 25)

    found = section.size_for(angular_integral=section.angular_integral(size=size, r3=r3, b3=b3), r3=r3, b3=b3)

    np.testing.assert_allclose(found, np.broadcast_to(size, found.shape), rtol=1e-10)


@pytest.mark.parametrize("name", NAMES)
def test_broadcasting(name):
    section = section_named(name)
    size, r3 = np.linspace(0.02, 0.1, 7)[:, None], np.linspace(0.15, 0.3, 5)

    together = section.area(size=size, r3=r3, b3=B3)

    assert together.shape == (7, 5)
    alone = [[section.area(size=s, r3=r, b3=B3) for r in r3] for s in size[:, 0]]
    np.testing.assert_allclose(together, alone, rtol=1e-13)
    assert np.ndim(alone[0][0]) == 0


@pytest.mark.parametrize("name", NAMES)
def test_scaling(name):
    section = section_named(name)
    small, large = section.area(size=SIZE, r3=R3, b3=B3), section.area(size=7 * SIZE, r3=7 * R3, b3=7 * B3)
    np.testing.assert_allclose(large, 49 * small, rtol=1e-12)
