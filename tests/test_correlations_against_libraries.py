"""Correlations and identities against independent libraries and closed forms."""

import fluids
import numpy as np
import pytest

from aerodesign.aero.choke import exit_choke, inducer_choke, passage_choke
from aerodesign.correlations.cone import rennels
from aerodesign.correlations.cordier import backswept_line, specific_diameter, specific_speed, specific_speed_us
from aerodesign.correlations.friction import haaland
from aerodesign.correlations.volute import borda_carnot, half_turn_friction, spiral_friction, tangential_mismatch
from aerodesign.gas.air import air
from aerodesign.gas.efficiency import isentropic_from_polytropic, polytropic_from_isentropic, temperature_ratio
from aerodesign.gas.perfect import choked_flow_function, flow_function, subsonic_mach
from aerodesign.machine.drive import supply_speeds, synchronous_speed
from aerodesign.machine.noise import blade_passing_frequency, sound_power_level

RPM = np.pi / 30


@pytest.mark.parametrize("angle", [4, 5, 7, 8, 10, 12, 15, 19])
@pytest.mark.parametrize("area_ratio", [1.3, 2.0, 3.0])
def test_cone_is_rennels_as_coded_in_fluids(angle, area_ratio):
    """Full cone angles to 20 degrees, Darcy's factor 0.015."""
    d1, d2 = 0.1, 0.1 * np.sqrt(area_ratio)
    theirs = fluids.diffuser_conical(Di1=d1, Di2=d2, angle=angle, fd=0.015, Re=1e6, method="Rennels")
    ours = rennels(
        cone_angle=np.radians(angle), A4=np.pi / 4 * d1**2, A5=np.pi / 4 * d2**2, cone_friction_factor=0.015 / 4
    )
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_cone_loses_least_at_about_seven_degrees():
    """The optimum cone of the diffuser literature: 6 to 8 degrees of full angle."""
    angles = np.arange(2, 20, 0.5)
    loss = rennels(cone_angle=np.radians(angles), A4=1.0, A5=2.0, cone_friction_factor=0.015 / 4)
    assert 6 <= angles[np.argmin(loss)] <= 8
    assert rennels(cone_angle=np.radians(7), A4=1.0, A5=2.0, cone_friction_factor=0.015 / 4) == pytest.approx(
        0.0386, abs=1e-4
    )


@pytest.mark.parametrize("roughness", [0.0, 1e-5, 1e-4, 1e-3, 1e-2])
@pytest.mark.parametrize("reynolds", [5e3, 1e4, 1e5, 1e6, 1e7])
def test_haaland_against_colebrook(reynolds, roughness):
    """Haaland is known to lie within 2 % of Colebrook's equation."""
    theirs = fluids.friction_factor(Re=reynolds, eD=roughness)
    assert 4 * haaland(reynolds=reynolds, relative_roughness=roughness) == pytest.approx(theirs, rel=0.02)


def test_laminar_friction():
    """Fanning's 16/Re."""
    assert haaland(reynolds=1000.0, relative_roughness=0.001) == pytest.approx(0.016, rel=1e-12)


@pytest.mark.parametrize(("flow", "rise", "level"), [(1, 1e3, 100.00), (1, 2e4, 126.02), (0.5, 27579, 125.80)])
def test_sound_power_level(flow, rise, level):
    """40 + 10 lg V + 20 lg p, as printed at engineeringtoolbox.com (read)."""
    assert sound_power_level(flow=flow, pressure_rise=rise) == pytest.approx(level, abs=0.005)


def test_sound_power_level_of_the_siemens_guide_and_blade_passing_frequency():
    """Application Guide 125-1929 (2009), pp. 27-28 (read): 15 000 cfm at 4 inches of water; ten blades at 1300 rpm."""
    assert sound_power_level(flow=7.0792, pressure_rise=996.36) == pytest.approx(108.47, abs=0.005)
    assert blade_passing_frequency(speed=1300 * RPM, blades=10) == pytest.approx(216.7, abs=0.05)


def test_supply_speeds_against_fluids():
    """Synchronous speeds on 50 and 60 Hz, less the slip."""
    for frequency, poles in ((50, 2), (60, 2), (60, 4), (50, 6)):
        theirs = fluids.speed_synchronous(frequency, poles=poles) * RPM
        assert synchronous_speed(frequency=frequency, poles=poles) == pytest.approx(theirs, rel=1e-12)
    speeds = supply_speeds(frequency=60.0, slip=0.02)
    np.testing.assert_allclose(speeds / RPM, [3528, 1764, 1176], rtol=1e-12)


def test_cordier_identities():
    """Head coefficient dh/u^2 = 4/(ns ds)^2 and Q/(w D^3) = 1/(ns ds^3), for any machine."""
    speed, flow, work, diameter = 700.0, 0.8, 2.1e4, 0.31
    ns = specific_speed(speed=speed, flow=flow, work=work)
    ds = specific_diameter(diameter=diameter, flow=flow, work=work)

    assert work / (speed * diameter / 2) ** 2 == pytest.approx(4 / (ns * ds) ** 2, rel=1e-12)
    assert flow / (speed * diameter**3) == pytest.approx(1 / (ns * ds**3), rel=1e-12)
    assert 4 / (ns * backswept_line(specific_speed=ns)) ** 2 == pytest.approx(0.5, rel=1e-12)


def test_specific_speed_against_fluids_and_in_us_units():
    """The library's is dimensional (rpm, m3/s, m); and rpm, gallons a minute, feet: 2733.02 times."""
    head, flow, rpm = 100.0, 0.0402, 3550.0
    ours = specific_speed(speed=rpm * RPM, flow=flow, work=9.80665 * head)
    theirs = fluids.specific_speed(flow, head, rpm) * RPM / 9.80665**0.75
    assert ours == pytest.approx(theirs, rel=1e-12)

    us = rpm * np.sqrt(flow * 60 / 3.785411784e-3) / (head / 0.3048) ** 0.75
    assert specific_speed_us(specific_speed=ours) == pytest.approx(us, rel=2e-6)


def test_choke_of_a_passage():
    """Flow m sqrt(R Tt / gamma) / (A pt) = 0.578704 for gamma 1.4, at Mach 1 and nowhere more."""
    gas = air().but(cp=3.5 * 287.047)
    flow = passage_choke(gas=gas, area=0.01, pt=1.2e5, Tt=320.0)

    assert flow * np.sqrt(gas.R * 320 / 1.4) / (0.01 * 1.2e5) == pytest.approx(0.578704, abs=5e-7)
    mach = np.linspace(0.01, 2, 200)
    assert np.all(flow_function(mach=mach, gamma=1.4) <= choked_flow_function(gamma=1.4))
    assert flow_function(mach=1.0, gamma=1.4) == pytest.approx(0.578704, abs=5e-7)
    for m in (0.05, 0.4, 0.8):
        assert subsonic_mach(flow_function=flow_function(mach=m, gamma=1.4), gamma=1.4) == pytest.approx(m, rel=1e-8)


def test_choke_of_an_inducer_follows_rothalpy(typical):
    """Thin axial blades at one radius: the annulus' choke, times the rise of the relative total state.

    T_rel/T01 = 1 + (gamma-1)/2 (u/a01)^2 and the capacity grows with its (gamma+1)/(2(gamma-1)) th power.
    """
    gas, speed = air(), 1500.0
    thin = typical.blower.impeller.but(
        r1h=0.0699, r1s=0.0701, beta1h_blade=0.0, beta1s_blade=0.0, thickness_hub=0.0, thickness_shroud=0.0
    )
    still = passage_choke(gas=gas, area=thin.inlet_area, pt=1e5, Tt=300.0)
    rel = 1 + (gas.gamma - 1) / 2 * (speed * 0.07) ** 2 / (gas.gamma * gas.R * 300)
    gain = rel ** ((gas.gamma + 1) / (2 * (gas.gamma - 1)))

    assert inducer_choke(gas=gas, wheel=thin, pt1=1e5, Tt1=300.0, speed=0.0) == pytest.approx(still, rel=1e-5)
    turning = inducer_choke(gas=gas, wheel=thin, pt1=1e5, Tt1=300.0, speed=speed)
    assert turning == pytest.approx(still * gain, rel=1e-5)
    wider = exit_choke(gas=gas, wheel=thin, pt1=1e5, Tt1=300.0, speed=speed, exit_blockage=0.0)
    assert exit_choke(gas=gas, wheel=thin, pt1=1e5, Tt1=300.0, speed=speed, exit_blockage=0.2) == pytest.approx(
        0.8 * wider, rel=1e-12
    )


def test_efficiencies_against_fluids():
    """Isentropic to polytropic and back, and the warming."""
    kappa = 0.4 / 1.4
    poly = polytropic_from_isentropic(efficiency=0.78, pressure_ratio=1.4, kappa=kappa)
    isen = isentropic_from_polytropic(efficiency=0.80, pressure_ratio=1.4, kappa=kappa)
    assert poly == pytest.approx(fluids.isentropic_efficiency(1e5, 1.4e5, 1.4, eta_s=0.78), rel=1e-12)
    assert isen == pytest.approx(fluids.isentropic_efficiency(1e5, 1.4e5, 1.4, eta_p=0.80), rel=1e-12)
    back = isentropic_from_polytropic(efficiency=poly, pressure_ratio=1.4, kappa=kappa)
    assert back == pytest.approx(0.78, rel=1e-12)

    theirs = fluids.isentropic_T_rise_compression(P1=1e5, P2=1.4e5, T1=288.15, k=1.4, eta=0.75)
    theta = temperature_ratio(pressure_ratio=1.4, efficiency=0.75, kappa=kappa)
    assert 288.15 * theta == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("mismatch", [tangential_mismatch, borda_carnot])
def test_no_mismatch_loss_where_the_throat_carries_the_angular_momentum(mismatch):
    """None at S = 1, continuous there, growing both ways."""
    S = np.linspace(0.5, 2, 301)
    loss = mismatch(volute_mismatch=S, r3=0.2, r4=0.27, cu3=100.0)
    assert loss[np.argmin(np.abs(S - 1))] == pytest.approx(0, abs=1e-9)
    assert np.all(np.diff(loss[S >= 1]) > 0)
    assert np.all(np.diff(loss[S <= 1]) < 0)


def test_spiral_friction_without_swirl_is_a_pipes():
    """Half a turn and four thirds pi of the mean radius; swirl adds to it."""
    shape = dict(c4=60.0, r3=0.2, r4=0.28, A4=0.01, volute_friction_factor=0.004)
    diameter = np.sqrt(4 * 0.01 / np.pi)
    pipe = 4 * 0.004 / diameter * 60.0**2 / 2
    assert half_turn_friction(**shape) == pytest.approx(pipe * np.pi * 0.24, rel=1e-12)
    assert spiral_friction(**shape, cm3=0.0) == pytest.approx(pipe * 4 * np.pi / 3 * 0.24, rel=1e-12)
    assert spiral_friction(**shape, cm3=30.0) > spiral_friction(**shape, cm3=0.0)
