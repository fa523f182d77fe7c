"""ASHRAE Handbook Fundamentals 2017, chapter 1, as quoted by the tests of the library `psychrolib`."""

import pytest

from aerodesign.gas.air import dry_air_density, humid_air, humidity_ratio
from aerodesign.gas.atmosphere import standard_atmosphere
from aerodesign.gas.perfect import density


@pytest.mark.parametrize(
    ("celsius", "W"), [(-20, 0.0006373), (5, 0.005425), (25, 0.020173), (50, 0.086863), (85, 0.838105)]
)
def test_humidity_ratio_at_saturation(celsius, W):
    assert humidity_ratio(p=101325.0, T=celsius + 273.15, relative_humidity=1.0) == pytest.approx(W, rel=1e-3)


def test_specific_volume_of_dry_air_at_25_celsius():
    assert 1 / dry_air_density(p=101325.0, T=298.15, relative_humidity=0.0) == pytest.approx(0.8443, abs=2e-4)


def test_example_1():
    # 40 C, humidity ratio 0.0065 read off the chart with RH 0.14, volume 0.896 m3 per kg of dry air.
    W = humidity_ratio(p=101325.0, T=313.15, relative_humidity=0.14)
    assert pytest.approx(0.0065, abs=1e-4) == W
    assert 1 / dry_air_density(p=101325.0, T=313.15, relative_humidity=0.14) == pytest.approx(0.896, abs=1e-3)


def test_standard_fan_air():
    # 1.2 kg/m3 is the fan trade's standard air; 20 C, 50 % and 101 325 Pa come to 1.1989 (ideal gas of psychrolib 2.5).
    gas = humid_air(p=101325.0, T=293.15, relative_humidity=0.5)
    assert density(gas=gas, p=101325.0, T=293.15) == pytest.approx(1.1989, rel=5e-4)


@pytest.mark.parametrize(
    ("height", "p", "celsius"),
    [(-500, 107478, 18.2), (0, 101325, 15.0), (500, 95461, 11.8), (1000, 89875, 8.5), (4000, 61640, -11.0)],
)
def test_table_1_standard_atmosphere(height, p, celsius):
    # ASHRAE's own formula leaves the standard by 0.03 % at 4 km.
    air = standard_atmosphere(altitude=float(height))
    assert air.pressure == pytest.approx(p, rel=4e-4)
    assert air.temperature - 273.15 == pytest.approx(celsius, abs=0.06)
