"""Pure gases and their mixtures, from CoolProp's data of the pure components."""

from collections.abc import Mapping

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.errors import GasError
from aerodesign.core.quantities import Pressure, Ratio, Temperature, Values, Viscosity
from aerodesign.gas.air import COMPRESSION_WARMS
from aerodesign.gas.coolprop import fluid, fluid_name
from aerodesign.gas.perfect import Gas

WILKE = Source(
    "C. R. Wilke", 1950, "A Viscosity Equation for Gas Mixtures", "J. Chem. Phys. 18, p. 517", from_memory=True
)
DILUTE = 1e-3
"""Molar density, mol/m3, at which a gas counts as ideal (2 Pa)."""


def pure_gas(*, name: str, p: Pressure, T: Temperature) -> Gas:
    """A pure gas by one of its names ("N2", "CO2", "methane") near a state. Raises GasError, see :func:`mixture`."""
    return mixture(fractions={name: 1.0}, p=p, T=T)


def mixture(*, fractions: Mapping[str, float], p: Pressure, T: Temperature) -> Gas:
    """A mixture of gases by mole fractions, ``{"CH4": 0.6, "CO2": 0.4}``, near a state. p and T broadcast.

    Specific heats are the ideal gases' and volumes add (Amagat), each component's compressibility taken at the
    state; the viscosity follows Wilke's rule. Raises GasError for an unknown name, fractions that do not sum to 1, a
    component that would condense, or one whose viscosity CoolProp lacks.
    """
    x = _checked(fractions)
    molar_mass = sum(part * fluid_molar_mass(name) for name, part in x.items())
    cp = sum(part * fluid("CP0MOLAR", name, T=T, Dmolar=DILUTE + 0 * p) for name, part in x.items()) / molar_mass
    Z = sum(part * _compressibility(name=name, p=p, T=T, part=part) for name, part in x.items())

    mu = _mixed_viscosity(x, T + 0 * p)
    mu_warm = _mixed_viscosity(x, T + COMPRESSION_WARMS + 0 * p)
    return Gas(
        R=Z * GAS_CONSTANT / molar_mass,
        cp=cp,
        mu_ref=mu,
        T_ref=T + 0 * mu,
        mu_exponent=np.log(mu_warm / mu) / np.log((T + COMPRESSION_WARMS) / T),
        name=" + ".join(f"{part:.4g} {given}" if part < 1 else given for given, part in fractions.items() if part > 0),
    )


GAS_CONSTANT = 8.31446261815324
"""Molar gas constant, J/(mol K), exact in the SI of 2019."""


def fluid_molar_mass(name: str) -> float:
    """Molar mass of a pure fluid, kg/mol."""
    return float(fluid("M", name, T=300.0, Dmolar=DILUTE))


def wilke(*, mole_fractions: list[Ratio], viscosities: list[Viscosity], molar_masses: list[float]) -> Viscosity:
    """Viscosity of a mixture of dilute gases by Wilke's rule (1950)."""
    components = list(zip(mole_fractions, viscosities, molar_masses, strict=True))

    def weight(mu_i: Values, M_i: float, mu_j: Values, M_j: float) -> Values:
        phi: Values = (1 + np.sqrt(mu_i / mu_j) * (M_j / M_i) ** 0.25) ** 2 / np.sqrt(8 * (1 + M_i / M_j))
        return phi

    mixed: Viscosity = sum(
        x_i * mu_i / sum(x_j * weight(mu_i, M_i, mu_j, M_j) for x_j, mu_j, M_j in components)
        for x_i, mu_i, M_i in components
    )
    return mixed


def _mixed_viscosity(x: Mapping[str, float], T: Temperature) -> Viscosity:
    return wilke(
        mole_fractions=list(x.values()),
        viscosities=[_dilute_viscosity(name, T) for name in x],
        molar_masses=[fluid_molar_mass(name) for name in x],
    )


def _dilute_viscosity(name: str, T: Temperature) -> Viscosity:
    try:
        return fluid("V", name, T=T, Dmolar=DILUTE)
    except GasError as cause:
        advice = "count a trace of it as N2" if "not available" in str(cause) else "choose another temperature"
        raise GasError(f"{cause}; {advice}") from cause


def _compressibility(*, name: str, p: Pressure, T: Temperature, part: float) -> Ratio:
    """Compressibility factor at the state, or at the partial pressure for a vapour that alone would condense there."""
    at_pressure = fluid("Z", name, T=T, P=p)
    liquid = np.less(at_pressure, LIQUID)
    if not np.any(liquid):
        return at_pressure
    at_partial = fluid("Z", name, T=T, P=part * p)
    if np.any(np.less(at_partial, LIQUID)):
        raise GasError(
            f"{name} would condense at {np.min(T):.4g} K and {np.max(part * p):.4g} Pa partial pressure: "
            "take less of it, or a warmer inlet"
        )
    factor: Values = np.where(liquid, at_partial, at_pressure)
    return factor[()]


LIQUID = 0.3
"""Compressibility factor that separates a liquid (below 0.01 near 1 bar) from a gas (above 0.9)."""


def _checked(fractions: Mapping[str, float]) -> dict[str, float]:
    """Fractions by CoolProp's names, zero parts left out."""
    if not fractions:
        raise GasError("a mixture needs at least one gas, for example {CH4 = 0.6, CO2 = 0.4}")
    x: dict[str, float] = {}
    for given, part in fractions.items():
        name = fluid_name(given)
        if not 0 <= part <= 1:
            raise GasError(f"mole fraction of {given} is {part:.6g}: must lie between 0 and 1")
        if name in x:
            raise GasError(f"{given} stands twice in the mixture (as {name}): give one fraction for each gas")
        x[name] = float(part)
    total = sum(x.values())
    if abs(total - 1) > 1e-4:
        raise GasError(f"mole fractions sum to {total:.6g}: must sum to 1")
    return {name: part / total for name, part in x.items() if part > 0}
