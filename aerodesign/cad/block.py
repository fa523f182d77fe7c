"""The outside of a casing: a block with two plane sides whose outline follows the spiral and the duct (millimetres).

The outline lies outside the gas by the wall's thickness: along the spiral, up the outer wall of the duct, across its end,
down its inner wall to a rounded cleft, and round again. Where duct and scroll stand closer than two walls and the cleft,
the block is solid between them.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from scipy.optimize import brentq

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.spiral import TURN, schedule
from aerodesign.cad.duct import strip_points
from aerodesign.cad.duct_room import Fitted
from aerodesign.cad.scroll import stations
from aerodesign.cad.spaces import smoothstep
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.casing import SIDES

Array = NDArray[np.float64]

CLEFT = 0.5
"""Least radius of the cleft between scroll and duct over the wall."""
PIECES = ("spiral", "outer", "end", "inner", "cleft")


@dataclass(frozen=True, eq=False)
class Block:
    """The outline in the plane of the spiral, and where the block's plane sides stand: z by side, -1 and 1.

    ``spiral`` is a spline (x, y) of theta from ``first`` to 2 pi; ``outer`` and ``inner`` are splines of y up to ``end``,
    the inner one from ``low``; the cleft is an arc about ``centre`` between them.
    """

    spiral: BSpline
    outer: BSpline
    inner: BSpline
    first: float
    low: float
    end: float
    centre: Array
    cleft: float
    sides: dict[int, float]
    tube: float

    @property
    def corners(self) -> dict[str, Array]:
        """Where the pieces begin."""
        return {
            "spiral": self.spiral(self.first),
            "outer": self.outer(self.outer.t[0]),
            "end": self.outer(self.end),
            "inner": self.inner(self.end),
            "cleft": self.inner(self.low),
        }

    @property
    def cleft_angles(self) -> tuple[float, float]:
        """Angles of the arc about its centre, from the spiral to the inner wall, growing or falling by less than a turn."""
        corners = self.corners
        start, end = (np.arctan2(*(corners[name] - self.centre)[::-1]) for name in ("spiral", "cleft"))
        # the arc bulges towards the axis: it runs from the spiral clockwise below the centre
        return float(start), float(start + (end - start) % TURN)

    def points(self, count: int = 201) -> Array:
        """Points (n, 3) round both sides."""
        return np.concatenate(
            [
                np.column_stack([line, np.full(len(line), self.sides[side])])
                for side in (-1, 1)
                for line in [self.outline(side, count)]
            ]
        )

    def outline(self, side: int = 1, count: int = 801) -> Array:
        """Points (n, 2) round the outline, the same on both sides."""
        start, end = self.cleft_angles
        angle = np.linspace(start, end, count)[::-1]
        arc = self.centre + self.cleft * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        return np.concatenate(
            [
                self.spiral(np.linspace(self.first, TURN, count)),
                self.outer(np.linspace(self.outer.t[0], self.end, count)),
                self.inner(np.linspace(self.end, self.low, count)),
                arc,
            ]
        )

    @property
    def area(self) -> float:
        """Area of the outline."""
        x, y = self.outline(count=20001).T
        return float(abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2)

    @property
    def hull(self) -> dict[int, float]:
        """Volume on each side of z = 0."""
        return {side: abs(z) * self.area for side, z in self.sides.items()}


def block_round(volute: Volute, diffuser: Diffuser, duct: Fitted, *, wall: float, limit: float) -> Block:
    """The block round a volute (millimetres); it ends at y = ``limit`` at the furthest.

    Raises RejectedSolid where the duct is too short to part from the scroll before that.
    """
    theta = np.sort(np.concatenate([stations(float(volute.opening)), [0.0]]))[1:]
    r = schedule(volute, diffuser, theta).outer_radius
    base = make_interp_spline(theta, np.stack([r * np.cos(theta), r * np.sin(theta)], axis=1), k=5)
    spiral = make_interp_spline(theta, base(theta) + wall * to_the_right(base(theta, 1)), k=5)

    y, x_in, x_out = _shadow(duct, limit)
    wide = SIDES * wall
    thickness = wall + (wide - wall) * smoothstep(y / float(duct.exit.duct_length))
    outer = make_interp_spline(
        np.r_[spiral(TURN)[1], y[1:]],
        np.stack(
            [np.r_[spiral(TURN)[0], (x_out + thickness * _slant(y, x_out))[1:]], np.r_[spiral(TURN)[1], y[1:]]], axis=1
        ),
        k=3,
    )
    inner = make_interp_spline(y, np.stack([x_in - wide * _slant(y, x_in), y], axis=1), k=3)

    cleft = max(CLEFT * wall, float(volute.tongue_radius))
    first, low, centre = _cleft(spiral, inner, cleft, limit)
    end = min(max(float(duct.exit.duct_length), low + cleft), limit)
    along = end - float(duct.exit.duct_length)
    radius = float(duct.exit.duct_radius) + along * float(np.tan(duct.exit.half_angle))
    outline = volute.section.outline(size=schedule(volute, diffuser, theta).size, r3=diffuser.r3, b3=diffuser.b3)
    lift = float(duct.exit.lift)
    z = np.concatenate([outline.z.ravel(), *(p[..., 2].ravel() for p in _walls(duct, np.linspace(0, 1, 121)))])
    sides = {
        -1: min(float(np.min(z)) - wall, lift - radius - wide),
        1: max(float(np.max(z)) + wall, lift + radius + wide),
    }
    tube = radius + wall / np.cos(float(duct.exit.half_angle))
    return Block(spiral, outer, inner, first, low, end, centre, cleft, sides, tube)


def _shadow(duct: Fitted, limit: float) -> tuple[Array, Array, Array]:
    """Least and greatest x of the gas in the discharge, at stations y from the tongue to ``limit``."""
    exit_ = duct.exit
    along = np.linspace(0, 1, 61)
    x = np.concatenate([wall[..., 0] for wall in _walls(duct, along)], axis=1)
    beyond = np.linspace(exit_.duct_length, max(limit, exit_.duct_length * 1.05), 9)[1:]
    radius = exit_.duct_radius + (beyond - exit_.duct_length) * np.tan(exit_.half_angle)
    y = np.concatenate([along * exit_.duct_length, beyond])
    return y, np.r_[x.min(axis=1), exit_.axis - radius], np.r_[x.max(axis=1), exit_.axis + radius]


def _walls(duct: Fitted, along: Array) -> list[Array]:
    """Points of the duct's walls at stations along it, each of shape (len(along), 201, 3)."""
    return [strip_points(strip, duct.exit, along, 201) for strip in duct.strips]


def _slant(y: Array, x: Array) -> Array:
    """Length of a line x(y) per length in y: what a thickness across it measures along x."""
    return np.hypot(1, make_interp_spline(y, x, k=3)(y, 1))


def to_the_right(tangent: Array) -> Array:
    """Unit normals on the right of tangents (n, 2)."""
    normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)
    return np.asarray(normal / np.linalg.norm(normal, axis=-1, keepdims=True))


def _cleft(spiral: BSpline, inner: BSpline, radius: float, limit: float) -> tuple[float, float, Array]:
    """Angle and y at which an arc of a radius touches spiral and inner wall, and its centre."""

    def beside(y: float) -> Array:
        """Centres of circles that touch the inner wall, on its left going up."""
        return np.asarray(inner(y) - radius * to_the_right(inner(y, 1)))

    def beyond(theta: float) -> Array:
        return np.asarray(spiral(theta) + radius * to_the_right(spiral(theta, 1)))

    def angle(p: Array) -> float:
        return float(np.arctan2(p[1], p[0]))

    def foot(p: Array) -> float:
        """Angle of the spiral at which a circle beside it has its centre in the direction of a point."""
        low, high = -0.2, 0.8 * np.pi
        wanted = np.clip(angle(p), angle(beyond(low)), angle(beyond(high)))
        return float(brentq(lambda theta: angle(beyond(theta)) - wanted, low, high, xtol=1e-14))

    def free(y: float) -> float:
        """How far the circle beside the inner wall is from touching the spiral; negative where it cuts in."""
        centre = beside(y)
        return float(np.hypot(*centre) - np.hypot(*beyond(foot(centre))))

    y = np.linspace(0, limit, 81)
    gap = np.array([free(each) for each in y])
    if gap[-1] <= 0:
        raise RejectedSolid(
            "casing: the discharge ends before its wall has parted from the scroll's; "
            "take a thinner wall, or a smaller cone_angle that lengthens the cone"
        )
    touching = np.flatnonzero(gap <= 0)
    if len(touching) == 0:
        raise RejectedSolid("casing: scroll and discharge stand apart at the tongue; take a smaller tongue_radius")
    low = float(brentq(free, y[touching[-1]], y[touching[-1] + 1], xtol=1e-13))
    return foot(beside(low)), low, beside(low)
