"""What is asked: the duty points, the service and the site."""

from typing import Annotated

from aerodesign.core.bounds import Accepts, OneOf, Within
from aerodesign.core.quantities import Length, MassFlow, Pressure, Ratio, Temperature, Time, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas


@record
class Site(Record):
    """Where the blower stands and what it breathes: ambient pressure, temperature and the gas at that state.

    ``altitude`` is nan where the pressure was given instead. The temperature is that of the gas at the inlet flange.
    """

    pressure: Annotated[Pressure, Accepts("absolute", advice="give it absolute"), Within("400 mbar", "1150 mbar")]
    temperature: Annotated[Temperature, Within("200 K", "400 K")]
    gas: Gas
    relative_humidity: Annotated[Ratio, Within(0, 1)] = 0.0
    altitude: Annotated[Length, Within("-500 m", "6000 m")] = float("nan")


@record
class Duty(Record):
    """One duty point or, as an array, several.

    ``mass_flow`` is what passes the machine; ``flow`` is its volume at the state of the gas at the inlet flange.
    Service ``pressure``: ``pressure_rise`` from the site's pressure to the discharge flange (static gauge pressure
    there). Service ``vacuum``: ``pressure_rise`` is the suction, the static pressure at the inlet flange below the
    site's pressure, and the machine blows out at the site's pressure. ``hours`` is the time a year at this point.
    """

    flow: Annotated[VolumeFlow, Accepts("actual", "standard", "normal"), Within("1 m3/h", "1e6 m3/h")]
    mass_flow: Annotated[MassFlow, Within("1 kg/h", "1e6 kg/h")]
    pressure_rise: Annotated[
        Pressure,
        Accepts("gauge", advice="give the rise above the site's pressure"),
        Within("1 mbar", "2 bar", advice='for suction set service = "vacuum"'),
    ]
    hours: Annotated[Time, Within("0 h", "8784 h")] = 0.0
    service: Annotated[str, OneOf(("pressure", "vacuum"))] = "pressure"
    basis: Annotated[str, OneOf(("static", "total"))] = "static"


@record
class Inlet(Record):
    """The gas that enters the machine: total state at the inlet flange, and the pressure asked at the discharge."""

    pt0: Pressure
    Tt0: Temperature
    p5: Pressure
    gas: Gas
