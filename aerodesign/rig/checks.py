"""What must be known about a reduced test: meters outside their standard, planes that cannot be, departures from agreed."""

from typing import Any

import numpy as np

from aerodesign.core.flags import Flag, raised
from aerodesign.rig.agreed import REYNOLDS_RATIO, VOLUME_RATIO, mach_limits
from aerodesign.rig.contents import RigTest
from aerodesign.rig.meters import KINDS
from aerodesign.rig.reduction import Solution
from aerodesign.rig.results import Budget, Converted, Results

LARGE = 0.02
"""Uncertainty of an efficiency beyond which a test decides little: two points, common practice, no source."""


def flags_of(test: RigTest, solution: Solution, converted: Converted | None, budget: Budget) -> list[Flag]:
    """All flags that any point raises, the grave ones first."""
    found = _states(solution) + _meter(test, solution) + _powers(test, solution.results, budget)
    if converted is not None and test.agreed is not None:
        found += _departures(converted)
    return raised(found)


def _outside(value: Any, low: Any, high: Any) -> Any:
    """True outside the bounds; false where the value is not known."""
    return np.less(value, low) | np.greater(value, high)


def _states(solution: Solution) -> list[Flag]:
    now = solution.results
    return [
        Flag("plane", solution.inlet.choked | solution.outlet.choked, "a measuring plane cannot carry the flow at its pressure",
             "check the diameters of the planes and the flow meter", grave=True),
        Flag("efficiency", ~_within(now.efficiency, 0, 1), "the efficiency lies outside 0 to 1",
             "the readings of flow, pressure and power contradict each other; check their units and zero readings",
             value=now.efficiency, grave=True),
        Flag("rise", np.less_equal(now.rise_total, 0), "no rise of the total pressure", "check the pressures of the planes",
             value=now.rise_total, grave=True),
    ]  # fmt: skip


def _within(value: Any, low: float, high: float) -> Any:
    return np.greater(value, low) & np.less(value, high)


def _meter(test: RigTest, solution: Solution) -> list[Flag]:
    if test.meter.kind not in KINDS:
        return []
    kind, meter = KINDS[test.meter.kind], solution.meter
    values = {"pipe": test.meter.pipe, "beta": meter.beta, "reynolds": meter.reynolds}
    words = {"pipe": "pipe diameter (m)", "beta": "ratio of bore to pipe", "reynolds": "Reynolds number"}
    source = f"{kind.source.author}: {kind.source.title}"
    found = [
        Flag(f"meter {name}", _outside(values[name], *limits),
             f"the {words[name]} of the {test.meter.kind} lies outside {limits[0]:.3g} to {limits[1]:.3g} of {source}",
             "its coefficient and uncertainty do not hold there; calibrate it or choose another bore", value=values[name])
        for name, limits in kind.limits.items()
    ]  # fmt: skip
    spread = test.spreads.get("meter_difference")
    if spread is not None and not spread.relative:
        found.append(
            Flag("meter difference", np.less(test.readings.meter_difference, 10 * spread.value),
                 "the flow meter reads less than ten of its uncertainties", "use a smaller bore or a finer gauge for this flow",
                 value=test.readings.meter_difference)
        )  # fmt: skip
    return found


def _powers(test: RigTest, now: Results, budget: Budget) -> list[Flag]:
    shaky = budget.uncertainty("efficiency")
    found = [
        Flag("uncertain", ~np.less_equal(shaky, LARGE), f"the efficiency is uncertain by more than {100 * LARGE:g} points or by an unknown amount",
             "improve the readings named as its largest contributors", value=shaky, limit=LARGE)
    ]  # fmt: skip
    if test.power.by != "temperature rise":
        # Both efficiencies share pressures and flow, so their difference knows what they share.
        apart = now.efficiency_by_temperature - now.efficiency
        doubt = np.sqrt(
            np.sum((budget.effects["efficiency_by_temperature"] - budget.effects["efficiency"]) ** 2, axis=0)
        )
        found.append(
            Flag("energy", np.greater(np.abs(apart), doubt),
                 "power and temperature rise give efficiencies that differ by more than their uncertainty",
                 "look for heat lost, leakage, losses of bearings, or a probe that reads wrong", value=apart, limit=doubt)
        )  # fmt: skip
    return found


def _departures(converted: Converted) -> list[Flag]:
    low, high = mach_limits(converted.machine_mach)
    rule = "a limit of ASME PTC 10 (from memory)"
    return [
        Flag("volume ratio", _outside(converted.volume_ratio, *VOLUME_RATIO),
             f"the volume ratio of the test departs from the agreed one by more than 5 %, {rule}",
             "run the test at a speed nearer to the agreed Mach number", value=converted.volume_ratio),
        Flag("machine Mach", _outside(converted.mach_difference, low, high),
             f"the machine Mach number of the test departs too far from the agreed one, {rule}",
             "run the test at a speed nearer to the agreed one", value=converted.mach_difference),
        Flag("machine Reynolds", _outside(converted.reynolds_ratio, *REYNOLDS_RATIO),
             f"the Reynolds number of the test is less than a tenth or more than ten times the agreed one, {rule}",
             "run the test at a density or speed nearer to the agreed ones", value=converted.reynolds_ratio),
    ]  # fmt: skip
