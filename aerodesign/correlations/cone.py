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
    r"""Loss coefficient on the throat's dynamic head: :math:`8.30\tan(\theta/2)^{1.75}(1-\beta^2)^2 + f(1-\beta^4)/(8\sin(\theta/2))`.

    :math:`\beta^2 = A_4/A_5`, f is Darcy's factor. A flange smaller than the throat loses the friction of a nozzle, nothing else.
    """
    area_ratio = np.minimum(A4 / A5, 1)
    half = np.maximum(cone_angle, np.radians(1)) / 2
    spread = 8.30 * power(np.tan(half), 1.75) * (1 - area_ratio) ** 2
    friction = 4 * cone_friction_factor * (1 - area_ratio**2) / (8 * np.sin(half))
    return spread + friction
