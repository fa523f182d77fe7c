"""Conversion to agreed conditions by constant flow and work coefficients, and the departures that a standard limits."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Ratio
from aerodesign.gas.air import humid_air
from aerodesign.gas.efficiency import polytropic_efficiency
from aerodesign.gas.perfect import Gas, density, power, sound_speed, viscosity
from aerodesign.rig import reynolds
from aerodesign.rig.contents import Agreed, RigTest
from aerodesign.rig.planes import from_total
from aerodesign.rig.reduction import Solution
from aerodesign.rig.results import Converted

LIMITS = Source("ASME", 1997, "PTC 10, tables 3.1 and 3.2 with their figures", from_memory=True)
VOLUME_RATIO = (0.95, 1.05)
REYNOLDS_RATIO = (0.1, 10.0)


def agreed_inlet(agreed: Agreed) -> tuple[Gas, Any]:
    """The gas at the agreed inlet and its total pressure, found from the density where that was agreed."""
    given = agreed.inlet_pressure
    if np.isnan(given):
        dry = humid_air(p=101325.0, T=agreed.inlet_temperature, relative_humidity=agreed.relative_humidity)
        given = agreed.inlet_density * dry.R * agreed.inlet_temperature
    gas = humid_air(p=given, T=agreed.inlet_temperature, relative_humidity=agreed.relative_humidity)
    if np.isnan(agreed.inlet_pressure):
        # The humidity ratio of a relative humidity depends on the pressure; one correction leaves less than 1e-5.
        given = agreed.inlet_density * gas.R * agreed.inlet_temperature
        gas = humid_air(p=given, T=agreed.inlet_temperature, relative_humidity=agreed.relative_humidity)
    return gas, given


def convert(
    test: RigTest, values: Mapping[str, Any], solution: Solution, agreed: Agreed, inlet: tuple[Gas, Any]
) -> Converted:
    """Results at the agreed conditions. ``inlet`` is that of :func:`agreed_inlet`.

    The volume flow at the inlet's total state goes with the speed, work with its square. Where the efficiency follows
    Reynolds the head changes with it and the work stays. Losses of bearings go with the square of the speed (common
    practice, no source).
    """
    (gas, pt0), now = inlet, solution.results
    Tt0, s = agreed.inlet_temperature, agreed.speed / values["speed"]
    nu_test = viscosity(gas=solution.gas, T=solution.inlet.Tt) / solution.inlet.rho

    work = now.work * s**2
    mass_flow = now.flow_at_rest * s * density(gas=gas, p=pt0, T=Tt0)
    diameter = values["inlet_diameter"] if "inlet_diameter" in test.used else np.inf
    area0 = np.pi / 4 * diameter**2
    rho0 = from_total(gas=gas, pt=pt0, temperature=Tt0, recovery=1.0, mass_flow=mass_flow, area=area0).rho

    nu = viscosity(gas=gas, T=Tt0) / rho0
    ratio = 1 / s * nu / nu_test
    efficiency = _efficiency(agreed, values, now.efficiency, now.reynolds, ratio)

    theta = 1 + work / (gas.cp * Tt0)
    pressure_ratio = power(theta, efficiency / gas.kappa)
    outlet = from_total(
        gas=gas,
        pt=pt0 * pressure_ratio,
        temperature=Tt0 * theta,
        recovery=1.0,
        mass_flow=mass_flow,
        area=np.pi / 4 * values["outlet_diameter"] ** 2,
    )
    theta_test = 1 + now.work / (solution.gas.cp * solution.inlet.Tt)
    volume_ratio = (theta_test / now.pressure_ratio) / (theta / pressure_ratio)
    mach = agreed.speed * values["wheel_diameter"] / 2 / sound_speed(gas=gas, T=Tt0)
    return Converted(
        flow=mass_flow / rho0,
        mass_flow=mass_flow,
        rise_total=pt0 * (pressure_ratio - 1),
        rise_static=outlet.p - pt0,
        pressure_ratio=pressure_ratio,
        power=mass_flow * work + values["losses"] * s**2,
        work=work,
        efficiency=efficiency,
        efficiency_static=polytropic_efficiency(
            pressure_ratio=outlet.p / pt0, temperature_ratio=theta, kappa=gas.kappa
        ),
        machine_mach=mach,
        mach_difference=now.machine_mach - mach,
        reynolds_ratio=ratio,
        volume_ratio=volume_ratio,
    )


def _efficiency(agreed: Agreed, values: Mapping[str, Any], efficiency: Any, test_number: Any, ratio: Any) -> Any:
    if agreed.reynolds == "ackeret":
        return reynolds.ackeret(efficiency=efficiency, reynolds_ratio=1 / ratio)
    if agreed.reynolds == "ptc10":
        return reynolds.ptc10(
            efficiency=efficiency,
            reynolds=test_number,
            reynolds_agreed=test_number / ratio,
            exit_width=values["exit_width"],
            roughness=values["roughness"],
        )
    return efficiency + 0 * ratio


def mach_limits(machine_mach: Ratio) -> tuple[Ratio, Ratio]:
    """Least and largest machine Mach number of the test less the agreed one, for an agreed one (:data:`LIMITS`)."""
    M = machine_mach
    low = np.where(M < 0.215, -M, np.where(M < 0.86, 0.266 * M - 0.271, -0.042))[()]
    high = np.where(M < 0.75, 0.286 - 0.25 * M, 0.1)[()]
    return low, high
