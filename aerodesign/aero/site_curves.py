"""The same machine on other days and sites, behind a blocked filter, and in the other service, at one speed."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import Operation, operate
from aerodesign.core.bounds import Within
from aerodesign.core.errors import GasError, MissingLibrary
from aerodesign.core.quantities import Length, Pressure, Speed, Temperature, TemperatureDifference, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.gas.air import humid_air
from aerodesign.gas.atmosphere import pressure_altitude, standard_atmosphere
from aerodesign.gas.perfect import Gas

SERVICES = ("pressure", "vacuum")

BLOCKED = 0.15
"""Part of the design duty's pressure that a blocked filter takes where a case does not say: no source."""

MOIST = "air"
"""Name of the gas that :func:`~aerodesign.gas.air.humid_air` gives."""


@record
class Conditions(Record):
    """How far other days and sites lie from the case's own: a usual spread, no source.

    ``higher`` is added to the site's height, ``hotter`` and ``colder`` to and from its temperature; ``filter_loss`` is what a
    blocked filter takes at the design flow, and grows with the flow's square; nan for :data:`BLOCKED` of the design duty's
    pressure, but at most 25 mbar.
    """

    higher: Annotated[Length, Within("0 m", "5000 m")] = 1500.0
    hotter: Annotated[TemperatureDifference, Within("0 K", "60 K")] = 20.0
    colder: Annotated[TemperatureDifference, Within("0 K", "60 K")] = 25.0
    filter_loss: Annotated[Pressure, Within("0 Pa", "200 mbar")] = float("nan")

    def for_duty(self, *, rise: Pressure) -> "Conditions":
        """The conditions with the filter's loss for a design duty, where none was given."""
        usual = np.minimum(BLOCKED * rise, 2500.0)
        return self.but(filter_loss=np.where(np.isnan(self.filter_loss), usual, self.filter_loss)[()])


@dataclass(frozen=True)
class SiteCurves:
    """Curves at one speed: a row per condition (the site as given first), a column per flow.

    ``sites`` has shape (n, 1). ``services`` holds the machine in pressure service, its pressure rise a gauge pressure, and in
    vacuum service, its pressure rise a suction. The flow is that ahead of a filter.
    """

    names: tuple[str, ...]
    sites: Site
    filter_loss: Pressure
    services: dict[str, Operation]


def site_curves(
    blower: Blower,
    site: Site,
    conditions: Conditions,
    *,
    basis: str,
    flow: VolumeFlow,
    design_flow: VolumeFlow,
    speed: Speed,
    models: Models,
) -> SiteCurves:
    """Run a machine at one speed over a row of flows under all conditions in both services."""
    names, sites, blocked = conditions_of(site, conditions)
    lost = blocked * (flow / design_flow) ** 2
    services = {
        service: operate(
            blower, sites, service=service, basis=basis, flow=flow, speed=speed, filter_loss=lost, models=models
        )
        for service in SERVICES
    }
    return SiteCurves(names=names, sites=sites, filter_loss=blocked, services=services)


def conditions_of(site: Site, conditions: Conditions) -> tuple[tuple[str, ...], Site, Pressure]:
    """Names, sites of shape (n, 1), and the loss of the filter at the design flow.

    The standard day is the standard atmosphere's temperature at the height of the site's pressure. Air keeps its relative
    humidity; where there is no such air, and for other gases, the gas keeps its composition.
    """
    height = pressure_altitude(pressure=site.pressure)
    thin = standard_atmosphere(altitude=height + conditions.higher).pressure / site.pressure
    standard = standard_atmosphere(altitude=height).temperature
    T, p = site.temperature, site.pressure
    rows = {
        "as given": (p, T, 0.0),
        "standard day": (p, standard, 0.0),
        "higher site": (thin * p, T, 0.0),
        "hot day": (p, T + conditions.hotter, 0.0),
        "cold day": (p, T - conditions.colder, 0.0),
        "blocked filter": (p, T, conditions.filter_loss),
    }
    pressure, temperature, lost = (np.array(column)[:, None] for column in zip(*rows.values(), strict=True))
    gas = _gas(site, pressure=pressure, temperature=temperature)
    return tuple(rows), site.but(pressure=pressure, temperature=temperature, gas=gas, altitude=np.nan), lost


def _gas(site: Site, *, pressure: Pressure, temperature: Temperature) -> Gas:
    if site.gas.name != MOIST:
        return site.gas
    try:
        return humid_air(p=pressure, T=temperature, relative_humidity=site.relative_humidity)
    except (GasError, MissingLibrary):  # as where the vapour of so hot and moist a day alone would exceed the pressure
        return site.gas
