"""The wall of the inlet, from its flange to the plane where the gas room of the wheel begins, in the meridional plane.

A bell is a part of an ellipse that opens into the face of its flange, at 45 degrees so that neither the gas nor the lip
ends in a feather edge; a pipe comes with the flange's radius and draws together, or widens, to the wheel's eye. Both take
three times the change of radius for it (common practice, no source).
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length
from aerodesign.geometry.body import Curve, points

SLENDER = 3.0
"""Length of a change of radius over the change."""
LIP = 0.03
"""Least height of a bell's lip over the radius of the eye."""
AHEAD = 0.25
"""Clear length ahead of the wheel's nose over the radius of the eye."""
COLLAR = 0.2
"""Length of a pipe's straight piece behind its flange over the pipe's radius."""


@dataclass(frozen=True, eq=False)
class Inlet:
    """``wall`` (z, r) leads from the flange to the wheel, curves and straight pieces; metres."""

    wall: list[Curve]

    @property
    def face(self) -> float:
        """Axial position of the flange's face."""
        return float(points(self.wall[0])[0, 0])

    @property
    def radius(self) -> float:
        """Radius at the flange's face."""
        return float(points(self.wall[0])[0, 1])


def inlet(
    kind: str, *, r0: Length, eye: Length, z: Length, nose: Length, length: Length, land: Length, ahead: Length = np.inf
) -> Inlet:
    """A "bell" or a "pipe" from radius ``r0`` to the ``eye`` at ``z``; the wheel's nose reaches forward to ``nose``.

    The last ``land`` of it is straight. ``length`` reaches from flange to ``z``; nan leaves it to the rules above, with a
    flange not behind ``ahead``. Raises :class:`RejectedSolid` for a
    bell that has no lip, and for a length in which the change of radius or the nose has no room.
    """
    r0, eye, z, nose, land = float(r0), float(eye), float(z), float(nose), float(land)
    change = SLENDER * abs(r0 - eye)
    if kind == "bell":
        if r0 < (1 + LIP) * eye:
            raise RejectedSolid(
                f'casing: inlet = "bell" must open from the eye of {2e3 * eye:.4g} mm, but the inlet flange is {2e3 * r0:.4g} mm; '
                f'take inlet = "pipe", or a lower inlet_velocity'
            )
        straight = 0.0
    else:
        straight = COLLAR * r0
    least = max(change + straight + land, z - nose + AHEAD * eye)
    total = max(least, z - float(ahead)) if np.isnan(length) else float(length)
    if total < least * (1 - 1e-9):
        raise RejectedSolid(
            f"casing: inlet_length = {1e3 * total:.4g} mm is too short for the inlet and the wheel's nose; "
            f"allowed from {1e3 * least:.4g} mm"
        )
    face = z - total
    if kind == "bell":
        return Inlet(
            _kept([_lip(face, face + change, r0, eye), _line(face + change, z - land, eye), _line(z - land, z, eye)])
        )
    start = z - land - change
    return Inlet(_kept([_line(face, start, r0), _bend(start, z - land, r0, eye), _line(z - land, z, eye)]))


def _lip(face: float, end: float, r0: float, eye: float) -> BSpline:
    """An ellipse from the face, which it meets at 45 degrees, to its end where it is axial; to 1e-9 of its size.

    With q = height over length of the piece and phi its first angle, the slope 1 asks for sin(phi) = q / (1 - q).
    """
    q = (r0 - eye) / (end - face)
    first = np.arcsin(q / (1 - q))
    length, height = (end - face) / np.cos(first), (r0 - eye) / (1 - np.sin(first))
    angle = np.linspace(first, np.pi / 2, 33)
    ellipse = np.stack([end - length * np.cos(angle), eye + height * (1 - np.sin(angle))], axis=1)
    return make_interp_spline(angle, ellipse, k=5)


def _bend(start: float, end: float, r0: float, eye: float) -> Curve:
    """From one radius to another, axial and without curvature at both ends."""
    z = np.linspace(start, end, 6)
    r = np.array([r0, r0, r0, eye, eye, eye])
    return BSpline(np.r_[[0.0] * 6, [1.0] * 6], np.stack([z, r], axis=1), 5)


def _line(start: float, end: float, r: float) -> Curve:
    return np.array([[start, r], [end, r]])


def _kept(curves: list[Curve]) -> list[Curve]:
    """Without pieces of no length, which a pipe as wide as the eye and a short bell have."""
    return [c for c in curves if np.linalg.norm(np.diff(points(c), axis=0), axis=1).sum() > 1e-9]


def nose_of(outline: list[Curve]) -> list[Curve]:
    """The wheel's front from its walls' beginning to the axis; a bore is closed by the shaft's end, flush with the nose."""
    front: list[Curve] = []
    for curve in outline:
        ends = points(curve)[[0, -1]]
        if ends[1, 0] > ends[0, 0] + 1e-9 or ends[0, 1] < 1e-12:
            break
        front.append(curve)
    z, r = points(front[-1])[-1]
    if len(points(front[-1])) == 2 and abs(front[-1][1, 0] - front[-1][0, 0]) < 1e-12:
        front[-1] = np.array([points(front[-1])[0], [z, 0.0]])
    elif r > 1e-12:
        front.append(np.array([[z, r], [z, 0.0]]))
    return front
