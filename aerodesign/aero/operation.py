"""From a duty to the states at the flanges: what the stage breathes and which pressure it must reach."""

import numpy as np

from aerodesign.aero.duty import Duty, Inlet, Site
from aerodesign.core.quantities import MassFlow, Pressure, Temperature, Values, Velocity
from aerodesign.gas.perfect import Gas


def inlet_state(duty: Duty, site: Site, *, inlet_velocity: Velocity) -> Inlet:
    """Total state at the inlet flange and the pressure asked at the discharge flange, for one duty or many.

    Pressure service breathes the site's still air and must lift the discharge flange's static pressure by the rise. Vacuum
    service finds the static pressure at its inlet flange lowered by the suction, gains the dynamic pressure of
    ``inlet_velocity`` there, and must reach the site's pressure.
    """
    gas, Tt0 = site.gas, site.temperature
    if duty.service == "vacuum":
        p0 = site.pressure - duty.pressure_rise
        # The dynamic part is a few hundred pascals: incompressible is exact to 0.1 % of it at 25 m/s.
        pt0 = p0 + p0 / (gas.R * Tt0) * inlet_velocity**2 / 2
        return Inlet(pt0=pt0, Tt0=Tt0, p5=site.pressure + 0 * pt0, gas=gas)
    return Inlet(pt0=site.pressure, Tt0=Tt0, p5=site.pressure + duty.pressure_rise, gas=gas)


def required_work(inlet: Inlet) -> Values:
    """Isentropic work of the duty, from the inlet's total to the discharge's asked pressure."""
    return inlet.gas.cp * inlet.Tt0 * ((inlet.p5 / inlet.pt0) ** inlet.gas.kappa - 1)


def inlet_density(inlet: Inlet) -> Values:
    """Total density at the inlet flange."""
    return inlet.pt0 / (inlet.gas.R * inlet.Tt0)


def flange_velocity(*, gas: Gas, pt0: Pressure, Tt0: Temperature, mass_flow: MassFlow, area: Values) -> Velocity:
    """Velocity at the inlet flange, by three passes on the density."""
    at_rest = pt0 / (gas.R * Tt0)
    c0 = mass_flow / (at_rest * area)
    for _ in range(3):
        c0 = mass_flow / (at_rest * (1 - c0**2 / (2 * gas.cp * Tt0)) ** (1 / gas.kappa - 1) * area)
    return np.asarray(c0)[()]
