"""Blade loading: diffusion on the blades and the secondary flow that their pressure difference drives."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Count, Length, Ratio, SpecificEnergy, Velocity

COPPAGE = Source(
    "J. E. Coppage et al.", 1956, "Study of supersonic radial compressors for refrigeration and pressurization systems",
    "WADC TR 55-257", from_memory=True,
)


def diffusion_factor(
    *, work: SpecificEnergy, u2: Velocity, w1s: Velocity, w2: Velocity, blades_effective: Count, r1s: Length, r2: Length,
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
