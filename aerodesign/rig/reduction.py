"""From readings to results: one pass through a test, for its values or for many variants of them at once."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.core.quantities import Power, Pressure, Ratio, SpecificEnergy, Temperature, Values
from aerodesign.gas.air import humid_air
from aerodesign.gas.efficiency import isentropic_efficiency, polytropic_efficiency
from aerodesign.gas.perfect import Gas, density, sound_speed, viscosity
from aerodesign.rig.compressibility import amca_factor
from aerodesign.rig.contents import RigTest
from aerodesign.rig.metering import absolute, inlet_temperature, metered
from aerodesign.rig.meters import Metered
from aerodesign.rig.planes import Plane, from_static, from_total
from aerodesign.rig.results import Results


@dataclass(frozen=True)
class Solution:
    """Results with the states that they rest on."""

    results: Results
    gas: Gas
    meter: Metered
    inlet: Plane
    outlet: Plane


def solve(test: RigTest, values: Mapping[str, Any]) -> Solution:
    """Results of a test for the given values of its readings and sizes (:meth:`RigTest.values`); all broadcast."""
    gas = ambient_gas(
        p=values["barometer"], T=values["ambient_temperature"], relative_humidity=values["relative_humidity"]
    )
    meter = metered(test, values, gas)
    m = meter.mass_flow
    inlet = _inlet(test, values, gas, m)
    read = shaft_power(test, values)
    outlet = _outlet(test, values, gas, m, warmed=inlet.Tt + (read - values["losses"]) / (m * gas.cp))

    by_temperature = gas.cp * (outlet.Tt - inlet.Tt) + values["heat_loss"] / m
    shaft = m * by_temperature + values["losses"] if test.power.by == "temperature rise" else read
    work = (shaft - values["losses"]) / m
    return Solution(
        _results(test, values, gas, inlet, outlet, m, shaft, work, by_temperature), gas, meter, inlet, outlet
    )


def ambient_gas(*, p: Pressure, T: Temperature, relative_humidity: Ratio) -> Gas:
    """Humid air, each distinct state computed once: most variants of a test share it, and it is the slowest part."""
    states = np.broadcast_arrays(p, T, relative_humidity)
    shape = states[0].shape
    distinct, where = np.unique(np.stack([state.ravel() for state in states]), axis=1, return_inverse=True)
    gas = humid_air(p=distinct[0], T=distinct[1], relative_humidity=distinct[2])
    return gas.but(**{name: v[where.ravel()].reshape(shape)[()] for name, v in gas.items() if name != "name"})


def shaft_power(test: RigTest, values: Mapping[str, Any]) -> Power:
    """Power of the shaft as it was read; nan where only the temperature rise tells it."""
    by: dict[str, Values] = {
        "torque": values["torque"] * values["speed"],
        "shaft power": values["shaft_power"],
        "electric power": values["electric_power"] * values["motor_efficiency"],
        "temperature rise": np.nan * values["speed"],
    }
    return by[test.power.by]


def _inlet(test: RigTest, values: Mapping[str, Any], gas: Gas, m: Any) -> Plane:
    diameter = values["inlet_diameter"] if "inlet_diameter" in test.used else np.inf
    seen: Any = dict(gas=gas, temperature=inlet_temperature(test, values), mass_flow=m, area=np.pi / 4 * diameter**2)
    if test.planes.inlet == "open":
        # The probe stands in air at rest, so it feels the total temperature whatever its recovery.
        return from_total(pt=values["barometer"], recovery=1.0, **seen)
    if "inlet_total_pressure" in test.used:
        return from_total(pt=absolute(test, "inlet_total_pressure", values), recovery=values["recovery"], **seen)
    return from_static(p=absolute(test, "inlet_pressure", values), recovery=values["recovery"], **seen)


def _outlet(test: RigTest, values: Mapping[str, Any], gas: Gas, m: Any, *, warmed: Any) -> Plane:
    """The outlet; where no probe stands there, at the total temperature to which the work ``warmed`` the gas."""
    probe = "outlet_temperature" in test.used
    seen: Any = dict(
        gas=gas,
        temperature=values["outlet_temperature"] if probe else warmed,
        recovery=values["recovery"] if probe else 1.0,
        mass_flow=m,
        area=np.pi / 4 * values["outlet_diameter"] ** 2,
    )
    if test.planes.outlet == "open":
        return from_static(p=values["barometer"], **seen)
    if "outlet_total_pressure" in test.used:
        return from_total(pt=absolute(test, "outlet_total_pressure", values), **seen)
    return from_static(p=absolute(test, "outlet_pressure", values), **seen)


def _results(
    test: RigTest,
    values: Mapping[str, Any],
    gas: Gas,
    inlet: Plane,
    outlet: Plane,
    m: Any,
    shaft: Power,
    work: SpecificEnergy,
    by_temperature: SpecificEnergy,
) -> Results:
    rise, ratio = outlet.pt - inlet.pt, outlet.pt / inlet.pt
    warming = 1 + work / (gas.cp * inlet.Tt)
    efficiency = polytropic_efficiency(pressure_ratio=ratio, temperature_ratio=warming, kappa=gas.kappa)
    at_rest = m / density(gas=gas, p=inlet.pt, T=inlet.Tt)
    warming_read = 1 + by_temperature / (gas.cp * inlet.Tt)
    probed = "outlet_temperature" in test.used

    diameter = values["wheel_diameter"]
    tip = values["speed"] * diameter / 2
    flow = m / inlet.rho
    return Results(
        flow=flow,
        mass_flow=m,
        flow_at_rest=at_rest,
        rise_total=rise,
        rise_static=outlet.p - inlet.pt,
        pressure_ratio=ratio,
        power=shaft,
        work=work,
        efficiency=efficiency,
        efficiency_static=polytropic_efficiency(
            pressure_ratio=outlet.p / inlet.pt, temperature_ratio=warming, kappa=gas.kappa
        ),
        efficiency_isentropic=isentropic_efficiency(pressure_ratio=ratio, temperature_ratio=warming, kappa=gas.kappa),
        efficiency_overall=efficiency * m * work / shaft,
        efficiency_by_temperature=polytropic_efficiency(
            pressure_ratio=ratio, temperature_ratio=warming_read, kappa=gas.kappa
        )
        * (1.0 if probed else np.nan),
        compressibility_factor=amca_factor(
            flow=at_rest, rise=rise, power=m * work, inlet_pressure=inlet.pt, kappa=gas.kappa
        ),
        temperature_rise=outlet.Tt - inlet.Tt,
        inlet_density=inlet.pt / (gas.R * inlet.Tt),
        flow_coefficient=flow / (tip * diameter**2),
        work_coefficient=work / tip**2,
        machine_mach=tip / sound_speed(gas=gas, T=inlet.Tt),
        reynolds=tip * values["exit_width"] * inlet.rho / viscosity(gas=gas, T=inlet.Tt),
    )
