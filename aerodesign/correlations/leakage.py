"""Leakage of a covered wheel through its eye seal, back from the exit to the inlet."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Density, Length, MassFlow, Pressure, Ratio, SpecificEnergy, Speed


@correlation(
    source=Source("A. Egli", 1935, "The leakage of steam through labyrinth seals", "Trans. ASME 57", from_memory=True),
    valid={"seal_ratio": (0, 0.02)},
)
def labyrinth(
    *,
    seal_gap: Length,
    r1s: Length,
    r2: Length,
    speed: Speed,
    p1: Pressure,
    p2: Pressure,
    rho2: Density,
    mass_flow: MassFlow,
    work: SpecificEnergy,
) -> SpecificEnergy:
    r"""Work spent again on the gas that leaks: :math:`w\,\dot m_s/\dot m` through four sharp teeth.

    :math:`\dot m_s = 2\pi r_{1s}s\,C\sqrt{2\rho\Delta p/n}` with discharge coefficient 0.7 and n = 4 teeth (common practice, no source).
    The pressure at the seal is that at r2 less the core's rotation at half speed,
    :math:`\rho(\omega/2)^2(r_2^2-r_{1s}^2)/2`.
    """
    drop = np.maximum(p2 - p1 - rho2 * (speed / 2) ** 2 * (r2**2 - r1s**2) / 2, 0)
    leak: Ratio = 2 * np.pi * r1s * seal_gap * 0.7 * np.sqrt(2 * rho2 * drop / 4) / mass_flow
    return leak * work
