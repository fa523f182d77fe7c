"""The outside of a casing as an even wall: the scroll's sections, laid off by the wall, and a tube round the duct (millimetres).

Two plane plates stand a wall's thickness beside the slot. Round the scroll every section is laid off by the wall, in its own
half-plane, and cut off at the plates. The last of these outlines is closed across the slot; from it a tube leads to a circle
round the exit cone, at the wall's thickness from the duct's outer wall. On its inner side the tube bridges the hollow that
the tongue leaves. Tube and scroll's beginning meet in a curve that is solved for, as are the tube's lines in the plates.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.cad.duct_room import Fitted
from aerodesign.cad.scroll import Scroll, fitted_scroll
from aerodesign.cad.shell_meeting import Meeting, meeting_of
from aerodesign.cad.shell_pipe import MID, Pipe, pipe_round
from aerodesign.cad.shell_scroll import ADVICE, FLARED, flare, laid_off
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.discharge import Discharge

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Shell:
    """The outside: ``scroll`` between the plates at z = ``sides`` (by side, -1 and 1), the ``pipe``, and where they meet."""

    scroll: Scroll
    pipe: Pipe
    meeting: Meeting
    sides: dict[int, float]
    exit: Discharge
    tube: float

    @property
    def end(self) -> float:
        return self.pipe.end

    def spiral(self, side: int) -> BSpline:
        """The scroll's edge in a plate, (x, y, z) in theta."""
        poles = self.scroll.poles[:, 0 if side < 0 else -1]
        return BSpline(self.scroll.around.knots, poles, self.scroll.around.degree)

    def outline(self, side: int, count: int = 801) -> Array:
        """Points (n, 2) round a plate."""
        line = self.meeting.lines[side]
        y = np.linspace(line.t[-1], 0, count)
        spiral = self.spiral(side)(np.linspace(self.meeting.theta[side], 2 * np.pi, count))[:-1, :2]
        return np.concatenate([spiral, np.stack([line(y[::-1])[:, 1], y[::-1]], axis=1)])

    def points(self, count: int = 201) -> Array:
        """Points (n, 3) on scroll and pipe."""
        theta = np.linspace(min(self.meeting.theta.values()), 2 * np.pi, 721)
        rows = BSpline(self.scroll.around.knots, self.scroll.poles, self.scroll.around.degree)(theta)
        skin = BSpline(self.scroll.along.knots, np.moveaxis(rows, 1, 0), self.scroll.along.degree)(
            np.linspace(0, 1, count)
        )
        u, y = np.meshgrid(MID + self.pipe.turn * np.linspace(0, 1, count), np.linspace(0, self.end, 61))
        return np.concatenate([skin.reshape(-1, 3), self.pipe.at(u.ravel(), y.ravel())])

    @cached_property
    def hull(self) -> dict[int, float]:
        """Volume on each side of z = 0 within plates, scroll and pipe as far as its end, for a symmetric section; else
        half of the whole on each side.

        Gauss's theorem on the field (0, 0, z), which the plane ends along y do not see.
        """
        total = sum(abs(self.sides[side]) * _polygon(self.outline(side, 4001)) for side in (-1, 1))
        total += self._through_scroll() + self._through_pipe()
        return {-1: total / 2, 1: total / 2}

    def _through_scroll(self) -> float:
        nodes, weights = np.polynomial.legendre.leggauss(16)
        share, weights = (nodes + 1) / 2, weights / 2
        total = 0.0
        for curve in (self.meeting.low, self.meeting.high):
            edges = np.linspace(curve.t[0], curve.t[-1], 13)
            for a, b in pairwise(edges):
                s = a + (b - a) * share
                first = curve(s)[:, 0]
                theta = first[:, None] + (2 * np.pi - first)[:, None] * share
                pairs = theta.ravel(), np.repeat(s, len(share))
                p, along, across = (
                    self.scroll.at(*pairs, *order).reshape(*theta.shape, 3) for order in ((0, 0), (1, 0), (0, 1))
                )
                flux = p[..., 2] * (along[..., 0] * across[..., 1] - along[..., 1] * across[..., 0])
                total += (b - a) * float(weights @ (flux @ weights * (2 * np.pi - first)))
        return total

    def _through_pipe(self) -> float:
        """Along lines of constant u, and then along the line on which the pipe begins."""
        pipe = self.pipe
        nodes, weights = np.polynomial.legendre.leggauss(24)
        share, weights = (nodes + 1) / 2, weights / 2

        def along(u: Array, y: Array) -> Array:
            u, y = (u[1:] + u[:-1]) / 2, (y[1:] + y[:-1]) / 2
            at = y[:, None] + (self.end - y)[:, None] * share
            shape = (*at.shape, 3)
            wide = np.repeat(u, len(share))
            p, rate = (pipe.at(wide, at.ravel(), order).reshape(shape) for order in (0, 1))
            return np.asarray((p[..., 2] * rate[..., 0]) @ weights * (self.end - y))

        total = 0.0
        for u, y in self._start():
            total -= float(along(u, y) @ np.diff(u))
        return total

    def _start(self) -> list[tuple[Array, Array]]:
        """The line (u, y) on which the pipe begins, in pieces, from its outermost line round to that line again."""
        low, high = self.meeting.low, self.meeting.high
        up, down = (self.meeting.lines[side] for side in (1, -1))
        part = np.linspace(0, 1, 201)
        y_up, y_down = part * up.t[-1], (1 - part) * down.t[-1]
        s_up, s_down = 1 + part * (high.t[0] - 1), (1 - part) * low.t[-1]
        turn = self.pipe.turn
        return [
            (MID + part * (1 - MID), 0 * part),
            (up(y_up)[:, 0], y_up),
            (high(s_up)[:, 2], high(s_up)[:, 4]),
            (low(s_down)[:, 2], low(s_down)[:, 4]),
            (down(y_down)[:, 0], y_down),
            (turn + part * MID, 0 * part),
        ]


def shell_round(volute: Volute, diffuser: Diffuser, duct: Fitted, *, wall: float, limit: float) -> Shell:
    """The shell round a volute whose section is not a rectangle; its pipe ends at y = ``limit`` at the furthest.

    Raises RejectedSolid where the wall finds no place between duct, plates and scroll.
    """
    half = float(diffuser.b3) / 2 + wall
    inside = fitted_scroll(volute, diffuser)
    if min(flare(inside, 2 * np.pi, end)[0] for end in (False, True)) < FLARED:
        raise RejectedSolid(
            "casing: an even wall needs a section that flares out of its slot on both sides; take a smaller volute_side, "
            f"or {ADVICE}"
        )
    scroll, ends = laid_off(volute, inside, wall, half)
    exit_ = duct.exit
    if limit < float(exit_.duct_length):
        raise RejectedSolid(
            f"casing: the exit cone is too short for its flange and an even wall; take a smaller cone_angle, or {ADVICE}"
        )
    for end in (float(exit_.duct_length), limit):
        pipe = pipe_round(scroll, ends, duct, wall, end)
        meeting = meeting_of(scroll, pipe, half)
        if meeting is not None:
            radius = float(exit_.duct_radius) + wall / np.cos(float(exit_.half_angle))
            radius += (end - float(exit_.duct_length)) * np.tan(float(exit_.half_angle))
            return Shell(scroll, pipe, meeting, {-1: -half, 1: half}, exit_, float(radius))
    raise RejectedSolid(
        "casing: the wall round the discharge does not part from the scroll's before the flange; take a thinner wall, a smaller "
        f"cone_angle that lengthens the cone, or {ADVICE}"
    )


def _polygon(points: Array) -> float:
    x, y = points.T
    return float(abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2)
