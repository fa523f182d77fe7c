"""The volute's losses: meridional dump, tangential mismatch, friction."""

import numpy as np

from aerodesign.core.correlation import OWN, Source, correlation
from aerodesign.core.quantities import Area, Length, Ratio, SpecificEnergy, Velocity

WEBER_KORONOWSKI = Source(
    "C. R. Weber, M. E. Koronowski",
    1986,
    "Meanline performance prediction of volutes in centrifugal compressors",
    "ASME 86-GT-216",
    from_memory=True,
)


@correlation(source=WEBER_KORONOWSKI, valid={}, phenomenon="volute_dump")
def meridional_dump(*, cm3: Velocity) -> SpecificEnergy:
    r"""All kinetic energy of the meridional velocity, :math:`C_{m3}^2/2`: it winds up the swirl in the section and dies there."""
    return cm3**2 / 2


@correlation(source=WEBER_KORONOWSKI, valid={"volute_mismatch": (0.5, 2.0)}, phenomenon="volute_mismatch")
def tangential_mismatch(*, volute_mismatch: Ratio, r3: Length, r4: Length, cu3: Velocity) -> SpecificEnergy:
    r"""Loss where the throat asks another velocity than angular momentum brings.

    With :math:`S = r_3C_{u3}/(r_4C_4)`: diffusing (S > 1) :math:`\frac{r_3C_{u3}^2}{4r_4}(1-S^{-2})`, accelerating
    :math:`\frac{r_3C_{u3}^2}{2r_4}(1-S^{-1})^2`.
    """
    scale = r3 / r4 * cu3**2 / 2
    diffusing = 0.5 * (1 - 1 / volute_mismatch**2)
    accelerating = (1 - 1 / volute_mismatch) ** 2
    return scale * np.where(volute_mismatch >= 1, diffusing, accelerating)[()]


@correlation(source=OWN, valid={"volute_mismatch": (0.3, 5.0)}, phenomenon="volute_mismatch")
def borda_carnot(*, volute_mismatch: Ratio, r3: Length, r4: Length, cu3: Velocity) -> SpecificEnergy:
    r"""Shock of the gas that arrives along the spiral and joins a stream of the throat's velocity.

    Without loss it keeps :math:`r C_u` up to the centre of the section. There it meets the stream that continuity asks for, and the
    kinetic energy of their difference is lost, as in a sudden expansion: :math:`\frac12\left(\frac{r_3C_{u3}}{r_4} - C_4\right)^2 =
    \frac12\left(\frac{r_3C_{u3}}{r_4}\right)^2\left(1-S^{-1}\right)^2`. Momentum alone, no coefficient; both signs of the mismatch, and no
    corner at S = 1, where :func:`tangential_mismatch` has one that no measured speed line shows.
    """
    return (r3 * cu3 / r4 * (1 - 1 / volute_mismatch)) ** 2 / 2


@correlation(source=WEBER_KORONOWSKI, valid={}, phenomenon="volute_friction")
def half_turn_friction(
    *, c4: Velocity, r3: Length, r4: Length, A4: Area, volute_friction_factor: Ratio
) -> SpecificEnergy:
    r"""Pipe friction over half a turn at throat size, :math:`4c_f\frac{L}{D_h}\frac{C_4^2}{2}` with :math:`L=\pi(r_3+r_4)/2`."""
    length = np.pi * (r3 + r4) / 2
    return 4 * volute_friction_factor * length / np.sqrt(4 * A4 / np.pi) * c4**2 / 2


@correlation(source=OWN, valid={}, phenomenon="volute_friction")
def spiral_friction(
    *, c4: Velocity, cm3: Velocity, r3: Length, r4: Length, A4: Area, volute_friction_factor: Ratio
) -> SpecificEnergy:
    r"""Friction on the walls of a round spiral whose area grows in proportion to the angle, with the section's swirl.

    Wall power :math:`\int c_f\frac{\rho}{2}C^3\,2\pi p\,r\,d\theta` over mass flow, with :math:`p = p_4\sqrt{\theta/2\pi}`, is that of a pipe of
    length :math:`L = \frac{4\pi}{3}\bar r`; on the wall the velocity is :math:`\sqrt{C_4^2+C_{m3}^2}`.
    """
    length = 4 * np.pi / 3 * (r3 + r4) / 2
    wall = np.sqrt(c4**2 + cm3**2)
    return 4 * volute_friction_factor * length / np.sqrt(4 * A4 / np.pi) * wall**3 / c4 / 2
