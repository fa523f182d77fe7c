"""Mixing at the impeller's exit, where wakes and blocked area fill up."""

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Ratio, SpecificEnergy, Velocity


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
def johnston_dean(*, cm2: Velocity, exit_blockage: Ratio) -> SpecificEnergy:
    r"""Sudden expansion of the meridional flow from the unblocked part of the exit to all of it:
    :math:`\frac{C_{m2}^2}{2}\left(\frac{B}{1-B}\right)^2`, with ``cm2`` after mixing; the pinch is counted with the diffuser.
    """
    return (cm2 * exit_blockage / (1 - exit_blockage)) ** 2 / 2
