"""What the file of a blower test says, as checked records in SI units: readings, meter, planes, power, agreed conditions."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from aerodesign.core.bounds import Accepts, OneOf, Within
from aerodesign.core.quantities import (
    Density,
    Length,
    MassFlow,
    Power,
    Pressure,
    Ratio,
    Speed,
    Temperature,
    Torque,
    VolumeFlow,
)
from aerodesign.core.record import Record, record
from aerodesign.rig.meters import KINDS

NAN = float("nan")
ANY_PRESSURE = Accepts("gauge", "absolute", "vacuum")
OF_PLANE = Within("-1 bar", "10 bar")
OF_AIR = Within("230 K", "330 K")
OF_GAS = Within("230 K", "600 K")
OF_PIPE = Within("5 mm", "5 m")


@record
class Readings(Record):
    """What the instruments showed, a value per point; nan where nothing was read.

    A pressure at a plane stays as it was read, gauge or absolute (:attr:`RigTest.absolute` tells); a vacuum is a
    negative gauge pressure. ``traverse`` holds the dynamic pressures of a Pitot traverse, ``(n, points)``.
    """

    barometer: Annotated[Pressure, Accepts("absolute", advice="give it absolute"), Within("400 mbar", "1150 mbar")] = (
        NAN
    )
    ambient_temperature: Annotated[Temperature, OF_AIR] = NAN
    relative_humidity: Annotated[Ratio, Within(0, 1)] = NAN
    speed: Annotated[Speed, Within("10 rpm", "200000 rpm")] = NAN

    inlet_pressure: Annotated[Pressure, ANY_PRESSURE, OF_PLANE] = NAN
    inlet_total_pressure: Annotated[Pressure, ANY_PRESSURE, OF_PLANE] = NAN
    inlet_temperature: Annotated[Temperature, OF_AIR] = NAN
    outlet_pressure: Annotated[Pressure, ANY_PRESSURE, OF_PLANE] = NAN
    outlet_total_pressure: Annotated[Pressure, ANY_PRESSURE, OF_PLANE] = NAN
    outlet_temperature: Annotated[Temperature, OF_GAS] = NAN

    meter_difference: Annotated[Pressure, Within("1 Pa", "1 bar")] = NAN
    traverse: Annotated[Pressure, Within("0 Pa", "1 bar", advice="count a negative reading as 0")] = NAN
    meter_pressure: Annotated[Pressure, ANY_PRESSURE, OF_PLANE] = NAN
    meter_temperature: Annotated[Temperature, OF_GAS] = NAN
    mass_flow: Annotated[MassFlow, Within("0.1 kg/h", "1e6 kg/h")] = NAN
    volume_flow: Annotated[VolumeFlow, Accepts("actual"), Within("0.1 m3/h", "1e6 m3/h")] = NAN

    torque: Annotated[Torque, Within("0 N m", "1e5 N m")] = NAN
    shaft_power: Annotated[Power, Within("1 W", "100 MW")] = NAN
    electric_power: Annotated[Power, Within("1 W", "100 MW")] = NAN


@record
class Meter(Record):
    """The flow meter: its kind, where it stands and its sizes. ``coefficient`` from a calibration replaces the standard's.

    A ``mass meter`` or a ``volume meter`` was reduced before; it reads ``mass_flow`` or ``volume_flow``, the volume at
    the state of the meter.
    """

    kind: Annotated[str, OneOf((*KINDS, "mass meter", "volume meter"))]
    at: Annotated[str, OneOf(("inlet", "outlet"))]
    taps: Annotated[str, OneOf(("corner", "flange", "D and D/2"))] = ""
    bore: Annotated[Length, OF_PIPE] = NAN
    pipe: Annotated[Length, OF_PIPE] = NAN
    coefficient: Annotated[Ratio, Within(0.3, 1.2)] = NAN


@record
class Planes(Record):
    """The measuring planes and the sizes of the machine. A plane is a ``pipe`` or ``open`` to the air.

    ``recovery`` is the part of the dynamic temperature that the probes feel. ``wheel_diameter``, ``exit_width`` and
    ``roughness`` serve the coefficients, Mach and Reynolds numbers; nan where not given.
    """

    inlet: Annotated[str, OneOf(("pipe", "open"))] = "pipe"
    outlet: Annotated[str, OneOf(("pipe", "open"))] = "pipe"
    inlet_diameter: Annotated[Length, OF_PIPE] = NAN
    outlet_diameter: Annotated[Length, OF_PIPE] = NAN
    recovery: Annotated[Ratio, Within(0, 1)] = 1.0
    wheel_diameter: Annotated[Length, OF_PIPE] = NAN
    exit_width: Annotated[Length, Within("0.5 mm", "1 m")] = NAN
    roughness: Annotated[Length, Within("0.01 um", "1 mm")] = NAN


@record
class PowerBy(Record):
    """How the power was found. ``losses`` of bearings, seals and gear stand between the shaft and the gas.

    ``motor_efficiency`` is that of all between the electric meter and the shaft; ``heat_loss`` leaves the casing
    between the planes.
    """

    by: Annotated[str, OneOf(("torque", "shaft power", "electric power", "temperature rise"))]
    motor_efficiency: Annotated[Ratio, Within(0.2, 1)] = NAN
    losses: Annotated[Power, Within("0 W", "1 MW")] = 0.0
    heat_loss: Annotated[Power, Within("0 W", "1 MW")] = 0.0


@record
class Agreed(Record):
    """Conditions to which results are converted: speed, total state of the inlet, how efficiency follows Reynolds.

    The inlet's ``inlet_density`` may stand for its pressure.
    """

    speed: Annotated[Speed, Within("10 rpm", "200000 rpm")]
    inlet_temperature: Annotated[Temperature, OF_AIR]
    inlet_pressure: Annotated[
        Pressure, Accepts("absolute", advice="give it absolute"), Within("400 mbar", "1500 mbar")
    ] = NAN
    inlet_density: Annotated[Density, Within("0.3 kg/m3", "3 kg/m3")] = NAN
    relative_humidity: Annotated[Ratio, Within(0, 1)] = 0.0
    reynolds: Annotated[str, OneOf(("none", "ackeret", "ptc10"))] = "none"


@dataclass(frozen=True)
class Spread:
    """Uncertainty of a reading or size at 95 %: in SI units or, where ``relative``, as a part of the value.

    ``of_largest`` relates it to the largest value of the column instead, as instruments are classed.
    """

    value: float
    relative: bool = False
    of_largest: bool = False


@dataclass(frozen=True)
class RigTest:
    """A test as it was read. ``points`` names them; ``absolute`` names the pressures that were read absolute.

    ``used`` names the readings and sizes that the settings call for, ``unused`` the other columns. ``spreads`` holds a
    spread for each that is used, ``assumed`` names those that the file did not give.
    """

    title: str
    readings: Readings
    meter: Meter
    planes: Planes
    power: PowerBy
    agreed: Agreed | None
    spreads: Mapping[str, Spread]
    points: tuple[str, ...]
    used: frozenset[str] = frozenset()
    absolute: frozenset[str] = frozenset()
    assumed: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()
    invented: bool = False
    notes: str = ""
    path: str = ""

    def values(self) -> dict[str, Any]:
        """Every number that enters the results, by name: readings, sizes, and the factors on coefficient and expansibility."""
        found: dict[str, Any] = {"discharge_coefficient": 1.0, "expansibility": 1.0}
        for part in (self.readings, self.meter, self.planes, self.power):
            found.update({name: value for name, value in part.items() if not isinstance(value, str)})
        return found
