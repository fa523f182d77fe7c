"""A. V. Arasu, Turbomachines, Vikas 2009: worked examples on compressors, blowers, fans and pumps.

Inputs and printed results were read in the public Python textbook companion of the book (FOSSEE, IIT Bombay), which
names the pages; the book itself was not opened. The book rounds pi and works with 1005 J/(kg K) and 1.4, so
velocities, lengths and temperatures are held to 0.5 %, pressures and powers to 1 % or half a printed digit, angles to
0.3 degrees. Its blade angles count from the tangent.
"""

import numpy as np
import pytest

from aerodesign.aero.impeller import Impeller
from aerodesign.aero.triangles import Triangle, euler_work, exit_triangle, reaction, tip_speed
from aerodesign.correlations.cordier import specific_diameter, specific_speed
from aerodesign.correlations.slip import stodola
from aerodesign.gas.efficiency import pressure_ratio, temperature_ratio
from aerodesign.gas.perfect import Gas, density, isentropic_pressure_ratio, isentropic_work, sound_speed

AIR = Gas(R=1005 / 3.5, cp=1005.0, mu_ref=1.8e-5, T_ref=288.0, mu_exponent=0.76, name="air of the book, gamma 1.4")
RPM = np.pi / 30
G = 9.81


def from_tangent(degrees: float) -> float:
    """A blade angle that a book counts from the tangent, as the library counts it."""
    return float(np.radians(90 - degrees))


def to_tangent(angle: float) -> float:
    """An angle of the library in degrees from the tangent."""
    return float(90 - np.degrees(angle))


def triangle(*, u: float, cm: float, cu: float = 0.0) -> Triangle:
    """A velocity triangle."""
    return Triangle(u=u, cm=cm, cu=cu)


def test_example_3_1_compressor_p93():
    """From 1 bar, 293 K and 150 m/s to a total of 4.5 bar at 80 %: 182.6 K, tip speed 439.55 m/s, 0.42 m, 1835.4 kW."""
    Tt1 = 293 + 150**2 / (2 * AIR.cp)
    pt1 = isentropic_pressure_ratio(gas=AIR, Tt=293.0, work=150**2 / 2) * 1.0
    work = isentropic_work(gas=AIR, Tt=Tt1, pressure_ratio=4.5 / pt1) / 0.8

    assert work / AIR.cp == pytest.approx(182.6, rel=5e-3)
    assert 10 * work / 1e3 == pytest.approx(1835.4, rel=1e-2)
    u2 = tip_speed(work=work, slip=0.95, beta2_blade=0.0, flow_coefficient_exit=0.3)
    assert u2 == pytest.approx(439.55, rel=5e-3)
    assert 2 * u2 / (20000 * RPM) == pytest.approx(0.42, abs=0.005)

    eye = np.sqrt(4 * 10 / (np.pi * density(gas=AIR, p=1e5, T=293.0) * 150) + 0.15**2)
    assert eye == pytest.approx(0.306, rel=5e-3)


def test_example_3_2_blade_angles_and_widths_p95():
    """20 m3/s at 5000 rpm through 0.6 and 1.2 m, 60 m/s: 20.9, 24.2, 18.4 degrees; 0.177, 0.0675 m."""
    speed = 5000 * RPM
    inlet = triangle(u=speed * 0.3, cm=60.0)
    u2 = speed * 0.6
    warming = 288 * (1.5 ** (0.5 / 1.5) - 1)
    exit = triangle(u=u2, cm=60.0, cu=AIR.cp * warming / u2)

    assert to_tangent(inlet.beta) == pytest.approx(20.9, abs=0.3)
    assert to_tangent(exit.alpha) == pytest.approx(24.2, abs=0.3)
    assert to_tangent(exit.beta) == pytest.approx(18.38, abs=0.3)
    assert euler_work(inlet=inlet, exit=exit) == pytest.approx(AIR.cp * warming, rel=1e-12)

    wheel = Impeller(
        r1h=0.3, r1s=0.3, r2=0.6, b2=0.0675, b1=0.177, axial_length=0.2, blades=16, clearance=0.001, fillet=0.003,
        beta1h_blade=inlet.beta, beta1s_blade=inlet.beta, beta2_blade=exit.beta,
        thickness_hub=0.003, thickness_shroud=0.003,
    )  # fmt: skip
    assert 20 / wheel.inlet_area == pytest.approx(60, rel=5e-3)
    volume = 20 * density(gas=AIR, p=1e5, T=288.0) / density(gas=AIR, p=1.5e5, T=288 + warming)
    assert volume == pytest.approx(15.26, rel=5e-3)
    assert volume / (2 * np.pi * wheel.r2 * wheel.b2) == pytest.approx(60, rel=5e-3)


def test_example_3_3_diameter_from_pressure_ratio_p97():
    """Pressure ratio 4, slip factor 0.9, power input factor 1.04, efficiency 0.8, 200 rev/s: 69 cm."""
    work = isentropic_work(gas=AIR, Tt=288.0, pressure_ratio=4.0) / 0.8

    u2 = tip_speed(work=work, slip=0.9, power_input_factor=1.04, beta2_blade=0.0, flow_coefficient_exit=0.3)

    assert u2 == pytest.approx(433.42, rel=1e-4)
    assert u2 / (np.pi * 200) == pytest.approx(0.69, abs=0.005)


def test_example_3_4_inlet_guide_vanes_p98():
    """Guide vanes leave the air 20 degrees off the axis: relative Mach number 0.732, impeller efficiency 90.9 %."""
    alpha = from_tangent(70)
    inlet = triangle(u=11000 * RPM * 0.457 / 2, cm=91.5 * np.cos(alpha), cu=91.5 * np.sin(alpha))
    T1 = 288 - inlet.c**2 / (2 * AIR.cp)
    assert inlet.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.732, rel=5e-3)

    exit = exit_triangle(u2=11000 * RPM * 0.762 / 2, cm2=53.4, beta2_blade=0.0, slip=0.9)
    work = euler_work(inlet=inlet, exit=exit)
    Tt2 = 288 + work / AIR.cp
    pt2 = 2.23 * isentropic_pressure_ratio(gas=AIR, Tt=Tt2 - exit.c**2 / (2 * AIR.cp), work=exit.c**2 / 2)
    useful = isentropic_work(gas=AIR, Tt=288.0, pressure_ratio=pt2 / 1.013)
    assert useful / work == pytest.approx(0.909, rel=1e-2)


def test_example_3_5_compressor_from_the_pressure_coefficient_p100():
    """16 500 rpm, ratio 4, 78 %: eye 0.325 m, wheel 0.528 m, 40.98 and 23.15 degrees, 476.5 K, 3.796 bar."""
    speed = 16500 * RPM
    theta = temperature_ratio(pressure_ratio=4.0, efficiency=0.78, kappa=AIR.kappa)
    work = AIR.cp * 298 * (theta - 1)
    assert 8.3 * work / 1e6 == pytest.approx(1.549, rel=1e-2)
    u2 = tip_speed(work=work, slip=0.7 / 0.78, beta2_blade=0.0, flow_coefficient_exit=0.3)
    assert 2 * u2 / speed == pytest.approx(0.528, rel=5e-3)

    T1 = 298 - 120**2 / (2 * AIR.cp)
    p1 = 1e5 / isentropic_pressure_ratio(gas=AIR, Tt=T1, work=120**2 / 2)
    eye = np.sqrt(4 * 8.3 / (np.pi * density(gas=AIR, p=p1, T=T1) * 120) + 0.16**2)
    assert eye == pytest.approx(0.325, rel=5e-3)
    assert to_tangent(triangle(u=speed * 0.08, cm=120.0).beta) == pytest.approx(40.98, abs=0.3)
    assert to_tangent(triangle(u=speed * eye / 2, cm=120.0).beta) == pytest.approx(23.15, abs=0.3)

    T3 = 298 * theta - 120**2 / (2 * AIR.cp)
    p3 = 4.0 / isentropic_pressure_ratio(gas=AIR, Tt=T3, work=120**2 / 2)
    np.testing.assert_allclose((T3, p3), (476.5, 3.796), rtol=5e-3)


def test_example_3_7_exit_mach_number_and_flow_p105():
    """Tip speed 350 m/s, slip factor 0.9, 28 m/s radial through 0.08 m2: Mach 0.8458, 3.9423 kg/s.

    The companion's exponent uses the slip factor for the efficiency; both are 0.9.
    """
    exit = exit_triangle(u2=350.0, cm2=28.0, beta2_blade=0.0, slip=0.9)
    theta = 1 + euler_work(inlet=triangle(u=0.0, cm=1.0), exit=exit) / (AIR.cp * 288)
    T2 = 288 * theta - exit.c**2 / (2 * AIR.cp)
    assert exit.c / sound_speed(gas=AIR, T=T2) == pytest.approx(0.8458, rel=5e-3)

    pt2 = 1e5 * pressure_ratio(temperature_ratio=theta, efficiency=0.9, kappa=AIR.kappa)
    p2 = pt2 / isentropic_pressure_ratio(gas=AIR, Tt=T2, work=exit.c**2 / 2)
    assert pt2 / 1e5 == pytest.approx(2.80582, rel=1e-4)
    assert density(gas=AIR, p=p2, T=T2) * 0.08 * exit.cm == pytest.approx(3.9423, rel=5e-3)


def test_example_3_8_eye_with_prewhirl_p107():
    """20 degrees of pre-whirl at 16 000 rpm, 152 m/s axial: eye tip at 36.36 degrees, relative Mach number 0.77."""
    tip = triangle(u=16000 * RPM * 0.3125 / 2, cm=152.0, cu=152.0 * np.tan(np.radians(20)))

    assert tip.u == pytest.approx(261.79, rel=1e-4)
    assert to_tangent(tip.beta) == pytest.approx(36.36, abs=0.3)
    T1 = 288 - tip.c**2 / (2 * AIR.cp)
    assert tip.w / sound_speed(gas=AIR, T=T1) == pytest.approx(0.77, abs=0.005)


def test_example_3_9_blower_p109():
    """750 mm of water at 33 kW of shaft power: 3.316 kg/s, 2.94 m3/s, 317.22 K.

    The book takes the work of an incompressible flow. The isentropic work lies below it by the first terms of the
    series in x = dp/p1, which the test carries: 1 - x/(2 gamma) + (gamma + 1) x^2 / (6 gamma^2).
    """
    rho, rise = density(gas=AIR, p=1e5, T=309.0), 9810 * 0.75
    x, gamma = rise / 1e5, AIR.gamma
    series = 1 - x / (2 * gamma) + (gamma + 1) * x**2 / (6 * gamma**2)
    work = isentropic_work(gas=AIR, Tt=309.0, pressure_ratio=1 + x) / series / 0.79

    assert work == pytest.approx(8259.31, rel=1e-3)
    assert 33e3 * 0.83 / work == pytest.approx(3.316, rel=5e-3)
    assert 33e3 * 0.83 / work / rho == pytest.approx(2.94, rel=5e-3)
    assert 309 + work / AIR.cp == pytest.approx(317.22, abs=0.02)


def test_example_3_10_fan_p110():
    """0.89 m, 720 rpm, blades at 39 degrees, 9.15 m/s: 82.1 %, 2.558 m3/s, 2.2919 kW, reaction 66.84 %, psi 1.326."""
    inlet = triangle(u=0.0, cm=9.15)
    exit = exit_triangle(u2=720 * RPM * 0.445, cm2=9.15, beta2_blade=from_tangent(39), slip=1.0)
    work = euler_work(inlet=inlet, exit=exit)
    flow = np.pi * 0.89 * 0.1 * 9.15

    assert 9810 * 0.075 / 1.2 / work == pytest.approx(0.821, rel=5e-3)
    assert 1.2 * flow * work / 1e3 == pytest.approx(2.2919, rel=5e-3)
    assert reaction(inlet=inlet, exit=exit) == pytest.approx(0.6684, rel=5e-3)
    assert 2 * work / exit.u**2 == pytest.approx(1.326, rel=5e-3)


def test_example_3_11_fan_p111():
    """3 kW into 4.29 kg/s, blades at 30 degrees, flow coefficient 0.25: 1439.3 rpm, psi 1.134, reaction 71.7 %."""
    beta2 = from_tangent(30)
    u2 = tip_speed(work=3e3 / 4.29, slip=1.0, beta2_blade=beta2, flow_coefficient_exit=0.25)
    exit = exit_triangle(u2=u2, cm2=0.25 * u2, beta2_blade=beta2, slip=1.0)
    inlet = triangle(u=0.0, cm=0.25 * u2)

    assert u2 / 0.233 / RPM == pytest.approx(1439.3, rel=5e-3)
    assert 2 * euler_work(inlet=inlet, exit=exit) / u2**2 == pytest.approx(1.134, abs=0.001)
    assert reaction(inlet=inlet, exit=exit) == pytest.approx(0.717, abs=0.001)
    assert 3.82 / (np.pi * 0.466 * exit.cm) == pytest.approx(0.297, rel=5e-3)


def test_example_3_12_blower_from_its_reaction_p113():
    """0.75 m at 3000 rpm, reaction 0.58, 75 %: blades at 71.7 degrees, 11.658 kJ/kg, 112.06 kPa. A blower like ours."""
    u2 = 3000 * RPM * 0.375
    inlet, exit = triangle(u=0.0, cm=57.0), triangle(u=u2, cm=57.0, cu=2 * (1 - 0.58) * u2)
    work = euler_work(inlet=inlet, exit=exit)

    assert reaction(inlet=inlet, exit=exit) == pytest.approx(0.58, abs=1e-12)
    assert to_tangent(exit.beta) == pytest.approx(71.7, abs=0.3)
    assert work / 1e3 == pytest.approx(11.658, rel=5e-3)
    assert 101.325 * isentropic_pressure_ratio(gas=AIR, Tt=298.0, work=0.75 * work) == pytest.approx(112.06, rel=1e-3)


def test_example_7_8_similar_pump_p316():
    """From 0.3 m, 0.02 m3/s and 15 m to 0.01 m3/s at the same speed: 0.238 m, 9.45 m."""
    numbers = [
        (
            specific_speed(speed=100.0, flow=flow, work=G * head),
            specific_diameter(diameter=diameter, flow=flow, work=G * head),
        )
        for diameter, flow, head in ((0.3, 0.02, 15.0), (0.238, 0.01, 9.45))
    ]
    np.testing.assert_allclose(numbers[1], numbers[0], rtol=2e-3)


def test_example_8_2_stodola_slip_of_a_pump_p355():
    """Blades at 30 degrees, slip factor 0.77 on the whirl of blades without number: 23.65 m, 8 blades."""
    beta2, u2 = from_tangent(30), 1450 * RPM * 0.125
    cm2 = 0.028 / (np.pi * 0.25 * 0.02)
    inlet = triangle(u=0.0, cm=cm2)
    guided = exit_triangle(u2=u2, cm2=cm2, beta2_blade=beta2, slip=1.0)
    heads = [
        euler_work(inlet=inlet, exit=exit_triangle(u2=u2, cm2=cm2, beta2_blade=beta2, slip=slip)) / G
        for slip in stodola(beta2_blade=beta2, blades_effective=np.array([7.0, 8.0, 9.0]))
    ]

    assert 0.77 * euler_work(inlet=inlet, exit=guided) / G == pytest.approx(23.65, rel=5e-3)
    assert np.argmin(np.abs(np.array(heads) - 23.65)) == 1
