"""A first estimate of the sound that a blower sends into its duct."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Count, Frequency, Pressure, Ratio, Speed, VolumeFlow


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


def blade_passing_frequency(*, speed: Speed, blades: Count) -> Frequency:
    """Frequency at which blades pass the tongue."""
    return speed * blades / (2 * np.pi)
