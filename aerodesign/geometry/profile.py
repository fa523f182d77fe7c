"""The surface of one blade with its thickness: a profile that runs round the nose, at every span.

The profile has a parameter sigma: -1 at the end of the suction side (behind rotation), 0 at the nose, +1 at the end of the
pressure side (ahead in rotation). Up to abs(sigma) = ``NOSE`` the stations are spaced as round the quarter of an ellipse, beyond
it along the sides; the two meet with equal speed. It reaches somewhat beyond r2: the trailing edge is cut on the cylinder r2 later.
A full round trailing edge takes the last ``TAIL`` of sigma in the same way; sigma then goes round, -1 and +1 are one place.

Thickness comes from :mod:`~aerodesign.geometry.nose` and the law along the blade. It is laid off normal to the camber in the plane
(m, r theta), so every profile lies on the surface of revolution of its span; between spans the surface is the polynomial through
nine of them, of a ruled blade the straight line from hub to tip.
"""

import numpy as np
from numpy.polynomial import chebyshev
from scipy.interpolate import CubicSpline

from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.nose import END
from aerodesign.geometry.span_line import SpanLine

NOSE = 0.28
"""Part of sigma that the ellipse takes."""
TAIL = 0.2
"""Part of sigma on either side that the ellipse of a full round trailing edge takes."""
SPANS, SPANS_RULED = 9, 2
_EASE = 0.7
"""Part of the side over which the stations are stretched from the spacing of the nose to their widest."""


class BladeSurface:
    """One blade (full or splitter) as a function of span s and sigma, extended ``beyond`` r2 (metres)."""

    def __init__(self, blading: Blading, *, start: float, beyond: float) -> None:
        count = SPANS_RULED if blading.ruled else SPANS
        self._degree = count - 1
        self.spans = 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / self._degree)
        self._weights = np.linalg.inv(chebyshev.chebvander(2 * self.spans - 1, self._degree))
        self._derived = np.array([np.r_[chebyshev.chebder(row), 0] for row in np.eye(count)]).T
        self.closed = blading.closed
        half = np.r_[np.linspace(0, NOSE, 121), np.linspace(NOSE, 1, 401)[1:]]
        sigma = np.r_[-half[:0:-1], half]
        lines = [blading.span(s) for s in self.spans]
        ends = [line.end if self.closed else 1 + beyond / line.length for line in lines]
        stations = [profile_places(line, sigma, start, end) for line, end in zip(lines, ends, strict=True)]
        if blading.ruled:  # the elements join hub and tip at equal x, as those of the camber do
            end = ends[0] if self.closed else max(ends)
            x = profile_places(lines[0], sigma, start, end)[0]
            # round trailing edges end a little apart: the elements are drawn out by that much
            drawn = [start + (x - start) * ((e - start) / (end - start) if self.closed else 1.0) for e in ends]
            stations = [(x, line.at(x).d - line.at(start).d) for line, x in zip(lines, drawn, strict=True)]
        profiles = np.stack(
            [_profile(line, sigma, *at, start) for line, at in zip(lines, stations, strict=True)], axis=1
        )
        if self.closed:
            profiles[[0, -1]] = profiles[[0, -1]].mean(axis=0)
        self._curves = CubicSpline(sigma, profiles, bc_type="periodic" if self.closed else "not-a-knot")
        self.start, self.hub, self.tip = start, blading.meridional.hub, blading.meridional.shroud

    def at(self, s: Array, sigma: Array) -> Array:
        """Points (x, y, z), shape (n, 3), for pairs of s and sigma."""
        return np.asarray(np.einsum("nk,nki->ni", self._basis(s), self._curves(sigma)))

    def with_normal(self, s: Array, sigma: Array) -> tuple[Array, Array]:
        """Points and unit normals out of the blade."""
        nodes = self._curves(sigma)
        basis = self._basis(s)
        along_s = np.einsum("nk,nki->ni", self._basis_slope(s), nodes)
        along_sigma = np.einsum("nk,nki->ni", basis, self._curves(sigma, 1))
        normal = np.cross(along_sigma, along_s)
        normal = normal / np.linalg.norm(normal, axis=1, keepdims=True)
        return np.einsum("nk,nki->ni", basis, nodes), normal

    def _basis(self, s: Array) -> Array:
        return np.asarray(chebyshev.chebvander(2 * s - 1, self._degree) @ self._weights)

    def _basis_slope(self, s: Array) -> Array:
        return np.asarray(2 * chebyshev.chebvander(2 * s - 1, self._degree) @ self._derived @ self._weights)


def profile_places(line: SpanLine, sigma: Array, start: float, x_end: float) -> tuple[Array, Array]:
    """Places x and camber lengths behind the leading edge at ``sigma`` for one span."""
    m = np.linspace(start, x_end, 1501) * line.length
    camber_length = line.at(m / line.length).d
    to_m = CubicSpline(camber_length - camber_length[0], m)
    total, tail = camber_length[-1] - camber_length[0], line.exit_length if line.closed else 0.0
    d = _stations(np.abs(sigma), long=line.nose_length(start), total=total, tail=tail)
    return to_m(d) / line.length, d


def outline(line: SpanLine, sigma: Array, x: Array, d: Array, start: float) -> tuple[Array, Array]:
    """The profile at one span as meridional length and angle about the axis."""
    camber = line.at(x)
    away = np.sign(sigma) * line.half_thickness_behind(d, camber.x, start)
    return camber.m + away * np.sin(camber.beta), camber.theta + away * np.cos(camber.beta) / camber.r


def _profile(line: SpanLine, sigma: Array, x: Array, d: Array, start: float) -> Array:
    """Points (x, y, z) of the profile at one span."""
    m, theta = outline(line, sigma, x, d, start)
    zr = line.contour.at(line.t_at(m))
    return np.stack([zr[:, 1] * np.cos(theta), zr[:, 1] * np.sin(theta), zr[:, 0]], axis=1)


def _stations(g: Array, *, long: float, total: float, tail: float) -> Array:
    """Length along the camber at ``g`` = abs(sigma); ``long`` is the ellipse's half axis, ``tail`` that at the exit (0: none)."""
    if tail > 0:
        return _between_ellipses(g, long=long, total=total, tail=tail)
    turn = np.clip(g / NOSE, 0, 1) * np.pi / 2
    y = np.clip((g - NOSE) / (1 - NOSE), 0, 1)
    slow = long * np.pi / 2 * (1 - NOSE) / NOSE
    fast = slow + (total - long - slow) / (1 - _EASE / 2)
    if total <= END * long or fast <= 0:
        raise RejectedSolid(
            f"blade of {1e3 * total:.3g} mm is too short for its leading edge of {1e3 * long:.3g} mm: "
            "lower leading_edge_ratio, the thickness or splitter_start"
        )
    q = np.clip(y / _EASE, 0, 1)
    eased = _EASE * (q**3 - q**4 / 2) + np.clip(y - _EASE, 0, None)
    side = long + slow * y + (fast - slow) * eased
    return np.where(g <= NOSE, 2 * long * np.sin(turn / 2) ** 2, side)


def _between_ellipses(g: Array, *, long: float, total: float, tail: float) -> Array:
    """The same where both ends are ellipses: between them the spacing grows from that of the one and falls to that of the other."""
    width, ease = 1 - NOSE - TAIL, 0.45
    y = np.clip((g - NOSE) / width, 0, 1)
    first, last = long * np.pi / 2 * width / NOSE, tail * np.pi / 2 * width / TAIL
    fast = (total - long - tail - (first + last) * ease / 2) / (1 - ease)
    if total <= END * (long + tail) or fast <= 0:
        raise RejectedSolid(
            f"blade of {1e3 * total:.3g} mm is too short for edges of {1e3 * long:.3g} and {1e3 * tail:.3g} mm: "
            "lower leading_edge_ratio, trailing_edge_ratio, the thickness or splitter_start"
        )

    def slow(y: Array) -> Array:
        """What is run through at an end's own speed, which fades over ``ease``."""
        q = np.clip(y / ease, 0, 1)
        return np.asarray(ease * (q - q**3 + q**4 / 2))

    side = long + fast * y + (first - fast) * slow(y) + (last - fast) * (ease / 2 - slow(1 - y))
    nose = 2 * long * np.sin(np.clip(g / NOSE, 0, 1) * np.pi / 4) ** 2
    end = total - 2 * tail * np.sin(np.clip((1 - g) / TAIL, 0, 1) * np.pi / 4) ** 2
    return np.where(g <= NOSE, nose, np.where(g < 1 - TAIL, side, end))
