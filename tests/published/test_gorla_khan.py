"""R. S. R. Gorla and A. A. Khan, Turbomachinery: Design and Theory: examples 2.13 and those of chapter 4.

Inputs were read in the public Scilab textbook companion 1358 (FOSSEE, IIT Bombay), whose scripts name book and
example and print nothing; the book itself was not opened. The results are exact arithmetic on those inputs.
"""

import numpy as np
import pytest

from aerodesign.aero.triangles import Triangle, euler_work, exit_triangle, tip_speed
from aerodesign.correlations.slip import stanitz
from aerodesign.correlations.vaneless import march, swirl_velocities
from aerodesign.gas.efficiency import isentropic_efficiency, pressure_ratio, temperature_ratio
from aerodesign.gas.perfect import Gas, density, sound_speed

AIR = Gas(R=287.0, cp=287.0 * 3.5, mu_ref=1.8e-5, T_ref=288.0, mu_exponent=0.76, name="air, gamma 1.4")
CP = 1005.0
"""The book's specific heat, a little more than gamma 1.4 and its gas constant give."""
RPM = np.pi / 30
AT_REST = Triangle(u=0.0, cm=1.0, cu=0.0)


def test_example_2_13_pump_with_stanitz_slip():
    """Blades at 30 degrees from the tangent: 30.85 m without slip, 24.06 m with it, nine blades for 0.78."""
    beta2, u2, cm2 = np.radians(60), 1400 * RPM * 0.13, 0.03 / (np.pi * 0.26 * 0.02)
    guided = exit_triangle(u2=u2, cm2=cm2, beta2_blade=beta2, slip=1.0)
    head = euler_work(inlet=AT_REST, exit=guided) / 9.81

    assert guided.cu == pytest.approx(15.878, rel=1e-4)
    assert head == pytest.approx(30.85, rel=5e-4)
    assert 0.78 * head == pytest.approx(24.06, rel=5e-4)
    blades = np.arange(5, 16)
    assert blades[np.argmin(np.abs(stanitz(blades_effective=blades) - 0.78))] == 9


def test_example_4_2_mach_number_and_pressure_ratio():
    """Tip speed 370 m/s, slip factor 0.9, 35 m/s radial: 334.834 m/s, Mach 0.8843, pressure ratio 3.0252."""
    exit = exit_triangle(u2=370.0, cm2=35.0, beta2_blade=0.0, slip=0.9)
    theta = 1 + euler_work(inlet=AT_REST, exit=exit) / (CP * 290)
    T2 = 290 * theta - exit.c**2 / (2 * CP)

    assert exit.c == pytest.approx(334.834, rel=1e-5)
    np.testing.assert_allclose(T2, 356.819, rtol=1e-5)
    assert exit.c / sound_speed(gas=AIR, T=T2) == pytest.approx(0.8843, rel=1e-4)
    assert pressure_ratio(temperature_ratio=theta, efficiency=0.88, kappa=AIR.kappa) == pytest.approx(3.0252, rel=1e-4)


def test_example_4_4_efficiency_from_the_pressure_ratio():
    """1 m at 5945 rpm, ratio 2.2 from 298 K: efficiency 0.8687, 2441.8 kW. The book rounds 1/3.5 to 0.286."""
    work = euler_work(inlet=AT_REST, exit=exit_triangle(u2=5945 * RPM * 0.5, cm2=1.0, beta2_blade=0.0, slip=0.9))
    states = dict(pressure_ratio=2.2, temperature_ratio=1 + work / (CP * 298))

    assert 28 * work / 1e3 == pytest.approx(2441.8, rel=1e-4)
    assert isentropic_efficiency(**states, kappa=0.286) == pytest.approx(0.8687, rel=1e-4)
    assert isentropic_efficiency(**states, kappa=AIR.kappa) == pytest.approx(0.8687, rel=3e-3)


def test_example_4_6_pressure_ratio_from_tip_speed():
    """Tip speed 457 m/s, slip factor 0.95, 88 %: ratio 5.218, 198.407 kJ/kg, 5753.8 kW."""
    work = euler_work(inlet=AT_REST, exit=exit_triangle(u2=457.0, cm2=1.0, beta2_blade=0.0, slip=0.95))
    theta = 1 + work / (CP * 288)

    assert work / 1e3 == pytest.approx(198.407, rel=1e-5)
    assert 29 * work / 1e3 == pytest.approx(5753.8, rel=1e-5)
    assert pressure_ratio(temperature_ratio=theta, efficiency=0.88, kappa=AIR.kappa) == pytest.approx(5.218, rel=1e-4)


def test_example_4_10_tip_diameter_and_power():
    """Pressure ratio 4 at 89 % from 298 K and 145 m/s, 15 000 rpm: 0.5556 m, eye 0.047187 m2, 1355.9 kW."""
    Tt1 = 298 + 145**2 / (2 * CP)
    theta = temperature_ratio(pressure_ratio=4.0, efficiency=0.89, kappa=0.286)
    work = CP * Tt1 * (theta - 1)
    u2 = tip_speed(work=work, slip=0.89, beta2_blade=0.0, flow_coefficient_exit=0.3)

    assert u2 == pytest.approx(436.39, rel=1e-4)
    assert 2 * u2 / (15000 * RPM) == pytest.approx(0.5556, rel=1e-4)
    assert 8 * work / 1e3 == pytest.approx(1355.9, rel=1e-4)
    assert 8 / (density(gas=AIR, p=1e5, T=298.0) * 145) == pytest.approx(0.047187, rel=1e-4)


def test_example_4_11_eye_without_prewhirl():
    """Eye 0.14/0.28 m at 15 000 rpm, 145 m/s: vanes at 52.83 and 33.40 degrees from the tangent, Mach 0.7860."""
    root, tip = (Triangle(u=15000 * RPM * r, cm=145.0, cu=0.0) for r in (0.07, 0.14))
    T1 = 290 - tip.c**2 / (2 * CP)

    assert 90 - np.degrees(root.beta) == pytest.approx(52.83, abs=0.005)
    assert 90 - np.degrees(tip.beta) == pytest.approx(33.40, abs=0.005)
    assert tip.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.7860, rel=1e-4)


def test_example_4_12_the_same_with_prewhirl():
    """20 degrees of pre-whirl lower the Mach number from 0.786 to 0.6621."""
    tip = Triangle(u=220.0, cm=145.0, cu=145.0 * np.tan(np.radians(20)))
    T1 = 290 - tip.c**2 / (2 * CP)

    assert tip.c == pytest.approx(154.306, rel=1e-5)
    assert tip.w == pytest.approx(221.335, rel=1e-5)
    assert tip.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.6621, rel=1e-4)


def test_example_4_15_exit_and_vaneless_space():
    """16 kg/s, 0.56 m at 15 500 rpm: exit Mach 1.0519 at 77.4 degrees; at the vanes 68.76 m/s, 79.0 degrees, 0.8819.

    The flow leaves isentropically through pi D2 x 38 mm. The script stops its trials early (and its author notes two
    misprints); these are the converged values. The book's radial velocity at the vanes, 68.63 m/s, holds to 0.5 %.
    The free vortex is our vaneless diffuser without friction.
    """
    gas = AIR.but(cp=CP, R=CP / 3.5)
    u2 = 15500 * RPM * 0.28
    work = 1.04 * euler_work(inlet=AT_REST, exit=exit_triangle(u2=u2, cm2=1.0, beta2_blade=0.0, slip=0.9))
    Tt2 = 290 + work / CP
    pt2 = 101e3 * pressure_ratio(temperature_ratio=Tt2 / 290, efficiency=1.0, kappa=gas.kappa)
    assert pt2 / 101e3 == pytest.approx(5.9354, rel=1e-3)

    flow = dict(gas=gas, mass_flow=16.0)
    rho = pt2 / (gas.R * Tt2)
    for _ in range(60):
        exit = swirl_velocities(**flow, r=0.28, b=0.038, K=0.28 * 0.9 * u2, pt=pt2, Tt=Tt2, rho=rho)
        rho = exit.rho
    c2 = np.hypot(exit.cm, exit.cu)
    assert exit.cm == pytest.approx(91.083, rel=5e-3)
    assert c2 / sound_speed(gas=gas, T=exit.T) == pytest.approx(1.0519, rel=5e-3)
    assert np.degrees(np.arctan2(exit.cu, exit.cm)) == pytest.approx(77.446, abs=0.1)

    vanes = march(
        **flow, r2=0.28, r3=0.323, b3=0.038, cu2=exit.cu, pt2=pt2, Tt2=Tt2, rho2=exit.rho, friction_factor=0.0
    )
    assert vanes.cu == pytest.approx(354.582, rel=1e-4)
    assert vanes.cm == pytest.approx(68.63, rel=5e-3)
    assert np.degrees(np.arctan2(vanes.cu, vanes.cm)) == pytest.approx(79.025, abs=0.1)
    assert np.hypot(vanes.cm, vanes.cu) / sound_speed(gas=gas, T=vanes.T) == pytest.approx(0.8819, rel=5e-3)


def test_example_4_16_eye_angles_with_prewhirl():
    """Eye 0.18/0.3175 m at 15 500 rpm, 20 degrees of pre-whirl: 58.62 and 36.45 degrees, Mach 0.7591.

    The script takes the static temperature from the relative velocity, which physics forbids; this is the right one.
    """
    cu = 150 * np.tan(np.radians(20))
    root, tip = (Triangle(u=15500 * RPM * r, cm=150.0, cu=cu) for r in (0.09, 0.15875))
    T1 = 288 - tip.c**2 / (2 * CP)

    assert 90 - np.degrees(root.beta) == pytest.approx(58.62, abs=0.005)
    assert 90 - np.degrees(tip.beta) == pytest.approx(36.45, abs=0.005)
    assert tip.w == pytest.approx(252.471, rel=1e-5)
    assert tip.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.7591, rel=1e-4)
