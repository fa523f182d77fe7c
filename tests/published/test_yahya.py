"""S. M. Yahya, Turbines, Compressors and Fans: examples of chapters 12, 15 and 18.

Inputs were read in the public Scilab textbook companion 2223 (FOSSEE, IIT Bombay), which gives the numbers of the
examples but not the book's name (that is from memory), and prints nothing; the book itself was not opened. The
results are exact arithmetic on those inputs; those of example 15.1 are also printed in Arasu 2009, p114. Blade angles
count from the tangent.
"""

import numpy as np
import pytest

from aerodesign.aero.models import Models
from aerodesign.aero.triangles import Triangle, euler_work, exit_triangle, reaction, tip_speed
from aerodesign.correlations.cone import pressure_recovery
from aerodesign.correlations.cordier import specific_speed
from aerodesign.gas.efficiency import pressure_ratio
from aerodesign.gas.perfect import Gas, density, isentropic_pressure_ratio, isentropic_work, sound_speed

AIR = Gas(R=287.0, cp=287.0 * 3.5, mu_ref=1.8e-5, T_ref=288.0, mu_exponent=0.76, name="air, gamma 1.4")
RPM = np.pi / 30
NO_INLET_LOSS = Models(factors={"inlet": 0.0})


def from_sides(*, u: float, c: float, w: float) -> Triangle:
    """The triangle of three known sides, by the law of cosines."""
    cu = (c**2 + u**2 - w**2) / (2 * u)
    return Triangle(u=u, cm=np.sqrt(c**2 - cu**2), cu=cu)


def test_example_12_1_inducer(typical):
    """5 kg/s at 335 K and 1.02 bar through an eye of 0.10/0.25 m, 7200 rpm: 120.728 m/s, 61.345 degrees, Mach 0.379.

    The script breaks off after two trials (123 m/s, 61.23 degrees, 0.377); these are the converged values. Our
    meanline finds the eye's state. Guide vanes that turn the flow until it enters the blades axially bring the Mach
    number to 0.334.
    """
    gas = AIR.but(cp=1005.0, R=1005 / 3.5)
    machine = typical.wheel(r1h=0.05, r1s=0.125)
    known = machine.known(
        gas=gas, pt0=1.02e5 * gas.R / 287, Tt0=335.0, mass_flow=5.0, speed=7200 * RPM, models=NO_INLET_LOSS
    )
    assert known["cm1"] == pytest.approx(120.728, rel=5e-4)
    assert known["T1"] == pytest.approx(327.749, rel=1e-5)
    assert known["rho1"] == pytest.approx(1.004416, rel=1e-4)

    mean = Triangle(u=7200 * RPM * 0.0875, cm=known["cm1"], cu=0.0)
    assert 90 - np.degrees(mean.beta) == pytest.approx(61.345, abs=0.02)
    assert mean.w / sound_speed(gas=AIR, T=known["T1"]) == pytest.approx(0.37912, rel=5e-4)

    turned = Triangle(u=mean.u, cm=mean.cm, cu=mean.u)
    T1 = 335 - turned.c**2 / (2 * gas.cp)
    assert turned.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.33379, rel=5e-4)


def test_example_12_2_low_pressure_compressor():
    """0.45 m at 7200 rpm, work equal to the tip speed's square: 28.780 kJ/kg, pressure ratio 1.39345."""
    exit = exit_triangle(u2=7200 * RPM * 0.225, cm2=1.0, beta2_blade=0.0, slip=1.0)
    work = euler_work(inlet=Triangle(u=0.0, cm=1.0, cu=0.0), exit=exit)

    assert work / 1e3 == pytest.approx(28.780, abs=0.0005)
    theta = 1 + work / (1005 * 288)
    assert pressure_ratio(temperature_ratio=theta, efficiency=1.0, kappa=AIR.kappa) == pytest.approx(1.39345, abs=5e-6)
    gas = AIR.but(cp=1005.0, R=1005 / 3.5)
    assert isentropic_pressure_ratio(gas=gas, Tt=288.0, work=work) == pytest.approx(1.39345, abs=5e-6)


def test_example_12_4b_exit_mach_number():
    """Radial tips, flow coefficient 0.268, 0.48 m at 8000 rpm, 293 K: exit Mach number 0.58828."""
    u1 = 8000 * RPM * 0.09
    assert u1 / sound_speed(gas=AIR, T=293.0) == pytest.approx(0.21975, abs=5e-6)

    exit = exit_triangle(u2=2.667 * u1, cm2=0.268 * 2.667 * u1, beta2_blade=0.0, slip=1.0)
    work = euler_work(inlet=Triangle(u=u1, cm=1.0, cu=0.0), exit=exit)
    T2 = 293 + (work - exit.c**2 / 2) / AIR.cp
    assert exit.c / sound_speed(gas=AIR, T=T2) == pytest.approx(0.58828, abs=5e-6)


def test_example_15_1_fan_from_its_velocities():
    """0.18/0.20 m at 1450 rpm with c 21/25 and w 20/17 m/s: 211.755 Pa, reaction 0.45692, 108.592 W of motor power."""
    inlet, exit = (from_sides(u=1450 * RPM * r, c=c, w=w) for r, c, w in ((0.09, 21, 20), (0.10, 25, 17)))
    work = euler_work(inlet=inlet, exit=exit)

    assert 1.25 * work == pytest.approx(211.755, rel=1e-5)
    assert reaction(inlet=inlet, exit=exit) == pytest.approx(0.45692, rel=1e-4)
    assert 0.5 * work / 0.78 == pytest.approx(108.592, rel=1e-5)


def test_example_15_2_blower():
    """200 m3/min, 1000 mm of water, 3000 rpm, radial tips: 66.346 cm, 22.581 degrees, 7.673 cm, n_s 0.539."""
    rho, flow = density(gas=AIR, p=0.98e5, T=310.0), 200 / 60
    assert rho == pytest.approx(1.101495, rel=1e-6)
    work = 9810 / rho / 0.82
    assert flow * rho * work / 0.88 / 1e3 == pytest.approx(45.316, rel=1e-4)

    u2 = tip_speed(work=work, slip=1.0, beta2_blade=0.0, flow_coefficient_exit=0.2)
    d2 = 2 * u2 / (3000 * RPM)
    d1 = np.sqrt(flow / (np.pi / 4 * 0.4 * u2))
    inlet = Triangle(u=u2 * d1 / d2, cm=0.2 * u2, cu=0.0)
    np.testing.assert_allclose((u2, d2, d1), (104.216, 0.66346, 0.31908), rtol=2e-5)
    assert 90 - np.degrees(inlet.beta) == pytest.approx(22.581, abs=0.001)
    assert specific_speed(speed=3000 * RPM, flow=flow, work=u2**2) == pytest.approx(0.53912, abs=5e-6)

    # The book's work is that of an incompressible flow, dp / rho; ours lies between those of both densities.
    isentropic = isentropic_work(gas=AIR, Tt=310.0, pressure_ratio=1 + 9810 / 0.98e5)
    assert 9810 / (rho * (1 + 9810 / 0.98e5)) < isentropic < 9810 / rho


def test_example_18_4_diffuser():
    """Area ratio 1.85, recovery 0.602 from 100 m/s: ideal 0.70782, effectiveness 0.8505, 67.416 mm of water lost."""
    ideal = pressure_recovery(area_ratio=1.85)
    loss = ideal - 0.602

    assert ideal == pytest.approx(0.70782, abs=5e-6)
    assert 0.602 / ideal == pytest.approx(0.85050, abs=5e-6)
    assert loss * 1.25 * 100**2 / 2 / 9.81 == pytest.approx(67.416, abs=0.002)
    assert pressure_recovery(area_ratio=1.85, cone_loss=loss) == pytest.approx(0.602, abs=1e-12)
