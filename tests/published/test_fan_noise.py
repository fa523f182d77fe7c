"""Fan noise: the published rules in both unit systems, their spectra, A-weighting, and tones."""

import numpy as np
import pytest

from aerodesign.core.correlation import outside
from aerodesign.machine import sound_bands as bands
from aerodesign.machine.noise import blade_passing_frequency, sound_power_level, specific_sound_power_level

CFM, INCH_WATER = 4.719474432e-4, 249.08891
RPM = np.pi / 30


@pytest.mark.parametrize(
    ("flow", "rise", "level"),
    [(1.0, 1000.0, 100.00), (1.0, 20000.0, 126.02), (0.5, 27579.0, 125.80), (15000 * CFM, 4 * INCH_WATER, 108.47)],
)
def test_level_of_the_rule(flow, rise, level):
    # engineeringtoolbox.com/fan-noise-d_61.html, 40 + 10 lg Q + 20 lg p; values by exact arithmetic.
    assert sound_power_level(flow=flow, pressure_rise=rise) == pytest.approx(level, abs=0.006)


def test_two_published_forms_agree():
    # The rule by power and pressure, 67 + 10 lg S + 10 lg p with S in kW, is the same where the fan's efficiency is one half.
    flow, rise = 2.0, 1500.0
    power = flow * rise / 0.5 / 1e3
    other = 67 + 10 * np.log10(power) + 10 * np.log10(rise)
    assert other == pytest.approx(sound_power_level(flow=flow, pressure_rise=rise), abs=0.05)


@pytest.mark.parametrize(("cfm", "inches", "rise"), [(15000, 4.0, 53.802), (15000, 3.0, 51.303)])
def test_rise_over_the_specific_level_in_inches(cfm, inches, rise):
    # Siemens application guide 125-1929, p. 28 prints 54 and 51.5; SI and inches differ by a constant.
    constant = sound_power_level(flow=CFM, pressure_rise=INCH_WATER)
    found = sound_power_level(flow=cfm * CFM, pressure_rise=inches * INCH_WATER) - constant
    assert found == pytest.approx(rise, abs=1e-3)


def test_blade_passing_of_the_guide():
    # The same guide, p. 68: 10 blades at 1300 rpm pass at 216.7 Hz, in the band of 250 Hz.
    passing = blade_passing_frequency(speed=1300 * RPM, blades=10)
    assert passing == pytest.approx(216.667, abs=1e-3)
    assert bands.CENTRES[bands.band_of(passing)] == 250.0


def test_every_band_holds_its_own_frequencies():
    edges = bands.CENTRES[:-1] * np.sqrt(2)
    np.testing.assert_array_equal(bands.band_of(bands.CENTRES), np.arange(8))
    np.testing.assert_array_equal(bands.band_of(edges * 0.97), np.arange(7))
    np.testing.assert_array_equal(bands.band_of(edges * 1.03), np.arange(1, 8))
    assert bands.band_of(20.0) == -1
    assert bands.band_of(15000.0) == 8


def test_off_peak_additions_of_the_guide():
    for part, extra in ((0.95, 0), (0.90, 0), (0.87, 3), (0.80, 6), (0.70, 9), (0.60, 12), (0.52, 15), (0.3, 15)):
        assert bands.off_peak_addition(part) == extra


# IEC 61672-1:2013 as in the data of python-acoustics: octave bands.
IEC_A = {63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0, 2000: 1.2, 4000: 1.0, 8000: -1.1}
IEC_A_MORE = {
    10: -70.4, 12.5: -63.4, 16: -56.7, 20: -50.5, 25: -44.7, 31.5: -39.4, 40: -34.6, 50: -30.2, 80: -22.5, 100: -19.1, 160: -13.4,
    200: -10.9, 315: -6.6, 400: -4.8, 630: -1.9, 800: -0.8, 1250: 0.6, 1600: 1.0, 2500: 1.3, 3150: 1.2, 5000: 0.5, 6300: -0.1,
    10000: -2.5, 12500: -4.3, 16000: -6.6, 20000: -9.3,
}  # fmt: skip


@pytest.mark.parametrize("frequency", IEC_A)
def test_a_weights_row_by_row(frequency):
    place = list(bands.CENTRES).index(frequency)
    assert bands.A_WEIGHTS[place] == IEC_A[frequency]
    assert bands.analytic_a_weight(frequency) == pytest.approx(IEC_A[frequency], abs=0.1)


@pytest.mark.parametrize("frequency", IEC_A_MORE)
def test_a_weights_between_the_bands(frequency):
    # The standard's exact frequencies are powers of ten: 31.5 Hz is 31.62, 1.25 kHz 1258.9, 16 kHz 15 849.
    exact = 10 ** (round(10 * np.log10(frequency)) / 10)
    assert bands.analytic_a_weight(exact) == pytest.approx(IEC_A_MORE[frequency], abs=0.06)


def test_a_weighted_sums_of_the_spectra():
    # By arithmetic from the printed corrections: backward -7.786 dB, radial -3.574, forward -13.201; sums -0.228 and +1.747.
    spectra = {
        "backward": (bands.MADISON, -7.786, -0.228),
        "radial": (np.array([-3.0, -5, -7, -7, -8, -11, -16, -18]), -3.574, 1.747),
        "forward": (np.array([-2.0, -6, -13, -18, -19, -22, -25, -30]), -13.201, None),
    }
    for spectrum, weighted, whole in spectra.values():
        assert bands.a_weighted(spectrum) == pytest.approx(weighted, abs=6e-4)
        if whole is not None:
            assert bands.summed(spectrum) == pytest.approx(whole, abs=6e-4)


def test_handbook_spectrum_with_its_tones():
    # strutt.arup.com/help/Empirical/FanNoise.htm: backward curved -7 -8 -7 -12 -17 -22 -27, +5 dB at the blades' band, +3 dB above.
    found = bands.octave_bands(100.0, estimate="handbook spectrum with blade tones", blade_passing=1000.0)
    np.testing.assert_allclose(found, [93, 92, 93, 88, 83 + 5, 78 + 3, 73, np.nan])
    beyond = bands.octave_bands(100.0, estimate="handbook spectrum with blade tones", blade_passing=14000.0)
    np.testing.assert_allclose(beyond, [93, 92, 93, 88, 83, 78, 73, np.nan])
    plain = bands.octave_bands(100.0, estimate="octave corrections", blade_passing=1000.0, off_peak=3.0)
    np.testing.assert_allclose(plain, [99, 97, 94, 92, 90, 87, 84, 81])


def test_specific_sound_power_of_a_fan():
    """Graham's rule, Lw = Kw + 10 lg cfm + 20 lg inches (from memory); the rise over Kw is what the Siemens guide prints."""
    extra = specific_sound_power_level(flow=15000 * CFM, pressure_rise=4 * INCH_WATER)
    assert extra == pytest.approx(53.802, abs=1e-3)
    found = bands.octave_bands(extra, estimate="specific sound power", blade_passing=216.7)
    np.testing.assert_allclose(found - 53.802, [36, 38, 36 + 3, 34, 33, 28, 20, 15], atol=1e-3)
    assert specific_sound_power_level(flow=CFM, pressure_rise=INCH_WATER) == 0


def test_the_two_levels_were_found_apart():
    """Madison's level and Graham's go with flow and pressure alike, but differ by 11.5 dB in sum, by our arithmetic."""
    for flow, rise in ((0.3, 800.0), (2.0, 2000.0), (1.0, 20000.0)):
        first = bands.summed(
            bands.octave_bands(
                sound_power_level(flow=flow, pressure_rise=rise), estimate="octave corrections", blade_passing=1.0
            )
        )
        own = specific_sound_power_level(flow=flow, pressure_rise=rise)
        second = bands.summed(bands.octave_bands(own, estimate="specific sound power", blade_passing=1.0))
        assert first - second == pytest.approx(11.53, abs=0.01)


def test_bands_broadcast():
    many = bands.octave_bands(
        np.array([100.0, 110.0]), estimate="handbook spectrum with blade tones", blade_passing=np.array([500.0, 4000.0])
    )
    assert many.shape == (8, 2)
    one = bands.octave_bands(110.0, estimate="handbook spectrum with blade tones", blade_passing=4000.0)
    np.testing.assert_allclose(many[:, 1], one)
    assert bands.a_weighted(many)[1] == pytest.approx(bands.a_weighted(one))


def test_distance():
    # A half sphere of 1 m radius has 8 dB of area over 1 m2; twice as far is 6 dB less.
    assert bands.pressure_level(100.0, distance=1.0) == pytest.approx(100 - 7.98, abs=5e-3)
    assert bands.pressure_level(100.0, distance=2.0) == pytest.approx(100 - 7.98 - 6.02, abs=5e-3)


def test_blowers_are_outside_the_range():
    assert outside(sound_power_level, pressure_rise=22e3)["pressure_rise"]
    assert not outside(sound_power_level, pressure_rise=2e3)["pressure_rise"]
