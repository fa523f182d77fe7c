"""Balance holes: straight through the disc, parallel to the axis, one in the middle of a passage."""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.wheel import WheelForm
from aerodesign.geometry.back import chosen, hub_at
from aerodesign.geometry.meridional import Array, Contour
from aerodesign.geometry.row import BladeRow

ROOM = 0.3
"""Least way between a hole and the blades' roots, in diameters of the hole."""


@dataclass(frozen=True)
class Hole:
    """A hole by its ``pitch`` (a number), its centre's angle and radius, its own ``radius``, and the z of the flat back."""

    pitch: int
    angle: float
    centre: float
    radius: float
    back: float

    def mouth(self, phi: Array) -> tuple[Array, Array]:
        """R and theta of the points of its circle at angles ``phi`` about its own axis, counted from the radial direction."""
        x, y = self.centre + self.radius * np.cos(phi), self.radius * np.sin(phi)
        return np.hypot(x, y), self.angle + np.arctan2(y, x)


def balance_holes(
    impeller: Impeller, form: WheelForm, row: BladeRow, hub: Contour, *, back: float, boss: float
) -> list[Hole]:
    """One hole behind each full blade's pressure side, in the middle of the passage there. Raises :class:`RejectedSolid`."""
    if not form.balance_holes:
        return []
    r2, count = float(impeller.r2), round(float(impeller.blades))
    pitch, centre = 2 * np.pi / count, form.hole_at * r2
    radius = chosen(form.hole_diameter, 0.03 * r2) / 2
    low, high = float(hub.at(0.1)[1]), r2
    if centre - 1.5 * radius < max(low, boss) or centre + 1.5 * radius > high:
        raise RejectedSolid(
            f"wheel: balance holes at hole_at = {form.hole_at:.3g} do not fit between boss and rim; "
            f"allowed {(max(low, boss) + 1.5 * radius) / r2:.3g} to {1 - 1.5 * radius / r2:.3g}"
        )
    t = float(hub_at(hub, centre)[0])
    behind, ahead, turn = row.full, row.full, pitch
    if row.splitter is not None and t > row.splitter.hub.track[:, 1].min():
        ahead, turn = row.splitter, row.splitter_turn
    nose = row.full.nose
    first = _theta_at(behind.hub.track[nose:], t)
    last = _theta_at(ahead.hub.track[nose::-1], t) + turn
    if (last - first) * centre < 2 * radius * (1 + 2 * ROOM):
        raise RejectedSolid(
            f"wheel: balance holes of {2e3 * radius:.3g} mm do not fit between the blades at hole_at = {form.hole_at:.3g}, "
            f"where {1e3 * (last - first) * centre:.3g} mm are free; take a smaller hole_diameter or a larger hole_at"
        )
    return [Hole(k, (first + last) / 2 + k * pitch, centre, radius, back) for k in range(count)]


def _theta_at(track: Array, t: float) -> float:
    theta, along = track.T
    return float(np.interp(t, np.maximum.accumulate(along), theta))


def hole_volume(hole: Hole, hub: Contour) -> float:
    """Volume taken out by a hole: its depth over its circle, by Gauss' rule along the radius and even steps round it."""
    x, w = np.polynomial.legendre.leggauss(8)
    s, w = (x + 1) / 2, w / 2
    phi = np.linspace(0, 2 * np.pi, 32, endpoint=False)
    s_grid = s[:, None] * hole.radius
    r = np.hypot(hole.centre + s_grid * np.cos(phi), s_grid * np.sin(phi))
    depth = hole.back - hub_at(hub, r)[1]
    return float(2 * np.pi * hole.radius * np.sum(w * s * hole.radius * depth.mean(axis=1)))
