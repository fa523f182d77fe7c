"""R. K. Rajput, A Textbook of Internal Combustion Engines, chapter 20: examples 20.39 to 20.41.

Inputs, pages and printed results were read in the public Python textbook companion (FOSSEE, IIT Bombay); the book
itself was not opened. Examples 20.42 and 20.43 are left out: the one takes an incompressible dynamic pressure, the
other's outputs in the companion are stale. Blade angles count from the tangent.
"""

import numpy as np
import pytest

from aerodesign.aero.triangles import Triangle, euler_work, tip_speed
from aerodesign.gas.efficiency import temperature_ratio
from aerodesign.gas.perfect import Gas, density, isentropic_work

AIR = Gas(R=1005 / 3.5, cp=1005.0, mu_ref=1.8e-5, T_ref=288.0, mu_exponent=0.76, name="air, gamma 1.4")
RPM = np.pi / 30


def test_example_20_39_p780():
    """660 m3/min, ratio 4 at 82 %, 10 000 rpm: 466.65 K, 2282.94 kW, 84.10 and 14.92 cm, 15.73 and 8.89 degrees."""
    flow, speed = 660 / 60, 10000 * RPM
    theta = temperature_ratio(pressure_ratio=4.0, efficiency=0.82, kappa=AIR.kappa)
    work = AIR.cp * 293 * (theta - 1)
    np.testing.assert_allclose(293 * theta, 466.65, rtol=5e-3)
    assert density(gas=AIR, p=1e5, T=293.0) * flow * work / 1e3 == pytest.approx(2282.94, rel=1e-2)

    u2 = tip_speed(work=work, slip=0.9, beta2_blade=0.0, flow_coefficient_exit=0.14)
    d2 = 2 * u2 / speed
    inlet, exit = Triangle(u=u2 / 2, cm=62.0, cu=0.0), Triangle(u=u2, cm=62.0, cu=0.9 * u2)
    assert d2 == pytest.approx(0.8410, rel=5e-3)
    assert flow / (np.pi * d2 / 2 * 62 * 0.9) == pytest.approx(0.1492, rel=5e-3)
    assert 90 - np.degrees(inlet.beta) == pytest.approx(15.73, abs=0.3)
    assert 90 - np.degrees(exit.alpha) == pytest.approx(8.89, abs=0.3)


def test_example_20_40_p780():
    """4.8 m3/s, ratio 1.5 with n = 1.5, 0.32/0.62 m at 8000 rpm: 25.87, 34.21, 21.61 degrees, 7.35 and 2.89 cm."""
    warming = 293 * (1.5 ** (0.5 / 1.5) - 1)
    inlet = Triangle(u=8000 * RPM * 0.16, cm=65.0, cu=0.0)
    u2 = 8000 * RPM * 0.31
    exit = Triangle(u=u2, cm=65.0, cu=AIR.cp * warming / u2)

    assert euler_work(inlet=inlet, exit=exit) == pytest.approx(AIR.cp * warming, rel=1e-12)
    assert 90 - np.degrees(inlet.beta) == pytest.approx(25.870, abs=0.3)
    assert 90 - np.degrees(exit.beta) == pytest.approx(34.206, abs=0.3)
    assert 90 - np.degrees(exit.alpha) == pytest.approx(21.610, abs=0.3)
    squeeze = density(gas=AIR, p=1e5, T=293.0) / density(gas=AIR, p=1.5e5, T=293 + warming)
    assert 4.8 * squeeze / (np.pi * 0.62 * 65) == pytest.approx(0.0289, rel=5e-3)


def test_example_20_41_p781():
    """Ratio 4 at 80 %, slip 0.9, power input factor 1.04, 15 000 rpm, 16.5 kg/s: 0.56 m, 2951.61 kW."""
    work = isentropic_work(gas=AIR, Tt=293.0, pressure_ratio=4.0) / 0.8

    u2 = tip_speed(work=work, slip=0.9, power_input_factor=1.04, beta2_blade=0.0, flow_coefficient_exit=0.3)

    assert 16.5 * work / 1e3 == pytest.approx(2951.61, rel=1e-2)
    assert 2 * u2 / (15000 * RPM) == pytest.approx(0.56, abs=0.005)
