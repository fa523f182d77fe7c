"""The outside of a scroll: its sections laid off by the wall, each in its own half-plane, and cut off at two plates
(millimetres).
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from aerodesign.aero.impeller import Volute
from aerodesign.cad.scroll import Scroll, stations
from aerodesign.cad.spaces import section_nodes
from aerodesign.core.errors import RejectedSolid

Array = NDArray[np.float64]

FINE = np.linspace(0, 1, 4001)
EASED = 0.35
"""Part of an outline without joints, from each end, over which its parameter gives way to the plates."""
FLARED = 0.03
"""Angle in rad from which a section is taken to flare out of its slot; the last one must."""
ADVICE = 'take outside = "block"'


class Ends(NamedTuple):
    """Parameters of an inside's outline between which its outside lies, and the length over which they shift the others."""

    first: float
    last: float
    eased: float

    def inside(self, u: Array) -> Array:
        """Parameters of the inside's outline opposite those of the outside's."""
        near, far = (np.clip(1 - x / self.eased, 0, 1) ** 3 for x in (u, 1 - u))
        return np.asarray(u + self.first * near - (1 - self.last) * far)


def laid_off(volute: Volute, inside: Scroll, wall: float, half: float) -> tuple[Scroll, Ends]:
    """The scroll's outside between plates at z = -``half`` and ``half``, and how its last outline stands to the inside's."""
    nodes, along = section_nodes(volute.section)
    theta = stations(float(volute.opening))
    eased = EASED if along.degree == 5 else float(volute.section.joints[1] / volute.section.joints[-1])
    rows = []
    for angle in theta:
        ends = Ends(_cut(inside, angle, wall, half, False), _cut(inside, angle, wall, half, True), eased)
        if max(abs(ends.first), abs(1 - ends.last)) > eased / 3.2:
            raise RejectedSolid(
                f"casing: the scroll's first sections are too small for an even wall of {wall:.3g} mm; "
                f"take a thinner wall, a larger tongue_opening, or {ADVICE}"
            )
        row = _offset(inside, angle, ends.inside(nodes), wall)
        row[[0, -1], 1] = -half, half
        rows.append(np.stack([row[:, 0] * np.cos(angle), row[:, 0] * np.sin(angle), row[:, 1]], axis=1))
    around = inside.around
    poles = around.fit(np.moveaxis(along.fit(np.moveaxis(np.array(rows), 0, 1), sites=nodes).c, 1, 0), sites=theta).c
    return Scroll(around, along, poles), ends


def _offset(inside: Scroll, theta: float, s: Array, wall: float) -> Array:
    """Points (r, z) a wall's thickness outside the scroll, in the half-plane of an angle; beyond its ends straight on.

    The wall is measured across the surface, which grows as it goes round: within the half-plane it is that much longer.
    """
    own = np.clip(s, 0, 1)
    p, along, across = (inside.row(theta, own, *order) for order in ((0, 0), (1, 0), (0, 1)))
    radial = np.array([np.cos(theta), np.sin(theta)])
    r = p[:, :2] @ radial
    pace = np.stack([across[:, :2] @ radial, across[:, 2]], axis=1)
    normal = np.stack([pace[:, 1], -pace[:, 0]], axis=1) / np.hypot(*pace.T)[:, None]
    growth = (along[:, :2] @ radial * normal[:, 0] + along[:, 2] * normal[:, 1]) / r
    return np.stack([r, p[:, 2]], axis=1) + wall * np.hypot(1, growth)[:, None] * normal + (s - own)[:, None] * pace


def _cut(inside: Scroll, theta: float, wall: float, half: float, end: bool) -> float:
    """Parameter at which the laid off outline comes through the plate beside the slot, at its beginning or its end.

    A section that does not flare there is laid off as far as the corner of two straight walls.
    """
    s = 1 - FINE if end else FINE
    side = 1 if end else -1

    def beyond(at: Array) -> Array:
        return np.asarray(side * _offset(inside, theta, at, wall)[:, 1] - half)

    angle, pace = flare(inside, theta, end)
    found = beyond(s)
    out = np.flatnonzero(found > 0)
    inwards = np.flatnonzero(found[: out[0]] <= 0) if len(out) else out
    if angle < FLARED or len(inwards) == 0:
        return float(s[0] - side * wall * np.tan(angle / 2) / pace)
    i = inwards[-1]
    return float(brentq(lambda at: beyond(np.array([at]))[0], s[i], s[i + 1], xtol=1e-14))


def flare(inside: Scroll, theta: float, end: bool) -> tuple[float, float]:
    """Angle from the radial direction at which a section leaves its slot, positive outwards, and its pace in the parameter."""
    rate = inside.row(theta, np.array([1.0 if end else 0.0]), 0, 1)[0]
    radial = float(np.hypot(rate[0], rate[1])) * (1 if rate[0] * np.cos(theta) + rate[1] * np.sin(theta) > 0 else -1)
    sign = -1 if end else 1
    return float(np.arctan2(-rate[2], sign * radial)), float(np.linalg.norm(rate))
