"""Points of a test on a known machine, each reading with its uncertainty, held against the meanline's prediction."""

from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.operation import Operation
from aerodesign.core.bounds import Accepts, Within
from aerodesign.core.quantities import Power, Pressure, Ratio, SpecificEnergy, Speed, VolumeFlow
from aerodesign.core.record import Record, record

NONE = float("nan")

QUANTITIES = ("pressure_rise", "power", "work", "efficiency")
"""What a test may measure beside flow and speed."""

USUAL = {"flow": 0.01, "pressure_rise": 0.01, "power": 0.01, "work": 0.01, "efficiency": 0.01}
"""One standard deviation of a reading, as a part of it (of an efficiency: in points), where the test states none. That is 2 % at
95 % confidence: common practice for a careful test in a works, no source."""

LOW = 0.25
"""Below this part of the largest reading, a relative uncertainty counts from there: no instrument gets better for ever as its
reading falls."""


@record
class TestPoints(Record):
    """Test points of one machine: arrays of equal length (or numbers for all), nan where something was not measured.

    ``flow`` at the total state of the inlet flange, ``power`` and ``work`` as the gas takes them, bearings not counted.
    Uncertainties are one standard deviation in the unit of their quantity; nan stands for the usual ones (``USUAL``).
    """

    flow: Annotated[VolumeFlow, Accepts("actual"), Within("0 m3/h", "1e6 m3/h")]
    speed: Annotated[Speed, Within("10 rpm", "200000 rpm")]
    pressure_rise: Annotated[Pressure, Accepts("gauge", "vacuum"), Within("-1 bar", "10 bar")] = NONE
    power: Annotated[Power, Within("0 W", "100 MW")] = NONE
    work: Annotated[SpecificEnergy, Within("0 J/kg", "500 kJ/kg")] = NONE
    efficiency: Annotated[Ratio, Within(-1, 1)] = NONE
    flow_uncertainty: VolumeFlow = NONE
    pressure_rise_uncertainty: Pressure = NONE
    power_uncertainty: Power = NONE
    work_uncertainty: SpecificEnergy = NONE
    efficiency_uncertainty: Ratio = NONE

    def column(self, name: str) -> NDArray[np.float64]:
        """A quantity, one entry per point."""
        return np.array(np.broadcast_to(getattr(self, name), np.atleast_1d(np.empty(self.shape)).shape), dtype=float)

    def deviation(self, name: str) -> NDArray[np.float64]:
        """One standard deviation of a reading, stated or usual, per point."""
        values, stated = np.abs(self.column(name)), self.column(f"{name}_uncertainty")
        scale = 1.0 if name == "efficiency" else reading_scale(values)
        return np.where(np.isfinite(stated), stated, USUAL[name] * scale)

    def counted(self) -> dict[str, NDArray[np.bool_]]:
        """Which readings tell something of their own, per quantity and point.

        Work is power over mass flow, and efficiency follows from pressure rise and either of them: what only repeats another
        reading would count it twice. Test stands derive it from that reading.
        """
        seen = {name: np.isfinite(self.column(name)) for name in QUANTITIES}
        seen["work"] = seen["work"] & ~seen["power"]
        seen["efficiency"] = seen["efficiency"] & ~(seen["pressure_rise"] & (seen["power"] | seen["work"]))
        return seen


def reading_scale(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """What a relative uncertainty is a part of: the reading, but at least ``LOW`` of the largest one."""
    largest = np.max(np.abs(values), initial=0.0, where=np.isfinite(values))
    return np.maximum(np.abs(values), LOW * largest)


def predicted(operation: Operation, basis: str) -> dict[str, Any]:
    """What a test would read on a machine at work, by the names of ``QUANTITIES``."""
    stage = operation.stage
    return {
        "pressure_rise": operation.pressure_rise,
        "power": stage.power,
        "work": stage.work,
        "efficiency": stage.efficiency_static if basis == "static" else stage.efficiency_total,
    }


def rms_errors(points: TestPoints, said: dict[str, Any], used: Any) -> dict[str, float]:
    """Root mean square error per measured quantity over the points used: a part of the mean reading; of efficiency in points."""
    errors = {}
    for name in QUANTITIES:
        seen = points.column(name)
        rows = np.isfinite(seen) & np.isfinite(said[name]) & used
        if rows.any():
            scale = 1.0 if name == "efficiency" else float(np.mean(np.abs(seen[rows])))
            errors[name] = float(np.sqrt(np.mean((np.asarray(said[name])[rows] - seen[rows]) ** 2)) / max(scale, 1e-12))
    return errors
