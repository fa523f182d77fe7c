"""Performance map and duty points: the shape of the lines, their ends, the stall band, and both services."""

import numpy as np
import pytest

from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.performance_map import performance_map
from aerodesign.aero.points import run_points
from aerodesign.gas.perfect import isentropic_work

LINES = np.linspace(0.6, 1.1, 6)


@pytest.fixture(scope="module")
def site(typical):
    """The sea on a mild day."""
    return Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])


def chart(machine, site, service="pressure", **changes):
    """The machine's map over six speeds."""
    asked = dict(service=service, basis="static", models=Models(), design_flow=1.0, design_speed=machine.point["speed"])
    return performance_map(machine.blower, site, speeds=machine.point["speed"] * LINES, **(asked | changes))


@pytest.fixture(scope="module")
def charts(typical, site):
    """The map in both services."""
    return {service: chart(typical, site, service) for service in ("pressure", "vacuum")}


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_lines_fall_beyond_their_peak_and_do_not_cross(charts, service):
    """Every point solved; more speed makes more pressure at every flow that two lines share."""
    found = charts[service]
    flow, rise = found.operation.flow, found.operation.pressure_rise
    assert found.speed.shape == (6, 1)
    assert rise.shape == flow.shape == (6, 41)
    assert found.operation.stage.solved.mean() > 0.99
    for line in rise:
        assert np.all(np.diff(line[np.argmax(line) :]) < 0)
    for slow in range(5):
        shared = np.linspace(flow[slow + 1, 0], flow[slow, -1], 30)
        lower, upper = (np.interp(shared, flow[i], rise[i]) for i in (slow, slow + 1))
        assert np.all(upper > lower)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_lines_end_at_free_delivery_or_choke(charts, service):
    """Where no pressure is left, or within 2 % of the choke that is named; nothing runs beyond."""
    found = charts[service]
    stage, rise = found.operation.stage, found.operation.pressure_rise
    for line, limit in enumerate(found.limit):
        if limit == "free delivery":
            assert 0 <= rise[line, -1] < 0.01 * rise[line].max()
        else:
            assert limit.startswith("choke of the ")
            assert 0 < stage.choke_margin[line, -1] < 0.02
    assert set(found.limit) == {"free delivery", "choke of the inducer"}
    np.testing.assert_array_equal(found.end_flow, found.operation.flow[:, -1])
    assert np.all(np.diff(found.end_flow) > 0)


def test_a_narrow_volute_shortens_the_lines(typical, site, charts):
    """The machine runs out of pressure in a throat of 0.45 and 0.35 times the area, before anything chokes."""
    volute = typical.blower.volute
    ends = [charts["pressure"].end_flow]
    for part in (0.45, 0.35):
        narrow = typical.blower.but(volute=volute.but(A4=part * volute.A4))
        found = chart(type(typical)(narrow, typical.point), site)
        assert set(found.limit) == {"free delivery"}
        assert np.all(found.operation.stage.choke_margin[:, -1] > 0.02)
        ends.append(found.end_flow)
    assert np.all(np.diff(ends, axis=0) < 0)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_stall_band(charts, service):
    """Three criteria, ordered low to high, inside the lines, about in proportion to speed."""
    found = charts[service]
    low, high = found.stall_band
    assert len(found.stall) == 3
    assert np.all(low <= high)
    assert np.all(low >= found.operation.flow[:, 0] * (1 - 1e-9))
    assert np.all(high < found.end_flow)
    assert np.all(np.diff(high) > 0)
    assert 0.3 < high[4] / 1.0 < 0.9
    np.testing.assert_allclose(high / LINES / high[4], 1, atol=0.15)


def test_stall_flows_are_where_their_criterion_is_met(typical, site, charts):
    """At the flow found, the margin of the diffuser is nought and the incidence at the tip twelve degrees."""
    found = charts["pressure"]
    for criterion, margin in (
        ("critical angle of the vaneless diffuser", lambda stage: stage.stall_margin),
        ("incidence at the inducer tip", lambda stage: np.radians(12) - stage.incidence_shroud),
    ):
        operation = operate(
            typical.blower, site, service="pressure", basis="static", models=Models(), flow=found.stall[criterion],
            speed=found.speed[:, 0],
        )  # fmt: skip
        np.testing.assert_allclose(margin(operation.stage), 0, atol=np.radians(0.1), err_msg=criterion)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_the_map_is_its_points(typical, site, charts, service):
    """Single points by themselves."""
    found = charts[service]
    for line, column in ((0, 5), (3, 20), (5, 33)):
        alone = operate(
            typical.blower, site, service=service, basis="static", models=Models(),
            flow=float(found.operation.flow[line, column]), speed=float(found.speed[line, 0]),
        )  # fmt: skip
        assert found.operation.pressure_rise[line, column] == pytest.approx(alone.pressure_rise, rel=1e-9)
        assert found.operation.stage.work[line, column] == pytest.approx(alone.stage.work, rel=1e-9)


def test_vacuum_service_is_pressure_service_of_thinner_air(typical, site):
    """The stage in vacuum is that of pressure service on a site at its inlet's total pressure: the same pressure ratio.

    The four passes on the inlet pressure close to a hundredth of a pascal.
    """
    run = dict(basis="static", models=Models(), flow=np.linspace(0.5, 1.4, 7), speed=typical.point["speed"])
    vacuum = operate(typical.blower, site, service="vacuum", **run)
    thin = operate(typical.blower, site.but(pressure=vacuum.stage.pt0), service="pressure", **run)

    np.testing.assert_allclose(vacuum.stage.p5, site.pressure, rtol=0, atol=0.01)
    np.testing.assert_allclose(vacuum.stage.p5 / vacuum.stage.pt0, thin.stage.p5 / thin.stage.pt0, rtol=1e-9)
    np.testing.assert_allclose(thin.pressure_rise, site.pressure - vacuum.stage.pt0, rtol=0, atol=0.01)

    # At the site's density the ratio differs by the Reynolds number alone.
    dense = operate(typical.blower, site, service="pressure", **run)
    ratios = [o.stage.p5 / o.stage.pt0 - 1 for o in (vacuum, dense)]
    np.testing.assert_allclose(ratios[0], ratios[1], rtol=0.01)
    assert np.all(ratios[0] < ratios[1])


def test_suction_counts_to_the_static_pressure_of_the_inlet_flange(typical, site):
    """The total pressure there exceeds the static one by the dynamic pressure of the pipe's velocity."""
    run = dict(basis="static", models=Models(), flow=1.0, speed=typical.point["speed"])
    vacuum = operate(typical.blower, site, service="vacuum", **run)
    velocity = 1.0 / typical.blower.A0
    dynamic = vacuum.stage.pt0 / (site.gas.R * site.temperature) * velocity**2 / 2

    assert site.pressure - vacuum.pressure_rise == pytest.approx(vacuum.stage.pt0 - dynamic, rel=1e-4)


POINTS = dict(mechanical_efficiency=0.97, drive_efficiency=0.95, models=Models())


def points(machine, site, wanted, *, variable_speed):
    """Three duty points on the machine."""
    flow = np.array([0.6, 0.8, 1.0])
    duty = Duty(
        flow=flow, mass_flow=1.2 * flow, pressure_rise=np.array(wanted), hours=np.array([2000.0, 3000, 1000]) * 3600
    )
    return run_points(
        machine.blower, duty, site, design_speed=machine.point["speed"], fastest=1.1 * machine.point["speed"],
        variable_speed=variable_speed, **POINTS,
    )  # fmt: skip


def test_variable_speed_meets_each_point(typical, site):
    """Slower where less is asked; power follows; the chain of efficiencies is counted once."""
    found = points(typical, site, [12e3, 16e3, 20e3], variable_speed=True)

    assert np.all(found.met)
    np.testing.assert_allclose(found.pressure_rise, found.wanted, rtol=1e-6)
    assert np.all(np.diff(found.speed) > 0)
    np.testing.assert_allclose(found.shaft_power * 0.97, found.operation.stage.power, rtol=1e-12)
    np.testing.assert_allclose(found.drive_power * 0.95, found.shaft_power, rtol=1e-12)
    gas = site.gas
    useful = isentropic_work(gas=gas, Tt=site.temperature, pressure_ratio=1 + found.wanted / site.pressure)
    mass_flow = 1.2 * np.array([0.6, 0.8, 1.0])
    np.testing.assert_allclose(found.operation.stage.mass_flow, mass_flow, rtol=1e-9)
    np.testing.assert_allclose(found.efficiency, useful * mass_flow / (found.shaft_power * 0.97), rtol=1e-6)


def test_a_point_beyond_the_fastest_speed_is_not_met(typical, site):
    """It is said, not raised."""
    found = points(typical, site, [12e3, 16e3, 60e3], variable_speed=True)
    assert found.met.tolist() == [True, True, False]
    assert found.speed[2] == pytest.approx(1.1 * typical.point["speed"], rel=1e-9)


def test_fixed_speed_throttles(typical, site):
    """One speed; a point is met where the machine makes at least its pressure."""
    found = points(typical, site, [12e3, 16e3, 60e3], variable_speed=False)
    assert np.all(found.speed == typical.point["speed"])
    assert found.met.tolist() == [True, True, False]
    assert np.all(found.pressure_rise[:2] > found.wanted[:2])


def test_some_lines_of_a_map_are_a_map(charts):
    """Every other line, with its stall flows and its end."""
    found = charts["pressure"]
    some = found.lines(slice(1, None, 2))
    np.testing.assert_array_equal(some.speed, found.speed[1::2])
    np.testing.assert_array_equal(some.operation.stage.power, found.operation.stage.power[1::2])
    np.testing.assert_array_equal(some.stall_band[1], found.stall_band[1][1::2])
    assert some.limit == found.limit[1::2]
