"""Cutting a blade with the side of a cutter: how far its surface is from straight-line elements, and what their twist leaves.

A cylinder of radius R that touches a straight element at both of its ends, where the surface's normals differ by the twist tau,
cuts in at mid-length. Let the element be the y axis, length L, and eta = 2 y / L. A surface of straight elements whose normal turns
evenly in its tangent is z = -x eta T with T = tan(tau / 2): its section at each y is a straight line with the normal
(eta T, 0, 1) / sqrt(1 + eta^2 T^2). An axis at x = k eta, z = h has the distance (k T eta^2 + h) / sqrt(1 + eta^2 T^2) from it. Touching
at both ends asks k = R sin(tau / 2), h = R cos(tau / 2), so that the distance at mid-length is R cos(tau / 2): the cutter goes
too deep by R (1 - cos(tau / 2)). With k = h T / 2 the term in eta^2 vanishes as well, and what is left, R T^4 eta^4 / 8, spreads
over h and k to R T^4 / 64 at best. A cone that touches both ends has its axis between the two places where the cylinders of its end
radii would have theirs: at mid-length it cuts in as the cylinder of its radius there. Derived here, no source.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from aerodesign.core.quantities import Angle, Length
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.profile import NOSE, TAIL, BladeSurface

Surface = Callable[[Array, Array], tuple[Array, Array]]
"""Points and outward unit normals, (n, 3) each, for pairs of height (0 hub to 1 tip) and place along the blade."""

HEIGHTS, SHIFTS = 9, 33
"""Points on an element, and elements tried at each place."""
SLANT = 0.16
"""How far an element's foot may lie from its head, in sigma."""


def overcut(*, radius: Length, twist: Angle) -> Length:
    """How deep a cylinder that touches both ends of a straight element cuts in between."""
    return radius * (1 - np.cos(twist / 2))


def least_error(*, radius: Length, twist: Angle) -> Length:
    """What the best place of the cylinder leaves on either side, for small twist."""
    return radius * np.tan(twist / 2) ** 4 / 64


def largest_radius(*, error: Length, twist: Angle) -> Length:
    """The largest cylinder whose overcut stays within an error; inf without twist."""
    sag = 1 - np.cos(twist / 2)
    return np.where(sag > 0, error / np.where(sag > 0, sag, 1), np.inf)[()]


@dataclass(frozen=True, eq=False)
class Elements:
    """The straight elements nearest to one side of a blade, one at each place.

    ``foot`` and ``head`` are their ends, (n, 3); ``deviation`` is how far the surface lies from them at most, in turn on both sides;
    ``twist`` the angle between the surface's normals at the two ends.
    """

    foot: Array
    head: Array
    deviation: Array
    twist: Array

    @property
    def length(self) -> Array:
        """From hub to tip."""
        return np.asarray(np.linalg.norm(self.head - self.foot, axis=1))

    @property
    def direction(self) -> Array:
        """Unit vectors from hub to tip."""
        return np.asarray((self.head - self.foot) / self.length[:, None])


def nearest_elements(surface: Surface, places: Array) -> Elements:
    """At each place of the tip's edge the straight element to the hub's edge that lies nearest to the surface.

    The element may lie off its ends by a straight line's worth: what counts is how much the surface bends away from straight.
    """
    shift = np.linspace(-SLANT, SLANT, SHIFTS)
    v = np.linspace(0, 1, HEIGHTS)
    place, foot_at, height = (
        x.ravel() for x in np.broadcast_arrays(places[:, None, None], shift[None, :, None], v[None, None, :])
    )
    sigma = np.clip(place + (1 - height) * foot_at, -1.0, 1.0)
    point, normal = (x.reshape(len(places), SHIFTS, HEIGHTS, 3) for x in surface(height, sigma))
    chord = point[:, :, :1] + v[:, None] * (point[:, :, -1:] - point[:, :, :1])
    off = np.sum((chord - point) * normal, axis=3)
    deviation = _from_straight(off, v)
    best = np.argmin(deviation, axis=1)
    at = np.arange(len(places)), best
    cosine = np.sum(normal[:, :, 0] * normal[:, :, -1], axis=2)[at]
    return Elements(point[at][:, 0], point[at][:, -1], deviation[at], np.arccos(np.clip(cosine, -1, 1)))


def _from_straight(off: Array, v: Array) -> Array:
    """Half the spread of values about their straight line of least squares: within a few percent of the least possible."""
    basis = np.stack([np.ones_like(v), v], axis=1)
    line = off @ (np.linalg.pinv(basis).T @ basis.T)
    rest = off - line
    return np.asarray((rest.max(axis=-1) - rest.min(axis=-1)) / 2)


def blade_elements(surface: BladeSurface, *, pressure: bool, count: int = 24) -> Elements:
    """The elements of one side of a blade, from behind its nose to just ahead of the trailing edge."""
    side = 1.0 if pressure else -1.0
    last = 1 - TAIL - 0.02 if surface.closed else 0.9
    return nearest_elements(surface.with_normal, side * np.linspace(NOSE + 0.06, last, count))
