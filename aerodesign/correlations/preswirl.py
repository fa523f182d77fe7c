"""Pre-swirl: what guide vanes before the inducer cost when they turn the flow."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, correlation
from aerodesign.core.quantities import Angle, SpecificEnergy, Velocity


@correlation(source=PRACTICE, valid={"alpha1": (np.radians(-30), np.radians(65))}, scatter=0.5)
def guide_vanes(*, alpha1: Angle, c1: Velocity) -> SpecificEnergy:
    r"""Loss :math:`0.4\sin^2\alpha_1\,C_1^2/2` of a ring of thin vanes that turns the flow by ``alpha1``; none without turning.

    The friction of idle vanes is left to the inlet's own loss: a machine without vanes and one with idle vanes are the same here.
    """
    return 0.4 * np.sin(alpha1) ** 2 * c1**2 / 2
