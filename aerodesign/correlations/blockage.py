"""Blockage: the part of the exit area that the through-flow does not fill, beside the blades' own metal."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source, correlation
from aerodesign.core.quantities import Angle, Area, Density, Length, Ratio, Velocity


@correlation(
    source=Source("R. H. Aungier", 2000, "Centrifugal Compressors", "ASME Press, ch. 4", from_memory=True),
    valid={"b2": (1e-3, 0.5)},
)
def aungier(
    *,
    friction_loss_ratio: Ratio,
    hydraulic_diameter: Length,
    blade_length: Length,
    b2: Length,
    w1: Velocity,
    w2: Velocity,
    rho1: Density,
    rho2: Density,
    inlet_area: Area,
    beta1_blade: Angle,
    beta2_blade: Angle,
    r2: Length,
    tip_gap: Length,
) -> Ratio:
    r"""Aerodynamic blockage at the impeller's exit, a part of the annulus.

    :math:`B_2 = \omega_{sf}\,(W_1/W_2)^2 \sqrt{(W_1/W_2)\,d_H/b_2} + (0.3 + b_2^2/L_B^2)\,A_R^2\,\rho_2 b_2/(\rho_1 L_B)
    + s/(2 b_2)`: growth by skin friction, by the passage's diffusion, and half the tip gap of a semi-open wheel.
    ``friction_loss_ratio`` is the skin-friction loss over :math:`W_1^2/2`; :math:`A_R` the area ratio
    :math:`A_2\cos\beta_{2b} / (A_1\cos\beta_{1b})`.
    """
    area_ratio = 2 * np.pi * r2 * b2 * np.cos(beta2_blade) / (inlet_area * np.cos(beta1_blade))
    diffusion = w1 / w2
    by_friction = friction_loss_ratio * diffusion**2 * np.sqrt(diffusion * hydraulic_diameter / b2)
    by_diffusion = (0.3 + (b2 / blade_length) ** 2) * area_ratio**2 * rho2 * b2 / (rho1 * blade_length)
    return np.minimum(by_friction + by_diffusion + tip_gap / (2 * b2), 0.5)


@correlation(source=PRACTICE, valid={})
def fixed(*, b2: Length) -> Ratio:
    """A tenth of the exit annulus, whatever the flow: for comparison with a modelled blockage."""
    return 0.1 + 0 * b2
