"""Incidence: the loss of a flow that meets the blades at another angle than theirs."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Angle, Ratio, SpecificEnergy, Velocity


@correlation(
    source=Source(
        "M. R. Galvas",
        1973,
        "Fortran program for predicting off-design performance of centrifugal compressors",
        "NASA TN D-7487",
        from_memory=True,
    ),
    valid={"incidence": (np.radians(-25), np.radians(25))},
)
def galvas(*, w1: Velocity, beta1: Angle, beta1_blade: Angle, inlet_blockage: Ratio) -> SpecificEnergy:
    r"""Kinetic energy of the relative velocity's component across the optimum direction: :math:`(W_1\sin(\beta_1-\beta_{opt}))^2/2`.

    At the optimum the flow has the blade's direction once the blades narrow its way by the part B (Stanitz):
    :math:`\tan\beta_{opt} = \tan\beta_b / (1-B)`, some degrees of positive incidence. As recalled, the report's formula for the
    deviation has the same form with the other sign; the sign here follows from continuity.
    """
    optimum = np.arctan(np.tan(beta1_blade) / (1 - inlet_blockage))
    return (w1 * np.sin(beta1 - optimum)) ** 2 / 2


@correlation(
    source=Source(
        "O. Conrad, K. Raif, M. Wessels",
        1980,
        "The calculation of performance maps for centrifugal compressors",
        "ASME Performance prediction of centrifugal pumps and compressors",
        from_memory=True,
    ),
    valid={"incidence": (np.radians(-25), np.radians(25))},
)
def conrad(*, w1: Velocity, beta1: Angle, beta1_blade: Angle, inlet_blockage: Ratio) -> SpecificEnergy:
    r"""Six tenths of the kinetic energy of the velocity that vanishes at entry, :math:`0.6\,\Delta W_u^2/2` (0.5 to 0.7 in use)."""
    optimum = np.arctan(np.tan(beta1_blade) / (1 - inlet_blockage))
    lost = w1 * np.cos(beta1) * (np.tan(beta1) - np.tan(optimum))
    return 0.6 * lost**2 / 2
