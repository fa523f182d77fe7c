"""Specific speed and diameter, and a line of good machines in that chart."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, correlation
from aerodesign.core.quantities import Length, Ratio, SpecificEnergy, Speed, VolumeFlow
from aerodesign.gas.perfect import power


def specific_speed(*, speed: Speed, flow: VolumeFlow, work: SpecificEnergy) -> Ratio:
    r"""Specific speed :math:`\omega\sqrt{V}/\Delta h^{3/4}`, dimensionless; work is the isentropic one."""
    return speed * np.sqrt(flow) / power(work, 0.75)


def specific_diameter(*, diameter: Length, flow: VolumeFlow, work: SpecificEnergy) -> Ratio:
    r"""Specific diameter :math:`D\Delta h^{1/4}/\sqrt{V}`, dimensionless."""
    return diameter * power(work, 0.25) / np.sqrt(flow)


@correlation(source=PRACTICE, valid={"specific_speed": (0.25, 1.6)}, scatter=0.1)
def backswept_line(*, specific_speed: Ratio) -> Ratio:
    r"""Specific diameter of good centrifugal blowers with backswept blades: isentropic work half of :math:`U_2^2`.

    Then :math:`n_sd_s = 2/\sqrt{0.5}`, a line of slope -1 in the chart, as the radial end of Cordier's has. It is what the chart
    shows beside the design; the search itself is over the meanline.
    """
    return 2 / np.sqrt(0.5) / specific_speed


def specific_speed_us(*, specific_speed: Ratio) -> Ratio:
    """The same in rpm, US gallons a minute and feet: multiplied by 2733.02 (with g = 9.80665 m/s2)."""
    return specific_speed * 2733.02
