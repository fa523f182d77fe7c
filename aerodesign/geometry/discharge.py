"""The discharge of a volute: a duct from the spiral's throat to a circle, and the exit cone.

The flow leaves along +y. The duct begins in the plane y = 0 between the tongue and the outer wall, the spiral's last
section less what the tongue cuts off, and ends in a circle of the throat's area. Its axis runs through the middle of
that beginning, so that no wall has to move further than the opposite one. The cone carries on to the round flange.
"""

from typing import Any

import numpy as np

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.sections import Rectangle
from aerodesign.aero.spiral import schedule, tongue, wall_slope
from aerodesign.core.quantities import Angle, Length, Values
from aerodesign.core.record import Record, record

# Bernstein coefficients in the length of the duct, of degree five. A wall at distance d from where it ends stands at
# MOVED * d + STARTED * slope * length: it leaves the spiral with the spiral's slope and no curvature of its own, and
# arrives parallel to the axis. SIDEWAYS moves earlier: the edges beside the tongue must leave its flanks axially first.
MOVED = np.array([0, 0, 0, 1, 1, 1.0])
SIDEWAYS = np.array([0, 0, 0.6, 1, 1, 1])
STARTED = np.array([0, 0.2, 0.4, 0, 0, 0])

BEND = 3.0
"""Radius of a bend's centre line over the radius of the flange it leads to: a long elbow (common practice, no source)."""


@record
class Discharge(Record):
    """Duct and cone; lengths along +y from the plane of the tongue. ``lift`` is the axis's z, 0 but for sections that
    stand to one side.
    """

    inner_wall: Length
    outer_wall: Length
    axis: Length
    lift: Length
    duct_radius: Length
    duct_length: Length
    flange_radius: Length
    flange_distance: Length
    half_angle: Angle


@record
class Plan(Record):
    """A closed line in the plane z = 0, points first: shape ``(n, *designs)``."""

    x: Length
    y: Length


def discharge(volute: Volute, diffuser: Diffuser, stretch: Values = 1.0) -> Discharge:
    """Axis, radii and lengths of the discharge; ``stretch`` lengthens the duct.

    The inner wall swings towards the wheel by ``inward`` while the spiral's beginning, of radius ``wall`` and slope
    ``slope``, curves away from it by y^2 / (2 wall). With the coefficients above the wall stays clear of it where
    2.01 inward + 1.38 slope L <= L^2 / (2 wall), which gives the length L. The duct is also 1.2 radii long at the least
    and three times as long as any wall moves (common practice, no source).
    """
    beginning = tongue(volute, diffuser)
    slope = wall_slope(volute, diffuser, 0.0)
    wall = beginning.wall_radius
    inner = wall + 2 * volute.tongue_radius
    outer = diffuser.r3 + volute.size4
    radius = np.sqrt(volute.A4 / np.pi)
    throat = volute.section.outline(size=volute.size4, r3=diffuser.r3, b3=diffuser.b3)
    half_width = np.ptp(throat.z, axis=0) / 2
    middle = len(throat.z) // 2
    # the middle of a sheared section's top, at its share of the height; that of a rectangle is the same all the way up
    share = 1.0 if isinstance(volute.section, Rectangle) else ((inner + outer) / 2 - diffuser.r3) / volute.size4

    inward = radius - (outer - inner) / 2
    clear = wall * (1.38 * slope + np.sqrt((1.38 * slope) ** 2 + 4.02 * np.maximum(inward, 0) / wall))
    moved = np.maximum(np.abs(inward), np.abs(radius - half_width))
    length = stretch * np.maximum(np.maximum(clear, 1.2 * radius), 3 * moved)

    return Discharge(
        inner_wall=inner,
        outer_wall=outer,
        axis=(inner + outer) / 2,
        lift=throat.z[middle] * share,
        duct_radius=radius,
        duct_length=length,
        flange_radius=volute.r5 + 0 * length,
        flange_distance=length + volute.cone_length,
        half_angle=volute.cone_angle / 2 + 0 * length,
    )


def arrival(exit_: Discharge) -> Any:
    """Factors on the radius of the duct's last circle that let its walls arrive with the slope of the cone.

    One for each coefficient in the length, shape ``(6, *designs)``; the last three make a straight line.
    """
    shrink = np.tan(exit_.half_angle) * exit_.duct_length / (5 * exit_.duct_radius)
    return 1 - np.multiply.outer(np.array([2, 2, 2, 2, 1, 0.0]), shrink)


def bernstein(coefficients: Values, at: Values) -> Any:
    """A polynomial of degree five, coefficients of shape ``(6, *designs)``, at positions of shape ``(n,)``."""
    t = np.asarray(at, float)
    basis = np.stack([c * t**i * (1 - t) ** (5 - i) for i, c in enumerate((1, 5, 10, 10, 5, 1))], axis=1)
    return np.tensordot(basis, coefficients, axes=1)


def behind_bend(exit_: Discharge, turn: float, side: Values = 0.0) -> Plan:
    """A line through the bend behind the cone, from flange to flange: its middle, or at ``side`` radii of the flange to the right of it.

    The bend leads round by ``turn``, positive with the rotation, which is to the left of the flow, one number for all
    designs; 31 points, or one where there is none.
    """
    column = (-1,) + (1,) * np.ndim(exit_.axis)
    angle = np.linspace(0, abs(turn), 31 if turn else 1).reshape(column)
    left = 1.0 if turn >= 0 else -1.0
    reach = (BEND + left * np.asarray(side)) * exit_.flange_radius
    x = exit_.axis - left * (BEND * exit_.flange_radius - reach * np.cos(angle))
    return Plan(x=x, y=exit_.flange_distance + reach * np.sin(angle))


def plan(volute: Volute, diffuser: Diffuser, points: int = 181, turn: float = 0.0) -> Plan:
    """The outer boundary in the plane z = 0: spiral, outer wall of the discharge, flange, inner wall, nose of the
    tongue. ``turn`` is the angle of a bend behind the cone, positive with the rotation.
    """
    exit_ = discharge(volute, diffuser)
    spiral = schedule(volute, diffuser, np.linspace(0, 2 * np.pi, points))
    outer, inner = (
        _duct_wall(exit_, wall, side * exit_.duct_radius, wall_slope(volute, diffuser, angle))
        for wall, side, angle in ((exit_.outer_wall, 1, 2 * np.pi), (exit_.inner_wall, -1, 0.0))
    )
    column = (-1,) + (1,) * np.ndim(exit_.axis)
    along = np.linspace(0, 1, len(outer)).reshape(column) * exit_.duct_length
    round_nose = np.linspace(0, np.pi, 25)[1:].reshape(column)
    nose_x = exit_.inner_wall - volute.tongue_radius * (1 - np.cos(round_nose))
    nose_y = -volute.tongue_radius * np.sin(round_nose) + 0 * nose_x
    out, back = (behind_bend(exit_, turn, side) for side in (1.0, -1.0))

    angle = spiral.theta
    return Plan(
        x=np.concatenate([spiral.outer_radius * np.cos(angle), outer[1:], out.x, back.x[::-1], inner[::-1], nose_x]),
        y=np.concatenate([spiral.outer_radius * np.sin(angle), along[1:], out.y, back.y[::-1], along[::-1], nose_y]),
    )


def _duct_wall(exit_: Discharge, start: Length, radius: Length, slope: Values) -> Any:
    """Positions x of a duct's wall at 41 equal steps of its length; ``radius`` is signed, from the axis."""
    end = exit_.axis + radius * arrival(exit_)
    moved, started = (c.reshape((-1,) + (1,) * np.ndim(exit_.axis)) for c in (MOVED, STARTED))
    rows = start + (end - start) * moved + slope * exit_.duct_length * started
    return bernstein(rows, np.linspace(0, 1, 41))
