"""S. L. Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, 5th ed. 2005: worked examples of chapters 2 and 7.

Inputs and results as solved in the public Python textbook companion of that book (FOSSEE, IIT Bombay), which names
the pages; the book itself was not opened. Where the companion rounds between steps, the exact arithmetic on its
inputs is used.
"""

import numpy as np
import pytest

from aerodesign.aero.impeller import Volute
from aerodesign.aero.inducer import best_angle, capacity, least_mach_inducer
from aerodesign.aero.sections import Circle
from aerodesign.aero.triangles import Triangle, euler_work, exit_triangle, tip_speed
from aerodesign.correlations.cone import pressure_recovery
from aerodesign.gas.efficiency import isentropic_efficiency, polytropic_efficiency
from aerodesign.gas.perfect import Gas, density, isentropic_work, sound_speed

G = 9.81
AT_REST = Triangle(u=0.0, cm=0.0, cu=0.0)


def air(cp: float, R: float = 287.0) -> Gas:
    """Air with the constants of the example; no example here asks for its viscosity."""
    return Gas(R=R, cp=cp, mu_ref=1.8e-5, T_ref=288.0, mu_exponent=0.76)


def cone_angle(*, area_ratio: float, length_over_radius: float) -> float:
    """Full angle in degrees of a cone by the library's own geometry, with an inlet of radius 1."""
    volute = Volute(
        size4=1.0,
        A4=np.pi,
        r4=5.0,
        r5=np.sqrt(area_ratio),
        cone_length=length_over_radius,
        tongue_radius=0.01,
        section=Circle(),
    )
    return float(np.degrees(volute.cone_angle))


def test_example_2_1_efficiencies_of_a_compressor_p40():
    """Pressure ratio 8 from 300 to 586.4 K: total-to-total 0.85, polytropic 0.886."""
    states = dict(pressure_ratio=8.0, temperature_ratio=586.4 / 300, kappa=0.4 / 1.4)

    assert isentropic_efficiency(**states) == pytest.approx(0.84998, rel=1e-4)
    assert polytropic_efficiency(**states) == pytest.approx(0.88646, rel=1e-4)


@pytest.mark.parametrize(
    ("area_ratio", "length", "angle", "ideal", "effectiveness"),
    [(2.13, 4.66, 11.2617, 0.77959, 0.76964), (1.8, 7.85, 4.9840, 0.69136, 0.86786)],
    ids=["example 2.3, p51", "example 2.4, p52"],
)
def test_conical_diffusers(area_ratio, length, angle, ideal, effectiveness):
    """Two diffusers of recovery 0.6 on the chart: full angle, ideal recovery, effectiveness."""
    best = pressure_recovery(area_ratio=area_ratio)

    assert cone_angle(area_ratio=area_ratio, length_over_radius=length) == pytest.approx(angle, abs=0.5e-3)
    assert best == pytest.approx(ideal, abs=0.5e-5)
    assert 0.6 / best == pytest.approx(effectiveness, abs=0.5e-4)


def test_example_2_5_diffuser_with_uneven_inflow_p53():
    """Area ratio 2, kinetic energy factors 1.059 and 1.543, loss 0.09: effectiveness 0.7777."""
    recovery = pressure_recovery(area_ratio=2.0, cone_loss=0.09, energy_factor4=1.059, energy_factor5=1.543)

    assert recovery == pytest.approx(0.58325, abs=1e-9)
    assert recovery / pressure_recovery(area_ratio=2.0) == pytest.approx(0.77767, abs=0.5e-5)


def test_example_7_2_inducer_with_prewhirl_p220():
    """Pre-whirl of 30 degrees, relative Mach number 0.9: f = 0.4307 at 49.4 degrees, 7404.9 rad/s.

    The optimum's position is that of a flat maximum: 0.2 degrees. The companion's density takes the Mach number of cx
    and not that of c1, so that its tip diameter is not used here.
    """
    beta = np.radians(np.linspace(40, 60, 2001))
    f = capacity(mach1s=0.9, beta1s=beta, gamma=1.4, alpha1s=np.radians(30))
    top = np.argmax(f)

    assert f[top] == pytest.approx(0.43062, abs=1e-4)
    assert np.degrees(beta[top]) == pytest.approx(49.27, abs=0.05)

    gas = air(1004.5)
    rho01, a01 = density(gas=gas, p=101.3e3, T=288.0), sound_speed(gas=gas, T=288.0)
    speed = np.sqrt(np.pi * f[top] * (1 - 0.4**2) * rho01 * a01**3 / 1.0)
    assert speed == pytest.approx(7404.9, rel=1e-3)


@pytest.mark.parametrize(("mach", "angle", "f"), [(0.7, 57.93, 0.11727), (0.8, 58.79, 0.16953), (0.9, 59.70, 0.23326)])
def test_optimum_inducer_without_prewhirl_chapter_7(mach, angle, f):
    """Closed form of the best angle (from memory) against a numerical maximum, and back from the mass flow."""
    best = best_angle(mach1s=mach, gamma=1.4)
    beta = np.radians(np.linspace(45, 70, 50001))
    flows = capacity(mach1s=mach, beta1s=beta, gamma=1.4)

    assert np.degrees(best) == pytest.approx(angle, abs=0.005)
    assert best == pytest.approx(beta[np.argmax(flows)], abs=2e-5)
    assert capacity(mach1s=mach, beta1s=best, gamma=1.4) == pytest.approx(f, abs=0.5e-5)

    gas = air(1004.5)
    rho, a = density(gas=gas, p=1e5, T=288.0), sound_speed(gas=gas, T=288.0)
    speed = np.sqrt(np.pi * f * (1 - 0.4**2) * rho * a**3)
    found = least_mach_inducer(gas=gas, pt0=1e5, Tt0=288.0, mass_flow=1.0, speed=speed, hub_ratio=0.4)
    assert found.mach1s == pytest.approx(mach, rel=1e-4)
    assert np.degrees(found.beta1s) == pytest.approx(angle, abs=0.01)


def test_example_7_3_pump_impeller_p228():
    """Blades at 50 degrees, Busemann's slip with A = 0.77, B = 1: in the library's terms a slip factor of 0.77."""
    u2, cm2 = 25.1327, 0.1 / (np.pi * 0.4 * 0.0317)
    triangle = exit_triangle(u2=u2, cm2=cm2, beta2_blade=np.radians(50), slip=0.77)

    assert triangle.cu == pytest.approx(16.3605, rel=1e-4)
    assert triangle.c == pytest.approx(16.552, rel=1e-4)
    assert euler_work(inlet=AT_REST, exit=triangle) / G == pytest.approx(41.915, rel=1e-4)


def test_example_7_4_radial_compressor_p235():
    """17 radial blades, 15 000 rpm, pressure ratio 4.2: tip speed 452.9 m/s, radius 0.2883 m, exit Mach number 1.01.

    The example takes 1 - 2/Z for the slip factor, 2 kg/s of density 2.0 through a width of 11 mm; its efficiency of
    0.83 is between total states; the mechanical one of 0.97 comes on top.
    """
    gas = air(1005.0, R=1005.0 / 3.5)
    slip = 1 - 2 / 17
    work = isentropic_work(gas=gas, Tt=295.0, pressure_ratio=4.2) / 0.83

    u2 = tip_speed(work=work, slip=slip, beta2_blade=0.0, flow_coefficient_exit=0.2)
    assert u2 == pytest.approx(452.86, rel=5e-3)
    r2 = u2 / (15000 * np.pi / 30)
    assert r2 == pytest.approx(0.2883, rel=5e-3)

    triangle = exit_triangle(u2=u2, cm2=2 / (2.0 * 2 * np.pi * r2 * 0.011), beta2_blade=0.0, slip=slip)
    assert triangle.c == pytest.approx(402.72, rel=5e-3)
    T2 = 295 + work / gas.cp - triangle.c**2 / (2 * gas.cp)
    np.testing.assert_allclose(T2, 394.42, rtol=5e-3)
    assert triangle.c / sound_speed(gas=gas, T=T2) == pytest.approx(1.01, rel=1e-2)
