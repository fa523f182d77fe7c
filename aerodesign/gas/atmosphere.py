"""The standard atmosphere up to 11 km: what a site's altitude means for pressure and temperature.

ISO 2533:1975, identical with the US Standard Atmosphere 1976 at these heights.
"""

from aerodesign.core.quantities import Density, Length, Pressure, Temperature
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import power

EARTH_RADIUS = 6356766.0
LAPSE = 0.0065
PRESSURE_0 = 101325.0
TEMPERATURE_0 = 288.15
EXPONENT = 9.80665 * 28.9644e-3 / (8.31432 * LAPSE)
"""Of the hydrostatic law p ~ T**EXPONENT, 5.2559, with the standard's own constants (g, molar mass, gas constant)."""
R_AIR = 8.31432 / 28.9644e-3


@record
class Atmosphere(Record):
    """The standard air at a height."""

    pressure: Pressure
    temperature: Temperature

    @property
    def density(self) -> Density:
        """Density of the standard's dry air."""
        return self.pressure / (R_AIR * self.temperature)


def standard_atmosphere(*, altitude: Length) -> Atmosphere:
    """Standard air at a geometric height above the sea, -1 to 11 km (the caller checks the range)."""
    geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude)
    temperature = TEMPERATURE_0 - LAPSE * geopotential
    return Atmosphere(
        pressure=PRESSURE_0 * power(temperature / TEMPERATURE_0, EXPONENT),
        temperature=temperature,
    )


def pressure_altitude(*, pressure: Pressure) -> Length:
    """Geometric height at which the standard atmosphere has a given pressure; the inverse of the above."""
    temperature = TEMPERATURE_0 * power(pressure / PRESSURE_0, 1 / EXPONENT)
    geopotential = (TEMPERATURE_0 - temperature) / LAPSE
    return EARTH_RADIUS * geopotential / (EARTH_RADIUS - geopotential)
