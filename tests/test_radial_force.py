"""Radial force from the volute: nothing at the flow that the spiral is made for, and what follows from a balance of moments."""

import numpy as np
import pytest

from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.radial_force import pressure_round, radial_force
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.correlations.radial_force import stepanoff

CASE = """
service = "pressure"
[duty]
flow = "1800 m3/h"
pressure_rise = "15 kPa"
[site]
altitude = "0 m"
temperature = "20 degC"
[choices]
search_effort = 64
volute_section = "%s"
"""


@pytest.fixture(scope="module", params=["circle", "rectangle"])
def made(request):
    case = case_from_text(CASE % request.param)
    return case, design_case(case)


def at(made, share):
    case, design = made
    return operate(
        design.blower, case.site, service="pressure", basis="static", flow=design.flow * np.asarray(share), speed=design.speed,
        models=Models(),
    ).stage  # fmt: skip


def test_the_pressure_is_even_where_the_spiral_follows_the_swirl(made):
    stage = at(made, 1.0)
    theta = np.linspace(0, 2 * np.pi, 73)
    head = stage.rho3 * stage.cu3**2 / 2
    assert np.ptp(pressure_round(stage, theta)) < 0.08 * head
    assert radial_force(stage).coefficient < 0.01


def test_the_force_turns_round_between_too_little_and_too_much_flow(made):
    forces = radial_force(at(made, [0.6, 1.3]))
    turned = np.degrees(forces.direction[1] - forces.direction[0]) % 360
    assert abs(turned - 180) < 25
    assert np.all(forces.coefficient > 0.01)
    assert forces.flow_ratio[0] < 1 < forces.flow_ratio[1]


def test_with_no_swirl_the_pressure_falls_as_the_moment_grows(made):
    """Bernoulli's limit: without moment fed in, the flow that gathers accelerates at the expense of pressure alone."""
    stage = at(made, 1.0)
    still = stage.but(cu3=0.0)
    pressure = pressure_round(still, np.linspace(0, 2 * np.pi, 721))
    assert np.all(np.diff(pressure) < 0)


def test_similar_machines_at_the_same_density_have_forces_as_the_square_of_their_size(made):
    blower = made[1].blower
    stage = at(made, 0.7)
    big = stage.but(blower=_scaled(blower, 2.0), mass_flow=4 * stage.mass_flow)
    assert radial_force(big).force == pytest.approx(4 * radial_force(stage).force, rel=1e-6)


def _scaled(blower, k):
    lengths = lambda record, names: {name: k * getattr(record, name) for name in names}  # noqa: E731
    wheel = blower.impeller.but(**lengths(blower.impeller, ("r2", "b2")))
    diffuser = blower.diffuser.but(**lengths(blower.diffuser, ("r3", "b3")))
    volute = blower.volute.but(
        A4=k**2 * blower.volute.A4, **lengths(blower.volute, ("size4", "r4", "r5", "cone_length"))
    )
    return Blower(r0=k * blower.r0, impeller=wheel, diffuser=diffuser, volute=volute)


def test_stepanoff_at_shut_off_and_at_the_design_flow():
    """A. J. Stepanoff 1957 (from memory): coefficient 0.36 at shut-off, none at the design flow."""
    given = dict(rise_total=10e3, r2=0.1, b2=0.02)
    assert stepanoff(flow_ratio=0.0, **given) == pytest.approx(0.36 * 10e3 * 0.2 * 0.02)
    assert stepanoff(flow_ratio=1.0, **given) == 0
