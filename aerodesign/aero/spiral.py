"""The spiral of a volute: how its section grows round the wheel.

Angles run with the rotation from the tongue: theta = 0 is the half-plane y = 0, x > 0 in which the spiral begins, 2
pi the same half-plane after one turn, where it ends in its throat. The flow leaves the wheel with r cu = K all round
and keeps it; through a section passes K times the integral of dA/r over it, and that has to be what the wheel has
delivered so far.
"""

import numpy as np

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.core.quantities import Angle, Area, Length, Ratio, Values
from aerodesign.core.record import Record, record

TURN = 2 * np.pi
CLOSED = 1e-6
"""Share of the flow below which a section is not drawn any smaller."""


@record
class Spiral(Record):
    """Sections of a spiral, theta axis first: each field of shape ``(n, *designs)``.

    ``size`` is the height above the base circle, ``area`` the area beyond it, ``angular_integral`` the integral of
    dA/r.
    """

    theta: Angle
    size: Length
    area: Area
    centroid_radius: Length
    outer_radius: Length
    angular_integral: Length


@record
class Tongue(Record):
    """The tongue in the plane z = 0: a half round from the spiral's first wall to the inner wall of the discharge.

    ``tip_radius`` is the distance of its tip from the axis, ``tip_angle`` that tip's angle (a little before 0),
    ``gap`` the clear distance to the base circle.
    """

    wall_radius: Length
    nose_radius: Length
    tip_radius: Length
    tip_angle: Angle
    gap: Length


def throat_integral(volute: Volute, diffuser: Diffuser) -> Length:
    """Integral of dA/r over the last section, at 2 pi."""
    return volute.section.angular_integral(size=volute.size4, r3=diffuser.r3, b3=diffuser.b3)


def flow_share(volute: Volute, theta: Angle) -> Ratio:
    """Flow through the section at ``theta`` over that through the throat, the part that passes under the tongue
    counted.
    """
    return volute.opening + (1 - volute.opening) * theta / TURN


def schedule(volute: Volute, diffuser: Diffuser, theta: Values) -> Spiral:
    """The sections at angles ``theta`` of shape ``(n,)``, or a number, by conserved angular momentum.

    A spiral that is closed at its start (``opening`` = 0) has a section for a millionth of the flow there.
    """
    angles = np.asarray(theta, float)
    shape = np.broadcast_shapes(volute.shape, diffuser.shape)
    angles = angles.reshape(angles.shape + (1,) * len(shape))[()]
    slot = {"r3": diffuser.r3, "b3": diffuser.b3}

    angular_integral = throat_integral(volute, diffuser) * np.maximum(flow_share(volute, angles), CLOSED)
    size = volute.section.size_for(angular_integral=angular_integral, **slot)

    return Spiral(
        theta=angles,
        size=size,
        area=volute.section.area(size=size, **slot),
        centroid_radius=volute.section.centroid_radius(size=size, **slot),
        outer_radius=diffuser.r3 + size,
        angular_integral=angular_integral,
    )


def wall_slope(volute: Volute, diffuser: Diffuser, theta: Values) -> Ratio:
    """Slope of the outer wall against the circle through it, dr / (r dtheta), at angles of shape ``(n,)`` or a
    number.
    """
    spiral = schedule(volute, diffuser, theta)
    step = 1e-4
    higher, lower = (
        volute.section.angular_integral(size=spiral.size * factor, r3=diffuser.r3, b3=diffuser.b3)
        for factor in (1 + step, 1 - step)
    )
    growth = throat_integral(volute, diffuser) * (1 - volute.opening) / TURN
    return growth * 2 * step * spiral.size / (higher - lower) / spiral.outer_radius


def tongue(volute: Volute, diffuser: Diffuser) -> Tongue:
    """Where the tongue stands in the plane z = 0."""
    wall = schedule(volute, diffuser, 0.0).outer_radius
    nose = volute.tongue_radius + 0 * wall
    middle = wall + nose
    return Tongue(
        wall_radius=wall,
        nose_radius=nose,
        tip_radius=np.hypot(middle, nose),
        tip_angle=-np.arctan2(nose, middle),
        gap=wall - diffuser.r3,
    )


def scroll_volume(volute: Volute, diffuser: Diffuser) -> Values:
    """Volume in m3 beyond the base circle in one turn: the area of each section by the way of its centroid (Pappus).

    Gauss's rule with 24 points in the root of the flow, in which area and centroid are nearly polynomials: 1e-9.
    """
    points, weights = np.polynomial.legendre.leggauss(24)
    least = np.sqrt(volute.opening)
    column = points.reshape((-1,) + (1,) * len(np.broadcast_shapes(volute.shape, diffuser.shape)))
    root = least + (1 - least) * (column + 1) / 2
    size = volute.section.size_for(
        angular_integral=throat_integral(volute, diffuser) * root**2, r3=diffuser.r3, b3=diffuser.b3
    )
    slot = {"size": size, "r3": diffuser.r3, "b3": diffuser.b3}
    way = volute.section.area(**slot) * volute.section.centroid_radius(**slot)
    # dtheta = 4 pi root droot / (1 - opening); half the interval goes with the weights
    rate = 2 * TURN * root / (1 - volute.opening) * (1 - least) / 2
    return np.tensordot(weights, way * rate, axes=1)[()]
