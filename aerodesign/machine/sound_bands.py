"""Sound power by octave bands from three published estimates, the tones of the blades, and A-weighting.

All estimates were made for ventilation fans below about 2.5 kPa; a blower is an extrapolation, good for 10 dB either way.
Two stand on one level, Madison's, and differ in how they spread it; the third has levels of its own and lies 11.5 dB below the first in sum.
The first axis of every array is the octave band, 63 Hz to 8 kHz.
"""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Frequency, Length, Level, Ratio, Values

CENTRES = np.array([63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])
A_WEIGHTS = np.array([-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1])
A_SOURCE = Source(
    "IEC 61672-1", 2013, "Sound level meters, table of the A-weighting", "as in the data of python-acoustics"
)

MADISON = np.array([-4.0, -6, -9, -11, -13, -16, -19, -22])
HANDBOOK = np.array([-7.0, -8, -7, -12, -17, -22, -27, np.nan])
SPECIFIC = np.array([36.0, 38, 36, 34, 33, 28, 20, 15])
"""Levels of the octave bands of a fan that moves a cubic foot a minute by an inch of water: backward-curved, wheel below 0.9 m."""
SPECIFIC_TONE = 3.0
"""What a backward-curved wheel adds in the band of its blades, in dB."""
SPECTRA = {
    "octave corrections": MADISON,
    "handbook spectrum with blade tones": HANDBOOK,
    "specific sound power": SPECIFIC,
}
"""Levels of bands over the whole (of the last over its own level), backward-curved blades; nan where the source gives none."""
SPECTRUM_SOURCES = {
    "octave corrections": Source(
        "Madison",
        1949,
        "Octave corrections, backward curved",
        "as printed at engineeringtoolbox.com/fan-noise-d_61.html",
    ),
    "handbook spectrum with blade tones": Source(
        "ASHRAE Handbook",
        None,
        "Centrifugal fan, backward curved",
        "as quoted at strutt.arup.com/help/Empirical/FanNoise.htm",
    ),
    "specific sound power": Source(
        "Graham",
        1972,
        "Specific sound power levels and blade-frequency increments, as in the ASHRAE handbooks of 1984 to 1991",
        from_memory=True,
    ),
}
TONES = (5.0, 3.0)
"""What the handbook adds in the band of the blade-passing frequency, and in that of its first harmonic, in dB."""
OFF_PEAK = ((0.90, 0.0), (0.85, 3.0), (0.75, 6.0), (0.65, 9.0), (0.55, 12.0), (0.50, 15.0))
OFF_PEAK_SOURCE = Source(
    "Siemens", 2009, "Application guide 125-1929, pp. 27-28: addition for part of the peak efficiency"
)
WIDE = 10.0
"""Band in dB either way wherever these estimates are stretched, and our word for within: none of the sources states a scatter."""


def band_of(frequency: Frequency) -> Values:
    """Index of the octave band that holds a frequency; -1 below the first and the number of bands above the last."""
    index = np.floor(np.log2(np.asarray(frequency, float) / CENTRES[4]) + 0.5).astype(int) + 4
    return np.clip(index, -1, len(CENTRES))[()]


def with_tones(bands: Level, *, blade_passing: Frequency, tones: tuple[float, ...] = TONES) -> Level:
    """Bands with 5 dB added where the blades pass and 3 dB at the first harmonic (or other ``tones``); beyond 8 kHz nothing is added."""
    place = np.arange(len(CENTRES)).reshape((-1,) + (1,) * np.ndim(blade_passing))
    for order, extra in enumerate(tones, start=1):
        bands = bands + extra * (place == band_of(order * blade_passing))
    return bands


def octave_bands(level: Level, *, estimate: str, blade_passing: Frequency, off_peak: Level = 0.0) -> Level:
    """Sound power of the octave bands by one of :data:`SPECTRA`, shape ``(8, ...)``; Madison's has no tones.

    ``level`` is that of the estimate: :func:`~aerodesign.machine.noise.sound_power_level`, of "specific sound power"
    :func:`~aerodesign.machine.noise.specific_sound_power_level`.
    """
    shape = (-1,) + (1,) * max(np.ndim(level), np.ndim(blade_passing))
    bands = level + off_peak + SPECTRA[estimate].reshape(shape)
    if estimate.startswith("octave"):
        return bands
    tones = (SPECIFIC_TONE,) if estimate.startswith("specific") else TONES
    return with_tones(bands, blade_passing=blade_passing, tones=tones)


def off_peak_addition(part: Ratio) -> Level:
    """What is added to a level where the efficiency is only a part of the best one; 15 dB from half of it down."""
    part = np.asarray(part, float)
    found: Values = np.full(part.shape, OFF_PEAK[-1][1])
    for least, extra in reversed(OFF_PEAK):
        found = np.where(part >= least, extra, found)
    return found[()]


def a_weighted(bands: Level) -> Level:
    """The A-weighted level of octave bands; a band that is nan does not count."""
    weights = A_WEIGHTS.reshape((-1,) + (1,) * (np.ndim(bands) - 1))
    return summed(bands + weights)


def summed(bands: Level) -> Level:
    """The level of all bands together; a band that is nan does not count."""
    return 10 * np.log10(np.nansum(10 ** (bands / 10), axis=0))


def analytic_a_weight(frequency: Frequency) -> Level:
    """The A-weighting at any frequency, from the poles of IEC 61672-1 (from memory)."""
    f = np.asarray(frequency, float)
    gain = 12194.0**2 * f**4 / ((f**2 + 20.6**2) * np.sqrt((f**2 + 107.7**2) * (f**2 + 737.9**2)) * (f**2 + 12194.0**2))
    return (20 * np.log10(gain) + 2.00)[()]


def pressure_level(power_level: Level, *, distance: Length) -> Level:
    """Sound pressure level re 20 uPa over a hard floor in the free, from the sound power re 1 pW."""
    return power_level - 10 * np.log10(2 * np.pi * distance**2)
