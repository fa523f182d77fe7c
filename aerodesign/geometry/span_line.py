"""The blade at one span: its camber line on a surface of revolution, with thickness and both edges. How to use it: see ``geometry.blade``."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.geometry import camber
from aerodesign.geometry.angle_law import Law, continued
from aerodesign.geometry.meridional import Array, Contour
from aerodesign.geometry.nose import PURE, exit_share, nose_share

STATIONS = 401
"""Stations along a blade."""


class CamberPoints(NamedTuple):
    """Points of a camber line; every field has the shape of ``x``."""

    x: Array
    t: Array
    m: Array
    z: Array
    r: Array
    theta: Array
    beta: Array
    d: Array


@dataclass(frozen=True, eq=False)
class SpanLine:
    """The blade at one span: camber line on a surface of revolution, with thickness. See the module for its use."""

    span: float
    contour: Contour
    law: Law
    extra: float
    theta2: float
    thickness: float
    thickness_law: Law
    leading_edge_ratio: float
    splitter_start: float
    exit_ratio: float = 0.0
    end: float = float("inf")
    """Where (in x) a full round trailing edge ends; beyond it there is no blade."""

    @property
    def length(self) -> float:
        """Meridional length from the leading edge to r2."""
        return self.contour.length

    @cached_property
    def _stations(self) -> tuple[CubicSpline, CubicSpline]:
        """Theta and camber length as functions of m."""
        t = self.contour.along.x
        m = self.contour.along(t)
        x = m / self.length
        beta = self.beta_at(x)
        theta = CubicSpline(m, -np.tan(beta) / self.contour.at(t)[:, 1]).antiderivative()
        camber_length = CubicSpline(m, 1 / np.cos(beta)).antiderivative()
        shift, start = theta(self.length) - self.theta2, camber_length(0.0)
        return CubicSpline(m, theta(m) - shift), CubicSpline(m, camber_length(m) - start)

    def beta_at(self, x: Array) -> Array:
        """Blade angle; continued smoothly a little beyond both edges."""
        x = np.clip(x, -0.15, 1.15)
        return np.clip(self.law(x) + self.extra * camber.bump(x), -camber.STEEPEST, camber.STEEPEST)

    def t_at(self, m: Array) -> Array:
        """Contour parameter at a meridional length from the leading edge."""
        return self.contour.t_at(m)

    def at(self, x: Array | float) -> CamberPoints:
        """Camber points at parts x of the meridional length."""
        x = np.asarray(x, float)
        m = x * self.length
        theta_of, d_of = self._stations
        t = self.t_at(m)
        zr = self.contour.at(t)
        return CamberPoints(x, t, m, zr[..., 0], zr[..., 1], theta_of(m), self.beta_at(x), d_of(m))

    def half_thickness_at(self, x: Array | float, start: float = 0.0) -> Array:
        """Half thickness of a blade that begins at ``start``; zero ahead of it."""
        x = np.asarray(x, float)
        d_of = self._stations[1]
        return self.half_thickness_behind(d_of(x * self.length) - d_of(start * self.length), x, start)

    def half_thickness_behind(self, d: Array, x: Array, start: float) -> Array:
        """Half thickness at a camber length ``d`` behind the leading edge, which is at x, of a blade that begins at ``start``."""
        half = self.thickness / 2 * self.thickness_law(x)
        if self.exit_ratio > 0:
            d_of, share = self._stations[1], nose_share if self.closed else exit_share
            last = min(self.end, 1.0)
            half = half * share((d_of(last * self.length) - d_of(x * self.length)) / self.exit_length)
        return np.asarray(half * nose_share(d / self.nose_length(start)))

    def nose_length(self, start: float) -> float:
        """The long half axis of the ellipse at the leading edge of a blade that begins at ``start``."""
        return float(self.leading_edge_ratio * self.thickness / 2 * self.thickness_law(np.array(start)))

    @property
    def closed(self) -> bool:
        """Whether the two sides meet in a full round trailing edge."""
        return bool(np.isfinite(self.end))

    @property
    def exit_length(self) -> float:
        """The long half axis of the ellipse at a rounded trailing edge."""
        return float(self.exit_ratio * self.thickness / 2 * self.thickness_law(np.array(1.0)))

    def ended_within(self, within: float) -> "SpanLine":
        """The same span with a full round trailing edge whose outermost point stands ``within`` the radius r2.

        Thickness is laid off across the camber, so the outermost point lies beside its end where the blade leans back.
        """
        m = np.linspace(0.9, 1.0, 401) * self.length
        radius = self.contour.at(self.t_at(m))[:, 1]
        wanted = float(np.interp(radius[-1] - within, radius, m))
        line = replace(self, end=1 - self.exit_length / self.length)
        share = 2 * PURE * np.sin(np.linspace(0, np.pi / 2, 801) / 2) ** 2
        for _ in range(8):  # the outermost point moves with the end; every step leaves a hundredth of the miss
            x = line.end - share * line.exit_length * np.cos(float(line.beta_at(np.array(line.end)))) / line.length
            reach = x * line.length + line.half_thickness_at(x) * np.abs(np.sin(line.beta_at(x)))
            line = replace(line, end=line.end + (wanted - float(reach.max())) / line.length)
        return line

    @cached_property
    def _points(self) -> CamberPoints:
        return self.at(np.linspace(0, 1, STATIONS))

    x = property(lambda self: self._points.x)
    t = property(lambda self: self._points.t)
    m = property(lambda self: self._points.m)
    z = property(lambda self: self._points.z)
    r = property(lambda self: self._points.r)
    theta = property(lambda self: self._points.theta)
    beta = property(lambda self: self._points.beta)
    half_thickness = property(lambda self: self.half_thickness_at(self.x))
    splitter_half_thickness = property(lambda self: self.half_thickness_at(self.x, self.splitter_start))


def thickness_law(factors: tuple[float, ...]) -> Law:
    """The factor on the thickness over x: the spline without curvature at its ends through values at equal steps; 1 where none are given."""
    if not factors:
        return lambda x: np.ones(np.shape(x))
    return continued(CubicSpline(np.linspace(0, 1, len(factors)), factors, bc_type="natural"))
