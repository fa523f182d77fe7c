"""Where the pipe of a shell leaves its plates and its scroll: curves that lie on both (millimetres)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from scipy.optimize import brentq

from aerodesign.cad.scroll import Scroll
from aerodesign.cad.shell_pipe import MID, Pipe
from aerodesign.cad.spaces import Space

Array = NDArray[np.float64]

MOST = 0.97
"""Where the pipe must have parted from the scroll, over its length."""
MARCH = 64
PIECES = 24


@dataclass(frozen=True, eq=False)
class Meeting:
    """Where the tube leaves plates and scroll.

    ``lines`` holds for each side a spline (u, x, z) of y from 0, in the plate; ``low``, ``high`` splines (theta, s, u, x, y, z)
    on the scroll, in s from 0 to ``crest`` and from there to 1; ``theta`` by side is where the spiral in the plate begins.
    """

    lines: dict[int, BSpline]
    low: BSpline
    high: BSpline
    crest: float
    theta: dict[int, float]


def meeting_of(scroll: Scroll, pipe: Pipe, half: float) -> Meeting | None:
    """Where the pipe leaves plates and scroll; None where it does not before its end."""
    try:
        return _meeting(scroll, pipe, half)
    except np.linalg.LinAlgError:  # walls that run along each other
        return None


def _meeting(scroll: Scroll, pipe: Pipe, half: float) -> Meeting | None:
    corners = {side: at for side in (-1, 1) if (at := _corner(scroll, pipe, side, half)) is not None}
    if len(corners) < 2:
        return None
    s = np.linspace(0, 1, MARCH + 1)
    found = np.empty((len(s), 2))
    found[0] = guess = np.array(corners[-1])
    for i in range(1, len(s)):
        ahead = guess if i == 1 else 2 * found[i - 1] - found[i - 2]
        guess = _met(scroll, pipe, s[i : i + 1], ahead[None])[0]
        found[i] = guess
    if not np.allclose(found[-1], corners[1], atol=1e-6) or found[:, 0].max() > np.pi / 2:
        return None
    y = scroll.at(found[:, 0], s)[:, 1]
    if not (0 < y.min() and y.max() < MOST * pipe.end):
        return None
    path = make_interp_spline(s, found, k=3)
    before = int(np.flatnonzero(found[:-1, 1] > pipe.inner)[-1])
    crest = float(brentq(lambda at: float(path(at)[1]) - pipe.inner, s[before], s[before + 1], xtol=1e-14))
    for _ in range(6):
        here = _met(scroll, pipe, np.array([crest - 1e-6, crest + 1e-6]), path([crest, crest]))[:, 1]
        crest -= float((here.mean() - pipe.inner) / ((here[1] - here[0]) / 2e-6))

    curves = []
    for a, b in ((0.0, crest), (crest, 1.0)):
        # the curve is as smooth as the scroll's sections: at their joints its curvature may jump
        space = scroll.along.between(a, b).refined(0.5 / PIECES / (1 if scroll.along.degree == 5 else 3))
        # beside the plates it runs along the pipe's closing curve, whose curvature jumps where it begins
        beside = 0.04 * np.linspace(0, 1, 41)[1:] if a == 0 else 1 - 0.04 * np.linspace(0, 1, 41)[1:]
        beside = beside[np.min(np.abs(beside[:, None] - space.knots), axis=1) > 3e-4]
        space = Space(np.sort(np.concatenate([space.knots, beside])), space.degree)
        at = space.sites
        pair = _met(scroll, pipe, at, path(at))
        curves.append(space.fit(np.column_stack([pair[:, 0], at, pair[:, 1], scroll.at(pair[:, 0], at)])))
    lines = {}
    for side, corner in corners.items():
        end = float(scroll.at(np.array([corner[0]]), np.array([0.0 if side < 0 else 1.0]))[0, 1])
        space = Space(np.concatenate([np.zeros(5), np.linspace(0, end, PIECES + 1), np.full(5, end)]), 5)
        u = _in_plate(pipe, space.sites, side, half)
        u[0] = pipe.turn if side < 0 else 1.0
        x = pipe.at(u, space.sites)[:, 0]
        lines[side] = space.fit(np.column_stack([u, x, np.full(len(u), side * half)]))
    return Meeting(lines, curves[0], curves[1], crest, {side: float(corner[0]) for side, corner in corners.items()})


def _corner(scroll: Scroll, pipe: Pipe, side: int, half: float) -> Array | None:
    """Angle of the scroll's edge in a plate and parameter of the pipe at which they meet."""
    s = np.array([0.0 if side < 0 else 1.0])
    theta = np.linspace(0, np.pi / 2, 181)[1:]
    edge = scroll.at(theta, np.repeat(s, len(theta)))
    theta, edge = theta[edge[:, 1] < MOST * pipe.end], edge[edge[:, 1] < MOST * pipe.end]
    u = _in_plate(pipe, edge[:, 1], side, half)
    outside = edge[:, 0] < pipe.at(u, edge[:, 1])[:, 0]
    if outside[0] or not outside.any():
        return None
    i = int(np.argmax(outside))
    return np.asarray(_met(scroll, pipe, s, np.array([[theta[i], u[i]]]))[0])


def _in_plate(pipe: Pipe, y: Array, side: int, half: float) -> Array:
    """Parameters of the pipe's inner side in a plate, at positions y."""
    u = np.linspace(MID, pipe.inner, 161) if side > 0 else np.linspace(MID + pipe.turn, pipe.inner, 161)
    poles = side * (pipe.along.basis(y) @ pipe.poles[..., 2].T)
    z = pipe.space.basis(u) @ poles.T - half
    last = len(u) - 2 - np.argmax(z[:-1][::-1] > 0, axis=0)
    a, b = u[last], u[last + 1]
    for _ in range(45):
        middle = (a + b) / 2
        above = np.sum(pipe.space.basis(middle) * poles, axis=1) > half
        a, b = np.where(above, middle, a), np.where(above, b, middle)
    return np.asarray((a + b) / 2)


def _met(scroll: Scroll, pipe: Pipe, s: Array, guess: Array) -> Array:
    """Angle of the scroll and parameter of the pipe, shape (n, 2), where they meet at parameters s of the scroll: Newton."""
    theta, u = (np.array(column, float) for column in guess.T)
    low, high = pipe.space.first, pipe.space.last
    for _ in range(12):
        p, rate = scroll.at(theta, s), scroll.at(theta, s, 1)
        y = np.clip(p[:, 1], 0, pipe.end)
        q, du, dy = pipe.at(u, y), pipe.at(u, y, 1, 0), pipe.at(u, y, 0, 1)
        gap = (q - p)[:, [0, 2]]
        by_theta = (rate - dy * rate[:, 1:2])[:, [0, 2]]
        matrix = np.stack([by_theta, -du[:, [0, 2]]], axis=2)
        step = np.linalg.solve(matrix, gap[..., None])[..., 0]
        theta, u = theta + step[:, 0], np.clip(u + step[:, 1], low, high)
        if np.abs(step).max() < 1e-13:
            break
    return np.stack([theta, u], axis=1)
