"""The blades of an impeller as numbers: camber surface, angle and thickness at any span.

How to use it (metres and radians, z = axis of rotation, flow enters in +z, rotation towards +theta)::

    blading = Blading(impeller, form.blade)   # a single design; raises AerodesignError where no such channel exists
    blading.meridional            # contours: .hub.at(t), .shroud.at(t), .contour(s).at(t) -> (..., 2) of z, r
    blading.flags                 # list of Flag: blade angle out of sane limits, wraps that could not be matched
    blading.wrap                  # theta of the leading edge minus theta of the trailing edge at the hub
    blading.splitter_turn         # angle from a full blade to its splitter
    blading.casing()              # the fixed shroud's contour, clearance beyond the tips

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
h cos(beta) / r, the other at m - h sin(beta), theta - h cos(beta) / r. The blade is blunt at the exit, or rounded to a flat there, or
all round and then ends a little ahead of r2; it has an elliptic nose that runs into the sides without a jump of curvature. Full blades
stand at theta + 2 pi k / blades, splitters
``splitter_turn`` further, with the same camber from x = ``splitter_start``.

Stacking: theta = 0 at the trailing edge of the hub; with rake the trailing edge leans by ``rake`` from the axial
direction on the cylinder r2, the tip ahead in rotation; the leading edge lies in the plane z = 0 on one ray unless the form
asks for a lean. To make that possible the angle of each span carries a bump at mid-length; hub and tip share it with opposite
signs, the tip no more of it than lets its angle fall all the way; or each has its own where the wrap is given. Spans of a ruled blade lie
on the straight lines that join hub and tip at equal x.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import AerodesignError
from aerodesign.core.flags import Flag
from aerodesign.form.blade import FULL_ROUND, ROUNDED, RULED, SMOOTH, BladeForm
from aerodesign.geometry import camber
from aerodesign.geometry.angle_law import Law, angle_law
from aerodesign.geometry.meridional import Array, Contour, Meridional, meridional
from aerodesign.geometry.nose import ROUND_WITHIN
from aerodesign.geometry.span_line import STATIONS, SpanLine, thickness_law

BETA_LOW, BETA_HIGH = np.radians(-15.0), np.radians(72.0)
"""Blade angles outside these are flagged: common practice, no source."""

BULGE = 0.03
"""Part of the smaller end's area by which a passage may turn back before it is flagged: our own choice."""

HUB_DIP = 0.5
"""How far the hub's angle may fall on the way, to spare the tip a rise: our own choice."""


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


class Blading:
    """The blades of one impeller, stacked so that the leading edge is straight. See the module for its use."""

    def __init__(self, impeller: Impeller, form: BladeForm | None = None) -> None:
        self.impeller = impeller
        self.form = form or BladeForm()
        self.meridional: Meridional = meridional(impeller)
        self._spans: dict[float, SpanLine] = {}
        self._contours: dict[float, Contour] = {}
        self.ruled = self.form.surface == RULED
        self.rounded = self.form.trailing_edge == ROUNDED
        self.closed = self.form.trailing_edge == FULL_ROUND
        self.rake_turn = float(impeller.b2 * np.tan(impeller.rake) / impeller.r2)
        self.splitter_turn = float(2 * np.pi / impeller.blades * self.form.splitter_position)
        self._thickness_law = thickness_law(self.form.thickness_along)
        self.wrap, self._extras, matched = self._match()
        self.flags: list[Flag] = self._judge(matched)

    def span(self, s: float) -> SpanLine:
        """The blade at a span, 0 hub to 1 tip."""
        key = round(float(s), 12)
        if key not in self._spans:
            line = self._on_elements(key) if self.ruled and 0 < key < 1 else self._solved(key)
            self._spans[key] = line.ended_within(self.round_within) if self.closed else line
        return self._spans[key]

    @property
    def round_within(self) -> float:
        """How far within r2 a full round trailing edge stands: the rim must cut its root fillet, however small that is."""
        fillet, usual = float(self.impeller.fillet), ROUND_WITHIN * float(self.impeller.r2)
        return min(usual, fillet / 4) if fillet > 0 else usual

    def contour(self, s: float) -> Contour:
        """The contour that a span lies on."""
        if s not in self._contours:
            self._contours[s] = self.meridional.contour(s)
        return self._contours[s]

    def casing(self) -> Contour:
        """The contour of a fixed shroud over the blade tips: ``clearance`` away at the exit, ``clearance_inlet`` at the leading edge.

        A covered wheel has its cover there instead: the blade tips' own contour.
        """
        gap = 0.0 if bool(self.impeller.covered) else float(self.impeller.clearance)
        asked = float(self.form.clearance_inlet)
        return self.meridional.casing(gap, inlet=asked if gap and asked == asked else gap)

    def curves(self, stations: int = 101) -> Curves:
        """Curves for figures at equal steps of x."""
        x = np.linspace(0, 1, stations)
        hub, tip = self.span(0).at(x), self.span(1).at(x)
        area = self.meridional.area((hub.t + tip.t) / 2)
        return Curves(x, hub.z, hub.r, tip.z, tip.r, hub.m, tip.m, hub.beta, tip.beta, hub.theta, tip.theta, area)

    def _line(self, s: float, extra: float) -> SpanLine:
        """The blade at a span with a given bump."""
        p = self.impeller
        return SpanLine(
            span=s,
            contour=self.contour(s),
            law=self._law(s),
            extra=extra,
            theta2=s * self.rake_turn,
            thickness=float((1 - s) * p.thickness_hub + s * p.thickness_shroud),
            thickness_law=self._thickness_law,
            leading_edge_ratio=float(p.leading_edge_ratio),
            splitter_start=float(p.splitter_start),
            exit_ratio=float(self.form.trailing_edge_ratio) if self.rounded or self.closed else 0.0,
        )

    def _law(self, s: float) -> Law:
        p = self.impeller
        tan1 = (1 - s) * np.tan(p.beta1h_blade) + s * np.tan(p.beta1s_blade)
        t, x, _, r = self._measured(s)
        return angle_law(
            self.form,
            span=s,
            beta1=float(np.arctan(tan1)),
            beta2=float(p.beta2_blade),
            x=x,
            r=r,
            area=self.meridional.area(t),
        )

    def _measured(self, s: float) -> tuple[Array, Array, float, Array]:
        """Contour parameter t at equal steps of x, x, the length and the radii of a span."""
        contour = self.contour(s)
        x = np.linspace(0, 1, STATIONS)
        t = contour.t_at(x * contour.length)
        return t, x, contour.length, contour.at(t)[:, 1]

    def _wrap_of(self, s: float) -> tuple[Callable[[float], float], float]:
        """The wrap of a span as a function of its bump, and the largest bump."""
        _, x, length, r = self._measured(s)
        beta = self._law(s)(x)
        hump = camber.bump(x)
        highest = camber.highest_extra(x=x, beta=beta)
        return lambda extra: camber.wrap(x=x, r=r, length=length, beta=beta + extra * hump), highest

    def _match(self) -> tuple[float, tuple[float, float], bool]:
        """The wrap at the hub, and the bumps of hub and tip, that give the wrap and the lean of the leading edge that were asked for."""
        (hub, hub_highest), (tip, tip_highest) = self._wrap_of(0.0), self._wrap_of(1.0)
        form, beyond = self.form, float(self.form.lean) - self.rake_turn
        if form.exact_angles:
            return hub(0.0), (0.0, 0.0), True
        if form.wrap == form.wrap:
            at_hub, hub_met = camber.bracketed(lambda e: hub(e) - form.wrap, -camber.BUMP_LIMIT, hub_highest)
            at_tip, tip_met = camber.bracketed(lambda e: tip(e) - form.wrap - beyond, -camber.BUMP_LIMIT, tip_highest)
            return hub(at_hub), (at_hub, at_tip), hub_met and tip_met
        share, matched = camber.bracketed(lambda e: tip(e) - hub(-e) - beyond, -hub_highest, tip_highest)
        at_hub, at_tip = -share, share
        if matched and form.angles == SMOOTH and share > self._calm_bump():
            lowest = min(self._lowest_bump(), -share)
            at_hub, _ = camber.bracketed(lambda e: hub(e) - tip(self._calm_bump()) + beyond, lowest, -share)
            at_tip, matched = camber.bracketed(lambda e: tip(e) - hub(at_hub) - beyond, -camber.BUMP_LIMIT, share)
        return hub(at_hub), (at_hub, at_tip), matched

    def _calm_bump(self) -> float:
        """The largest bump with which the angle of a smooth tip nowhere rises above that at its leading edge.

        A rise there turns the blade's load round and speeds up the flow on its suction side. With the cubic ramp 3x^2 - 2x^3 and the bump
        16x^2 (1-x)^2 the bound is met first at the leading edge, where both grow with the square of x.
        """
        return float(max(3 / 16 * (self.impeller.beta1s_blade - self.impeller.beta2_blade), 0.0))

    def _lowest_bump(self) -> float:
        """The bump that brings the angle of the hub, at mid-length, down to :data:`HUB_DIP` of the smaller of those at its ends."""
        ends = float(self.impeller.beta1h_blade), float(self.impeller.beta2_blade)
        return HUB_DIP * min(ends) - sum(ends) / 2

    def _solved(self, s: float) -> SpanLine:
        if s in (0.0, 1.0):
            return self._line(s, self._extras[int(s)])
        wrap, highest = self._wrap_of(s)
        wanted = self._wanted(s)
        extra, _ = camber.bracketed(lambda e: wrap(e) - wanted, -camber.BUMP_LIMIT, highest)
        return self._line(s, extra)

    def _wanted(self, s: float) -> float:
        """Wrap of a span: hub and tip as matched, linear between."""
        hub, tip = (self._wrap_of(float(i))[0](self._extras[i]) for i in (0, 1))
        return (1 - s) * hub + s * tip

    def _on_elements(self, s: float) -> SpanLine:
        """The blade at a span between hub and tip of a ruled one: where the straight elements pierce the span's surface."""
        x = np.linspace(-0.15, 1.15, 2 * STATIONS - 1)
        ends = [self.span(float(i)).at(x) for i in (0, 1)]
        hub, tip = (np.stack([p.r * np.cos(p.theta), p.r * np.sin(p.theta), p.z], axis=1) for p in ends)
        contour = self.contour(s)
        along, t = np.full(len(x), s), (1 - s) * ends[0].t + s * ends[1].t
        for _ in range(6):  # Newton's method on the part of the element and t; three steps reach 1e-13 m
            p = hub + along[:, None] * (tip - hub)
            r = np.hypot(p[:, 0], p[:, 1])
            gap = np.stack([p[:, 2], r], axis=1) - contour.at(t)
            by_part = np.stack([(tip - hub)[:, 2], np.sum((tip - hub)[:, :2] * p[:, :2], axis=1) / r], axis=1)
            by_t = -contour.slope(t)
            step = np.linalg.solve(np.stack([by_part, by_t], axis=2), gap[:, :, None])[:, :, 0]
            along, t = along - step[:, 0], t - step[:, 1]
        p = hub + along[:, None] * (tip - hub)
        line = self._line(s, 0.0)
        m = contour.along(t)
        turned = np.unwrap(np.arctan2(p[:, 1], p[:, 0]))
        near = np.argmin(
            np.abs(x - 1)
        )  # the trailing edge lies near theta = 0 at every span, however far the blade wraps
        theta = CubicSpline(m, turned - 2 * np.pi * np.round(turned[near] / (2 * np.pi)))
        m_even = np.clip(x * line.length, m[0], m[-1])
        beta = np.arctan(-contour.at(line.t_at(m_even))[:, 1] * theta(m_even, 1))
        return replace(line, law=CubicSpline(x, beta), theta2=float(theta(line.length)))

    def _judge(self, matched: bool) -> list[Flag]:
        ends = [self.span(s).beta for s in (0.0, 1.0)]
        lowest, highest = (float(f([f(b) for b in ends])) for f in (np.min, np.max))
        if max(-lowest, highest) >= camber.STEEPEST:
            raise AerodesignError(
                f"blade: the angle on the way would reach {np.degrees(camber.STEEPEST):.0f} deg; ease wrap, lean or the angles, "
                "or leave them free"
            )
        advice = "bring beta1h_blade and beta1s_blade closer together, or change axial_length"
        lean = "hub and tip of the blade cannot be given the wrap that the leading edge asks for: it leans otherwise"
        low = "the blade angle at mid-length falls below its sane limit"
        high = "the blade angle at mid-length exceeds its sane limit"
        back = self.meridional.turning_back()
        turns = "the passage area turns back on its way from inlet to exit"
        return [
            Flag("blade wrap", not matched, lean, advice, grave=True),
            Flag("blade angle low", lowest < BETA_LOW, low, advice, lowest, BETA_LOW),
            Flag("blade angle high", highest > BETA_HIGH, high, advice, highest, BETA_HIGH),
            Flag(
                "passage area",
                np.asarray(back > BULGE),
                turns,
                "a wider exit, a smaller eye, or a longer wheel",
                back,
                BULGE,
            ),
        ]
