"""Air, dry and humid."""

import numpy as np

from aerodesign.core.quantities import Pressure, Ratio, Temperature, Values
from aerodesign.gas.coolprop import humid
from aerodesign.gas.perfect import Gas

COMPRESSION_WARMS = 60.0
"""Kelvin over which the exponent of the viscosity is fitted: what a stage of pressure ratio 1.5 warms its gas by."""


def air() -> Gas:
    """Dry air at 288.15 K and 101 325 Pa, without CoolProp.

    Values of Lemmon's equation of state and viscosity at 288.15 K; the exponent joins 288.15 and 350 K.
    """
    return Gas(R=287.047, cp=1006.0, mu_ref=1.79615e-5, T_ref=288.15, mu_exponent=0.7713, name="dry air")


def humid_air(*, p: Pressure, T: Temperature, relative_humidity: Ratio = 0.0) -> Gas:
    """Humid air as the perfect gas that has the real one's density, cp and viscosity at the state given. Broadcasts.

    From the formulation of ASHRAE RP-1485 in CoolProp. The humidity ratio stays what it is at this state, so that the
    gas may be compressed or throttled. Raises GasError where no such air exists (humidity outside 0 to 1, the vapour
    alone above the pressure).
    """
    W = humidity_ratio(p=p, T=T, relative_humidity=relative_humidity)
    specific_volume = humid("Vha", T=T, P=p, W=W)
    mu = humid("mu", T=T, P=p, W=W)
    mu_warm = humid("mu", T=T + COMPRESSION_WARMS, P=p, W=W)
    return Gas(
        R=p * specific_volume / T,
        cp=humid("cp_ha", T=T, P=p, W=W),
        mu_ref=mu,
        T_ref=T + 0 * mu,
        mu_exponent=np.log(mu_warm / mu) / np.log((T + COMPRESSION_WARMS) / T),
        name="air",
    )


def humidity_ratio(*, p: Pressure, T: Temperature, relative_humidity: Ratio) -> Ratio:
    """Mass of water vapour per mass of dry air. Raises GasError as :func:`humid_air`."""
    return humid("W", T=T, P=p, R=relative_humidity)


def dry_air_density(*, p: Pressure, T: Temperature, relative_humidity: Ratio) -> Values:
    """Mass of dry air in a volume of humid air: what a standard volume flow counts."""
    return 1 / humid("V", T=T, P=p, R=relative_humidity)
