"""The skin of a blade: grids of points for its sides and fillets, cut at r = r2, all with the same stations.

Every boundary between two surfaces is a line of grid points that both share. The grids go round the profile from the
suction side's end to the pressure side's end; the nose is the middle row. A fillet that would fold over at the nose, does
not fit between the blades or under the tip is made smaller.

A full round trailing edge has grids of its own, :class:`~aerodesign.geometry.round_exit.RoundExit`, from where the root fillet on the
pressure side runs out over the rim, round the edge, to where it does so on the suction side.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import make_interp_spline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.fillet import RollingBall, nearest, roll
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.profile import NOSE, BladeSurface
from aerodesign.geometry.roots import NoBracket, solve
from aerodesign.geometry.round_exit import BARE_ENDS, RoundExit, over_the_rim, round_places, trimmed

ROWS_NOSE, ROWS_SIDE, ROWS_ROUNDED, ROWS_FULL_ROUND = 16, 48, 160, 80
"""Stations along the nose and along a side, and along a side that is rounded or fully round at the exit."""
_FIRST, _LATE, _LAST, _LAST_ROUNDED = 0.3, 0.6, 0.1, 0.05
"""Spacing at the nose against the mean there; from which part of the side stations draw together, and to what part."""
_DRAWN = 0.4
"""Part of a side over which stations begin to be drawn in, where that goes on evenly to a full round edge."""
ACROSS, DEGREE_ACROSS = 9, 5
NOSE_STEPS = (1.0, 0.7, 0.5, 0.35, 0.25, 0.15)
"""Parts of the fillet's radius that are tried at the nose."""


@dataclass(frozen=True, eq=False)
class Fillet:
    """A fillet as a grid (rows, ACROSS, 3) from blade to wall, and its track on the wall as (theta, t), shape (rows, 2)."""

    grid: Array | None
    track: Array
    at_nose: float = 1.0


@dataclass(frozen=True, eq=False)
class Skin:
    """Grids of one blade in metres: ``u`` (rows,) is common to all, ``v`` (ACROSS,) goes from hub to tip or across a fillet.

    ``blade`` is (rows, ACROSS, 3). Without a fillet ``hub.grid`` or ``tip.grid`` is None and the track is that of the blade.
    """

    u: Array
    v: Array
    blade: Array
    hub: Fillet
    tip: Fillet
    exit: RoundExit | None = None

    @property
    def nose(self) -> int:
        """The row of the nose."""
        return len(self.u) // 2

    def outline(self, column: int) -> Array:
        """Points of the blade's profile on one of its lines from hub (0) to tip (-1), shape (n, 3)."""
        sides = self.blade[:, column]
        return sides if self.exit is None else np.concatenate([sides, self.exit.blade[1:-1, column]])


def skin(blading: Blading, *, start: float, hub_radius: float, tip_radius: float) -> Skin:
    """Grids of the blade that begins at ``start``, with fillets of given radii (0: none) at hub and tip.

    Raises :class:`RejectedSolid` where the blade itself folds over, :class:`NoBracket` where a fillet does not fit at all.
    """
    p = blading.impeller
    surface = BladeSurface(blading, start=start, beyond=beyond(p, max(hub_radius, tip_radius)))
    rows = row_places(ROWS_FULL_ROUND if blading.closed else ROWS_ROUNDED if blading.rounded else ROWS_SIDE)
    hub = _fitted(surface, rows, True, hub_radius, float(p.r2))
    tip = _fitted(surface, rows, False, tip_radius, float(p.r2))
    v = np.linspace(0, 1, ACROSS)

    def point(sigma: Array, share: Array) -> Array:
        low = hub[0].s_of(sigma) if hub[0] else np.zeros_like(sigma)
        high = tip[0].s_of(sigma) if tip[0] else np.ones_like(sigma)
        if np.any(high - low < 0.15):
            raise NoBracket("the fillets at hub and tip meet")
        return surface.at(low + share * (high - low), sigma)

    r2 = float(p.r2)
    ends = _spread_ends(hub[0], tip[0], v, r2) if blading.closed else _ends(point, v, r2)
    grid = np.stack(
        [point(_stretched(rows, ends[:, j], surface.closed), np.full(len(rows), v[j])) for j in range(ACROSS)], axis=1
    )
    if fold(grid, rows, v) < 0.3:
        raise RejectedSolid("the blade surface folds over itself: thin the blade or ease its angles")
    u = (rows + 1) / 2
    hub_fillet = hub[1] or _bare(grid[:, 0], surface, True)
    tip_fillet = tip[1] or _bare(grid[:, -1], surface, False)
    for fillet, column in ((hub_fillet, grid[:, 0]), (tip_fillet, grid[:, -1])):
        if fillet.grid is not None:
            fillet.grid[:, 0] = column
    whole = Skin(u, v, grid, hub_fillet, tip_fillet)
    return replace(whole, exit=_round_exit(surface, point, ends, v, (hub[0], tip[0]), r2)) if blading.closed else whole


def _spread_ends(hub: RollingBall | None, tip: RollingBall | None, v: Array, r2: float) -> Array:
    """Where the sides end and a full round trailing edge begins, shape (2, lines): as the fillets say, in proportion between the two."""
    found = [over_the_rim(ball, r2) if ball else None for ball in (hub, tip)]
    low, high = (end if end is not None else other for end, other in zip(found, found[::-1], strict=True))
    if low is None or high is None:
        low = high = BARE_ENDS
    return np.asarray((1 - v) * low[:, None] + v * high[:, None])


def _round_exit(
    surface: BladeSurface,
    point: Callable[[Array, Array], Array],
    ends: Array,
    v: Array,
    balls: tuple[RollingBall | None, RollingBall | None],
    r2: float,
) -> RoundExit:
    """The grids round a full round trailing edge."""
    u = round_places()

    def along(j: int) -> Array:
        """Sigma, counted on past 1, from the pressure side's end to the suction side's."""
        return np.asarray(ends[1, j] + u * (ends[0, j] + 2 - ends[1, j]))

    grid = np.stack([point(along(j), np.full(len(u), v[j])) for j in range(ACROSS)], axis=1)
    hub, tip = (
        trimmed(ball, along(j), v, r2) if ball else None for ball, j in zip(balls, (0, ACROSS - 1), strict=True)
    )
    for fillet, column in ((hub, grid[:, 0]), (tip, grid[:, -1])):
        if fillet is not None:
            fillet[:, 0] = column
    if fold(grid, u, v) < 0.3:
        raise RejectedSolid(
            "the blade folds over itself round its trailing edge: take a larger trailing_edge_ratio or thicker blades"
        )
    if any(fillet is not None and fold(fillet, u, v) < 0.3 for fillet in (hub, tip)):
        raise NoBracket("the fillet folds over itself round the trailing edge")
    feet = [_bare(column, surface, at_hub).track for column, at_hub in ((grid[:, 0], True), (grid[:, -1], False))]
    return RoundExit(u, grid, hub, tip, *feet)


def beyond(impeller: Impeller, fillet: Length) -> Length:
    """How far a blade's surface goes on beyond r2, for the cut there."""
    return 1.5 * (float(impeller.thickness_hub) / 2 + fillet) + 0.002 * float(impeller.r2)


def row_places(count: int) -> Array:
    """Stations of sigma, closer at the nose, where the normal turns fastest, and at the ends, where a cubic is worst."""
    last = _LAST if count == ROWS_SIDE else _LAST_ROUNDED
    x = np.linspace(0, 1, ROWS_NOSE + 1)
    tau = np.linspace(0, 1, count + 1)[1:]
    late = np.clip((tau - _LATE) / (1 - _LATE), 0, None)
    eased = tau - (1 - last) * (1 - _LATE) * late**2 / 2
    half = np.r_[NOSE * x * (_FIRST + (1 - _FIRST) * x), NOSE + (1 - NOSE) * eased / eased[-1]]
    return np.asarray(np.r_[-half[:0:-1], half])


def _stretched(rows: Array, end: Array, even: bool) -> Array:
    """Stations drawn in so that -1 and +1 become the given ends; the nose keeps its place.

    The ends of a full round edge lie far from 1 and would turn the stations round if all of it were made up for late (``even`` then).
    """
    y = np.clip((np.abs(rows) - NOSE) / (1 - NOSE), 0, 1)
    q = np.clip(y / _DRAWN, 0, 1)
    drawn = (_DRAWN * (q**3 - q**4 / 2) + np.clip(y - _DRAWN, 0, None)) / (1 - _DRAWN / 2) if even else y**3
    return np.asarray(np.sign(rows) * (np.abs(rows) + (np.where(rows < 0, -end[0], end[1]) - 1) * drawn))


def _ends(point: Callable[[Array, Array], Array], across: Array, r2: float) -> Array:
    """Sigma at which the lines ``across`` reach r2, shape (2, lines): suction side (negative), pressure side."""
    side, share = np.repeat([-1.0, 1.0], len(across)), np.tile(across, 2)

    def miss(g: Array) -> Array:
        return np.asarray(np.hypot(*point(side * g, share)[:, :2].T) - r2)

    low, high = np.full(side.shape, 0.6), np.ones(side.shape)
    return (side * solve(miss, low, high, tolerance=1e-11, what="the trailing edge at r2")).reshape(2, -1)


def _fitted(
    surface: BladeSurface, rows: Array, at_hub: bool, radius: float, r2: float
) -> tuple[RollingBall | None, Fillet | None]:
    """The fillet with the largest radius at the nose that does not fold."""
    if radius <= 0:
        return None, None
    w = np.linspace(0, 1, ACROSS)
    for at_nose in NOSE_STEPS:
        ball = roll(surface, at_hub=at_hub, radius=radius, at_nose=at_nose)

        def point(sigma: Array, share: Array, ball: RollingBall = ball) -> Array:
            return ball.arc(sigma, share)

        ends = np.tile(over_the_rim(ball, r2)[:, None], ACROSS) if surface.closed else _ends(point, w, r2)
        grid = np.stack([ball.arc(_stretched(rows, ends[:, j], surface.closed), w[j]) for j in range(ACROSS)], axis=1)
        if fold(grid, rows, w) > 0.5:
            contact = ball.contact(_stretched(rows, ends[:, -1], surface.closed))
            return ball, Fillet(grid, np.stack([np.unwrap(contact.theta), contact.t], axis=1), at_nose)
    raise NoBracket(f"a fillet of {1e3 * radius:.3g} mm folds over itself at the leading edge")


def _bare(edge: Array, surface: BladeSurface, at_hub: bool) -> Fillet:
    """The track of the blade itself on the wall."""
    zr = np.stack([edge[:, 2], np.hypot(edge[:, 0], edge[:, 1])], axis=1)
    t = nearest(surface.hub if at_hub else surface.tip, zr)
    return Fillet(None, np.stack([np.unwrap(np.arctan2(edge[:, 1], edge[:, 0])), t], axis=1))


def fold(grid: Array, u: Array, v: Array) -> float:
    """Smallest cosine between neighbouring normals of the spline surface on a grid twice as fine; negative: it folds."""
    fine_u, fine_v = (np.sort(np.r_[x, (x[1:] + x[:-1]) / 2]) for x in (u, v))
    along_u = make_interp_spline(u, grid, k=3, axis=0)

    def across(values: Array, order: int) -> Array:
        return np.asarray(make_interp_spline(v, values, k=DEGREE_ACROSS, axis=1)(fine_v, order))

    normal = np.cross(across(along_u(fine_u, 1), 0), across(along_u(fine_u), 1))
    normal = normal / np.linalg.norm(normal, axis=2, keepdims=True)
    steps = (np.sum(normal[1:] * normal[:-1], axis=2), np.sum(normal[:, 1:] * normal[:, :-1], axis=2))
    return float(min(step.min() for step in steps))
