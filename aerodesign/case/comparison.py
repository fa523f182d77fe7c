"""Measured beside predicted: the same quantity, between the same planes, at the same flow and speed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.uncertainty import SAMPLES, Interval, intervals
from aerodesign.case.contents import Case, Measured
from aerodesign.core.quantities import Speed
from aerodesign.gas.perfect import isentropic_work

FEWEST = 500
"""Samples per measured point at least: the ends of a band are then sure within some 4 % of its width."""


@dataclass(frozen=True)
class Comparison:
    """Measured beside predicted points: rows of numbers, and what the measurements mean.

    ``columns`` holds a pair (measured, predicted) per quantity; ``derived`` names those whose measured side follows from
    others (work from power, or from pressure and efficiency).
    """

    measured: Measured
    flow: Any
    speed: Any
    columns: dict[str, tuple[Any, Any]]
    solved: Any
    derived: tuple[str, ...] = ()

    def errors(self, name: str) -> Any:
        """Relative error of the prediction of a column, point by point."""
        seen, said = self.columns[name]
        return said / seen - 1


def compare(case: Case, blower: Blower, *, speed: Speed, models: Models, measured: Measured) -> Comparison:
    """Predict what was measured; ``speed`` counts where the measurement gives none."""
    flow = np.atleast_1d(measured.flow)
    speeds = np.broadcast_to(np.where(np.isfinite(measured.speed), measured.speed, speed), flow.shape)
    result = operate(
        blower, case.site, service=case.service, basis=basis_of(measured), flow=flow, speed=speeds, models=models
    )
    stage = result.stage
    kept = {name: getattr(stage, name) for name in (*_kept(measured), "work", "pt0")} | {"rise": result.pressure_rise}
    said = predicted(kept, case, measured)
    seen, derived = _seen(case, measured, stage.mass_flow)
    columns = {
        name: (np.broadcast_to(seen[name], flow.shape), np.broadcast_to(value, flow.shape))
        for name, value in said.items()
        if np.any(np.isfinite(seen[name]))
    }
    return Comparison(
        measured=measured,
        flow=flow,
        speed=speeds,
        columns=columns,
        solved=np.broadcast_to(stage.solved, flow.shape),
        derived=tuple(name for name in derived if name in columns),
    )


def comparison_bands(
    case: Case, blower: Blower, comparison: Comparison, *, models: Models, estimated: tuple[str, ...]
) -> dict[str, Interval]:
    """90 % intervals of each column of a comparison, point by point."""
    measured = comparison.measured
    return intervals(
        blower,
        case.site,
        service=case.service,
        basis=basis_of(measured),
        flow=comparison.flow,
        speed=comparison.speed,
        models=models,
        keep=_kept(measured),
        read=lambda kept: {
            name: value for name, value in predicted(kept, case, measured).items() if name in comparison.columns
        },
        estimated=estimated,
        samples=max(FEWEST, SAMPLES // comparison.flow.size),
    )


def basis_of(measured: Measured) -> str:
    """Whether measured pressures are static or total, as the definition says."""
    return "static" if "static" in measured.definition else "total"


def predicted(kept: Mapping[str, Any], case: Case, measured: Measured) -> dict[str, Any]:
    """The quantities of a measurement from a solved stage: between the inlet flange and the plane that was measured in.

    Words of the definition choose: "static" pressures, "polytropic" efficiency, "Euler" work without disc friction,
    recirculation and leakage.
    """
    gas, Tt0, pt0 = case.site.gas, case.site.temperature, kept["pt0"]
    work = kept["euler_work" if "Euler" in measured.definition else "work"]
    reached = kept[_pressure(measured)]
    ratio = reached / pt0
    efficiency = isentropic_work(gas=gas, Tt=Tt0, pressure_ratio=ratio) / work
    if "polytropic" in measured.definition:
        efficiency = gas.kappa * np.log(ratio) / np.log(1 + work / (gas.cp * Tt0))
    return {
        "pressure_rise": kept["rise"] if measured.plane == "5" else reached - pt0,
        "pressure_ratio": ratio,
        "work": work,
        "efficiency": efficiency,
        "power": kept["mass_flow"] * work,
    }


def _pressure(measured: Measured) -> str:
    return ("p" if basis_of(measured) == "static" else "pt") + measured.plane


def _kept(measured: Measured) -> tuple[str, ...]:
    return ("mass_flow", "euler_work", _pressure(measured))


def _seen(case: Case, measured: Measured, mass_flow: Any) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Measured quantities, completed where one follows from the others, and the names of those; work counts on the mass flow predicted."""
    gas, Tt0, pt0 = case.site.gas, case.site.temperature, case.site.pressure
    seen = {name: getattr(measured, name) for name in ("pressure_rise", "pressure_ratio", "efficiency", "power")}
    completed = {"work": seen["power"] / mass_flow}
    if case.service == "pressure" and "polytropic" not in measured.definition:
        rise, ratio = seen["pressure_rise"], seen["pressure_ratio"]
        ratio = np.where(np.isfinite(ratio), ratio, 1 + rise / pt0)
        useful = isentropic_work(gas=gas, Tt=Tt0, pressure_ratio=ratio)
        completed["work"] = np.where(np.isfinite(completed["work"]), completed["work"], useful / seen["efficiency"])
        if not np.any(np.isfinite(seen["efficiency"])):
            completed["efficiency"] = useful / completed["work"]
        if not np.any(np.isfinite(rise)):
            completed["pressure_rise"] = (ratio - 1) * pt0
    return seen | completed, tuple(completed)
