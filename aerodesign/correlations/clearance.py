"""Tip clearance of a semi-open wheel. Not to be used with a tip-leakage model: both describe the same flow."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Area, Count, Density, Length, SpecificEnergy, Velocity


@correlation(
    source=Source(
        "W. Jansen",
        1967,
        "A method for calculating the flow in a centrifugal impeller when entropy gradients are present",
        "Royal Society Conf. on Internal Aerodynamics",
        from_memory=True,
    ),
    valid={"clearance_ratio": (0, 0.15)},
)
def jansen(
    *,
    tip_gap: Length,
    b2: Length,
    cu2: Velocity,
    cm1: Velocity,
    blades_effective: Count,
    inlet_area: Area,
    r1s: Length,
    r2: Length,
    rho1: Density,
    rho2: Density,
) -> SpecificEnergy:
    r"""Loss :math:`0.6\frac{\epsilon}{b_2}C_{u2}\sqrt{\frac{4\pi}{b_2Z}\frac{r_{1s}^2-r_{1h}^2}{(r_2-r_{1s})(1+\rho_2/\rho_1)}C_{u2}C_{m1}}`.

    It costs 0.3 to 0.5 points of efficiency per cent of ``clearance / b2``, as measured (Mashimo et al. 1979: about 0.36).
    """
    spread = inlet_area / np.pi / ((r2 - r1s) * (1 + rho2 / rho1))
    swirl = np.maximum(cu2, 0)
    return 0.6 * tip_gap / b2 * swirl * np.sqrt(4 * np.pi / (b2 * blades_effective) * spread * swirl * cm1)
