"""Blade loading: diffusion on the blades and the secondary flow that their pressure difference drives."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Count, Length, Ratio, SpecificEnergy, Velocity

COPPAGE = Source(
    "J. E. Coppage et al.",
    1956,
    "Study of supersonic radial compressors for refrigeration and pressurization systems",
    "WADC TR 55-257",
    from_memory=True,
)


def diffusion_factor(
    *,
    work: SpecificEnergy,
    u2: Velocity,
    w1s: Velocity,
    w2: Velocity,
    blades_effective: Count,
    r1s: Length,
    r2: Length,
    splitters: Count,
) -> Ratio:
    r"""Diffusion factor of Coppage et al. (from memory), with 0.75 for full blades and 0.6 where splitters stand between."""
    constant = np.where(np.greater(splitters, 0), 0.6, 0.75)
    solidity = blades_effective / np.pi * (1 - r1s / r2) + 2 * r1s / r2
    return 1 - w2 / w1s + constant * work / u2**2 * w2 / (w1s * solidity)


@correlation(source=COPPAGE, valid={"diffusion_factor": (0, 0.9)})
def coppage(*, diffusion_factor: Ratio, u2: Velocity) -> SpecificEnergy:
    r"""Loading loss :math:`0.05\,D_f^2 U_2^2`."""
    return 0.05 * diffusion_factor**2 * u2**2


def blade_loading(
    *,
    work: SpecificEnergy,
    u2: Velocity,
    r2: Length,
    blades_effective: Count,
    blade_length: Length,
    w1: Velocity,
    w2: Velocity,
) -> Ratio:
    r"""Mean difference of velocity across a blade over the mean velocity, :math:`\frac{2\Delta W}{W_1+W_2}`,
    :math:`\Delta W = 2\pi D_2U_2I/(Z L_B)` (Aungier 2000, from memory); he keeps it below 0.9.
    """
    difference = 4 * np.pi * r2 * work / u2 / (blades_effective * blade_length)
    return 2 * difference / (w1 + w2)
