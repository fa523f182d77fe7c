"""The blades of an impeller as numbers: camber surface, angle and thickness at any span.

How to use it (metres and radians, z = axis of rotation, flow enters in +z, rotation towards +theta)::

    blading = Blading(impeller)   # a single design; raises AerodesignError where no such channel exists
    blading.meridional            # contours: .hub.at(t), .shroud.at(t), .contour(s).at(t) -> (..., 2) of z, r
    blading.flags                 # list of Flag: blade angle out of sane limits, wraps that could not be matched
    blading.wrap                  # theta of the leading edge minus theta of the trailing edge at the hub

    line = blading.span(s)        # s = 0 hub .. 1 blade tip; a fixed casing lies `clearance` beyond the tip
    line.x, line.t, line.m, line.z, line.r, line.theta, line.beta, line.half_thickness   # 401 stations, x = 0 .. 1
    line.splitter_half_thickness  # the same for a splitter: zero ahead of its leading edge
    line.at(x)                    # CamberPoints at any x in -0.2 .. 1.2: fields x, t, m, z, r, theta, beta, d
    line.half_thickness_at(x, start=0.0)   # half thickness at any x of a blade that begins at x = start
    line.length                   # meridional length from leading edge to r2

    blading.curves(stations=101)  # Curves for figures: hub and shroud polylines, angles, wraps, passage area

x is the part of the meridional length from the leading edge (0) to r = r2 (1); t is the contours' own parameter (the
same ends); m is x times the length; d is the length along the camber line. ``half_thickness`` h is laid off normal to
the camber in the plane (m, r theta): the side ahead in rotation (pressure side) is at m + h sin(beta), theta +
h cos(beta) / r, the other at m - h sin(beta), theta - h cos(beta) / r. The blade is blunt at the exit and has an
elliptic nose. Full blades stand at theta + 2 pi k / blades, splitters half a pitch further, with the same camber from
x = ``splitter_start``.

Stacking: theta = 0 at the trailing edge of the hub; with rake the trailing edge leans by ``rake`` from the axial
direction on the cylinder r2, the tip ahead in rotation; the leading edge lies in the plane z = 0 on one ray (no lean).
To make that possible the angle of each span carries a bump at mid-length; hub and tip share it with opposite signs.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.flags import Flag
from aerodesign.geometry import camber
from aerodesign.geometry.meridional import AFTER, Array, Contour, Meridional, meridional

STATIONS = 401
BETA_LOW, BETA_HIGH = np.radians(-15.0), np.radians(72.0)
"""Blade angles outside these are flagged: common practice, no source."""


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


class Curves(NamedTuple):
    """Curves for figures, each of shape (stations,): positions, angles, theta, passage area without blades."""

    x: Array
    hub_z: Array
    hub_r: Array
    shroud_z: Array
    shroud_r: Array
    hub_m: Array
    shroud_m: Array
    hub_beta: Array
    shroud_beta: Array
    hub_theta: Array
    shroud_theta: Array
    area: Array


@dataclass(frozen=True, eq=False)
class SpanLine:
    """The blade at one span: camber line on a surface of revolution, with thickness. See the module for its use."""

    span: float
    contour: Contour
    beta1: float
    beta2: float
    extra: float
    theta2: float
    thickness: float
    leading_edge_ratio: float
    splitter_start: float

    @cached_property
    def _along(self) -> CubicSpline:
        """Meridional length from the leading edge as a function of t."""
        t = np.r_[np.linspace(-0.3, 0, 120), np.linspace(0, 1, 600)[1:], np.linspace(1, 1 + AFTER, 120)[1:]]
        speed = np.linalg.norm(self.contour.slope(t), axis=-1)
        length = CubicSpline(t, speed).antiderivative()(t)
        return CubicSpline(t, length - length[119])

    @cached_property
    def length(self) -> float:
        """Meridional length from the leading edge to r2."""
        return float(self._along(1.0))

    @cached_property
    def _stations(self) -> tuple[CubicSpline, CubicSpline, CubicSpline]:
        """t, theta and camber length as functions of m."""
        t = self._along.x
        m = self._along(t)
        x = m / self.length
        beta = self.beta_at(x)
        theta = CubicSpline(m, -np.tan(beta) / self.contour.at(t)[:, 1]).antiderivative()
        camber_length = CubicSpline(m, 1 / np.cos(beta)).antiderivative()
        shift, start = theta(self.length) - self.theta2, camber_length(0.0)
        return CubicSpline(m, t), CubicSpline(m, theta(m) - shift), CubicSpline(m, camber_length(m) - start)

    def beta_at(self, x: Array) -> Array:
        """Blade angle; continued smoothly a little beyond both edges."""
        return camber.angle(x=np.clip(x, -0.15, 1.15), beta1=self.beta1, beta2=self.beta2, extra=self.extra)

    def t_at(self, m: Array) -> Array:
        """Contour parameter at a meridional length from the leading edge."""
        return np.asarray(self._stations[0](m))

    def at(self, x: Array | float) -> CamberPoints:
        """Camber points at parts x of the meridional length."""
        x = np.asarray(x, float)
        m = x * self.length
        t_of, theta_of, d_of = self._stations
        t = t_of(m)
        zr = self.contour.at(t)
        return CamberPoints(x, t, m, zr[..., 0], zr[..., 1], theta_of(m), self.beta_at(x), d_of(m))

    def half_thickness_at(self, x: Array | float, start: float = 0.0) -> Array:
        """Half thickness of a blade that begins at ``start``: an elliptic nose, then constant; zero ahead of it."""
        half = self.thickness / 2
        d_of = self._stations[2]
        d = d_of(np.asarray(x, float) * self.length) - d_of(start * self.length)
        ahead = np.clip(1 - d / (self.leading_edge_ratio * half), 0, None)
        return np.asarray(half * np.sqrt(np.clip(1 - ahead**2, 0, None)))

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


class Blading:
    """The blades of one impeller, stacked so that the leading edge is radial. See the module for its use."""

    def __init__(self, impeller: Impeller) -> None:
        self.impeller = impeller
        self.meridional: Meridional = meridional(impeller)
        self._spans: dict[float, SpanLine] = {}
        self.rake_turn = float(impeller.b2 * np.tan(impeller.rake) / impeller.r2)
        self.wrap, self._extras, matched = self._match()
        self.flags: list[Flag] = self._judge(matched)

    def span(self, s: float) -> SpanLine:
        """The blade at a span, 0 hub to 1 tip."""
        key = round(float(s), 12)
        if key not in self._spans:
            self._spans[key] = self._solved(key)
        return self._spans[key]

    def curves(self, stations: int = 101) -> Curves:
        """Curves for figures at equal steps of x."""
        x = np.linspace(0, 1, stations)
        hub, tip = self.span(0).at(x), self.span(1).at(x)
        area = self.meridional.area((hub.t + tip.t) / 2)
        return Curves(x, hub.z, hub.r, tip.z, tip.r, hub.m, tip.m, hub.beta, tip.beta, hub.theta, tip.theta, area)

    def _line(self, s: float, extra: float) -> SpanLine:
        p = self.impeller
        tan1 = (1 - s) * np.tan(p.beta1h_blade) + s * np.tan(p.beta1s_blade)
        return SpanLine(
            span=s,
            contour=self.meridional.contour(s),
            beta1=float(np.arctan(tan1)),
            beta2=float(p.beta2_blade),
            extra=extra,
            theta2=s * self.rake_turn,
            thickness=float((1 - s) * p.thickness_hub + s * p.thickness_shroud),
            leading_edge_ratio=float(p.leading_edge_ratio),
            splitter_start=float(p.splitter_start),
        )

    def _wrap_of(self, s: float) -> Callable[[float], float]:
        """The wrap of a span as a function of its bump."""
        line = self._line(s, 0.0)
        x = np.linspace(0, 1, STATIONS)
        r = line.contour.at(line.t_at(x * line.length))[:, 1]
        return lambda extra: camber.wrap(x=x, r=r, length=line.length, beta1=line.beta1, beta2=line.beta2, extra=extra)

    def _match(self) -> tuple[float, tuple[float, float], bool]:
        """The wrap at the hub, and the bumps of hub and tip, that put both ends of the leading edge on one ray."""
        hub, tip = self._wrap_of(0.0), self._wrap_of(1.0)
        x = np.linspace(0, 1, STATIONS)
        ends = (self._line(0.0, 0.0), self._line(1.0, 0.0))
        low, high = (camber.highest_extra(x=x, beta1=end.beta1, beta2=end.beta2) for end in ends)
        share, matched = camber.bracketed(lambda e: tip(e) - hub(-e) + self.rake_turn, -low, high)
        return hub(-share), (-share, share), matched

    def _solved(self, s: float) -> SpanLine:
        if s in (0.0, 1.0):
            return self._line(s, self._extras[int(s)])
        line = self._line(s, 0.0)
        x = np.linspace(0, 1, STATIONS)
        r = line.contour.at(line.t_at(x * line.length))[:, 1]
        extra, _ = camber.solve_extra(
            x=x, r=r, length=line.length, beta1=line.beta1, beta2=line.beta2, wanted=self._wanted(s)
        )
        return self._line(s, extra)

    def _wanted(self, s: float) -> float:
        """Wrap of a span: hub and tip as matched (equal but for the rake), linear between."""
        hub, tip = (self._wrap_of(float(i))(self._extras[i]) for i in (0, 1))
        return (1 - s) * hub + s * tip

    def _judge(self, matched: bool) -> list[Flag]:
        ends = [self.span(s).beta for s in (0.0, 1.0)]
        lowest, highest = (float(f([f(b) for b in ends])) for f in (np.min, np.max))
        advice = "bring beta1h_blade and beta1s_blade closer together, or change axial_length"
        lean = "hub and tip of the blade cannot be given the same wrap: the leading edge leans"
        low = "the blade angle at mid-length falls below its sane limit"
        high = "the blade angle at mid-length exceeds its sane limit"
        return [
            Flag("blade wrap", not matched, lean, advice, grave=True),
            Flag("blade angle low", lowest < BETA_LOW, low, advice, lowest, BETA_LOW),
            Flag("blade angle high", highest > BETA_HIGH, high, advice, highest, BETA_HIGH),
        ]
