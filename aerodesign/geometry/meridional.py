"""Hub and shroud of an impeller in the meridional plane: smooth curves from an axial inlet to a radial exit.

z is the axis of rotation, the flow enters in +z. A contour has a parameter t: 0 at the leading edge (z = 0), 1 at the
exit (r = r2). For t < 0 it goes on as a straight axial line, for t > 1 as a straight radial one, with continuous
curvature, so that a mesh or a fillet may reach beyond the blade. Lines of constant t from hub to shroud are straight;
beyond the blade they lie in a plane z = const or on a cylinder, because both contours begin and end with equal speed.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, CubicSpline
from scipy.optimize import least_squares

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import AerodesignError

Array = NDArray[np.float64]

DEGREE = 6
BEFORE = 1.0
"""How far the straight inlet reaches, in t: its length is this times the speed of the contour at t = 0."""
AFTER = 1.0
"""How far the straight exit reaches, in t, likewise."""

EVEN = 0.05
"""Change of area from inlet to exit about which a passage counts as even: its way has no side there that it could turn back from."""

_KNOTS = np.r_[[-BEFORE] * (DEGREE + 1), [0.0] * (DEGREE - 2), [1.0] * (DEGREE - 2), [1 + AFTER] * (DEGREE + 1)]


@dataclass(frozen=True, eq=False)
class Contour:
    """A curve (z, r) of t: a B-spline of degree 6 that is straight for t < 0 and for t > 1.

    ``poles`` are the seven control points of the Bezier curve between; the first three lie on the axial line, the last
    three on the radial one, equally spaced, so that the curvature starts and ends at zero.
    """

    poles: Array

    @cached_property
    def spline(self) -> BSpline:
        """The curve with both straight ends, as a spline of t over [-BEFORE, 1 + AFTER]."""
        poles = [self._blossom(_KNOTS[i + 1 : i + 1 + DEGREE]) for i in range(len(_KNOTS) - DEGREE - 1)]
        return BSpline(_KNOTS, np.array(poles), DEGREE)

    def at(self, t: Array | float) -> Array:
        """Points (z, r), shape ``(*t.shape, 2)``."""
        return np.asarray(self.spline(t))

    def slope(self, t: Array | float, order: int = 1) -> Array:
        """Derivative of (z, r) with respect to t."""
        return np.asarray(self.spline(t, order))

    def tangent(self, t: Array | float) -> Array:
        """Unit vector (z, r) along the flow."""
        d = self.slope(t)
        return np.asarray(d / np.linalg.norm(d, axis=-1, keepdims=True))

    def curvature(self, t: Array | float) -> Array:
        """Curvature in 1/m, positive where the flow turns outwards."""
        d, dd = self.slope(t), self.slope(t, 2)
        return np.asarray((d[..., 0] * dd[..., 1] - d[..., 1] * dd[..., 0]) / np.hypot(d[..., 0], d[..., 1]) ** 3)

    @cached_property
    def along(self) -> CubicSpline:
        """Length from t = 0 as a function of t."""
        t = np.r_[np.linspace(-0.3, 0, 120), np.linspace(0, 1, 600)[1:], np.linspace(1, 1 + AFTER, 120)[1:]]
        length = CubicSpline(t, np.linalg.norm(self.slope(t), axis=-1)).antiderivative()(t)
        return CubicSpline(t, length - length[119])

    @cached_property
    def _backwards(self) -> CubicSpline:
        return CubicSpline(self.along(self.along.x), self.along.x)

    @cached_property
    def length(self) -> float:
        """Length from t = 0 to t = 1."""
        return float(self.along(1.0))

    def t_at(self, m: Array) -> Array:
        """Parameter at a length from t = 0."""
        return np.asarray(self._backwards(m))

    def blend(self, other: "Contour", share: float) -> "Contour":
        """The contour at a part of the way to another one."""
        return Contour((1 - share) * self.poles + share * other.poles)

    def offset(self, distance: float, start: float | None = None) -> "Contour":
        """A contour about ``distance`` to the left of the flow (from hub towards shroud), exact at both ends.

        The distance at the leading edge may be another, ``start``.
        """
        d = np.gradient(self.poles, axis=0)
        d = d / np.linalg.norm(d, axis=1, keepdims=True)
        d[:3], d[-3:] = [1.0, 0.0], [0.0, 1.0]
        first = distance if start is None else start
        away = first + (distance - first) * np.array([0, 0, 0, 0.5, 1, 1, 1])
        return Contour(self.poles + away[:, None] * np.c_[-d[:, 1], d[:, 0]])

    def _blossom(self, arguments: Array) -> Array:
        """The polar form of the piece that the knots belong to: what turns polynomial pieces into spline poles."""
        if arguments[0] < 0 and arguments[-1] <= 0:
            return np.asarray(self.poles[0] + DEGREE * (self.poles[1] - self.poles[0]) * arguments.mean())
        if arguments[-1] > 1 and arguments[0] >= 1:
            return np.asarray(self.poles[-1] + DEGREE * (self.poles[-1] - self.poles[-2]) * (arguments.mean() - 1))
        points = self.poles
        for t in arguments:
            points = (1 - t) * points[:-1] + t * points[1:]
        return np.asarray(points[0])


def _contour(z2: float, r1: float, r2: float, axial: float, radial: float, corner: float, later: float) -> Contour:
    """A contour by its ends, the two handles, and its middle pole: how far towards the corner (z2, r1), how far downstream (-1 to 1).

    The middle pole stays within the triangle of the corner and the handles' ends: so the poles, and with them the curve, bend one way.
    """
    start = np.array([0.0, r1]) + np.outer([0, 1, 2], [axial, 0.0])
    end = np.array([z2, r2]) - np.outer([2, 1, 0], [0.0, radial])
    middle = corner * np.array([z2, r1]) + (1 - corner) * ((1 - later) * start[-1] + (1 + later) * end[0]) / 2
    return Contour(np.vstack([start, middle, end]))


@dataclass(frozen=True, eq=False)
class Meridional:
    """The meridional channel of an impeller: ``hub`` contour and ``shroud`` contour (the blade's tip line), metres."""

    hub: Contour
    shroud: Contour

    def contour(self, span: float) -> Contour:
        """The contour at a span, 0 hub to 1 shroud."""
        return self.hub.blend(self.shroud, span)

    def casing(self, clearance: float, inlet: float | None = None) -> Contour:
        """The contour of a fixed shroud that leaves ``clearance`` over the blade tips, at the leading edge ``inlet`` where given."""
        return self.shroud.offset(clearance, inlet)

    def area(self, t: Array) -> Array:
        """Area across the mean flow at stations t, blades not counted, m2."""
        return _area(self.hub, self.shroud, t)

    def turning_back(self) -> float:
        """How far the passage area turns back on its way from inlet to exit, as a part of the smaller of both: 0 where it is monotone."""
        area = self.area(np.linspace(0, 1, 201))
        along = area * np.sign(area[-1] - area[0])
        return float(np.max(np.maximum.accumulate(along) - along) / min(area[0], area[-1]))


def _area(hub: Contour, shroud: Contour, t: Array) -> Array:
    """Area swept by the line of constant t, projected on the normal to the mean direction of both walls."""
    inner, outer = hub.at(t), shroud.at(t)
    across = outer - inner
    flow = hub.tangent(t) + shroud.tangent(t)
    flow = flow / np.linalg.norm(flow, axis=-1, keepdims=True)
    width = np.abs(across[..., 0] * flow[..., 1] - across[..., 1] * flow[..., 0])
    return np.asarray(np.pi * (inner[..., 1] + outer[..., 1]) * width)


def meridional(impeller: Impeller) -> Meridional:
    """Contours that meet the impeller's r1h, r1s, r2, b2 and axial length.

    ``r1s`` and ``b2`` are those of the blade tip. The handles and middle poles of the contours are chosen by least squares so that the
    passage area goes smoothly (a cubic without overshoot) from inlet to exit and does not turn back on its way, and the walls bend
    gently; our own choice, no source. Raises :class:`AerodesignError` where no axial-to-radial channel fits.
    """
    _check(impeller)
    p = impeller
    r1h, r1s, r2, b2, length = (float(x) for x in (p.r1h, p.r1s, p.r2, p.b2, p.axial_length))
    depth, rise = length - b2, r2 - r1s
    t = np.linspace(0, 1, 41)
    area1, area2 = np.pi * (r1s**2 - r1h**2), 2 * np.pi * r2 * b2
    wanted = area1 + (area2 - area1) * t * t * (3 - 2 * t)
    change = (area2 - area1) / min(area1, area2)
    way = change / (abs(change) + EVEN) / min(area1, area2)

    def channel(x: Array) -> tuple[Contour, Contour]:
        axial, radial = x[2] * depth, x[3] * rise
        hub = _contour(length, r1h, r2, axial, radial, x[0], x[4])
        return hub, _contour(depth, r1s, r2, axial, radial, x[1], x[5])

    usual, stiff = np.array([0.35, 0.35, 0.2, 0.2, 0.0, 0.0]), np.array([1, 1, 1, 1, 0.3, 0.3])

    def misfit(x: Array) -> Array:
        hub, shroud = channel(x)
        bends = np.r_[hub.curvature(t) * length, shroud.curvature(t) * min(depth, rise)]
        area = _area(hub, shroud, t)
        back = np.minimum(way * np.diff(area) / (t[1] - t[0]), 0.0)
        return np.asarray(np.r_[area / wanted - 1, 0.35 * stiff * (x - usual), 0.026 * bends, back])

    bounds = ([0.0, 0.0, 0.12, 0.12, -0.9, -0.9], [0.8, 0.8, 0.28, 0.28, 0.9, 0.9])
    best = least_squares(misfit, usual, bounds=bounds, xtol=1e-10, ftol=1e-10)
    return Meridional(*channel(best.x))


def _check(impeller: Impeller) -> None:
    p, where = impeller, "impeller geometry: "
    if p.shape != ():
        raise AerodesignError(f"{where}one design at a time, got a set of shape {p.shape}; pick one, impeller[i]")
    if p.b1 == 0 and p.r1h >= p.r1s:
        raise AerodesignError(
            f"{where}the hub lies above the shroud: r1h = {p.r1h:.4g} m must be below r1s = {p.r1s:.4g} m; lower r1h"
        )
    if p.b1 > 0:
        raise AerodesignError(
            f"{where}got a cylindrical leading edge (b1 = {p.b1:.4g} m, r1h = {p.r1h:.4g} m, r1s = {p.r1s:.4g} m); "
            "blade surfaces need an axial inlet: b1 = 0 and r1h < r1s"
        )
    if not p.r1s < 0.95 * p.r2:
        raise AerodesignError(
            f"{where}r1s = {p.r1s:.4g} m must be below 0.95 r2 = {0.95 * p.r2:.4g} m; lower r1s or take a larger r2"
        )
    if not p.b2 < 0.8 * p.axial_length:
        raise AerodesignError(
            f"{where}b2 = {p.b2:.4g} m must be below 0.8 axial_length = {0.8 * p.axial_length:.4g} m; "
            "lengthen the wheel or narrow its exit"
        )
