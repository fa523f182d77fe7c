"""Static and total states at a measuring plane, from what can be read there and the mass flow through its area."""

from typing import Any

import numpy as np

from aerodesign.core.quantities import Area, Density, MassFlow, Pressure, Ratio, Temperature
from aerodesign.core.record import Record, record
from aerodesign.gas import perfect
from aerodesign.gas.perfect import Gas, power

PASSES = 6
"""Passes on the total temperature where the probe feels less than all of it: 1e-8 at Mach 0.5 where it feels nothing."""


@record
class Plane(Record):
    """Mean state at a plane, one-dimensional: velocity uniform over the area, as the standards of fans reckon."""

    p: Pressure
    T: Temperature
    pt: Pressure
    Tt: Temperature
    mach: Ratio
    rho: Density
    choked: Any
    """True where the area cannot carry the flow: the readings contradict each other."""


def from_static(
    *, gas: Gas, p: Pressure, temperature: Temperature, recovery: Ratio, mass_flow: MassFlow, area: Area
) -> Plane:
    """State where the static pressure is read. ``temperature`` is the probe's, ``T + recovery c^2 / 2cp``. Closed form."""
    a = (mass_flow * gas.R / (p * area)) ** 2 / (2 * gas.cp)
    T = 2 * temperature / (1 + np.sqrt(1 + 4 * recovery * a * temperature))
    Tt = T + a * T**2
    mach = np.sqrt(2 * (Tt / T - 1) / (gas.gamma - 1))
    return Plane(p=p, T=T, pt=p * power(Tt / T, 1 / gas.kappa), Tt=Tt, mach=mach, rho=p / (gas.R * T), choked=mach >= 1)


def from_total(
    *, gas: Gas, pt: Pressure, temperature: Temperature, recovery: Ratio, mass_flow: MassFlow, area: Area
) -> Plane:
    """State where the total pressure is read; an infinite area stands for gas at rest."""
    Tt = temperature
    for _ in range(PASSES):
        function = mass_flow * np.sqrt(gas.R * Tt / gas.gamma) / (area * pt)
        mach = perfect.subsonic_mach(flow_function=function, gamma=gas.gamma)
        heat = (gas.gamma - 1) / 2 * mach**2
        T = temperature / (1 + recovery * heat)
        Tt = T * (1 + heat)
    p = pt * power(T / Tt, 1 / gas.kappa)
    choked = function >= perfect.choked_flow_function(gamma=gas.gamma)
    return Plane(p=p, T=T, pt=pt, Tt=Tt, mach=mach, rho=p / (gas.R * T), choked=choked)
