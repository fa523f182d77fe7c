"""Y. A. Cengel and J. M. Cimbala, Fluid Mechanics, chapter 14: examples 14-5, 14-9 and 14-11.

Inputs, pages and printed results were read in the public Python textbook companion (FOSSEE, IIT Bombay); the book
itself was not opened.
"""

import numpy as np
import pytest

from aerodesign.aero.triangles import Triangle, euler_work
from aerodesign.correlations.cordier import specific_diameter, specific_speed, specific_speed_us

RPM = np.pi / 30
G = 9.81


def test_example_14_5_blower_p784():
    """0.13 m3/s at 1750 rpm, radial in and at 40 degrees out, no losses: 17.0 mm of water, 21.6 W."""
    speed, flow = 1750 * RPM, 0.13
    inlet = Triangle(u=speed * 0.04, cm=flow / (2 * np.pi * 0.04 * 0.052), cu=0.0)
    cm2 = flow / (2 * np.pi * 0.08 * 0.023)
    exit = Triangle(u=speed * 0.08, cm=cm2, cu=cm2 * np.tan(np.radians(40)))
    work = euler_work(inlet=inlet, exit=exit)

    assert np.degrees(exit.alpha) == pytest.approx(40, abs=1e-9)
    assert 1e3 * work * 1.20 / (998 * G) == pytest.approx(17.0, abs=0.05)
    assert 1.20 * flow * work == pytest.approx(21.6, abs=0.05)


def test_example_14_9_specific_speed_p802():
    """1170 rpm, 320 gpm, 23.5 ft: 1960.92 in US units, 0.717 without dimensions."""
    number = specific_speed(speed=1170 * RPM, flow=320 * 3.785411784e-3 / 60, work=9.80665 * 23.5 * 0.3048)

    assert number == pytest.approx(0.71749, abs=5e-6)
    assert specific_speed_us(specific_speed=number) == pytest.approx(1960.92, abs=0.02)


def test_example_14_11_pump_from_its_coefficients_p805():
    """CQ 0.0112, CH 0.133, 2.4e-3 m3/s, 4.5 m: 0.108 m and 168 rad/s have the coefficients' specific numbers."""
    work, flow = G * 4.5, 2.4e-3
    asked = specific_speed(speed=1.0, flow=0.0112, work=0.133), specific_diameter(diameter=1.0, flow=0.0112, work=0.133)

    np.testing.assert_allclose(specific_speed(speed=168.0, flow=flow, work=work), asked[0], rtol=1e-3)
    np.testing.assert_allclose(specific_diameter(diameter=0.10845, flow=flow, work=work), asked[1], rtol=1e-4)
