"""Mixing at the impeller's exit, where wakes and blocked area fill up."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Length, Ratio, SpecificEnergy, Velocity


@correlation(
    source=Source(
        "J. P. Johnston, R. C. Dean",
        1966,
        "Losses in vaneless diffusers of centrifugal compressors and pumps",
        "J. Eng. Power 88",
        from_memory=True,
    ),
    valid={"exit_blockage": (0, 0.5)},
)
def johnston_dean(*, cm2: Velocity, exit_blockage: Ratio, b2: Length, b3: Length) -> SpecificEnergy:
    r"""Sudden expansion of the meridional flow from the unblocked part of the exit to the diffuser's width:
    :math:`\frac{C_{m2}^2}{2}\left(\frac{1}{1-B} - \frac{1}{b^*}\right)^2`, with ``cm2`` over the whole exit and :math:`b^* = b_3/b_2`, which is taken
    as 1 for a pinched diffuser: a contraction mixes nothing.
    """
    jet = 1 / (1 - exit_blockage)
    return (cm2 * (jet - 1 / np.maximum(b3 / b2, 1))) ** 2 / 2
