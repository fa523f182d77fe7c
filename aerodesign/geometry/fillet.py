"""The fillet between blade and hub (or cover) as the track of a rolling ball.

At every sigma a ball of radius R touches the blade at a span s, to be solved for, and the wall of revolution at a
foot point. The arc between the two contacts is a cross-section of the fillet.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.geometry.meridional import Array, Contour
from aerodesign.geometry.profile import NOSE, BladeSurface
from aerodesign.geometry.roots import solve

_FURTHEST = 0.7
"""The contact on the blade is sought up to this part of its height from the wall."""


class Contact(NamedTuple):
    """Contacts of the ball, each of shape (n, ...): centre, unit vectors from it to blade and wall, wall coordinates."""

    radius: Array
    centre: Array
    to_blade: Array
    to_wall: Array
    t: Array
    theta: Array


@dataclass(frozen=True, eq=False)
class RollingBall:
    """The track of a ball along one blade and one wall; ``s_of`` and ``t_of`` are splines of sigma."""

    surface: BladeSurface
    wall: Contour
    at_hub: bool
    radius: float
    at_nose: float
    s_of: CubicSpline
    t_of: CubicSpline

    def contact(self, sigma: Array) -> Contact:
        """Contacts at given sigma."""
        radius = radius_along(sigma, self.radius, self.at_nose)
        point, normal = self.surface.with_normal(self.s_of(sigma), sigma)
        centre = point + radius[:, None] * normal
        t, theta = self.t_of(sigma), np.arctan2(centre[:, 1], centre[:, 0])
        zr = self.wall.at(t)
        foot = np.stack([zr[:, 1] * np.cos(theta), zr[:, 1] * np.sin(theta), zr[:, 0]], axis=1)
        return Contact(radius, centre, -normal, (foot - centre) / radius[:, None], t, theta)

    def arc(self, sigma: Array, w: Array | float) -> Array:
        """Points of the fillet at a part ``w`` (one, or one for each sigma) of the way from blade (0) to wall (1)."""
        w = np.asarray(w)[..., None]
        c = self.contact(sigma)
        angle = np.arccos(np.clip(np.sum(c.to_blade * c.to_wall, axis=1), -1, 1))[:, None]
        direction = (np.sin((1 - w) * angle) * c.to_blade + np.sin(w * angle) * c.to_wall) / np.sin(angle)
        return np.asarray(c.centre + c.radius[:, None] * direction)


def radius_along(sigma: Array, radius: float, at_nose: float) -> Array:
    """The ball's radius: ``at_nose`` of the full one at the nose, growing smoothly to it along the sides."""
    sigma = (sigma + 1) % 2 - 1  # counted on round a full round trailing edge
    y = np.clip(np.abs(sigma) / (1.6 * NOSE), 0, 1)
    return radius * (at_nose + (1 - at_nose) * y * y * (3 - 2 * y))


def roll(surface: BladeSurface, *, at_hub: bool, radius: float, at_nose: float, stations: int = 481) -> RollingBall:
    """Roll a ball round a blade along the hub (or the tip's wall).

    Raises :class:`~aerodesign.geometry.roots.NoBracket` where it cannot touch both: the ball is too large for the passage.
    """
    wall = surface.hub if at_hub else surface.tip
    side = 1.0 if at_hub else -1.0
    sigma = np.linspace(-1, 1, stations)
    radii = radius_along(sigma, radius, at_nose)
    edge = np.full(stations, 0.0 if at_hub else 1.0)
    track = {"t": nearest(wall, _meridional(surface.at(edge, sigma)))}

    def miss(s: Array) -> Array:
        point, normal = surface.with_normal(s, sigma)
        centre = _meridional(point + radii[:, None] * normal)
        track["t"] = t = foot(wall, centre, track["t"])
        d = wall.tangent(t)
        above = np.sum((centre - wall.at(t)) * np.stack([-d[:, 1], d[:, 0]], axis=1), axis=1)
        return np.asarray(side * above - radii)

    far = np.full(stations, _FURTHEST if at_hub else 1 - _FURTHEST)
    s = solve(miss, edge, far, tolerance=1e-11, what=f"a fillet of {1e3 * radius:.3g} mm")
    miss(s)
    t, ends = track["t"], "not-a-knot"
    if surface.closed:
        s[-1], t[-1], ends = s[0], t[0], "periodic"
    tracks = (CubicSpline(sigma, values, bc_type=ends) for values in (s, t))
    return RollingBall(surface, wall, at_hub, radius, at_nose, *tracks)


def nearest(wall: Contour, zr: Array) -> Array:
    """Parameters of the points of a contour nearest to (z, r), shape (n,)."""
    t = np.linspace(-0.6, 1.6, 441)
    distance = np.sum((zr[:, None, :] - wall.at(t)) ** 2, axis=2)
    return foot(wall, zr, t[np.argmin(distance, axis=1)])


def foot(wall: Contour, zr: Array, t: Array) -> Array:
    """Foot points of (z, r) on a contour by Newton's method from ``t``."""
    for _ in range(30):
        gap, d, dd = wall.at(t) - zr, wall.slope(t), wall.slope(t, 2)
        speed = np.sum(d * d, axis=1)
        curved = speed + np.sum(gap * dd, axis=1)
        step = np.clip(np.sum(gap * d, axis=1) / np.where(curved > 0.2 * speed, curved, speed), -0.05, 0.05)
        t = t - step
        if np.max(np.abs(step)) < 1e-13:
            break
    return t


def _meridional(xyz: Array) -> Array:
    return np.stack([xyz[:, 2], np.hypot(xyz[:, 0], xyz[:, 1])], axis=1)
