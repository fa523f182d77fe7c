"""The largest balls that fit: along the passages, rolling on the hub between two blades, and at each point of a blade.

A ball that touches a surface at p, with the unit normal n there, and passes through q has the radius
|q - p|^2 / (2 n . (q - p)): its centre p + R n is as far from q as from p. The largest ball that touches p is the least of
these over all q that it could meet.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.geometry.meridional import Array, Contour
from aerodesign.milling.sheets import Cloud, Sheet
from aerodesign.milling.wheel import Passage, Wheel

BLOCK = 16
"""Points taken at a time: their distances to all others then fit the cache."""
SPACING = 0.02
"""Distance of the points of a blade's side, as a part of r2, at most."""
STATIONS, TRIES, ZOOMS = 25, 13, 3
"""Stations along a passage, places tried across it, and how often the search closes in: to a thousandth of the gap."""


@dataclass(frozen=True, eq=False)
class Ball:
    """The largest balls along one passage at stations ``t``, ``along`` the hub's meridional length from 0 to 1.

    ``foot`` (n, 3) is where they touch the hub, ``normal`` the hub's there.
    """

    name: str
    t: Array
    along: Array
    radius: Array
    foot: Array
    normal: Array

    @property
    def centre(self) -> Array:
        """Centres, shape (n, 3)."""
        return np.asarray(self.foot + self.radius[:, None] * self.normal)

    @property
    def least(self) -> int:
        """The station of the smallest ball."""
        return int(np.argmin(self.radius))


def touching(p: Array, n: Array, q: Array) -> Array:
    """Radius of the largest ball that touches each p (with unit normal n) and leaves out all q; inf where none is ahead."""
    return _first_met(p, n, q)[0]


def touching_surface(p: Array, n: Array, surface: Cloud, spacing: float) -> Array:
    """The same for a surface known by points no further apart than ``spacing``.

    Between its points it goes on as a plane, so that the spacing counts in second order: the plane through the point q that is met
    first, with the normal m, is touched by R = (p - q) . m / (1 - n . m). That is taken where it is touched near q.
    """
    radius, first = _first_met(p, n, surface.points)
    q, m = surface.points[first], surface.normals[first]
    facing = 1 - np.einsum("ij,ij->i", n, m)
    flat = np.einsum("ij,ij->i", p - q, m) / np.maximum(facing, 1e-9)
    beside = p + flat[:, None] * (n - m) - q
    near = np.einsum("ij,ij->i", beside, beside) < spacing**2
    return np.where(near & (facing > 1e-3) & (flat > 0), np.minimum(flat, radius), radius)


def _first_met(p: Array, n: Array, q: Array) -> tuple[Array, Array]:
    """Largest radius at each p, and which q keeps it there."""
    square = np.einsum("ij,ij->i", q, q)
    out, which = np.full(len(p), np.inf), np.zeros(len(p), int)
    if not len(q):
        return out, which
    for first in range(0, len(p), BLOCK):
        some = slice(first, first + BLOCK)
        ahead = n[some] @ q.T - np.einsum("ij,ij->i", p[some], n[some])[:, None]
        distance2 = square - 2 * p[some] @ q.T + np.einsum("ij,ij->i", p[some], p[some])[:, None]
        radius = np.where(ahead > 1e-12, distance2, np.inf) / np.maximum(2 * ahead, 1e-12)
        which[some] = np.argmin(radius, axis=1)
        out[some] = np.min(radius, axis=1)
    return out, which


def on_hub(hub: Contour, t: Array, theta: Array) -> tuple[Array, Array]:
    """Points of the hub (or of another contour) and its unit normals to the left of the flow, shape (n, 3) each."""
    zr, d = hub.at(t), hub.tangent(t)
    return round_axis(zr, theta), round_axis(np.stack([-d[:, 1], d[:, 0]], axis=1), theta)


def round_axis(zr: Array, theta: Array) -> Array:
    """Points or vectors (z, r) of the meridional plane at angles theta, as (x, y, z)."""
    return np.stack([zr[:, 1] * np.cos(theta), zr[:, 1] * np.sin(theta), zr[:, 0]], axis=1)


def between_walls(wheel: Wheel, t: Array) -> Array:
    """The largest ball that touches the hub at t and meets neither hub nor cover elsewhere; both are bodies of revolution.

    The ball's centre lies in the meridional plane of its foot, and so does the nearest point of either wall.
    """
    reach = np.linspace(-0.5, 1.3, 721)
    zr = wheel.hub.at(reach)
    p, d = wheel.hub.at(t), wheel.hub.tangent(t)
    n = np.stack([-d[:, 1], d[:, 0]], axis=1)
    radius = np.array([touching(p[i : i + 1], n[i : i + 1], zr[np.abs(reach - t[i]) > 0.01])[0] for i in range(len(t))])
    if wheel.cover is not None:
        radius = np.minimum(radius, touching(p, n, wheel.cover.at(reach)))
    return np.asarray(radius)


def largest_balls(wheel: Wheel, stations: int = STATIONS) -> list[Ball]:
    """For each passage the largest ball at each station that touches the hub, and fits between the blades and under a cover."""
    return [_along(wheel, passage, stations) for passage in wheel.passages]


def _along(wheel: Wheel, passage: Passage, stations: int) -> Ball:
    length = passage.end - passage.start
    t = passage.start + length * np.linspace(0, 1, max(5, round(stations * length)))
    low = _track(passage.behind.pressure, t) + passage.behind.angle
    high = _track(passage.ahead.suction, t) + passage.ahead.angle
    obstacles = passage.walls
    walls, r2 = between_walls(wheel, t), float(wheel.impeller.r2)
    found = np.zeros((2, len(t)))
    for i in range(len(t)):
        found[0, i], found[1, i] = _widest(
            wheel.hub, float(t[i]), float(low[i]), float(high[i]), obstacles, SPACING * r2
        )
    foot, normal = on_hub(wheel.hub, t, found[1])
    fine = np.linspace(0, 1, 401)
    length_to = np.r_[0, np.cumsum(np.linalg.norm(np.diff(wheel.hub.at(fine), axis=0), axis=1))]
    along = np.interp(t, fine, length_to / length_to[-1])
    return Ball(passage.name, t, along, np.minimum(found[0], walls), foot, normal)


def _widest(hub: Contour, t: float, low: float, high: float, obstacles: Cloud, spacing: float) -> tuple[float, float]:
    """Largest radius over the places from ``low`` to ``high`` on the hub's circle at t, and where."""
    middle, _ = on_hub(hub, np.array([t]), np.array([(low + high) / 2]))
    width = float(hub.at(t)[1]) * (high - low)
    # what lies further away than a ball across the whole gap could reach cannot be the first that it meets
    near = _within(obstacles, middle, 2.0 * width)
    radius, place = 0.0, (low + high) / 2
    for _ in range(ZOOMS):
        theta = np.linspace(low, high, TRIES)
        p, n = on_hub(hub, np.full(TRIES, t), theta)
        fits = touching_surface(p, n, near, spacing)
        best = int(np.argmax(fits))
        step = (high - low) / (TRIES - 1) * float(hub.at(t)[1])
        # the best ball will not be larger than this, so nothing beyond its far side can touch it
        room = 2 * (float(fits[best]) + 2 * step) + step
        near = _within(near, p[best], room)
        radius, place = float(fits[best]), float(theta[best])
        low, high = float(theta[max(best - 1, 0)]), float(theta[min(best + 1, TRIES - 1)])
    return radius, place


def _within(cloud: Cloud, centre: Array, distance: float) -> Cloud:
    d = cloud.points - centre
    inside = np.einsum("ij,ij->i", d, d) < distance**2
    return Cloud(cloud.points[inside], cloud.normals[inside])


def _track(sheet: Sheet, t: Array) -> Array:
    """Theta of a blade's root on the hub at t, before it is turned to its place."""
    theta, along = sheet.track.T
    return np.interp(t, np.maximum.accumulate(along), theta)


@dataclass(frozen=True, eq=False)
class BallMap:
    """The largest ball that can touch each point of a blade's side: ``radius`` (stations, heights) over length and height, 0 to 1."""

    name: str
    length: Array
    height: Array
    radius: Array
    points: Array


def ball_map(wheel: Wheel, stations: int = 26, heights: int = 9) -> list[BallMap]:
    """Balls at the points of both sides of the full blade, kept off by the neighbours, the hub, the cover and the blade itself."""
    full, following = wheel.blades[0], wheel.blades[-1]
    splitter = wheel.blades[1] if len(wheel.blades) == 3 else None
    maps = []
    for side, name in ((full.pressure, "pressure side"), (full.suction, "suction side")):
        others = [(following.suction, wheel.pitch)] if side.pressure else [(full.pressure, -wheel.pitch)]
        if splitter is not None:
            place = wheel.pitch / 2 * (1 if side.pressure else -1)
            others += [(splitter.suction, place), (splitter.pressure, place)]
        rows = np.unique(np.round(np.linspace(2, len(side.u) - 1, stations)).astype(int))
        columns = np.round(np.linspace(0, side.face.shape[1] - 1, heights)).astype(int)
        p, n = (grid[np.ix_(rows, columns)].reshape(-1, 3) for grid in (side.face, side.outward))
        q = Cloud.of([sheet.cloud.turned(angle) for sheet, angle in others] + _walls_near(wheel, side))
        radius = touching_surface(p, n, q, SPACING * float(wheel.impeller.r2))
        for fillet in (side.root, side.head):
            if fillet is not None:
                radius = np.minimum(radius, touching(p, n, fillet[:, 2:].reshape(-1, 3)))
        along = np.r_[0, np.cumsum(np.linalg.norm(np.diff(side.face[:, side.face.shape[1] // 2], axis=0), axis=1))]
        maps.append(
            BallMap(
                name,
                along[rows] / along[-1],
                side.v[columns],
                radius.reshape(len(rows), -1),
                p.reshape(len(rows), -1, 3),
            )
        )
    return maps


def _walls_near(wheel: Wheel, side: Sheet) -> list[Cloud]:
    """Points of hub and cover on that side of a blade, over one pitch."""
    t = np.linspace(-0.1, 1.0, 67)
    away = np.linspace(0, wheel.pitch, 19) * (1 if side.pressure else -1)
    place, turn = (x.ravel() for x in np.meshgrid(t, away, indexing="ij"))
    theta = _track(side, place) + turn
    walls = [Cloud(*on_hub(wheel.hub, place, theta))]
    if wheel.cover is not None:
        point, normal = on_hub(wheel.cover, place, theta)
        walls.append(Cloud(point, -normal))
    return walls
