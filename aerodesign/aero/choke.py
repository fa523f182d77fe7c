"""Choke: the mass flow at which a passage reaches Mach 1, from the total state in its own frame."""

from typing import Any

import numpy as np

from aerodesign.aero.impeller import Blower, Impeller
from aerodesign.core.quantities import Area, Length, MassFlow, Pressure, Ratio, Speed, Temperature, Velocity
from aerodesign.gas.perfect import Gas, choked_flow_function, power


def passage_choke(*, gas: Gas, area: Area, pt: Pressure, Tt: Temperature) -> MassFlow:
    """Largest mass flow of a perfect gas through an area: 0.5787 ``area pt sqrt(gamma / (R Tt))`` for air."""
    return choked_flow_function(gamma=gas.gamma) * area * pt * np.sqrt(gas.gamma / (gas.R * Tt))


def chokes(*, gas: Gas, blower: Blower, known: dict[str, Any]) -> dict[str, MassFlow]:
    """Choking mass flow of each passage of a solved stage, by the names of :class:`~aerodesign.aero.stage.Stage`'s fields."""
    wheel = blower.impeller
    rotating = dict(gas=gas, wheel=wheel, pt1=known["pt1"], Tt1=known["Tt0"], speed=known["speed"], cu1=known["cu1"])
    return dict(
        choke_inducer=inducer_choke(**rotating),
        choke_exit=exit_choke(exit_blockage=known["exit_blockage"], **rotating),
        choke_diffuser=diffuser_choke(
            gas=gas, r2=known["r2"], b3=known["b3"], cu2=known["cu2"], pt2=known["pt2"], Tt2=known["Tt2"]
        ),
        choke_volute=passage_choke(gas=gas, area=known["A4"], pt=known["pt3"], Tt=known["Tt2"]),
    )


def inducer_choke(
    *, gas: Gas, wheel: Impeller, pt1: Pressure, Tt1: Temperature, speed: Speed, cu1: Velocity = 0.0
) -> MassFlow:
    """Mass flow that chokes the inducer's throat, by Simpson's rule over the radius: hub, half-way, shroud.

    In the rotating frame rothalpy holds: :math:`T_{t,rel} = T_t + u(u - 2c_u)/(2c_p)`, at the isentropic relative total pressure.
    The throat is the opening between two full blades, ``2 pi r cos(beta) - Z t`` wide; tan(beta) and thickness run evenly from hub
    to shroud. The blades turn on behind their leading edge, so a drawn wheel's throat is some per cent wider: its ``throat_ratio`` counts.
    """
    half_way = np.arctan((np.tan(wheel.beta1h_blade) + np.tan(wheel.beta1s_blade)) / 2)
    radii = (wheel.r1h, (wheel.r1h + wheel.r1s) / 2, wheel.r1s)
    blades = (wheel.beta1h_blade, half_way, wheel.beta1s_blade)
    thicknesses = (wheel.thickness_hub, wheel.thickness, wheel.thickness_shroud)
    total = 0.0
    for weight, r, beta, t in zip((1 / 6, 4 / 6, 1 / 6), radii, blades, thicknesses, strict=True):
        u = speed * r
        Tt = Tt1 + u * (u - 2 * cu1) / (2 * gas.cp)
        pt = pt1 * power(Tt / Tt1, 1 / gas.kappa)
        width = np.maximum(2 * np.pi * r * np.cos(beta) - wheel.blades * t, 0)
        total = total + weight * passage_choke(gas=gas, area=width * wheel.inlet_height, pt=pt, Tt=Tt)
    return total * wheel.throat_ratio


def exit_choke(
    *,
    gas: Gas,
    wheel: Impeller,
    pt1: Pressure,
    Tt1: Temperature,
    speed: Speed,
    exit_blockage: Ratio,
    cu1: Velocity = 0.0,
) -> MassFlow:
    """Mass flow that chokes the opening between the blades at the exit, losses not counted (so it is an upper bound)."""
    Tt = Tt1 + ((speed * wheel.r2) ** 2 - 2 * speed * wheel.r1 * cu1) / (2 * gas.cp)
    pt = pt1 * power(Tt / Tt1, 1 / gas.kappa)
    area = 2 * np.pi * wheel.r2 * wheel.b2 * np.cos(wheel.beta2_blade) * (1 - exit_blockage)
    return passage_choke(gas=gas, area=area, pt=pt, Tt=Tt)


def diffuser_choke(*, gas: Gas, r2: Length, b3: Length, cu2: Velocity, pt2: Pressure, Tt2: Temperature) -> MassFlow:
    """Mass flow at which the meridional velocity behind the pinch becomes sonic.

    The swirl's energy is not at the flow's disposal: :math:`T_t' = T_t - C_u^2/(2c_p)` and the isentropic pressure there take the
    place of the total state.
    """
    Tt = np.maximum(Tt2 - cu2**2 / (2 * gas.cp), 0.1 * Tt2)
    return passage_choke(gas=gas, area=2 * np.pi * r2 * b3, pt=pt2 * power(Tt / Tt2, 1 / gas.kappa), Tt=Tt)
