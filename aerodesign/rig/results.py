"""What a test gives: results per point, the same at agreed conditions, and how uncertain each is."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.core.flags import Flag
from aerodesign.core.quantities import (
    Density,
    MassFlow,
    Power,
    Pressure,
    Ratio,
    SpecificEnergy,
    TemperatureDifference,
    VolumeFlow,
)
from aerodesign.core.record import Record, record
from aerodesign.rig.contents import RigTest


@record
class Results(Record):
    """Results of a test, a value per point.

    ``flow`` counts at the static state of the inlet plane, ``flow_at_rest`` at its total state. ``rise_total`` is total
    to total, ``rise_static`` from the inlet's total to the outlet's static pressure. ``power`` is the shaft's, ``work`` that
    of the gas. ``efficiency`` is polytropic, total to total, which is ``flow_at_rest * rise_total * Kp`` over the power of the
    gas; ``efficiency_static`` the same to the outlet's static pressure, ``efficiency_overall`` on the power of the shaft.
    ``efficiency_by_temperature`` rests on the temperature rise alone; nan where no outlet temperature was read.
    """

    flow: VolumeFlow
    mass_flow: MassFlow
    flow_at_rest: VolumeFlow
    rise_total: Pressure
    rise_static: Pressure
    pressure_ratio: Ratio
    power: Power
    work: SpecificEnergy
    efficiency: Ratio
    efficiency_static: Ratio
    efficiency_isentropic: Ratio
    efficiency_overall: Ratio
    efficiency_by_temperature: Ratio
    compressibility_factor: Ratio
    temperature_rise: TemperatureDifference
    inlet_density: Density
    flow_coefficient: Ratio
    work_coefficient: Ratio
    machine_mach: Ratio
    reynolds: Ratio


@record
class Converted(Record):
    """Results at the agreed conditions: flow and work coefficient and, but for Reynolds, efficiency kept.

    Ratios compare test and agreed conditions: ``mach_difference`` is test less agreed, ``reynolds_ratio`` and
    ``volume_ratio`` (outlet over inlet) are test over agreed. The departures that a standard limits.
    """

    flow: VolumeFlow
    mass_flow: MassFlow
    rise_total: Pressure
    rise_static: Pressure
    pressure_ratio: Ratio
    power: Power
    work: SpecificEnergy
    efficiency: Ratio
    efficiency_static: Ratio
    machine_mach: Ratio
    mach_difference: Ratio
    reynolds_ratio: Ratio
    volume_ratio: Ratio


@dataclass(frozen=True)
class Budget:
    """What each uncertain reading or size does to each result.

    ``effects[result]`` is an array ``(contributors, points)`` of the signed change of the result by one uncertainty (95 %)
    of the contributor; the result's uncertainty is the root of the sum of their squares.
    """

    contributors: tuple[str, ...]
    effects: Mapping[str, Any]

    def uncertainty(self, result: str) -> Any:
        """Uncertainty of a result at 95 %, per point."""
        return np.sqrt(np.sum(self.effects[result] ** 2, axis=0))[()]

    def largest(self, result: str, count: int = 2) -> list[tuple[str, float]]:
        """The largest contributors over all points, each with its part of the variance; none where nothing is uncertain.

        A contributor whose uncertainty reaches readings that no gas can give comes first, with a part of nan.
        """
        effects = self.effects[result]
        known = np.isfinite(effects)
        beyond = np.any(~known & np.any(known, axis=0), axis=1)
        squares = np.sum(np.where(known, effects, 0.0) ** 2, axis=1)
        total = float(np.sum(squares))
        order = np.lexsort((-squares, ~beyond))[:count]
        parts = [
            (self.contributors[i], float("nan") if beyond[i] else float(squares[i]) / (total or 1.0)) for i in order
        ]
        return [(name, part) for name, part in parts if part != 0]


@record
class Reduced(Results):
    """A reduced test: results per point, their uncertainties at 95 %, the same at agreed conditions, flags.

    ``agreed`` and ``agreed_uncertainty`` are None where the test names no agreed conditions; the results at agreed
    conditions stand in the budget as ``agreed.flow`` and so on.
    """

    uncertainty: Results
    agreed: Converted | None
    agreed_uncertainty: Converted | None
    coefficient: Ratio
    expansibility: Ratio
    meter_reynolds: Ratio
    budget: Budget
    flags: list[Flag]
    test: RigTest
