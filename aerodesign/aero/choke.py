"""Choke: the mass flow at which a passage reaches Mach 1, from the total state in its own frame."""

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.quantities import Area, MassFlow, Pressure, Ratio, Speed, Temperature
from aerodesign.gas.perfect import Gas, choked_flow_function, power


def passage_choke(*, gas: Gas, area: Area, pt: Pressure, Tt: Temperature) -> MassFlow:
    """Largest mass flow of a perfect gas through an area: 0.5787 ``area pt sqrt(gamma / (R Tt))`` for air."""
    return choked_flow_function(gamma=gas.gamma) * area * pt * np.sqrt(gas.gamma / (gas.R * Tt))


def inducer_choke(*, gas: Gas, wheel: Impeller, pt1: Pressure, Tt1: Temperature, speed: Speed) -> MassFlow:
    """Mass flow that chokes the inducer's throat, summed over hub, mean and shroud by Simpson's rule.

    In the rotating frame rothalpy holds: :math:`T_{t,rel} = T_t + u^2/(2c_p)` without pre-swirl, at the isentropic relative
    total pressure. The throat is the opening between two full blades, ``2 pi r cos(beta) - Z t`` wide.
    """
    radii = (wheel.r1h, wheel.r1, wheel.r1s)
    blades = (wheel.beta1h_blade, wheel.beta1_blade, wheel.beta1s_blade)
    thicknesses = (wheel.thickness_hub, wheel.thickness, wheel.thickness_shroud)
    total = 0.0
    for weight, r, beta, t in zip((1 / 6, 4 / 6, 1 / 6), radii, blades, thicknesses, strict=True):
        Tt = Tt1 + (speed * r) ** 2 / (2 * gas.cp)
        pt = pt1 * power(Tt / Tt1, 1 / gas.kappa)
        width = np.maximum(2 * np.pi * r * np.cos(beta) - wheel.blades * t, 0)
        total = total + weight * passage_choke(gas=gas, area=width * wheel.inlet_height, pt=pt, Tt=Tt)
    return total


def exit_choke(
    *, gas: Gas, wheel: Impeller, pt1: Pressure, Tt1: Temperature, speed: Speed, exit_blockage: Ratio
) -> MassFlow:
    """Mass flow that chokes the opening between the blades at the exit, losses not counted (so it is an upper bound)."""
    Tt = Tt1 + (speed * wheel.r2) ** 2 / (2 * gas.cp)
    pt = pt1 * power(Tt / Tt1, 1 / gas.kappa)
    area = 2 * np.pi * wheel.r2 * wheel.b2 * np.cos(wheel.beta2_blade) * (1 - exit_blockage)
    return passage_choke(gas=gas, area=area, pt=pt, Tt=Tt)
