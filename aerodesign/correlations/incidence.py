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


@correlation(
    source=Source("R. H. Aungier", 2000, "Centrifugal Compressors", "ASME Press, ch. 5", from_memory=True),
    valid={"incidence": (np.radians(-25), np.radians(30))},
)
def aungier(
    *, w1: Velocity, beta1: Angle, beta1_blade: Angle, inlet_blockage: Ratio, w_throat: Velocity
) -> SpecificEnergy:
    r"""The larger of an incidence loss and of the diffusion from the leading edge into the throat, on :math:`W_1^2/2`:
    :math:`0.8\left(1-\frac{\cos\beta_1}{\cos\beta_{opt}}\right)^2 + \left(\frac{B\cos\beta_1}{1-B}\right)^2` and
    :math:`0.8\left(1-\frac{W_{th}}{W_1}\right)^2`.

    At low flow the throat is too wide for the stream and its slowing down costs more than the turn: the pressure then peaks nearer
    to the design flow than with incidence alone.
    """
    optimum = np.arctan(np.tan(beta1_blade) / (1 - inlet_blockage))
    turned = (
        0.8 * (1 - np.cos(beta1) / np.cos(optimum)) ** 2 + (inlet_blockage * np.cos(beta1) / (1 - inlet_blockage)) ** 2
    )
    slowed = 0.8 * np.maximum(1 - w_throat / w1, 0) ** 2
    return np.maximum(turned, slowed) * w1**2 / 2
