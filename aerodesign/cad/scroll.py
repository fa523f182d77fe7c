"""The scroll of a volute as one spline surface, and the vaneless diffuser that feeds it (millimetres).

The surface's parameters are the angle theta in [0, 2 pi] and the position s in [0, 1] along the outline of the section.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.spiral import TURN, schedule
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.primitives import circle_in, cylinder, frame
from aerodesign.cad.spaces import Space, section_nodes
from aerodesign.cad.surfaces import line, line2d, surface_of_poles
from aerodesign.cad.turned import Junction, add_turned
from aerodesign.geometry.entry import Entry

Array = NDArray[np.float64]

STATIONS = 73
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

    def slope(self, s: Array, *, end: bool) -> Array:
        """How x and z of the wall grow with y at its first or last section: shape (len(s), 2)."""
        surface_in_theta = BSpline(self.around.knots, self.poles, self.around.degree)
        rate = surface_in_theta.derivative()(TURN if end else 0.0)
        growth: Array = BSpline(self.along.knots, rate, self.along.degree)(s)
        slope: Array = growth[:, [0, 2]] / growth[:, [1]]
        return slope

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


def add_base_circles(boundary: Boundary, *, r3: float, half_width: float) -> None:
    """The edges ("base", side) in which the scroll meets the slot's walls; vertices ("base", side) at theta = 0."""
    for side in (-1, 1):
        key = ("base", side)
        circle = circle_in(frame(side * half_width * Z, Z, X), r3)
        boundary.edge(key, circle, start=key, end=key, first=0.0, last=TURN)


def add_diffuser(boundary: Boundary, entry: Entry, *, rims: dict[int, tuple[str, float]], half_width: float) -> None:
    """Both walls of the vaneless diffuser from the circles ``rims``, which exist, in to the entry, and the
    cylinder at r2 where the flow comes in.
    """
    r2, end = float(entry.r2), float(entry.end)
    heights = {-1: float(entry.front), 1: float(entry.back)}
    keys = {}
    for side, height in heights.items():
        wall, (rim, radius) = side * half_width, rims[side]
        corners = [(wall, radius), (wall, end), (height, r2)]
        kept = [a for a, b in pairwise(corners) if np.hypot(*np.subtract(a, b)) > SHORT]
        if not kept:  # the walls that end on the rim have brought the gas to r2 already
            keys[side] = (rim, side)
            continue
        key = keys[side] = ("inlet", side)
        boundary.edge(key, circle_in(frame(height * Z, Z, X), r2), start=key, end=key, first=0.0, last=TURN)
        add_turned(
            boundary,
            f"diffuser {side}",
            [np.array(piece) for piece in pairwise([*kept, corners[-1]])],
            first=Junction([((rim, side), 0.0)], (rim, side), 0.0),
            last=Junction([(key, 0.0)], key, 0.0),
            side=-side,
        )
    add_band(boundary, "inlet", radius=r2, low=heights[-1], high=heights[1], keys=(keys[-1], keys[1]))


def add_band(boundary: Boundary, key: str, *, radius: float, low: float, high: float, keys: tuple[Any, Any]) -> None:
    """A cylinder about the axis between two circles that exist, edges and vertices ``keys``; the fluid is outside."""
    seam = (key, "seam", keys)
    boundary.edge(seam, line(radius * X + low * Z, Z), start=keys[0], end=keys[1], first=0.0, last=high - low)
    boundary.face(
        (key, keys),
        cylinder(frame(low * Z, Z, X), radius),
        [
            [
                Use(seam, line2d((0, 0), (0, 1))),
                Use(keys[1], line2d((0, high - low), (1, 0))),
                Use(seam, line2d((TURN, 0), (0, 1))),
                Use(keys[0], line2d((0, 0), (1, 0))),
            ]
        ],
        lambda p: -p * (X + np.array([0.0, 1, 0])),
    )
