"""What is asked: the duty points, the service and the site."""

from aerodesign.core.quantities import MassFlow, Pressure, Ratio, Temperature, Time, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas


@record
class Site(Record):
    """Where the blower stands and what it breathes: ambient pressure, temperature and the gas at that state."""

    pressure: Pressure
    temperature: Temperature
    gas: Gas
    relative_humidity: Ratio = 0.0


@record
class Duty(Record):
    """One duty point or, as an array, several.

    ``mass_flow`` is what passes the machine; ``flow`` is its volume at the state of the gas at the inlet flange.
    Service ``pressure``: ``pressure_rise`` from the site's pressure to the discharge flange (static gauge pressure
    there). Service ``vacuum``: ``pressure_rise`` is the suction, the static pressure at the inlet flange below the site's
    pressure, and the machine blows out at the site's pressure.
    """

    flow: VolumeFlow
    mass_flow: MassFlow
    pressure_rise: Pressure
    hours: Time = 0.0
    service: str = "pressure"
    basis: str = "static"


@record
class Inlet(Record):
    """The gas that enters the machine: total state at the inlet flange, and the static pressure asked at the discharge."""

    pt0: Pressure
    Tt0: Temperature
    p5: Pressure
    gas: Gas
