"""Splines on given knots: neighbouring surfaces that share a space and a boundary share the edge to rounding.

A function that lies in a space is reproduced exactly by a fit at the space's sites, so a piece of a curve, cut from a
surface at any parameter, becomes the first row of the next surface without an error of interpolation.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.aero.sections import Section
from aerodesign.cad.surfaces import surface_of_poles

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Space:
    """All splines of one degree over one vector of knots, the outer ones repeated degree + 1 times."""

    knots: Array
    degree: int

    @property
    def first(self) -> float:
        return float(self.knots[0])

    @property
    def last(self) -> float:
        return float(self.knots[-1])

    @property
    def sites(self) -> Array:
        """One parameter for each coefficient (the knots' averages), where a fit interpolates."""
        k = self.degree
        sites = np.array([np.mean(self.knots[i + 1 : i + k + 1]) for i in range(len(self.knots) - k - 1)])
        sites[[0, -1]] = self.first, self.last
        return sites

    def fit(self, values: Array, *, sites: Array | None = None) -> BSpline:
        """The spline with given values, first axis along the sites."""
        where = self.sites if sites is None else sites
        return make_interp_spline(where, values, k=self.degree, t=self.knots)

    def basis(self, at: Array, order: int = 0) -> Array:
        """Values of every spline of the space, or of a derivative: shape (len(at), number of splines)."""
        count = len(self.knots) - self.degree - 1
        return np.asarray(BSpline(self.knots, np.eye(count), self.degree)(at, order))

    def between(self, first: float, last: float) -> "Space":
        """The space of the same splines on a part of the interval."""
        near = 1e-9 * (last - first)  # closer to an end the kernel would take a knot for that end's
        inner = self.knots[(self.knots > first + near) & (self.knots < last - near)]
        ends = np.full(self.degree + 1, first), np.full(self.degree + 1, last)
        return Space(np.concatenate([ends[0], inner, ends[1]]), self.degree)

    def refined(self, longest: float) -> "Space":
        """A space with more knots, none further apart than ``longest``; it holds every spline of this one."""
        distinct = np.unique(self.knots)
        added = [
            a + (b - a) * np.arange(1, n) / n
            for a, b in pairwise(distinct)
            if (n := int(np.ceil((b - a) / longest - 1e-9))) > 1
        ]
        return Space(np.sort(np.concatenate([self.knots, *added])), self.degree)


def surface(grid: Callable[[Array, Array], Array], along_u: Space, along_v: Space) -> Any:
    """The kernel's surface through ``grid(u, v)``, shape (len(u), len(v), 3), taken at the sites of two spaces."""
    points = grid(along_u.sites, along_v.sites)
    columns = along_u.fit(points).c
    poles = np.moveaxis(along_v.fit(np.moveaxis(columns, 1, 0)).c, 0, 1)
    return surface_of_poles(poles, along_u.knots, along_v.knots, along_u.degree, along_v.degree)


def in_pairs(a: Array, b: Array, poles: Array) -> Array:
    """Points (n, 3) of a tensor spline of poles (i, j, 3) from the values (n, i) and (n, j) of its two bases."""
    return np.asarray(np.einsum("ni,nik->nk", a, np.tensordot(b, poles, axes=(1, 1))))


def smoothstep(x: Array) -> Array:
    """From 0 to 1 over [0, 1], with two continuous derivatives, constant outside."""
    t = np.clip(x, 0, 1)
    return t**3 * (10 - 15 * t + 6 * t**2)


def section_nodes(section: Section) -> tuple[Array, Space]:
    """Parameters in [0, 1] of a section's points and a space for its outline.

    An outline in one smooth piece takes the fifth degree. One with joints takes cubics with two knots at each joint
    of a straight and a round piece, so that the curvature may jump there and nothing rings beside it; the points must
    run through the joints at a steady speed, which :class:`~aerodesign.aero.sections.RoundedTrapezoid` sees to.
    """
    joints = np.array(section.joints)
    count = joints[-1] + 1
    nodes = np.linspace(0, 1, count)
    inner = joints[1:-1]
    if len(inner) == 0:
        return nodes, Space(make_interp_spline(nodes, nodes, k=5).t, 5)

    # straight and round pieces alternate: each joint takes the knot of its neighbour in the straight piece as its
    # second
    beside = inner + np.resize([-1, 1], len(inner))
    kept = np.setdiff1d(np.arange(2, count - 2), beside)
    knots = np.sort(np.concatenate([np.zeros(4), nodes[kept], nodes[inner], np.ones(4)]))
    return nodes, Space(knots, 3)
