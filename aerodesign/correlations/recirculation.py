"""Recirculation: gas that falls back from the diffuser into the impeller and is worked upon again."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Angle, Ratio, SpecificEnergy, Velocity
from aerodesign.correlations.loading import COPPAGE


@correlation(
    source=Source(
        "H. W. Oh, E. S. Yoon, M. K. Chung",
        1997,
        "An optimum set of loss models for performance prediction of centrifugal compressors",
        "Proc. IMechE A 211",
        from_memory=True,
    ),
    valid={"alpha2": (0, np.radians(80))},
)
def oh(*, alpha2: Angle, diffusion_factor: Ratio, u2: Velocity) -> SpecificEnergy:
    r"""Parasitic work :math:`8\cdot10^{-5}\sinh(3.5\alpha_2^3)D_f^2U_2^2`.

    The hyperbolic sine runs away towards a tangential exit flow: the angle is held below 80 degrees, by a smooth bend one degree
    wide, and the flag of the range says so.
    """
    limit, bend = np.radians(80), np.radians(1)
    below = (limit - np.maximum(alpha2, 0)) / bend
    # log(1 + exp(x)) and sinh by exponentials: numpy's own cost five times as much on arrays.
    angle = limit - bend * (np.maximum(below, 0) + np.log(1 + np.exp(-np.abs(below))))
    grown = np.exp(3.5 * np.maximum(angle, 0) ** 3)
    return 4e-5 * (grown - 1 / grown) * diffusion_factor**2 * u2**2


@correlation(source=COPPAGE, valid={"alpha2": (0, np.radians(85))})
def coppage(*, alpha2: Angle, diffusion_factor: Ratio, u2: Velocity) -> SpecificEnergy:
    r"""Parasitic work :math:`0.02\sqrt{\tan\alpha_2}\,D_f^2U_2^2`.

    The default: at design it costs about what the other does (0.4 to 0.7 points), and at 60 % of the design flow 2 to 3 points, where
    the hyperbolic sine of the other takes 8 to 10 and efficiency curves of tested stages lose 5 to 8 in all.
    """
    return 0.02 * np.sqrt(np.tan(np.clip(alpha2, 0, np.radians(89)))) * diffusion_factor**2 * u2**2
