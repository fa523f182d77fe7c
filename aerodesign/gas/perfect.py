"""A perfect gas: constant specific heats, viscosity by a power of temperature.

For air between 1 and 1.6 bar the isentropic work differs from the real gas by less than 0.04 %.
"""

import numpy as np

from aerodesign.core.quantities import (
    Density,
    Pressure,
    Ratio,
    SpecificEnergy,
    SpecificHeat,
    Temperature,
    Values,
    Velocity,
    Viscosity,
)
from aerodesign.core.record import Record, record


@record
class Gas(Record):
    """A perfect gas. ``mu = mu_ref (T / T_ref)**mu_exponent`` holds within 0.3 % for 60 K about ``T_ref``."""

    R: SpecificHeat
    cp: SpecificHeat
    mu_ref: Viscosity
    T_ref: Temperature
    mu_exponent: Ratio
    name: str = "gas"

    @property
    def gamma(self) -> Values:
        """Ratio of the specific heats."""
        return self.cp / (self.cp - self.R)

    @property
    def kappa(self) -> Values:
        """Exponent ``R / cp`` of the isentrope ``T ~ p**kappa``."""
        return self.R / self.cp


def density(*, gas: Gas, p: Pressure, T: Temperature) -> Density:
    """Density of the gas."""
    return p / (gas.R * T)


def sound_speed(*, gas: Gas, T: Temperature) -> Velocity:
    """Speed of sound."""
    return np.sqrt(gas.gamma * gas.R * T)


def viscosity(*, gas: Gas, T: Temperature) -> Viscosity:
    """Dynamic viscosity."""
    return gas.mu_ref * power(T / gas.T_ref, gas.mu_exponent)


def isentropic_work(*, gas: Gas, Tt: Temperature, pressure_ratio: Ratio) -> SpecificEnergy:
    """Work of an isentropic compression from total temperature ``Tt`` by a pressure ratio."""
    return gas.cp * Tt * (power(pressure_ratio, gas.kappa) - 1)


def isentropic_pressure_ratio(*, gas: Gas, Tt: Temperature, work: SpecificEnergy) -> Ratio:
    """Pressure ratio that an isentropic work reaches from total temperature ``Tt``; the inverse of the above."""
    return power(1 + work / (gas.cp * Tt), 1 / gas.kappa)


def power(x: Values, y: Values) -> Values:
    """``x**y`` for positive x as ``exp(y log x)``: half the cost of ``**`` on arrays, equal to 4e-16."""
    return np.exp(y * np.log(x))


def flow_function(*, mach: Ratio, gamma: Ratio) -> Ratio:
    r"""Mass flow over ``A pt sqrt(gamma / (R Tt))``: :math:`M (1 + (\gamma-1) M^2/2)^{-(\gamma+1)/(2(\gamma-1))}`."""
    return mach * power(1 + (gamma - 1) / 2 * mach**2, -(gamma + 1) / (2 * (gamma - 1)))


def choked_flow_function(*, gamma: Ratio) -> Ratio:
    """The flow function at Mach 1, 0.5787 for air: no passage carries more."""
    return power(2 / (gamma + 1), (gamma + 1) / (2 * (gamma - 1)))


def subsonic_mach(*, flow_function: Ratio, gamma: Ratio, start: Ratio | None = None, passes: int = 6) -> Ratio:
    """Subsonic Mach number that carries a given :func:`flow_function`.

    The flow function is concave, so Newton's method started at its own value (which lies below the root) climbs to the
    root without passing it. Six passes give 1e-9 up to 99.5 % of choke (M 0.92), 2e-5 at 99.9 %; beyond choke the
    result is the Mach number at 99.99 % of it within 0.002, and the caller must flag it. From a near ``start`` fewer passes do.
    """
    wanted = np.minimum(flow_function, 0.9999 * choked_flow_function(gamma=gamma))
    mach = wanted if start is None else start
    exponent = -(gamma + 1) / (2 * (gamma - 1))
    for _ in range(passes):
        heat = 1 + (gamma - 1) / 2 * mach**2
        per_mach = power(heat, exponent)
        slope = per_mach * (1 - (gamma + 1) / 2 * mach**2 / heat)
        mach = mach + (wanted - mach * per_mach) / slope
    return mach
