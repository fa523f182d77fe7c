"""Discharge coefficients and expansibility of flow meters that work by a pressure difference.

``beta`` is the bore over the pipe's bore, ``reynolds`` counts in the pipe. All broadcast. The standards were not opened:
the equations are from memory, and the tests hold them against a library that carries the same standards.
"""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Length, Pressure, Ratio
from aerodesign.gas.perfect import power

ORIFICE = Source("ISO", 2003, "ISO 5167-2, orifice plates (Reader-Harris and Gallagher)", from_memory=True)
NOZZLE = Source("ISO", 2003, "ISO 5167-3, nozzles and Venturi nozzles", from_memory=True)
VENTURI = Source("ISO", 2003, "ISO 5167-4, Venturi tubes", from_memory=True)
INLET = Source("ISO", 2007, "ISO 5801, inlet nozzles and conical inlets with a constant coefficient", from_memory=True)
TRAVERSE = Source("common practice", None, "mean of the roots over equal areas; no source")

MILLIMETRE = 1e-3
TAP_DISTANCE = 25.4 * MILLIMETRE
SMALL_PIPE = 71.12 * MILLIMETRE


def tap_ratios(*, taps: str, pipe: Length) -> tuple[Ratio, Ratio]:
    """Distances of the upstream tap from the upstream face, and of the downstream one from the downstream face, over the pipe."""
    if taps == "flange":
        return TAP_DISTANCE / pipe, TAP_DISTANCE / pipe
    return (1.0, 0.47) if taps == "D and D/2" else (0.0, 0.0)


def orifice(*, beta: Ratio, pipe: Length, reynolds: Ratio, taps: str) -> Ratio:
    """Discharge coefficient of a sharp orifice with ``corner``, ``flange`` or ``D and D/2`` taps (:data:`ORIFICE`)."""
    L1, L2 = tap_ratios(taps=taps, pipe=pipe)
    A = (19000 * beta / reynolds) ** 0.8
    M2 = 2 * L2 / (1 - beta)
    beta4 = beta**4

    flow = 0.5961 + 0.0261 * beta**2 - 0.216 * beta4**2
    slope = 0.000521 * (1e6 * beta / reynolds) ** 0.7 + (0.0188 + 0.0063 * A) * beta**3.5 * (1e6 / reynolds) ** 0.3
    upstream = (0.043 + 0.080 * np.exp(-10 * L1) - 0.123 * np.exp(-7 * L1)) * (1 - 0.11 * A) * beta4 / (1 - beta4)
    downstream = -0.031 * (M2 - 0.8 * M2**1.1) * beta**1.3
    small = 0.011 * (0.75 - beta) * np.maximum(2.8 - 2.8 * pipe / SMALL_PIPE, 0)
    return flow + slope + upstream + downstream + small


def isa_1932_nozzle(*, beta: Ratio, reynolds: Ratio) -> Ratio:
    """Discharge coefficient of an ISA 1932 nozzle (:data:`NOZZLE`)."""
    return 0.9900 - 0.2262 * beta**4.1 - (0.00175 * beta**2 - 0.0033 * beta**4.15) * (1e6 / reynolds) ** 1.15


def long_radius_nozzle(*, beta: Ratio, reynolds: Ratio) -> Ratio:
    """Discharge coefficient of a long-radius nozzle (:data:`NOZZLE`)."""
    return 0.9965 - 0.00653 * np.sqrt(1e6 * beta / reynolds)


def orifice_expansibility(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    """Expansibility factor of an orifice; ``pressure`` is the static one upstream (:data:`ORIFICE`)."""
    return 1 - (0.351 + 0.256 * beta**4 + 0.93 * beta**8) * (1 - power(1 - difference / pressure, 1 / gamma))


def nozzle_expansibility(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    """Expansibility factor of nozzles and Venturi tubes: isentropic flow from the pipe to the throat, exactly."""
    tau = 1 - difference / pressure
    throat = power(tau, 2 / gamma)
    approach = (1 - beta**4) / (1 - beta**4 * throat)
    heat = -np.expm1((1 - 1 / gamma) * np.log1p(-difference / pressure)) / (difference / pressure)
    return np.sqrt(gamma / (gamma - 1) * throat * approach * heat)


def pitot_expansibility(*, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    """Velocity behind a Pitot tube over that of a constant density; ``pressure`` is the static one. Isentropic, exactly."""
    kappa = 1 - 1 / gamma
    ratio = difference / pressure
    return np.sqrt(np.expm1(kappa * np.log1p(ratio)) / (kappa * ratio))
