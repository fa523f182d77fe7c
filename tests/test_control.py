"""Control of part flow, and the machine on other sites: limits of the laws of similarity, and identities between the kinds."""

import numpy as np
import pytest

from aerodesign.aero.control import FLOWS, KINDS, control, follow, plant_duties, turndown, yearly_energy
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.first_root import first_root
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.performance_map import performance_map
from aerodesign.aero.site_curves import Conditions, conditions_of, site_curves
from aerodesign.aero.system import System, fixed_part, wanted_rise
from aerodesign.case import case_from_text
from aerodesign.core.errors import CaseError
from aerodesign.gas.air import humid_air
from aerodesign.gas.mixture import pure_gas
from aerodesign.gas.perfect import isentropic_work

SERVICES = ("pressure", "vacuum")
BEARINGS = 0.97
"""Mechanical efficiency."""

OFF_DESIGN = np.linspace(0.6, 1.2, 7)
DAYS = Conditions(filter_loss=2500.0)


@pytest.fixture(scope="module")
def site(typical):
    """The sea on a mild day."""
    return Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])


def design_duty(machine, site, service, speed, flow=1.0, basis="static"):
    """The duty that the machine just meets at a flow and speed; so its design point."""
    made = operate(
        machine.blower, site, service=service, basis=basis, flow=flow, speed=speed, models=Models()
    )  # fmt: skip
    p0 = site.pressure - (made.pressure_rise if service == "vacuum" else 0)
    mass_flow = made.stage.mass_flow
    return Duty(
        flow=mass_flow * site.gas.R * site.temperature / p0, mass_flow=mass_flow, pressure_rise=made.pressure_rise,
        service=service, basis=basis,
    )  # fmt: skip


def options(machine, **changes):
    """What :func:`follow` needs beside the duty."""
    speed = machine.point["speed"]
    return dict(design_speed=speed, fastest=1.2 * speed, mechanical_efficiency=BEARINGS, models=Models()) | changes


def along(machine, site, service, system, part=1.0):
    """All kinds of control along a plant's curve, at a part of the speed and of the flow."""
    speed = part * machine.point["speed"]
    asked = options(machine, design_speed=speed, fastest=1.2 * speed)
    duty = design_duty(machine, site, service, speed, flow=part)
    return follow(machine.blower, site, plant_duties(system, duty, site, flows=FLOWS), **asked)


@pytest.fixture(scope="module")
def square(typical, site):
    """Both services on a plant without a fixed part."""
    return {service: along(typical, site, service, System()) for service in SERVICES}


@pytest.fixture(scope="module")
def mixed(typical, site):
    """Both services on a plant with 60 % of fixed pressure."""
    return {service: along(typical, site, service, System(fixed_share=0.6)) for service in SERVICES}


def test_a_plants_curve_is_fixed_and_square():
    """Through the design duty; the two ways of giving the fixed part agree."""
    flow = np.array([0.0, 0.5, 1.0, 1.1])
    for system in (System(fixed=15e3), System(fixed_share=0.75)):
        assert fixed_part(system, design_rise=20e3) == pytest.approx(15e3)
        found = wanted_rise(system, flow=flow, design_flow=1.0, design_rise=20e3)
        np.testing.assert_allclose(found, 15e3 + 5e3 * flow**2, rtol=1e-12)


def test_first_root_takes_the_least_of_several():
    """Of a parabola that rises and falls, of a jump, of what never suffices and what always does."""

    def surplus(x):
        parabola, jump, never, always = np.moveaxis(x + np.zeros(4), -1, 0)
        return np.stack(
            [0.05 - (parabola - 0.6) ** 2, np.where(jump > 0.37, 1.0, -1.0), never - 2, always + 1], axis=-1
        )

    found = first_root(surplus, (4,), trials=9, passes=30, tolerance=1e-9)
    assert found.reached.tolist() == [True, True, False, True]
    assert found.x[0] == pytest.approx(0.6 - np.sqrt(0.05), abs=1e-9)
    assert 0 < found.x[1] - 0.37 < 1e-4
    assert found.x[2:].tolist() == [1.0, 0.0]


def test_first_root_is_quick_on_a_bent_curve():
    """Plain false position keeps one end and creeps: after ten passes it would still miss by a hundredth."""
    level = np.linspace(0.01, 0.9, 30)
    found = first_root(lambda x: x**9 - level, level.shape, trials=3, passes=12, tolerance=1e-6)
    np.testing.assert_allclose(found.x, level ** (1 / 9), rtol=1e-5)
    mirrored = first_root(lambda x: 1 - (1 - x) ** 9 - level, level.shape, trials=3, passes=12, tolerance=1e-6)
    np.testing.assert_allclose(1 - mirrored.x, (1 - level) ** (1 / 9), rtol=1e-5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("service", SERVICES)
def test_every_kind_starts_from_the_plain_machine(square, typical, service, kind):
    """At the design duty nothing is turned: design speed, open throttles, idle vanes; one power."""
    at = int(np.argmin(np.abs(FLOWS - 1)))
    found = square[service][kind][at]
    assert found.reached
    # A duty's volume flow counts at the static state of the flange, and 30 m/s are taken as slow there.
    assert found.speed == pytest.approx(typical.point["speed"], rel=5e-5)
    assert abs(found.alpha1) < np.radians(0.1)
    assert found.pt0 == pytest.approx(square[service]["speed"][at].pt0, rel=1e-4)
    assert found.shaft_power == pytest.approx(square[service]["speed"][at].shaft_power, rel=1e-3)


@pytest.mark.parametrize("service", SERVICES)
def test_throttled_discharge_runs_along_the_speed_line(typical, site, square, mixed, service):
    """Its power and pressure ratio are those of the machine at its design speed and inlet, whatever the plant asks."""
    for found in (square[service]["discharge throttle"], mixed[service]["discharge throttle"]):
        alone = operate(
            typical.blower, site.but(pressure=found.pt0), service="pressure", basis="static", flow=found.flow,
            speed=typical.point["speed"], models=Models(),
        )  # fmt: skip
        np.testing.assert_allclose(found.shaft_power * BEARINGS, alone.stage.power, rtol=1e-9)
        np.testing.assert_allclose(found.pressure_rise, alone.pressure_rise, rtol=1e-9)


@pytest.mark.parametrize("plant", ["square", "mixed"])
@pytest.mark.parametrize("service", SERVICES)
def test_what_is_reached_makes_the_pressure(request, site, service, plant):
    """To 1e-5 of the discharge pressure where the control has reach left; never less where it has not."""
    for kind, found in request.getfixturevalue(plant)[service].items():
        made = found.pt0 + found.pressure_rise
        asked = site.pressure + (found.wanted if service == "pressure" else 0)
        miss = (made / asked - 1)[found.reached]
        assert np.all(miss > -1.001e-5), kind
        inside = ((found.alpha1 < np.radians(64.99)) & (found.speed > 0.301 * found.speed.max()))[found.reached]
        if kind != "discharge throttle":
            assert inside.sum() > 10
            np.testing.assert_allclose(miss[inside], 0, atol=1.001e-5, err_msg=kind)


def test_speed_on_a_square_law_takes_the_cube_of_the_flow(typical, site):
    """At a fifteenth of the typical pressure the gas is as good as incompressible: speed as flow, power as its cube.

    What is left is the Reynolds number: friction takes more of the smaller flows, by less than a fifth power.
    """
    slow = typical.point["speed"] / 4
    found = along(typical, site, "pressure", System(), part=0.25)["speed"]
    found = found[FLOWS >= 0.45]
    flow = found.flow / found.flow[np.argmin(np.abs(FLOWS[FLOWS >= 0.45] - 1))]
    assert np.all(found.reached)
    assert found.wanted.max() < 2200
    np.testing.assert_allclose(found.speed / slow, flow, rtol=0.02)
    exponent = np.polyfit(np.log(flow), np.log(found.shaft_power), 1)[0]
    assert 2.93 < exponent < 3.0
    assert found.efficiency[0] < found.efficiency[-1] < 1.05 * found.efficiency[0]


def test_two_similar_points_have_one_power_coefficient(typical, site):
    """Between two speeds on a square law at low pressure: the power coefficient differs as the efficiency does, no more."""
    found = along(typical, site, "pressure", System(), part=0.25)["speed"]
    full, half = (found[int(np.argmin(np.abs(FLOWS - part)))] for part in (1.0, 0.5))
    cubes = half.shaft_power / full.shaft_power * 8
    assert cubes * half.efficiency / full.efficiency == pytest.approx(1, rel=0.01)


@pytest.mark.parametrize("plant", ["square", "mixed"])
def test_part_flow_costs_most_behind_the_machine_and_least_by_speed(request, plant):
    """In pressure service an inlet throttle thins the gas, vanes take work off, and speed takes the most off."""
    found = request.getfixturevalue(plant)["pressure"]
    down = (FLOWS > 0.72) & (FLOWS < 0.99)
    power = {kind: one.shaft_power[down] for kind, one in found.items()}
    assert np.all(power["inlet throttle"] < power["discharge throttle"])
    assert np.all(power["pre-swirl vanes"] < power["inlet throttle"])
    # Against a fixed pressure the speed can change little, and vanes come close to it.
    assert np.all(power["speed"] < power["pre-swirl vanes"] * (1 if plant == "square" else 1.01))


@pytest.mark.parametrize("service", SERVICES)
def test_efficiency_counts_what_arrives(mixed, site, service):
    """Power at the gas times efficiency is the isentropic power of what the plant gets: the same for every kind."""
    duty = {kind: one[one.reached] for kind, one in mixed[service].items()}
    ahead = {kind: mixed[service]["speed"].pt0[one.reached] for kind, one in mixed[service].items()}
    for kind, one in duty.items():
        gas, pt0 = site.gas, ahead[kind]
        arrives = site.pressure + (one.wanted if service == "pressure" else 0)
        work = isentropic_work(gas=gas, Tt=site.temperature, pressure_ratio=arrives / pt0)
        mass_flow = one.flow * pt0 / (gas.R * site.temperature)
        np.testing.assert_allclose(
            one.efficiency * one.shaft_power * BEARINGS, mass_flow * work, rtol=1e-9, err_msg=kind
        )


def test_an_inlet_throttle_saves_in_proportion_to_the_density(square, site):
    """The machine behind it takes the power of the plain one at its own larger volume flow, times the density."""
    inlet, discharge = (square["pressure"][kind] for kind in ("inlet throttle", "discharge throttle"))
    thinner = inlet.pt0 / site.pressure
    own_flow = inlet.flow / thinner
    usable = inlet.reached & (own_flow < discharge.flow[-1])
    expected = thinner * np.interp(own_flow, discharge.flow, discharge.shaft_power)
    assert usable.sum() > 25
    # What is left is the Reynolds number and the interpolation.
    np.testing.assert_allclose(inlet.shaft_power[usable], expected[usable], rtol=0.004)


def test_closed_vanes_throttle_the_rest(square):
    """A plant that asks too little for vanes at 65 degrees gets it by a throttle behind: more pressure than asked, met all the same."""
    vanes = square["pressure"]["pre-swirl vanes"]
    closed = vanes.alpha1 > np.radians(64.9)
    assert closed.any()
    assert np.all(vanes.reached[closed])
    assert np.all((vanes.pressure_rise > vanes.wanted)[closed])
    assert np.all(np.diff(vanes.alpha1) <= 1e-9)


def test_what_is_out_of_reach_is_said(typical, site):
    """Twice the pressure: no kind reaches it but speed, which is allowed 1.3 times the design's by the drive here."""
    duty = design_duty(typical, site, "pressure", typical.point["speed"])
    found = follow(
        typical.blower, site, duty.but(pressure_rise=1.4 * duty.pressure_rise), **options(typical, fastest=1e5)
    )
    assert {kind: bool(one.reached) for kind, one in found.items()} == {kind: kind == "speed" for kind in KINDS}
    assert found["speed"].pressure_rise == pytest.approx(1.4 * duty.pressure_rise, rel=1e-3)
    limited = follow(
        typical.blower,
        site,
        duty.but(pressure_rise=1.4 * duty.pressure_rise),
        **options(typical, fastest=typical.point["speed"]),
    )
    assert not limited["speed"].reached


def test_marks_of_stall_are_the_maps(typical, site, square):
    """Throttling along the design speed leaves the band where the map's line of that speed has its upper edge."""
    speed = typical.point["speed"]
    chart = performance_map(
        typical.blower, site, service="pressure", basis="static", speeds=speed * np.array([0.9, 1.0]), models=Models(), design_flow=1.0,
        design_speed=speed,
    )  # fmt: skip
    found = square["pressure"]["discharge throttle"]
    edge = chart.stall_band[1][1]
    # The slope is that over the next hundredth of the flow, so the peak may be off by that.
    np.testing.assert_array_equal(found.in_stall_band[found.flow < 0.98 * edge], True)
    np.testing.assert_array_equal(found.in_stall_band[(found.flow > 1.02 * edge) & (FLOWS < 1.05)], False)
    name = max(chart.stall, key=lambda criterion: np.nan_to_num(chart.stall[criterion][1]))
    down = turndown(found)
    assert down.ratio == pytest.approx(edge / 1.0, abs=0.01)
    assert down.limit == name


def test_choke_is_marked(typical, site):
    """On a plant that asks next to nothing, from 98 % of the choking flow: there the map ends its lines too."""
    duty = design_duty(typical, site, "pressure", typical.point["speed"])
    choke = float(typical.solve().choke_flow)
    part = np.array([0.9, 0.97, 0.985, 1.02]) * choke / duty.mass_flow
    asked = duty.but(mass_flow=duty.mass_flow * part, flow=duty.flow * part, pressure_rise=200.0)
    found = follow(typical.blower, site, asked, **options(typical))["discharge throttle"]
    assert found.choked.tolist() == [False, False, True, True]
    assert not found.reached[-1]


def test_turndown_ends_where_the_first_trouble_begins(square):
    """By the stall band, by pressure out of reach, or not at all; nan where the design point is in trouble itself."""
    found = square["pressure"]["discharge throttle"]
    clear = {name: 0 * margin + 1 for name, margin in found.stall_margins.items()}
    assert turndown(found.but(stall_margins=clear)) == (FLOWS[0], "")
    lost = found.but(stall_margins=clear, reached=FLOWS > 0.6)
    assert turndown(lost).ratio == pytest.approx(FLOWS[FLOWS > 0.6][0])
    assert turndown(lost).limit == "the pressure asked"
    stalled = {name: FLOWS - (0.5633 if name.startswith("incidence") else 0) for name in clear}
    assert turndown(found.but(stall_margins=stalled)).ratio == pytest.approx(0.5633, abs=1e-9)
    assert turndown(found.but(stall_margins=stalled)).limit == "incidence at the inducer tip"
    assert np.isnan(turndown(found.but(reached=FLOWS < 0.9)).ratio)


@pytest.mark.parametrize("service", SERVICES)
def test_the_energy_book_adds_up(typical, site, service):
    """Hours times power at the duty points as they are, which lie off the plant's curve; nan where one is out of reach."""
    duty = design_duty(typical, site, service, typical.point["speed"])
    part, share, hours = (
        np.array([1.0, 0.9, 0.8]),
        np.array([1.0, 0.85, 0.9]),
        3600 * np.array([2000.0, 3000.0, 1500.0]),
    )
    points = duty.but(
        flow=duty.flow * part, mass_flow=duty.mass_flow * part, pressure_rise=duty.pressure_rise * share, hours=hours
    )
    found = control(typical.blower, site, points, System(), design_index=0, **options(typical))
    alone = follow(typical.blower, site, points, **options(typical))
    for kind in KINDS:
        book = sum(hours[k] * alone[kind].shaft_power[k] for k in range(3))
        assert found.energy[kind] == pytest.approx(book, rel=1e-9)
        np.testing.assert_allclose(found.points[kind].wanted, points.pressure_rise, rtol=1e-12)
    assert found.energy["speed"] < found.energy["inlet throttle"] <= found.energy["discharge throttle"]

    one = found.points["speed"]
    assert np.isnan(yearly_energy(one.but(reached=np.array([True, False, True])), hours))
    assert yearly_energy(one.but(reached=np.array([True, False, True])), hours * [1, 0, 1]) == pytest.approx(
        (hours * one.shaft_power)[[0, 2]].sum()
    )


@pytest.mark.parametrize("service", SERVICES)
def test_numbers_in_numbers_out_and_all_at_once(typical, site, service):
    """One duty gives numbers; many at once are one by one; plants along one axis broadcast with flows along another."""
    duty = design_duty(typical, site, service, typical.point["speed"])
    parts = np.array([0.7, 0.9])
    many_at_once = follow(typical.blower, site, plant_duties(System(), duty, site, flows=parts), **options(typical))
    for k, part in enumerate(parts):
        alone = follow(typical.blower, site, plant_duties(System(), duty, site, flows=part), **options(typical))
        for kind, one in alone.items():
            assert np.ndim(one.shaft_power) == 0
            assert not isinstance(one.shaft_power, np.ndarray)
            assert isinstance(one.reached, np.bool_)
            for name in ("shaft_power", "speed", "alpha1", "pt0", "efficiency", "pressure_rise"):
                assert getattr(many_at_once[kind], name)[k] == pytest.approx(getattr(one, name), rel=1e-9), (kind, name)
    grid = plant_duties(System(fixed_share=np.array([[0.0], [0.5], [0.9]])), duty, site, flows=parts)
    found = follow(typical.blower, site, grid, **options(typical))
    assert all(one.shape == (3, 2) for one in found.values())
    np.testing.assert_allclose(found["speed"].shaft_power[0], many_at_once["speed"].shaft_power, rtol=1e-9)


def test_control_of_many_machines_is_finite(many):
    """Two hundred random machines followed to 60 % of their flow: no nan; not reached is only what does not solve there."""
    blower = many.blower[:200]
    mass_flow, speed = many.point["mass_flow"][:200], many.point["speed"][:200]
    air = many.point["gas"]
    plain = Site(pressure=101325.0, temperature=293.15, gas=air)
    flow = mass_flow * air.R * 293.15 / 101325.0
    made = operate(blower, plain, service="pressure", basis="static", flow=flow, speed=speed, models=Models())
    usable = made.stage.solved & (made.pressure_rise > 1000)
    blower, made = blower[usable], made[usable]
    duty = Duty(flow=made.flow, mass_flow=made.stage.mass_flow, pressure_rise=made.pressure_rise)
    asked = plant_duties(System(fixed_share=0.3), duty, plain, flows=0.6)
    found = follow(blower, plain, asked, **options(many, design_speed=speed[usable], fastest=1e5))
    assert usable.sum() > 150
    for kind, one in found.items():
        assert np.all(np.isfinite(one.shaft_power)), kind
    one = found["speed"]
    assert np.mean(one.reached) > 0.95
    plain_speed = operate(
        blower, plain, service="pressure", basis="static", flow=asked.flow, speed=speed[usable], models=Models()
    )
    np.testing.assert_array_equal(found["discharge throttle"].reached, plain_speed.stage.solved)
    np.testing.assert_allclose(one.pressure_rise[one.reached], one.wanted[one.reached], atol=1.5)


@pytest.mark.parametrize("service", SERVICES)
def test_senseless_duties_are_marked_not_raised(many, service):
    """From next to no flow to three times the machine's, and up to 60 kPa: what is reached is whole, the rest says so."""
    blower, speed = many.blower[:60], many.point["speed"][:60]
    air = many.point["gas"]
    plain = Site(pressure=101325.0, temperature=293.15, gas=air)
    part, rise = np.array([0.05, 0.4, 1.8, 3.0])[:, None], np.array([100.0, 5e3, 60e3])[:, None, None]
    mass_flow = many.point["mass_flow"][:60] * part
    duty = Duty(flow=mass_flow / 1.2, mass_flow=mass_flow + 0 * rise, pressure_rise=rise, service=service)
    for kind, one in follow(blower, plain, duty, **options(many, design_speed=speed, fastest=6000.0)).items():
        assert one.shape == (3, 4, 60)
        done = one.reached
        assert 0.1 < done.mean() < 0.9, kind
        assert np.all(one.shaft_power[done] > 0), kind
        asked = plain.pressure + (0 * one.wanted if service == "vacuum" else one.wanted)
        assert np.all((one.pt0 + one.pressure_rise)[done] > (asked * (1 - 1.1e-5))[done]), kind
    found = operate(
        blower, plain, service=service, basis="static", flow=mass_flow / 1.2, speed=speed, filter_loss=2e4 * part**2, models=Models()
    )  # fmt: skip
    assert not found.stage.solved[-1].any()


def curves(machine, site, **changes):
    """Curves at the machine's speed under the default conditions."""
    asked = dict(basis="static", flow=OFF_DESIGN, design_flow=1.0, speed=machine.point["speed"], models=Models())
    return site_curves(machine.blower, site, DAYS, **(asked | changes))


@pytest.fixture(scope="module")
def days(typical, site):
    """The machine on all sites in dry air."""
    return curves(typical, site)


@pytest.mark.parametrize("service", SERVICES)
def test_the_first_row_is_the_machine_as_it_is(typical, site, days, service):
    """What the map and the duty points are made by."""
    found, flow = days.services[service], OFF_DESIGN
    alone = operate(
        typical.blower, site, service=service, basis="static", flow=flow, speed=typical.point["speed"], models=Models()
    )
    np.testing.assert_allclose(found.pressure_rise[0], alone.pressure_rise, rtol=1e-9)
    np.testing.assert_allclose(found.stage.power[0], alone.stage.power, rtol=1e-9)
    assert days.names[0] == "as given"
    assert found.pressure_rise.shape == (len(days.names), 7)


def test_both_services_have_one_pressure_ratio(days):
    """At one volume flow: p5 over pt0 differs by the Reynolds number alone."""
    ratios = [days.services[s].stage.p5[0] / days.services[s].stage.pt0[0] - 1 for s in SERVICES]
    np.testing.assert_allclose(ratios[0], ratios[1], rtol=0.01)
    assert np.all(days.services["vacuum"].pressure_rise[0] < days.services["pressure"].pressure_rise[0])


def test_thin_air_lowers_pressure_power_and_mass_by_its_density(typical, site):
    """At low pressure and one speed, all go with the density: higher, hotter and colder; the rest is Reynolds number and Mach number."""
    found = curves(typical, site, speed=typical.point["speed"] / 4, flow=np.linspace(0.15, 0.3, 4), design_flow=0.25)
    density = found.sites.pressure / found.sites.temperature
    density = density / density[0]
    for service in SERVICES:
        one = found.services[service]
        for values in (one.pressure_rise, one.stage.power, one.stage.mass_flow):
            np.testing.assert_allclose((values / values[0])[:5], (density * np.ones(4))[:5], rtol=0.012)
    row = dict(zip(found.names, density[:, 0], strict=True))
    assert row["higher site"] == pytest.approx(0.8345, abs=0.001)  # ISO 2533 at 1500 m
    assert row["hot day"] == pytest.approx(293.15 / 313.15)
    assert row["standard day"] == pytest.approx(293.15 / 288.15, rel=1e-4)


def test_order_of_the_days(days):
    """A hot day and a higher site make less, a cold day makes more and takes more power, a blocked filter makes less of the same mass."""
    rows = {name: k for k, name in enumerate(days.names)}
    for service in SERVICES:
        rise, power = days.services[service].pressure_rise, days.services[service].stage.power
        for name in ("hot day", "higher site", "blocked filter"):
            assert np.all(rise[rows[name]] < rise[0]), (service, name)
        assert np.all(rise[rows["cold day"]] > rise[rows["standard day"]])
        assert np.all(power[rows["cold day"]] > power[rows["standard day"]])
        assert np.all(power[rows["hot day"]] < power[0])
    blown = days.services["pressure"]
    np.testing.assert_allclose(blown.stage.mass_flow[rows["blocked filter"]], blown.stage.mass_flow[0], rtol=1e-12)


@pytest.mark.parametrize("service", SERVICES)
def test_a_filter_is_a_square_law_before_the_machine(typical, site, days, service):
    """Its loss is 25 mbar at the design flow; the machine behind it is that of a thinner site at its own volume flow."""
    row, flow = days.names.index("blocked filter"), OFF_DESIGN
    found = days.services[service]
    pt0, lost = found.stage.pt0[row], 2500.0 * flow**2
    ahead = pt0 + lost
    own_flow = flow * ahead / pt0
    np.testing.assert_allclose(found.stage.flow[row], own_flow, rtol=1e-5)
    alone = operate(
        typical.blower, site.but(pressure=pt0), service="pressure", basis="static", flow=own_flow, speed=typical.point["speed"],
        models=Models(),
    )  # fmt: skip
    if service == "pressure":
        np.testing.assert_allclose(ahead, site.pressure, rtol=1e-12)
        np.testing.assert_allclose(found.pressure_rise[row], alone.pressure_rise - lost, atol=0.01)
    else:
        np.testing.assert_allclose(found.stage.p5[row], site.pressure, atol=1.0)
        np.testing.assert_allclose(alone.stage.p5, site.pressure, atol=1.0)
        dynamic = ahead - (site.pressure - found.pressure_rise[row])
        rho = ahead / (site.gas.R * site.temperature)
        np.testing.assert_allclose(dynamic, rho * (flow / typical.blower.A0) ** 2 / 2, rtol=0.01)


def test_moist_air_keeps_its_relative_humidity_and_other_gases_stay(site):
    """A hot day at 70 % holds more water, so its gas is lighter; nitrogen stays nitrogen; air too hot for 100 % keeps its moisture."""
    moist = site.but(gas=humid_air(p=site.pressure, T=site.temperature, relative_humidity=0.7), relative_humidity=0.7)
    names, sites, _ = conditions_of(moist, DAYS)
    by_name = dict(zip(names, sites.gas.R[:, 0], strict=True))
    assert by_name["as given"] == pytest.approx(moist.gas.R, rel=1e-12)
    hot = humid_air(p=site.pressure, T=site.temperature + 20, relative_humidity=0.7)
    assert by_name["hot day"] == pytest.approx(hot.R, rel=1e-12)
    assert by_name["hot day"] > by_name["as given"] > by_name["cold day"]

    nitrogen = site.but(gas=pure_gas(name="N2", p=site.pressure, T=site.temperature))
    assert conditions_of(nitrogen, DAYS)[1].gas is nitrogen.gas
    steamy = site.but(
        temperature=360.0, relative_humidity=1.0, gas=humid_air(p=site.pressure, T=360.0, relative_humidity=1.0)
    )
    assert conditions_of(steamy, DAYS)[1].gas is steamy.gas


def test_a_blocked_filter_goes_with_the_size_of_the_machine():
    """A fan of 800 Pa has no filter of 25 mbar; what a case says counts."""
    rise = np.array([800.0, 30e3])
    np.testing.assert_allclose(Conditions().for_duty(rise=rise).filter_loss, [120, 2500])
    assert Conditions().for_duty(rise=800.0).filter_loss == pytest.approx(120)
    assert Conditions(filter_loss=900.0).for_duty(rise=800.0).filter_loss == 900


def test_numbers_in_numbers_out(typical, site):
    """Behind a filter as without one; its loss is lost to the suction."""
    point = dict(service="vacuum", basis="static", flow=1.0, speed=typical.point["speed"], models=Models())
    free, behind = (operate(typical.blower, site, **point, filter_loss=loss) for loss in (0.0, 500.0))
    assert np.ndim(free.pressure_rise) == np.ndim(behind.pressure_rise) == 0
    assert 500 < free.pressure_rise - behind.pressure_rise < 650, "a thinner gas makes less besides"


CASE = """
service = "{service}"
[duty]
flow = "1 m3/s"
{word} = "20 kPa"
[site]
altitude = "0 m"
temperature = "20 degC"
gas = "N2"
"""


def read(more, service="pressure"):
    """A case with some more lines; the words of a complaint where it has one."""
    word = "suction" if service == "vacuum" else "pressure_rise"
    return case_from_text(CASE.format(service=service, word=word) + more, name="plant.toml")


def test_a_case_says_what_is_fixed_and_which_days():
    """As a pressure, as a share, or not at all; the tables are optional."""
    assert read("").system.fixed == 0
    assert {"system.fixed", "conditions.filter_loss"} <= set(read("").defaults)
    fixed = read('[system]\nfixed = "150 mbar"\n')
    assert fixed.system.fixed == pytest.approx(15e3)
    assert "system.fixed" not in fixed.defaults
    assert read('[system]\nfixed_share = "70 %"\n', "vacuum").system.fixed_share == pytest.approx(0.7)
    days = read('[conditions]\nhigher = "8000 ft"\nhotter = "15 K"\nfilter_loss = "10 inH2O"\n').conditions
    assert days.higher == pytest.approx(2438.4)
    assert days.hotter == 15
    assert days.colder == Conditions().colder
    assert days.filter_loss == pytest.approx(2490.9, rel=1e-4)


@pytest.mark.parametrize(
    ("more", "complaint"),
    [
        ('[system]\nfix = "15 kPa"\n', "plant.toml:11 system.fix = \"15 kPa\": unknown key; did you mean fixed?"),
        ('[system]\nfixed = "21 kPa"\n', "system.fixed = \"21 kPa\": must not exceed the pressure of the design point, 20 kPa"),
        ('[system]\nfixed = "-1 kPa"\n', "must lie between 0 Pa and 2 bar"),
        ('[system]\nfixed = "5 bar abs"\n', "give a pressure difference"),
        ('[system]\nfixed = "5 kPa"\nfixed_share = 0.2\n', "system.fixed_share = 0.2: stands beside fixed; keep one of the two"),
        ("[system]\nfixed_share = 1.2\n", "must lie between 0 and 1"),
        ("system = 3\n", "system = 3: must be a table: write [system] and its keys below"),
        ('[conditions]\nhotter = "36 degF"\n', "degF is a unit of temperature; a temperature difference in K, degR is asked"),
        ('[conditions]\nhotter = "90 K"\n', "must lie between 0 K and 60 K"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_plant_is_one_clear_line(more, complaint):
    """Where, what was got, what is allowed."""
    lines = read_error(more)
    assert len(lines) == 1
    assert complaint in lines[0]


def read_error(more):
    """The lines of a complaint."""
    text = CASE.format(service="pressure", word="pressure_rise")
    with pytest.raises(CaseError) as found:
        case_from_text(more + text if more.startswith("system") else text + more, name="plant.toml")
    return str(found.value).splitlines()
