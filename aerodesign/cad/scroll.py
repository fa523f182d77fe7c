"""The scroll of a volute as one spline surface, and the vaneless diffuser that feeds it (millimetres).

The surface's parameters are the angle theta in [0, 2 pi] and the position s in [0, 1] along the outline of the section.
"""

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.spiral import TURN, schedule
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.primitives import cylinder, frame
from aerodesign.cad.spaces import Space, in_pairs, section_nodes
from aerodesign.cad.surfaces import circle, line, line2d, surface_of_poles
from aerodesign.cad.turned import Junction, add_turned
from aerodesign.geometry.entry import Entry

Array = NDArray[np.float64]

STATIONS = 73
HALVES = (0.0, np.pi)
"""Angles at which the halves of a circle begin."""
SHORT = 1e-9
"""Walls shorter than this (mm) are left out."""
Z = np.array([0.0, 0.0, 1.0])
X = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True)
class Scroll:
    """A fitted scroll: the space round the wheel, the space along the outline, and the poles over both."""

    around: Space
    along: Space
    poles: Array

    def section(self, *, end: bool) -> BSpline:
        """Outline (x, y, z) of the first section, or of the last one, as a spline in s; both lie in the plane y = 0."""
        return BSpline(self.along.knots, self.poles[-1 if end else 0], self.along.degree)

    def section_at(self, theta: float) -> BSpline:
        """Outline at an angle as a spline in s."""
        poles = BSpline(self.around.knots, self.poles, self.around.degree)(theta)
        return BSpline(self.along.knots, poles, self.along.degree)

    def slope(self, s: Array, *, end: bool) -> Array:
        """How x and z of the wall grow with y at its first or last section: shape (len(s), 2)."""
        surface_in_theta = BSpline(self.around.knots, self.poles, self.around.degree)
        rate = surface_in_theta.derivative()(TURN if end else 0.0)
        growth: Array = BSpline(self.along.knots, rate, self.along.degree)(s)
        slope: Array = growth[:, [0, 2]] / growth[:, [1]]
        return slope

    def at(self, theta: Array, s: Array, around: int = 0, along: int = 0) -> Array:
        """Points, or derivatives, at pairs of parameters, shape (n, 3)."""
        return in_pairs(self.around.basis(theta, around), self.along.basis(s, along), self.poles)

    def row(self, theta: float, s: Array, around: int = 0, along: int = 0) -> Array:
        """Points, or derivatives, of one section, shape (n, 3)."""
        poles = BSpline(self.around.knots, self.poles, self.around.degree)(theta, around)
        return np.asarray(BSpline(self.along.knots, poles, self.along.degree)(s, along))

    @property
    def surface(self) -> Any:
        """As a surface of the kernel."""
        return surface_of_poles(self.poles, self.around.knots, self.along.knots, self.around.degree, self.along.degree)


def stations(opening: float, count: int = STATIONS) -> Array:
    """Angles at which the spiral is fitted: even in the root of the flow, denser where the sections grow fastest."""
    share = np.linspace(np.sqrt(opening), 1, count) ** 2
    theta: Array = TURN * (share - share[0]) / (1 - share[0])
    theta[[0, -1]] = 0, TURN
    return theta


def fitted_scroll(volute: Volute, diffuser: Diffuser) -> Scroll:
    """The scroll through sections at :func:`stations`, at every point of their outlines."""
    theta = stations(float(volute.opening))
    size = schedule(volute, diffuser, theta).size
    outline = volute.section.outline(size=size, r3=diffuser.r3, b3=diffuser.b3)
    nodes, along = section_nodes(volute.section)
    points = np.stack([outline.r * np.cos(theta), outline.r * np.sin(theta), outline.z], axis=-1)

    # the two ends of the outline are circles: their spline in theta is theirs whatever the section does between
    around = Space(make_interp_spline(theta, theta, k=5).t, 5)
    rows = along.fit(points, sites=nodes).c
    poles = around.fit(np.moveaxis(rows, 1, 0), sites=theta).c
    return Scroll(around, along, poles)


def add_circle(boundary: Boundary, key: Hashable, *, z: float, r: float) -> None:
    """The circle ``key`` about the axis as two half circles, its vertex ``key`` at theta = 0.

    Halves, because a spiral's face comes by the vertex twice: a reader that knows a point of an edge by its place in
    space cannot tell the ends of a whole circle apart there.
    """
    ends = (key, (key, "opposite"))
    for half, (angle, start) in enumerate(zip(HALVES, ends, strict=True)):
        boundary.edge(
            (key, half), circle(z=z, r=r, angle=angle), start=start, end=ends[1 - half], first=0.0, last=np.pi
        )


def circle_of(key: Hashable) -> Junction:
    """A circle made by :func:`add_circle`, for what is turned about the axis."""
    return Junction([((key, half), angle) for half, angle in enumerate(HALVES)], key, 0.0)


def add_base_circles(boundary: Boundary, *, r3: float, half_width: float) -> None:
    """The circles ("base", side) in which the scroll meets the slot's walls."""
    for side in (-1, 1):
        add_circle(boundary, ("base", side), z=side * half_width, r=r3)


def add_diffuser(boundary: Boundary, entry: Entry, *, rims: dict[int, tuple[str, float]], half_width: float) -> None:
    """Both walls of the vaneless diffuser from the circles ``rims``, which exist, in to the entry, and the
    cylinder at r2 where the flow comes in.
    """
    r2, end = float(entry.r2), float(entry.end)
    heights = {-1: float(entry.front), 1: float(entry.back)}
    ends = {}
    for side, height in heights.items():
        wall, (rim, radius) = side * half_width, rims[side]
        corners = [(wall, radius), (wall, end), (height, r2)]
        kept = [a for a, b in pairwise(corners) if np.hypot(*np.subtract(a, b)) > SHORT]
        if not kept:  # the walls that end on the rim have brought the gas to r2 already
            ends[side] = circle_of((rim, side))
            continue
        add_circle(boundary, ("inlet", side), z=height, r=r2)
        ends[side] = circle_of(("inlet", side))
        add_turned(
            boundary,
            f"diffuser {side}",
            [np.array(piece) for piece in pairwise([*kept, corners[-1]])],
            first=circle_of((rim, side)),
            last=ends[side],
            side=-side,
        )
    add_band(boundary, "inlet", radius=r2, low=heights[-1], high=heights[1], ends=(ends[-1], ends[1]))


def add_band(
    boundary: Boundary, key: str, *, radius: float, low: float, high: float, ends: tuple[Junction, Junction]
) -> None:
    """A cylinder about the axis between two circles that exist; the fluid is outside."""
    first, last = ends
    seam = (key, "seam", first.vertex, last.vertex)
    boundary.edge(seam, line(radius * X + low * Z, Z), start=first.vertex, end=last.vertex, first=0.0, last=high - low)
    loop = [
        Use(seam, line2d((0, 0), (0, 1))),
        *(Use(edge, line2d((angle, high - low), (1, 0))) for edge, angle in last.edges),
        Use(seam, line2d((TURN, 0), (0, 1))),
        *(Use(edge, line2d((angle, 0), (1, 0))) for edge, angle in reversed(first.edges)),
    ]
    boundary.face(
        (key, first.vertex, last.vertex),
        cylinder(frame(low * Z, Z, X), radius),
        [loop],
        lambda p: -p * (X + np.array([0.0, 1, 0])),
    )
