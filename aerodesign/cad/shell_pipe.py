"""The tube round a volute's duct, from the scroll's last outline to a circle round the exit cone (millimetres).

The outline is closed across the slot. Opposite the duct's outer wall the tube keeps the wall's thickness; on the other side it
bridges the hollow that the tongue leaves, as straight as the duct's own walls run.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, CubicHermiteSpline, make_interp_spline
from scipy.ndimage import gaussian_filter, maximum_filter
from scipy.spatial import cKDTree

from aerodesign.cad.duct import Strip, strip_points, strip_poles
from aerodesign.cad.duct_room import Fitted
from aerodesign.cad.scroll import Scroll
from aerodesign.cad.shell_scroll import FINE, Ends
from aerodesign.cad.spaces import Space, in_pairs, smoothstep
from aerodesign.geometry.discharge import Discharge, bernstein

Array = NDArray[np.float64]

ALONG = 33
"""Stations along the tube."""
BLENDED = 0.04
"""Length of the outline over which the tube goes from the wall's thickness to its bridge."""
SETTLED = 0.3
"""Part of the duct's length over which the tube lets go of the scroll's last outline."""
CLOSING = 1.3
"""Length of the closing curve over the slot's, both walls included."""
ACROSS, NEAR = 72, 0.08
"""Pieces of the closing curve and of the outline beside it, as far as that."""
MID = 0.5
"""Parameter of the tube's outermost line, where its two halves meet."""


@dataclass(frozen=True, eq=False)
class Pipe:
    """The tube round the duct: a spline over ``space`` round it, from :data:`MID` to MID + ``turn``, and ``along`` y.

    ``poles`` has shape (round, along, 3); the second parameter is y. Parameters 0 to 1 are those of the scroll's last outline;
    beyond, the tube is closed across the slot as far as ``turn``. ``inner`` is the parameter of its innermost line.
    """

    space: Space
    along: Space
    poles: Array
    turn: float

    @property
    def inner(self) -> float:
        return (1 + self.turn) / 2

    @property
    def end(self) -> float:
        return self.along.last

    def at(self, u: Array, y: Array, du: int = 0, dy: int = 0) -> Array:
        """Points, or derivatives, at pairs of parameters, shape (n, 3)."""
        return in_pairs(self.space.basis(u, du), self.along.basis(y, dy), self.poles)

    def half(self, first: float, last: float) -> tuple[Space, Array]:
        """The same surface between two parameters: its space and its poles."""
        part = self.space.between(first, last)
        return part, part.fit(BSpline(self.space.knots, self.poles, self.space.degree)(part.sites)).c


def pipe_round(scroll: Scroll, ends: Ends, duct: Fitted, wall: float, end: float) -> Pipe:
    """The tube round the duct, from the scroll's last outline, to y = ``end``."""
    exit_, outer = duct.exit, duct.strips[0]
    length = float(exit_.duct_length)
    throat = outer.space
    inner = np.linspace(throat.first, throat.last, 33)
    known = np.interp(inner, ends.inside(FINE), FINE)
    start, space, turn = _closed(scroll.section(end=True), scroll.along, (float(known[-1]), float(known[0])))
    u = space.sites
    own = np.where(u > turn, u - turn, u)  # the outline's parameter on both sides of the outermost line
    at = np.clip(ends.inside(np.clip(own, 0, 1)), throat.first, throat.last)

    angle = _law(throat.fit(outer.angle), ends, (float(known[0]), float(known[-1])), turn)(u)
    beside = smoothstep((own - known[0]) / BLENDED) * smoothstep((known[-1] - own) / BLENDED)
    beside = np.where((u > 1) & (u < turn), 0.0, beside)[:, None, None]

    along = Space(
        np.concatenate([np.zeros(5), np.linspace(0, length, ALONG), _beyond(length, end), np.full(5, end)]), 5
    )
    y = along.sites
    near = np.minimum(y / length, 1)
    cone = float(exit_.duct_radius) + np.maximum(y - length, 0) * np.tan(float(exit_.half_angle))
    thick = wall / np.cos(float(exit_.half_angle))
    round_ = np.stack([np.cos(angle), np.sin(angle)], axis=1)[:, None] * (cone + thick)[:, None]
    round_ += np.array([float(exit_.axis), float(exit_.lift)])

    slope = scroll.slope(np.clip(own, 0, 1), end=True) * smoothstep(np.minimum(own, 1 - own) / 0.2)[:, None]
    slope[(u > 1) & (u < turn)] = 0
    bridge = Strip((), ((), ()), space, start(u)[:, [0, 2]], slope, angle, (0.0, 0.0, 0.0), outer.swell)
    bridge_rows = bernstein(strip_poles(bridge, exit_.but(duct_radius=exit_.duct_radius + thick)), near)
    bridged = BSpline(space.knots, np.moveaxis(bridge_rows, 1, 0), space.degree)(u)[..., [0, 2]]
    even = _beside(outer, exit_, at, near, wall)
    left = (start(u)[:, [0, 2]] - even[:, 0])[:, None] * (1 - smoothstep(near / SETTLED))[:, None]
    rows = beside * (even + left) + (1 - beside) * bridged
    rows = np.where((y >= length)[:, None], round_, rows)
    rows[:, 0] = start(u)[:, [0, 2]]
    rows[:, 1:] += _thin(rows, y, duct, wall)[:, 1:]

    grid = np.stack([rows[..., 0], np.broadcast_to(y, rows.shape[:2]), rows[..., 1]], axis=-1)
    poles = np.moveaxis(along.fit(np.moveaxis(space.fit(grid).c, 1, 0)).c, 0, 1)
    return Pipe(space, along, poles, turn)


def _law(angles: BSpline, ends: Ends, known: tuple[float, float], turn: float) -> Callable[[Array], Array]:
    """Angle about the duct's axis at which the tube's lines end, as a function of their parameter.

    Opposite the duct's outer wall those of the wall itself, between ``known``; the rest of the circle, which is far more than
    its share of the parameter, at a pace that grows towards the innermost line and never turns back.
    """
    first, last = known
    low, high = angles(ends.inside(np.array([first, last])))
    step = 1e-5
    pace = [float(angles(ends.inside(np.array([x + d, x]))) @ [1, -1] / d) for x, d in ((last, -step), (first, step))]
    mean = (low + 2 * np.pi - high) / (first + turn - last)
    middle = (last + first + turn) / 2
    across = CubicHermiteSpline(
        [last, middle, first + turn], [high, (high + low) / 2 + np.pi, low + 2 * np.pi], [pace[0], mean, pace[1]]
    )

    def angle(u: Array) -> Array:
        turned = u > (1 + turn) / 2
        own = np.clip(np.where(turned, u - turn, u), first, last)
        found = angles(ends.inside(own)) + 2 * np.pi * turned
        return np.where((u > last) & (u < first + turn), across(u), found)

    return angle


def _thin(rows: Array, y: Array, duct: Fitted, wall: float) -> Array:
    """What moves points (x, z) outwards where the wall between them and the duct is too thin; smooth from point to point."""
    count = int(np.clip(4 * float(duct.exit.duct_length) / wall, 100, 300))
    gas = [strip_points(strip, duct.exit, np.linspace(0, 1, count), count).reshape(-1, 3) for strip in duct.strips]
    points = np.stack([rows[..., 0], np.broadcast_to(y, rows.shape[:2]), rows[..., 1]], axis=-1)
    lacking = np.maximum(wall - cKDTree(np.concatenate(gas)).query(points.reshape(-1, 3))[0], 0).reshape(rows.shape[:2])
    tangent = np.gradient(rows, axis=0)
    normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    wide = gaussian_filter(maximum_filter(lacking, (9, 5)), (3, 1.5))
    inside = smoothstep((1 - y / float(duct.exit.duct_length)) / 0.1)
    return np.asarray(1.05 * (wide * inside)[..., None] * normal)


def _beyond(length: float, end: float) -> Array:
    """Knots on the cone, after that at the duct's end."""
    count = int(np.ceil((end - length) / length * ALONG / 2 - 1e-9))
    return np.linspace(length, end, count + 2)[1:] if count else np.array([])


def _beside(strip: Strip, exit_: Discharge, at: Array, along: Array, wall: float) -> Array:
    """Points (x, z), shape (len(at), len(along), 2), a wall's thickness outside the duct's outer wall, in planes across y."""
    poles = strip_poles(strip, exit_)
    lengthwise = BSpline(np.repeat([0.0, 1.0], 6), poles, 5)

    def rows(of: BSpline, order: int) -> Array:
        spline = BSpline(strip.space.knots, np.moveaxis(of(along), 1, 0), strip.space.degree)
        return np.asarray(spline(at, order)[..., [0, 2]])

    p, tangent, rate = rows(lengthwise, 0), rows(lengthwise, 1), rows(lengthwise.derivative(), 0)
    normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    growth = np.sum(rate * normal, axis=-1, keepdims=True) / float(exit_.duct_length)
    return p + wall * np.hypot(1, growth) * normal


def _closed(outline: BSpline, along: Space, knees: tuple[float, float]) -> tuple[BSpline, Space, float]:
    """An outline of the scroll closed across its slot, its space from :data:`MID` round to MID again, and the turn's length.

    ``knees`` are parameters near its end and its beginning where the pace of the tube's circle changes.
    """
    k = along.degree
    ends = outline(np.array([1.0, 0.0]))
    slopes = [outline(np.array([1.0, 0.0]), order) for order in ((1, 2) if k == 5 else (1,))]
    turn = 1 + CLOSING * float(np.ptp(ends[:, 2])) / float(np.mean(np.linalg.norm(slopes[0], axis=1)))
    conditions = tuple([(order + 1, rate[end]) for order, rate in enumerate(slopes)] for end in (0, 1))
    across = make_interp_spline([1.0, turn], ends, k=k, bc_type=conditions)

    inner = along.knots[k + 1 : -k - 1]
    again = k - len(slopes)
    knots = [
        np.full(k + 1, MID),
        inner[inner > MID + 1e-12],
        np.full(again, 1.0),
        np.full(again, turn),
        inner[inner < MID - 1e-12] + turn,
        np.full(k + 1, MID + turn),
    ]
    # the part across the slot is short, but a third of the circle at the other end
    bent = [knees[0], (knees[0] + knees[1] + turn) / 2, knees[1] + turn]
    knots += [np.full(k - 1, x) for x in bent if np.min(np.abs(np.concatenate(knots) - x)) > 1e-6]
    more = np.linspace(1 - NEAR, turn + NEAR, ACROSS + 1)
    more = more[np.min(np.abs(more[:, None] - np.concatenate(knots)), axis=1) > 0.1 * (more[1] - more[0])]
    space = Space(np.sort(np.concatenate([*knots, more])), k).refined(1 / (48 if k == 5 else 120))
    u = space.sites
    values = np.where((u <= 1)[:, None], outline(np.minimum(u, 1)), outline(np.clip(u - turn, 0, 1)))
    values = np.where(((u > 1) & (u < turn))[:, None], across(np.clip(u, 1, turn)), values)
    return space.fit(values), space, turn
