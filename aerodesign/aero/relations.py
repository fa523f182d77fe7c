"""The meanline's closed relations, each a function of named quantities: what ``aerodesign explain`` prints beside correlations.

The meanline does not call them: it solves all of them together. A test holds each against solved stages.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from aerodesign.core.quantities import (
    Angle,
    Area,
    Density,
    Length,
    MassFlow,
    Power,
    Pressure,
    Ratio,
    SpecificEnergy,
    SpecificHeat,
    Speed,
    Temperature,
    Values,
    Velocity,
    VolumeFlow,
)

RELATIONS: dict[str, Callable[..., Any]] = {}


def relation(function: Callable[..., Any]) -> Callable[..., Any]:
    """Enter a function under the name of the quantity that it gives."""
    RELATIONS[function.__name__] = function
    return function


@relation
def flow(*, mass_flow: MassFlow, R: SpecificHeat, Tt0: Temperature, pt0: Pressure) -> VolumeFlow:
    r"""Volume flow at the total state of the inlet flange, :math:`\dot m R T_{t0} / p_{t0}`."""
    return mass_flow * R * Tt0 / pt0


@relation
def u2(*, speed: Speed, r2: Length) -> Velocity:
    r"""Tip speed, :math:`\omega r_2`."""
    return speed * r2


@relation
def exit_area(*, r2: Length, b2: Length) -> Area:
    r"""Area of the impeller exit, blades not counted, :math:`2 \pi r_2 b_2`."""
    return 2 * np.pi * r2 * b2


@relation
def cm2(*, mass_flow: MassFlow, rho2: Density, exit_area: Area) -> Velocity:
    r"""Continuity behind the impeller, mixed out: :math:`\dot m / (\rho_2 A_2)`."""
    return mass_flow / (rho2 * exit_area)


@relation
def cm2_blocked(*, cm2: Velocity, exit_blockage: Ratio) -> Velocity:
    r"""Meridional velocity between the blades, :math:`c_{m2} / (1 - B)`."""
    return cm2 / (1 - exit_blockage)


@relation
def exit_flow_coefficient(*, cm2_blocked: Velocity, u2: Velocity) -> Ratio:
    r"""Meridional velocity between the blades over tip speed, :math:`c_{m2b} / u_2`."""
    return cm2_blocked / u2


@relation
def cu2(*, slip: Ratio, u2: Velocity, cm2_blocked: Velocity, beta2_blade: Angle) -> Velocity:
    r"""Exit triangle with slip, :math:`\sigma u_2 - c_{m2b} \tan\beta_{2b}`."""
    return slip * u2 - cm2_blocked * np.tan(beta2_blade)


@relation
def c2(*, cm2: Velocity, cu2: Velocity) -> Velocity:
    r"""Absolute velocity behind the impeller, :math:`\sqrt{c_{m2}^2 + c_{u2}^2}`."""
    return np.hypot(cm2, cu2)


@relation
def alpha2(*, cu2: Velocity, cm2: Velocity) -> Angle:
    r"""Flow angle behind the impeller from meridional, :math:`\arctan(c_{u2}/c_{m2})`."""
    return np.arctan2(cu2, cm2)


@relation
def euler_work(*, u2: Velocity, cu2: Velocity, u1: Velocity, cu1: Velocity) -> SpecificEnergy:
    r"""Euler's work of the blades, :math:`u_2 c_{u2} - u_1 c_{u1}`."""
    return u2 * cu2 - u1 * cu1


@relation
def work(
    *,
    euler_work: SpecificEnergy,
    loss_windage: SpecificEnergy,
    loss_recirculation: SpecificEnergy,
    loss_leakage: SpecificEnergy,
) -> SpecificEnergy:
    r"""Work on the gas: Euler's and the parasitic work of disc, recirculation and leakage."""
    return euler_work + loss_windage + loss_recirculation + loss_leakage


@relation
def Tt2(*, Tt0: Temperature, work: SpecificEnergy, cp: SpecificHeat) -> Temperature:
    r"""Energy over the impeller, :math:`T_{t0} + w / c_p`."""
    return Tt0 + work / cp


@relation
def rho2(*, p2: Pressure, R: SpecificHeat, T2: Temperature) -> Density:
    r"""The perfect gas behind the impeller, :math:`p_2 / (R T_2)`."""
    return p2 / (R * T2)


@relation
def power(*, mass_flow: MassFlow, work: SpecificEnergy) -> Power:
    r"""Power that the gas takes, :math:`\dot m w`."""
    return mass_flow * work


@relation
def shaft_power(*, power: Power, mechanical_efficiency: Ratio) -> Power:
    r"""Power of the shaft, bearings and seals counted, :math:`P / \eta_m`."""
    return power / mechanical_efficiency


@relation
def drive_power(*, shaft_power: Power, drive_efficiency: Ratio) -> Power:
    r"""Power ahead of the drive, :math:`P / \eta_d`: at the motor's shaft, with an inverter from the supply."""
    return shaft_power / drive_efficiency


@relation
def rise_total(*, pt5: Pressure, pt0: Pressure) -> Pressure:
    r"""Total pressure rise between the flanges, :math:`p_{t5} - p_{t0}`."""
    return pt5 - pt0


@relation
def rise_static(*, p5: Pressure, pt0: Pressure) -> Pressure:
    r"""From the total pressure at the inlet to the static one at the discharge flange, :math:`p_5 - p_{t0}`."""
    return p5 - pt0


@relation
def useful_work(*, cp: SpecificHeat, Tt0: Temperature, pt5: Pressure, pt0: Pressure, R: SpecificHeat) -> SpecificEnergy:
    r"""Isentropic work between the total pressures, :math:`c_p T_{t0} [(p_{t5}/p_{t0})^{R/c_p} - 1]`."""
    return cp * Tt0 * ((pt5 / pt0) ** (R / cp) - 1)


@relation
def efficiency_total(*, useful_work: SpecificEnergy, work: SpecificEnergy) -> Ratio:
    r"""Isentropic efficiency, total to total, on the work of the gas: :math:`w_s / w`."""
    return useful_work / work


@relation
def efficiency_static(
    *, cp: SpecificHeat, Tt0: Temperature, p5: Pressure, pt0: Pressure, R: SpecificHeat, work: SpecificEnergy
) -> Ratio:
    r"""Isentropic efficiency, total to static: :math:`c_p T_{t0} [(p_5/p_{t0})^{R/c_p} - 1] / w`."""
    return cp * Tt0 * ((p5 / pt0) ** (R / cp) - 1) / work


@relation
def efficiency_polytropic(
    *, pt5: Pressure, pt0: Pressure, work: SpecificEnergy, cp: SpecificHeat, Tt0: Temperature, R: SpecificHeat
) -> Ratio:
    r"""Polytropic efficiency, total to total: :math:`(R/c_p) \ln(p_{t5}/p_{t0}) / \ln(1 + w/(c_p T_{t0}))`."""
    return R / cp * np.log(pt5 / pt0) / np.log(1 + work / (cp * Tt0))


@relation
def work_coefficient(*, work: SpecificEnergy, u2: Velocity) -> Ratio:
    r"""Work over the square of the tip speed, :math:`w / u_2^2`."""
    return work / u2**2


@relation
def flow_coefficient(*, flow: VolumeFlow, u2: Velocity, r2: Length) -> Ratio:
    r"""Volume flow at the inlet, :math:`V / (u_2 D_2^2)`."""
    return flow / (u2 * (2 * r2) ** 2)


@relation
def diffusion_ratio(*, w1s: Velocity, w2_mixed: Velocity) -> Ratio:
    r"""Slowing of the relative flow along the shroud, :math:`w_{1s} / w_2` with the mixed-out flow behind the wheel."""
    return w1s / w2_mixed


@relation
def choke_margin(
    *,
    mass_flow: MassFlow,
    choke_inducer: MassFlow,
    choke_exit: MassFlow,
    choke_diffuser: MassFlow,
    choke_volute: MassFlow,
) -> Ratio:
    r"""What the mass flow could grow by before the first passage chokes, :math:`\min \dot m_{choke} / \dot m - 1`."""
    least: Values = np.minimum(np.minimum(choke_inducer, choke_exit), np.minimum(choke_diffuser, choke_volute))
    return least / mass_flow - 1


@relation
def alpha_diffuser(*, cu2: Velocity, cm2: Velocity, b2: Length, b3: Length) -> Angle:
    r"""Flow angle behind the pinch, :math:`\arctan[c_{u2} b_3 / (c_{m2} b_2)]`."""
    return np.arctan2(cu2, cm2 * b2 / b3)


@relation
def stall_margin(*, critical_angle: Angle, alpha_diffuser: Angle) -> Angle:
    r"""Critical angle of the vaneless diffuser less the flow angle at its inlet."""
    return critical_angle - alpha_diffuser


@relation
def volute_mismatch(*, r3: Length, cu3: Velocity, r4: Length, c4: Velocity) -> Ratio:
    r"""Velocity that angular momentum brings to the throat over that which the throat asks, :math:`r_3 c_{u3} / (r_4 c_4)`."""
    return r3 * cu3 / (r4 * c4)
