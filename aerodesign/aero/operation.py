"""From a duty to the states at the flanges, and from a machine on its site back to the pressure that it makes."""

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.duty import Duty, Inlet, Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.stage import Stage
from aerodesign.core.quantities import Angle, MassFlow, Pressure, Speed, Temperature, Values, Velocity, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas, isentropic_work, power

PASSES = 4
"""Passes on the inlet pressure in vacuum service."""


@record
class Operation(Record):
    """A machine at work on its site: the solved stage and the pressure rise (or suction) in the sense of the duty."""

    stage: Stage
    flow: VolumeFlow
    pressure_rise: Pressure


def inlet_state(duty: Duty, site: Site, *, inlet_velocity: Velocity) -> Inlet:
    """Total state at the inlet flange and the pressure asked at the discharge flange, for one duty or many.

    Pressure service breathes the site's still air and must lift the discharge flange's static pressure by the rise. Vacuum
    service finds the static pressure at its inlet flange lowered by the suction, gains the dynamic pressure of
    ``inlet_velocity`` there, and must reach the site's pressure.
    """
    gas, Tt0 = site.gas, site.temperature
    if duty.service == "vacuum":
        p0 = site.pressure - duty.pressure_rise
        return Inlet(pt0=total_pressure(gas=gas, p=p0, Tt=Tt0, c=inlet_velocity), Tt0=Tt0, p5=site.pressure, gas=gas)
    return Inlet(pt0=site.pressure, Tt0=Tt0, p5=site.pressure + duty.pressure_rise, gas=gas)


def flange_velocity(duty: Duty, site: Site, area: Values) -> Velocity:
    """Velocity at an inlet flange of a given area at a duty, by five passes on the static density.

    In vacuum service the static pressure there is known, else the total one.
    """
    gas, Tt0 = site.gas, site.temperature
    suction = duty.pressure_rise if duty.service == "vacuum" else 0.0
    known = site.pressure - suction
    exponent = -1.0 if duty.service == "vacuum" else 1 / gas.kappa - 1
    c0 = 0.0 * duty.mass_flow
    for _ in range(5):
        ratio = 1 - c0**2 / (2 * gas.cp * Tt0)
        c0 = duty.mass_flow / (known / (gas.R * Tt0) * power(ratio, exponent) * area)
    return c0


def required_work(inlet: Inlet) -> Values:
    """Isentropic work of the duty, from the inlet's total to the discharge's asked pressure."""
    return isentropic_work(gas=inlet.gas, Tt=inlet.Tt0, pressure_ratio=inlet.p5 / inlet.pt0)


def inlet_density(inlet: Inlet) -> Values:
    """Total density at the inlet flange."""
    return inlet.pt0 / (inlet.gas.R * inlet.Tt0)


def total_pressure(*, gas: Gas, p: Pressure, Tt: Temperature, c: Velocity) -> Pressure:
    """Total pressure of a flow of static pressure p and velocity c."""
    return p * power(1 - c**2 / (2 * gas.cp * Tt), -1 / gas.kappa)


def static_pressure(*, gas: Gas, pt: Pressure, Tt: Temperature, mass_flow: MassFlow, area: Values) -> Pressure:
    """Static pressure of a slow flow through an area, by four passes on the density."""
    at_rest = pt / (gas.R * Tt)
    rho = at_rest
    for _ in range(4):
        T = np.maximum(Tt - (mass_flow / (rho * area)) ** 2 / (2 * gas.cp), 0.84 * Tt)
        rho = at_rest * power(T / Tt, 1 / gas.kappa - 1)
    return pt * power(T / Tt, 1 / gas.kappa)


# A filter may take more than there is: such points come back unsolved.
@np.errstate(all="ignore")
def operate(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    flow: VolumeFlow,
    speed: Speed,
    models: Models,
    alpha1: Angle = 0.0,
    filter_loss: Pressure = 0.0,
) -> Operation:
    """Run a machine on its site at a volume flow (of its inlet flange's total state) and a speed; all broadcast.

    In vacuum service the inlet pressure follows from the machine's own pressure ratio, which depends on it through the
    Reynolds number and the filter: four passes. The flow is counted ahead of a filter; in pressure service the site's still air
    meets it, in vacuum service the suction counts ahead of it.
    """
    gas, Tt0 = site.gas, site.temperature

    def run(ahead: Pressure) -> Stage:
        return meanline.solve(
            blower,
            gas=gas,
            pt0=ahead - filter_loss,
            Tt0=Tt0,
            mass_flow=flow * ahead / (gas.R * Tt0),
            speed=speed,
            alpha1=alpha1,
            models=models,
        )

    def made(stage: Stage) -> Pressure:
        return stage.p5 if basis == "static" else stage.pt5

    if service == "pressure":
        stage = run(site.pressure)
        return Operation(stage=stage, flow=flow, pressure_rise=made(stage) - site.pressure)
    ahead = site.pressure + 0 * (flow * speed)
    for _ in range(PASSES):
        stage = run(ahead)
        ahead = site.pressure / np.clip(made(stage) / stage.pt0, 0.5, 5) + filter_loss
    p0 = static_pressure(gas=gas, pt=ahead, Tt=Tt0, mass_flow=stage.mass_flow, area=blower.A0)
    return Operation(stage=stage, flow=flow, pressure_rise=site.pressure - p0)
