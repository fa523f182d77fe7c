"""A first estimate of the sound that a blower sends into its duct."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Count, Frequency, Pressure, Ratio, Speed, VolumeFlow

CUBIC_FOOT_A_MINUTE, INCH_OF_WATER = 4.719474432e-4, 249.08891
"""m3/s and Pa, in which specific sound power counts."""


@correlation(
    source=Source("Madison", 1949, "Fan engineering rule as printed at engineeringtoolbox.com/fan-noise-d_61.html"),
    valid={"pressure_rise": (50, 2500)},
    scatter=10.0,
)
def sound_power_level(*, flow: VolumeFlow, pressure_rise: Pressure) -> Ratio:
    r"""Sound power level in dB re 1 pW, :math:`40 + 10\lg V + 20\lg\Delta p` with V in m3/s and the rise in Pa.

    Made for ventilation fans below about 2.5 kPa; beyond, an extrapolation good for 10 dB either way.
    """
    return 40 + 10 * np.log10(flow) + 20 * np.log10(pressure_rise)


@correlation(
    source=Source(
        "Graham",
        1972,
        "Fan noise by specific sound power, as in the ASHRAE handbooks of 1984 to 1991: backward-curved wheels",
        from_memory=True,
    ),
    valid={"pressure_rise": (50, 2500)},
    scatter=10.0,
)
def specific_sound_power_level(*, flow: VolumeFlow, pressure_rise: Pressure) -> Ratio:
    r"""What is added to a fan's specific levels of the octave bands, :math:`10\lg (V/V_0) + 20\lg (\Delta p/p_0)` in dB.

    V0 is a cubic foot a minute and p0 an inch of water; the specific levels are :data:`~aerodesign.machine.sound_bands.SPECIFIC`. Of
    one fan the level goes with flow and pressure as :func:`sound_power_level` has it; what the two say of a fan's size and
    kind was found apart from each other.
    """
    return 10 * np.log10(flow / CUBIC_FOOT_A_MINUTE) + 20 * np.log10(pressure_rise / INCH_OF_WATER)


def blade_passing_frequency(*, speed: Speed, blades: Count) -> Frequency:
    """Frequency at which blades pass the tongue."""
    return speed * blades / (2 * np.pi)
