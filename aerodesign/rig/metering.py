"""The flow of a test, from what its meter read."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from aerodesign.core.quantities import Pressure, Temperature
from aerodesign.gas import perfect
from aerodesign.gas.perfect import Gas
from aerodesign.rig.contents import RigTest
from aerodesign.rig.meters import Metered, measured_flow
from aerodesign.rig.needed import INTO_INLET
from aerodesign.rig.planes import from_static

PASSES = 3
"""Passes on the static temperature upstream of the meter, which differs from the probe's by less than a kelvin."""


def upstream_pressure(test: RigTest, values: Mapping[str, Any]) -> Pressure:
    """Absolute static pressure upstream of the meter: read there or at the plane beside it; the barometer for an inlet."""
    near = [name for name in ("meter_pressure", f"{test.meter.at}_pressure") if name in test.used]
    return values["barometer"] if test.meter.kind in INTO_INLET or not near else absolute(test, near[0], values)


def upstream_temperature(test: RigTest, values: Mapping[str, Any]) -> Temperature:
    """What the probe upstream of the meter shows, or the one of the plane beside it; of the ambient air for an inlet."""
    if "meter_temperature" in test.used:
        return values["meter_temperature"]
    return values["outlet_temperature"] if test.meter.at == "outlet" else inlet_temperature(test, values)


def inlet_temperature(test: RigTest, values: Mapping[str, Any]) -> Temperature:
    """What the probe at the inlet shows; where the inlet is open and has none, that of the ambient air."""
    return values["inlet_temperature" if "inlet_temperature" in test.used else "ambient_temperature"]


def absolute(test: RigTest, name: str, values: Mapping[str, Any]) -> Pressure:
    """A pressure of a plane as an absolute one."""
    return values[name] + (0.0 if name in test.absolute else 1.0) * values["barometer"]


def metered(test: RigTest, values: Mapping[str, Any], gas: Gas) -> Metered:
    """The mass flow of a test; coefficients are nan where the meter was reduced before."""
    if test.meter.kind == "mass meter":
        return _known(values["mass_flow"])
    p, probe = upstream_pressure(test, values), upstream_temperature(test, values)
    if test.meter.kind == "volume meter":
        return _known(values["volume_flow"] * perfect.density(gas=gas, p=p, T=probe))

    difference = values["meter_difference"]
    if test.meter.kind == "pitot traverse":
        # A reading that its uncertainty takes below 0 counts as 0, as a negative reading does in the standards.
        difference = np.mean(np.sqrt(np.maximum(values["traverse"], 0.0)), axis=0) ** 2

    T = probe
    for _ in range(1 if test.meter.kind in INTO_INLET else PASSES):
        found = measured_flow(
            kind=test.meter.kind,
            bore=values["bore"],
            pipe=values["pipe"],
            pressure=p,
            difference=difference,
            density=perfect.density(gas=gas, p=p, T=T),
            viscosity=perfect.viscosity(gas=gas, T=T),
            gamma=gas.gamma,
            taps=test.meter.taps,
            coefficient=values["coefficient"],
        )
        flow = found.mass_flow * values["discharge_coefficient"] * values["expansibility"]
        area = np.pi / 4 * values["pipe"] ** 2
        T = from_static(gas=gas, p=p, temperature=probe, recovery=values["recovery"], mass_flow=flow, area=area).T
    return found.but(mass_flow=flow)


def _known(mass_flow: Any) -> Metered:
    nan = float("nan")
    return Metered(
        mass_flow=mass_flow,
        coefficient=nan,
        expansibility=nan,
        reynolds=nan,
        beta=nan,
        coefficient_spread=0.0,
        expansibility_spread=0.0,
    )
