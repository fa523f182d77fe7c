"""All milling checks of one wheel in one shop, as measured; :mod:`aerodesign.milling.judge` holds them against limits.

How to use it (metres, radians)::

    survey = survey_of(impeller, Shop())   # a single design, forms of blade and body may follow; raises AerodesignError where there are no blades
    survey.gaps, survey.balls, survey.maps  # distances between blades; largest balls along the passages and over a blade
    survey.cutter, survey.next_cutter       # diameters: the largest on hand that passes and reaches, the first that does not pass
    survey.changes                          # what would let that one in, the smallest change first
    survey.work                             # volumes, passes, hours, cost; None where no cutter passes
    judge.findings(survey)                  # lines with value, limit, margin, source, advice
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.form import BladeForm, Shop, WheelForm
from aerodesign.geometry.profile import BladeSurface
from aerodesign.milling.access import Surroundings, Tool
from aerodesign.milling.ball import Ball, BallMap, ball_map, largest_balls
from aerodesign.milling.casting import casting_findings
from aerodesign.milling.changes import Change, changes_for, larger_fillet
from aerodesign.milling.finding import Finding
from aerodesign.milling.flank import Elements, blade_elements
from aerodesign.milling.gap import Gap, least_gaps
from aerodesign.milling.sweep import Sweep, blade_sweep, hub_sweep
from aerodesign.milling.wheel import Wheel, wheel_of
from aerodesign.milling.work import Work, work

DEFERENCE = (
    "The shop decides. These checks look at the drawn surfaces with ball-nosed cutters and straight holders; clamping, vibration, deflection, "
    "wear, collisions of the machine itself and the cutter's path are the shop's to judge before anything is quoted or cut."
)

TRIED = 3
"""Cutters tried for their reach, the largest first: thinner ones that stand out less far seldom get further."""

BEYOND = 0.02
"""How far past r2, as a part of it, a blade's surface is drawn for its straight elements."""


@dataclass(frozen=True, eq=False)
class Survey:
    """What the checks measured. Cutters are diameters: ``cutter`` is the largest on hand that passes between all blades and reaches
    most of the hub, ``root_cutter`` the largest that the fillet admits, ``next_cutter`` the first that does not pass; or None.

    ``hub`` and ``sides`` are the places tried with ``cutter``; ``elements`` the straight elements of both sides of the full blade.
    ``fillet_grows`` tells whether a fillet of the cutter's radius has room.
    """

    impeller: Impeller
    shop: Shop
    fillet: float
    gaps: list[Gap]
    balls: list[Ball]
    maps: list[BallMap]
    cutter: float | None
    root_cutter: float | None
    next_cutter: float | None
    hub: Sweep | None
    sides: Sweep | None
    elements: tuple[Elements, Elements]
    work: Work | None
    changes: list[Change]
    fillet_grows: bool
    casting: list[Finding]

    @property
    def tightest(self) -> Ball:
        """The passage with the smallest of the largest balls."""
        return min(self.balls, key=lambda ball: float(ball.radius[ball.least]))

    @property
    def largest_ball(self) -> float:
        """Diameter of the largest ball that passes everywhere."""
        return 2 * float(np.min(self.tightest.radius))


def tools(shop: Shop) -> list[Tool]:
    """The shop's cutters, the smallest first."""
    pairs = sorted(zip(shop.cutters, shop.reaches, strict=True))
    holder, taper = float(shop.holder) / 2, float(shop.taper)
    return [Tool(float(diameter) / 2, float(reach), holder, taper) for diameter, reach in pairs]


def survey_of(impeller: Impeller, shop: Shop, form: BladeForm | None = None, body: WheelForm | None = None) -> Survey:
    """All checks of a single wheel, about a second. Raises AerodesignError where its blades cannot be drawn."""
    wheel = wheel_of(impeller, form, body)
    balls, on_hand = largest_balls(wheel), tools(shop)
    room = min(float(np.min(ball.radius)) for ball in balls) - float(shop.stock)
    around = Surroundings(wheel)
    hub = _deepest(wheel, around, balls, [tool for tool in on_hand if tool.radius <= room], float(shop.tilt))
    tool = hub.tool if hub else None
    larger = next((tool for tool in on_hand if tool.radius > room), None)
    roots = [tool for tool in on_hand if tool.radius <= wheel.row.fillet * (1 + 1e-9)]
    surface = BladeSurface(wheel.blading, start=0.0, beyond=BEYOND * float(impeller.r2))
    smallest = (roots or on_hand[:1])[-1]
    return Survey(
        impeller=impeller,
        shop=shop,
        fillet=wheel.row.fillet,
        gaps=least_gaps(wheel),
        balls=balls,
        maps=ball_map(wheel),
        cutter=2 * tool.radius if tool else None,
        root_cutter=2 * roots[-1].radius if roots else None,
        next_cutter=2 * larger.radius if larger else None,
        hub=hub,
        sides=blade_sweep(wheel, around, tool, float(shop.tilt)) if tool else None,
        elements=(blade_elements(surface, pressure=True), blade_elements(surface, pressure=False)),
        work=work(wheel, shop, cutter=2 * tool.radius, root_cutter=2 * min(smallest.radius, tool.radius))
        if tool
        else None,
        changes=changes_for(wheel, larger.radius + float(shop.stock)) if larger else [],
        fillet_grows=bool(tool and tool.radius > wheel.row.fillet and larger_fillet(wheel, tool.radius)),
        casting=casting_findings(wheel),
    )


def _deepest(wheel: Wheel, around: Surroundings, balls: list[Ball], passing: list[Tool], tilt: float) -> Sweep | None:
    """The largest tool that reaches all of the hub; where none of the first few does, the one that reaches most of it."""
    best: Sweep | None = None
    for tool in passing[: -TRIED - 1 : -1]:
        sweep = hub_sweep(wheel, around, balls, tool, tilt)
        if best is None or sweep.part > best.part:
            best = sweep
        if best.part == 1.0:
            break
    return best
