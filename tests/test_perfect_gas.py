"""The perfect gas against closed forms, a root finder, other libraries and tables."""

import fluids
import numpy as np
import pytest
from scipy.optimize import brentq

from aerodesign.gas.air import air
from aerodesign.gas.perfect import (
    Gas,
    choked_flow_function,
    density,
    flow_function,
    isentropic_pressure_ratio,
    isentropic_work,
    sound_speed,
    subsonic_mach,
    viscosity,
)

DIATOMIC = Gas(R=287.0, cp=287.0 * 3.5, mu_ref=1.8e-5, T_ref=293.15, mu_exponent=0.76)


@pytest.mark.parametrize("gamma", [1.05, 1.3, 1.4, 5 / 3])
def test_subsonic_mach_equals_the_root_found_by_bisection(gamma):
    for mach in np.linspace(0, 0.98, 50):
        wanted = flow_function(mach=mach, gamma=gamma)
        root = brentq(lambda m, w=wanted: flow_function(mach=m, gamma=gamma) - w, 0, 1, xtol=1e-15)
        assert root == pytest.approx(mach, abs=1e-7)  # the root finder's own error where the function is flat
        assert subsonic_mach(flow_function=wanted, gamma=gamma) == pytest.approx(
            mach, abs=1e-9 if wanted < 0.995 * choked_flow_function(gamma=gamma) else 2e-3
        )


def test_flow_function_peaks_at_mach_one():
    mach = np.linspace(0.5, 1.5, 1001)
    assert mach[np.argmax(flow_function(mach=mach, gamma=1.4))] == pytest.approx(1, abs=1e-9)


def test_choke_of_a_diatomic_gas():
    # Closed form (2/(g+1))^((g+1)/(2(g-1))) = (5/6)^3 at g = 1.4.
    assert choked_flow_function(gamma=1.4) == pytest.approx(0.578704, abs=5e-7)
    assert choked_flow_function(gamma=1.4) == pytest.approx((5 / 6) ** 3, rel=1e-14)
    assert flow_function(mach=1.0, gamma=1.4) == pytest.approx((5 / 6) ** 3, rel=1e-14)


def test_beyond_choke_the_mach_number_stays_below_one():
    assert 0.98 < subsonic_mach(flow_function=0.7, gamma=1.4) < 1


def test_flow_function_is_the_mass_flow():
    p0, T0, mach = 1.2e5, 310.0, 0.6
    T = T0 / (1 + 0.2 * mach**2)
    p = p0 / fluids.P_stagnation(1.0, T, T0, 1.4)
    per_area = density(gas=DIATOMIC, p=p, T=T) * mach * sound_speed(gas=DIATOMIC, T=T)
    unit = p0 * np.sqrt(1.4 / (287 * T0))
    assert flow_function(mach=mach, gamma=1.4) == pytest.approx(per_area / unit, rel=1e-12)


def test_dixon_d2_1_efficiencies():
    # Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, 5th ed. 2005, example 2.1: pressure ratio 8, 300 to
    # 586.4 K, gamma 1.4: total-to-total efficiency 0.85, polytropic 0.89 (exact arithmetic 0.84998 and 0.88646).
    total = isentropic_work(gas=DIATOMIC, Tt=300.0, pressure_ratio=8.0) / (DIATOMIC.cp * 286.4)
    small = DIATOMIC.kappa * np.log(8) / np.log(586.4 / 300)
    assert total == pytest.approx(0.84998, abs=1e-5)
    assert small == pytest.approx(0.88646, abs=1e-5)
    assert fluids.isentropic_efficiency(1e5, 8e5, 1.4, eta_p=small) == pytest.approx(total, rel=1e-12)


def test_isentropic_work_equals_fluids():
    molar = fluids.isentropic_work_compression(P1=1e5, P2=1.3e5, T1=300, k=1.4, eta=1.0)
    gas_constant = 8.31446261815324
    assert isentropic_work(gas=DIATOMIC, Tt=300.0, pressure_ratio=1.3) == pytest.approx(
        molar * 287.0 / gas_constant, rel=1e-9
    )


def test_temperature_rise_equals_fluids():
    rise = isentropic_work(gas=DIATOMIC, Tt=288.15, pressure_ratio=1.4) / 0.75 / DIATOMIC.cp
    end = fluids.isentropic_T_rise_compression(P1=101325, P2=1.4 * 101325, T1=288.15, k=1.4, eta=0.75)
    assert rise + 288.15 == pytest.approx(end, rel=1e-12)


def test_pressure_ratio_and_work_are_inverse():
    ratio = np.linspace(1.001, 3, 50)
    work = isentropic_work(gas=DIATOMIC, Tt=300.0, pressure_ratio=ratio)
    assert isentropic_pressure_ratio(gas=DIATOMIC, Tt=300.0, work=work) == pytest.approx(ratio, rel=1e-13)


@pytest.mark.parametrize(("ratio", "real"), [(1.1, 8127.6), (1.2, 15743.8), (1.3, 22919.6), (1.4, 29711.5)])
def test_work_on_air_equals_the_real_gas(ratio, real):
    # Real dry air from 293.15 K and 101 325 Pa, Lemmon's equation of state evaluated in CoolProp 8.0.0.
    assert isentropic_work(gas=air(), Tt=293.15, pressure_ratio=ratio) == pytest.approx(real, rel=4e-4)


@pytest.mark.parametrize(
    ("T", "rho", "cp", "mu", "a"),
    [
        (250.0, 1.41331, 1005.54, 1.60381e-5, 317.068),
        (273.15, 1.29307, 1005.68, 1.72184e-5, 331.441),
        (288.15, 1.22554, 1006.00, 1.79615e-5, 340.410),
        (300.0, 1.17700, 1006.37, 1.85373e-5, 347.320),
        (320.0, 1.10326, 1007.26, 1.94879e-5, 358.655),
        (350.0, 1.00853, 1009.21, 2.08671e-5, 374.951),
        (400.0, 0.88231, 1014.14, 2.30554e-5, 400.449),
    ],
)
def test_dry_air_against_the_table_of_the_real_gas(T, rho, cp, mu, a):
    # CoolProp 8.0.0 at 101 325 Pa.
    gas = air()
    assert density(gas=gas, p=101325.0, T=T) == pytest.approx(rho, rel=1e-3)
    assert gas.cp == pytest.approx(cp, rel=1e-2)
    assert viscosity(gas=gas, T=T) == pytest.approx(mu, rel=3e-3 if 270 < T <= 350 else 1e-2)
    assert sound_speed(gas=gas, T=T) == pytest.approx(a, rel=3e-3)
