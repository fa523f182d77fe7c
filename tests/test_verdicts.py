"""What a design says of itself agrees with what was computed: duty met, stall at every point's own speed, choke, mass of thinned gas."""

import numpy as np
import pytest

from aerodesign.aero.choices import Choices, Drive
from aerodesign.aero.choke import inducer_choke, passage_choke
from aerodesign.aero.design import design
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.radial_force import volute_flow_ratio
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.gas.air import air
from aerodesign.gas.perfect import power

SITE = Site(pressure=98.0e3, temperature=290.0, gas=air())


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
@pytest.mark.parametrize("kind", ["gear", "inverter"])
@pytest.mark.parametrize("inlet_velocity", [15.0, 58.0])
def test_a_feasible_design_point_is_met_when_it_is_run(service, kind, inlet_velocity):
    breathed = SITE.pressure - (12e3 if service == "vacuum" else 0)
    density = breathed / (SITE.gas.R * SITE.temperature)
    duty = Duty(flow=0.6, mass_flow=0.6 * density, pressure_rise=12e3, service=service)
    made = design(duty, SITE, drive=Drive(kind=kind), choices=Choices(search_effort=64, inlet_velocity=inlet_velocity))
    assert made.sized is not None
    assert made.sized.feasible
    assert made.meets_duty
    assert made.points.pressure_rise == pytest.approx(12e3, rel=2e-7)


def test_a_small_volute_takes_more_passes_and_is_no_refusal():
    duty = Duty(flow=0.66, mass_flow=0.66 * 1.18, pressure_rise=1650.0)
    made = design(duty, SITE, choices=Choices(search_effort=64, volute_area_factor=0.63))
    assert made.meets_duty


def test_a_point_beyond_the_map_is_still_held_against_stall():
    """The second point asks far more pressure at less flow than the design point: it runs faster than any line of the map."""
    flow = np.array([0.722, 0.60])
    duty = Duty(
        flow=flow, mass_flow=flow * SITE.pressure / (SITE.gas.R * SITE.temperature), pressure_rise=np.array([9e3, 22e3])
    )
    made = design(duty, SITE, choices=Choices(search_effort=64))
    assert made.points.speed[1] > made.map.speed.max()
    stage = made.points.operation.stage
    assert stage.stall_margin[1] < 0
    assert any(flag.code == "stall" and flag.raised for flag in made.flags)


@pytest.mark.parametrize("hub_ratio", [0.2, 0.35, 0.5])
def test_inducer_choke_against_quadrature_over_a_wide_annulus(typical, hub_ratio):
    """Simpson over the area, with tan(beta) linear in the radius between hub and tip as the wheel's own mean angle has it."""
    wheel = typical.blower.impeller
    wheel = wheel.but(r1h=hub_ratio * wheel.r1s)
    gas, speed, P0, T0 = SITE.gas, 1400.0, 98e3, 290.0
    r = np.linspace(wheel.r1h, wheel.r1s, 20001)
    x = (r - wheel.r1h) / (wheel.r1s - wheel.r1h)
    beta = np.arctan((1 - x) * np.tan(wheel.beta1h_blade) + x * np.tan(wheel.beta1s_blade))
    thickness = (1 - x) * wheel.thickness_hub + x * wheel.thickness_shroud
    Tt = T0 + (speed * r) ** 2 / (2 * gas.cp)
    pt = P0 * power(Tt / T0, 1 / gas.kappa)
    per_radius = passage_choke(gas=gas, area=2 * np.pi * r * np.cos(beta) - wheel.blades * thickness, pt=pt, Tt=Tt)
    exact = np.sum((per_radius[1:] + per_radius[:-1]) / 2 * np.diff(r))
    assert inducer_choke(gas=gas, wheel=wheel, pt1=P0, Tt1=T0, speed=speed) == pytest.approx(exact, rel=0.01)


def test_the_flow_over_the_volutes_own_follows_the_flow(typical):
    """Twice the flow is twice the ratio, whatever the whirl does meanwhile."""
    given = dict(service="pressure", basis="static", speed=typical.point["speed"], models=Models())
    flow = np.array([0.7, 0.85, 1.0])
    ratio = volute_flow_ratio(operate(typical.blower, SITE, flow=flow, **given).stage)
    assert ratio / ratio[-1] == pytest.approx(flow, rel=0.04)


def test_choke_band_holds_the_nominal_choke_in_vacuum_service():
    text = """
    service = "vacuum"
    [duty]
    flow = "2500 cfm"
    suction = "28 inH2O"
    [site]
    altitude = "0 ft"
    temperature = "70 degF"
    [choices]
    search_effort = 64
    """
    made = design_case(case_from_text(text))
    line = made.map.lines(slice(None))
    nearest = int(np.argmin(np.abs(line.speed[:, 0] - made.stage.speed)))
    stage = line.operation.stage
    nominal = line.operation.flow[nearest, -1] * (
        1 + np.broadcast_to(stage.choke_margin, stage.mass_flow.shape)[nearest, -1]
    )
    low, high = made.bands.choke
    assert 0.93 * low < nominal < 1.07 * high
