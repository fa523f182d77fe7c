"""The exit cone between the volute's throat and the discharge flange."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Angle, Area, Ratio
from aerodesign.gas.perfect import power


@correlation(
    source=Source(
        "D. C. Rennels, H. M. Hudson",
        2012,
        "Pipe Flow",
        "Wiley; conical diffuser up to 20 degrees, as coded in the library fluids",
    ),
    valid={"cone_angle": (0, np.radians(20))},
    scatter=0.3,
)
def rennels(*, cone_angle: Angle, A4: Area, A5: Area, cone_friction_factor: Ratio) -> Ratio:
    r"""Loss coefficient on the throat's dynamic head.

    :math:`8.30\tan(\theta/2)^{1.75}(1-\beta^2)^2 + f(1-\beta^4)/(8\sin(\theta/2))` with :math:`\beta^2 = A_4/A_5` and
    Darcy's factor f. A flange smaller than the throat loses the friction of a nozzle, nothing else.
    """
    area_ratio = np.minimum(A4 / A5, 1)
    half = np.maximum(cone_angle, np.radians(1)) / 2
    spread = 8.30 * power(np.tan(half), 1.75) * (1 - area_ratio) ** 2
    friction = 4 * cone_friction_factor * (1 - area_ratio**2) / (8 * np.sin(half))
    return spread + friction


def pressure_recovery(
    *, area_ratio: Ratio, cone_loss: Ratio = 0.0, energy_factor4: Ratio = 1.0, energy_factor5: Ratio = 1.0
) -> Ratio:
    r"""Static pressure rise over the throat's dynamic head, :math:`\alpha_4 - \alpha_5/A_R^2 - \zeta`, incompressible.

    ``area_ratio`` is outlet over inlet; the energy factors count the kinetic energy of uneven profiles (one for even
    ones). Without loss and with even profiles it is the ideal recovery :math:`1 - 1/A_R^2`, against which an
    effectiveness is counted.
    """
    return energy_factor4 - energy_factor5 / area_ratio**2 - cone_loss
