"""Air by height, humidity and temperature, row by row as other programs print it: ambiance 1.3.1 (ICAO 1993, which is ISO 2533), CoolProp
8.0.0 and psychrolib 2.5.0; the viscosity of Sutherland's law (constants from memory).
"""

import numpy as np
import pytest

from aerodesign.gas.air import air, humid_air, humidity_ratio
from aerodesign.gas.atmosphere import standard_atmosphere
from aerodesign.gas.perfect import density, isentropic_work, sound_speed, viscosity

ISO_2533 = (
    # height, T, p, density, speed of sound
    (0, 288.15, 101325.0, 1.225000, 340.2940),
    (500, 284.9003, 95461.285, 1.1672733, 338.3696),
    (1000, 281.6510, 89876.278, 1.1116597, 336.4346),
    (1500, 278.4023, 84559.666, 1.0581045, 334.4886),
    (2000, 275.1541, 79501.411, 1.0065538, 332.5316),
    (3000, 268.6592, 70121.144, 0.9092543, 328.5836),
    (5000, 255.6755, 54048.262, 0.7364286, 320.5454),
)


@pytest.mark.parametrize("row", ISO_2533, ids=lambda row: f"{row[0]} m")
def test_standard_atmosphere_row_by_row(row):
    height, T, p, rho, a = row
    found = standard_atmosphere(altitude=float(height))
    assert found.temperature == pytest.approx(T, abs=1e-4)
    assert found.pressure == pytest.approx(p, rel=1e-6)
    assert found.density == pytest.approx(rho, rel=1e-6)
    # The standard's ratio of specific heats is 1.4, that of our air at 15 degC 1.3993: 0.03 % of the speed of sound.
    assert sound_speed(gas=air(), T=found.temperature) == pytest.approx(a, rel=5e-4)


@pytest.mark.parametrize(
    ("T", "k"),
    [(250.0, 1.40360), (273.15, 1.40274), (288.15, 1.40217), (293.15, 1.40197), (300.0, 1.40169), (320.0, 1.40082),
     (350.0, 1.39931), (400.0, 1.39610)],
)  # fmt: skip
def test_ratio_of_specific_heats_by_temperature(T, k):
    """The real gas's ratio, CoolProp: a perfect gas of the right cp and R has one ratio, within a third of a per cent of it."""
    assert air().gamma == pytest.approx(k, rel=3.5e-3)


@pytest.mark.parametrize(("ratio", "ideal"), [(1.1, 8129.0), (1.2, 15746.0), (1.3, 22922.2), (1.4, 29714.2)])
def test_isentropic_work_of_textbook_air(ratio, ideal):
    """Air of k = 1.4 and R = 287 J/(kg K) from 293.15 K, by arithmetic; and what our air makes of it."""
    textbook = air().but(R=287.0, cp=3.5 * 287.0)
    assert isentropic_work(gas=textbook, Tt=293.15, pressure_ratio=ratio) == pytest.approx(ideal, abs=0.06)
    assert isentropic_work(gas=air(), Tt=293.15, pressure_ratio=ratio) == pytest.approx(ideal, rel=4e-4)


@pytest.mark.parametrize(("T", "mu"), [(288.15, 1.78930e-5), (300.0, 1.84592e-5), (350.0, 2.07350e-5)])
def test_viscosity_of_sutherlands_law(T, mu):
    # Values of the newer equation lie 0.4 to 0.9 % above Sutherland's.
    assert 1.002 < viscosity(gas=air(), T=T) / mu < 1.009


@pytest.mark.parametrize(
    ("celsius", "humidity", "p", "W", "rho"),
    [
        (20, 0.50, 101325.0, (0.00726174, 0.00729370), (1.198898, 1.199359)),
        (15, 0.60, 101325.0, None, (1.220369, 1.220900)),
        (40, 0.30, 95000.0, (0.0148476, 0.0149204), (1.047564, 1.047776)),
    ],
)
def test_humid_air_of_two_programs(celsius, humidity, p, W, rho):
    """psychrolib, CoolProp: 0.05 % of density and 0.5 % of the humidity ratio apart; ours is the latter's."""
    T = celsius + 273.15
    for number, tolerance in zip(rho, (5e-4, 2e-5), strict=True):
        assert density(gas=humid_air(p=p, T=T, relative_humidity=humidity), p=p, T=T) == pytest.approx(
            number, rel=tolerance
        )
    if W is not None:
        for number, tolerance in zip(W, (5e-3, 2e-5), strict=True):
            assert humidity_ratio(p=p, T=T, relative_humidity=humidity) == pytest.approx(number, rel=tolerance)


def test_moist_air_of_ashraes_spreadsheet():
    """30 degC, 0.02 kg of water to a kg of dry air, 95 461 Pa: 1.084120 kg/m3 (ASHRAE 2017, as the tests of psychrolib quote it)."""
    T, p = 303.15, 95461.0
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if humidity_ratio(p=p, T=T, relative_humidity=middle) < 0.02 else (low, middle)
    assert density(gas=humid_air(p=p, T=T, relative_humidity=low), p=p, T=T) == pytest.approx(1.084120, rel=7e-4)
    assert np.isfinite(low)
