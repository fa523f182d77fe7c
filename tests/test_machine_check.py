"""The check of wheel, shaft and bearings of whole designs: what it says, what it refuses, where it stands on the page."""

import dataclasses
import json
from itertools import pairwise

import numpy as np
import pytest
from conftest import BENCH, WHEEL

from aerodesign.aero.design import Design
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.core.errors import CaseError, RejectedMachine
from aerodesign.core.limit import Limit
from aerodesign.form.rotor import RotorForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.blade_area import projected_area
from aerodesign.geometry.body import body, body_volume
from aerodesign.geometry.disc_profile import _revolved, _sections, wheel_body
from aerodesign.geometry.shaft import shaft_outline
from aerodesign.machine.blade_stress import exit_bending, mean_gas_load, root_pull
from aerodesign.machine.growth import blade_stretch, thermal_growth
from aerodesign.machine.materials import MATERIALS
from aerodesign.report import page
from aerodesign.report.deliver import checked
from aerodesign.report.design_json import design_record
from aerodesign.report.display import Units
from aerodesign.report.machine_chapter import machine_chapter, machine_lines
from aerodesign.whole import MachineCheck, machine_check
from aerodesign.whole.shaft_layout import shaft_pieces
from aerodesign.whole.shaft_limits import SERVICING
from aerodesign.whole.shaft_proposal import HOPELESS, WORTH, shortfall


@pytest.fixture(scope="module")
def bench() -> Design:
    return design_case(case_from_text(BENCH))


@pytest.fixture(scope="module")
def plain(bench) -> MachineCheck:
    return machine_check(bench)


def with_rotor(design: Design, **choices) -> Design:
    return dataclasses.replace(design, form=design.form.but(rotor=RotorForm(**choices)))


def with_drive(design: Design, kind: str) -> Design:
    return dataclasses.replace(design, drive=design.drive.but(kind=kind))


def limit(check: MachineCheck, words: str) -> Limit:
    found = [one for group in check.limits.values() for one in group if words in one.name]
    assert len(found) == 1, (words, [one.name for one in found])
    return found[0]


# The wheel as numbers


def test_the_wheel_weighs_what_its_volume_says():
    blading = Blading(WHEEL)
    parts = body(WHEEL, blading.meridional, lead=0.05)
    found = wheel_body(WHEEL, blading, parts)
    blades = 0.0
    for start, count in ((0.0, WHEEL.blades), (WHEEL.splitter_start, WHEEL.splitters)):
        for low, high in pairwise(np.linspace(0, 1, 21)):
            line = blading.span((low + high) / 2)
            across = blading.meridional.contour(high).at(line.t) - blading.meridional.contour(low).at(line.t)
            along = line.contour.tangent(line.t)
            normal = np.abs(along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
            thickness = line.splitter_half_thickness if start else line.half_thickness
            turn = np.gradient(line.theta, line.m) * line.r
            blades += count * np.trapezoid(2 * thickness * normal * np.sqrt(1 + turn**2), line.m)
    assert found.mass == pytest.approx(body_volume(parts) + blades, rel=2e-3)
    assert parts.start < 0
    assert found.front < found.centre < found.back
    assert found.of(2810.0).mass == pytest.approx(2810 * found.mass)
    assert found.of(2810.0).hung.sum() == pytest.approx(2810 * found.hung.sum())


def test_a_turned_ring_has_the_moments_of_textbooks():
    inner, outer, low, high = 0.02, 0.1, 0.03, 0.08
    ring = np.array([[low, inner], [high, inner], [high, outer], [low, outer]])
    for outline in (ring, ring[::-1]):
        whole, first, second, polar = _revolved(*_sections(outline))
        length, volume = high - low, np.pi * (outer**2 - inner**2) * (high - low)
        assert whole == pytest.approx(volume, rel=1e-4)
        assert first / whole == pytest.approx((low + high) / 2)
        assert second / whole - (first / whole) ** 2 == pytest.approx(length**2 / 12)
        assert polar == pytest.approx(volume * (outer**2 + inner**2) / 2, rel=1e-4)


# Blades and growth in closed form


def test_pull_at_the_root_is_the_quadrature():
    r = np.linspace(0.03, 0.08, 20001)
    thickness = np.interp(r, [0.03, 0.08], [0.003, 0.0015])
    numeric = 2810 * 1500**2 * np.trapezoid(thickness * r, r) / 0.003
    found = root_pull(r_root=0.03, r_tip=0.08, thickness_root=0.003, thickness_tip=0.0015, speed=1500.0, density=2810.0)
    assert found == pytest.approx(numeric, rel=1e-7)


def test_bending_at_the_root_is_the_quadrature():
    y = np.linspace(0, 0.02, 20001)
    thickness = np.interp(y, [0, 0.02], [0.003, 0.0015])
    load = 2810 * 1500**2 * 0.15 * np.sin(0.7) * thickness + 4000.0
    numeric = 6 * np.trapezoid(load * y, y) / 0.003**2
    known = dict(
        r=0.15,
        width=0.02,
        lean=0.7,
        thickness_root=0.003,
        thickness_tip=0.0015,
        speed=1500.0,
        density=2810.0,
        gas_load=4000.0,
    )
    assert exit_bending(**known) == pytest.approx(numeric, rel=1e-7)
    assert exit_bending(**known | dict(lean=-0.7)) == pytest.approx(numeric, rel=1e-7)
    assert exit_bending(**known, held=1.0) == pytest.approx(numeric / 6)


def test_the_gas_load_makes_the_torque():
    load = mean_gas_load(power=20e3, speed=1500.0, area=15 * 0.09 * 0.03, radius=0.085)
    assert load * 15 * 0.09 * 0.03 * 0.085 * 1500 == pytest.approx(20e3)


@pytest.mark.parametrize("splitters", [0, 8])
def test_the_projected_area_is_that_of_the_meridional_outline(splitters):
    """Green's theorem round the blade's outline in (z, r): the area and its moment, in another way than strip by strip."""
    wheel = WHEEL.but(splitters=splitters)
    blading = Blading(wheel)
    area = moment = 0.0
    for start, count in ((0.0, wheel.blades), (wheel.splitter_start, splitters)):
        x = np.linspace(start, 1, 2001)
        hub, tip = blading.span(0.0).at(x), blading.span(1.0).at(x)
        edges = [
            [(blading.span(s).at(end).z, blading.span(s).at(end).r) for s in np.linspace(0, 1, 21)]
            for end in (1.0, start)
        ]
        z = np.concatenate([hub.z, [z for z, _ in edges[0]], tip.z[::-1], [z for z, _ in edges[1][::-1]]])
        r = np.concatenate([hub.r, [r for _, r in edges[0]], tip.r[::-1], [r for _, r in edges[1][::-1]]])
        dz, mean, square = (
            np.diff(z, append=z[0]),
            (r + np.roll(r, -1)) / 2,
            (r**2 + r * np.roll(r, -1) + np.roll(r, -1) ** 2) / 6,
        )
        area += count * abs(np.sum(mean * dz))
        moment += count * abs(np.sum(square * dz))
    found, radius = projected_area(blading)
    assert found == pytest.approx(area, rel=5e-3)
    assert found * radius == pytest.approx(moment, rel=5e-3)


def test_stretch_of_a_blade_is_the_quadrature():
    r = np.linspace(0.03, 0.08, 20001)
    stress = 2810 * 1500**2 * (0.08**2 - r**2) / 2
    found = blade_stretch(r_root=0.03, r_tip=0.08, speed=1500.0, density=2810.0, modulus=71e9)
    assert found == pytest.approx(np.trapezoid(stress, r) / 71e9, rel=1e-7)
    assert thermal_growth(length=0.1, expansion=23e-6, rise=100.0) == pytest.approx(0.23e-3)


def test_strength_falls_with_temperature_and_is_unknown_beyond_the_table():
    for material in MATERIALS.values():
        T = np.linspace(200, material.heats[-1], 50)
        assert np.all(np.diff(material.yield_strength(T)) <= 0), material.name
        assert np.all(material.yield_strength(T) <= material.ultimate_strength(T))
        assert np.isnan(material.yield_strength(material.heats[-1] + 1))
        assert material.heats[-1] >= material.temperature
    assert MATERIALS["aluminium 7075-T6"].yield_strength(373.15) == pytest.approx(448e6)


def test_the_rule_of_thumb_of_tip_speeds_stays_below_a_solid_discs_yield():
    # The uniform solid disc, (3 + nu)/8 rho u2^2 at its centre, is a kind wheel: no rule of thumb should allow more than it bears.
    for material in MATERIALS.values():
        centre = (3 + material.poisson) / 8 * material.density * material.tip_speed**2
        assert centre < material.yield_strength(material.temperature), material.name


# A whole design


def test_every_check_has_a_source_and_an_advice(plain):
    every = [one for group in plain.limits.values() for one in group]
    assert len(every) >= 20
    for one in every:
        assert one.source is not None
        if np.isfinite(one.low) or np.isfinite(one.high):
            assert one.advice, one.name
            assert (one.margin >= 0) == bool(one.passed), one.name
    assert list(plain.limits) == ["Disc and blades", "Shaft", "Bearings and grease", "Balance, vibration, thrust"]


def test_loads_and_lives_hang_together(plain):
    shaft = plain.shaft
    assert shaft.axial[0] - shaft.axial[1] == pytest.approx(np.abs(shaft.thrust.total))
    carried = shaft.radial.sum(axis=0)
    assert np.all(carried >= shaft.parts.total_mass * 9.80665 * (1 - 1e-9))  # each load counted to the bad side
    assert np.all(shaft.life <= shaft.basic)
    assert shaft.life == pytest.approx(shaft.basic * shaft.film)
    assert shaft.unbalance == pytest.approx(2.5e-3 * shaft.parts.total_mass / plain.fastest)
    assert plain.body.mass < shaft.parts.total_mass


def test_an_overspeed_test_asks_the_square_of_itself_but_for_the_heat(bench, plain):
    faster = machine_check(with_rotor(bench, overspeed=1.3))
    assert faster.wheel.highest / plain.wheel.highest == pytest.approx((1.3 / 1.15) ** 2, rel=0.1)
    assert faster.wheel.burst == plain.wheel.burst


def test_softer_supports_lower_the_critical_speed(bench, plain):
    named = plain.shaft.bearing.name
    stiff, soft = (machine_check(with_rotor(bench, bearing=named, support_stiffness=k)) for k in (1e9, 2e7))
    assert soft.shaft.critical[0] < plain.shaft.critical[0] < stiff.shaft.critical[0]


def test_a_longer_overhang_lowers_the_critical_speed_and_loads_the_front(bench, plain):
    long = machine_check(with_rotor(bench, bearing=plain.shaft.bearing.name, overhang=0.15))
    assert long.shaft.critical[0] < plain.shaft.critical[0]
    assert np.all(long.shaft.radial[0] > plain.shaft.radial[0])


def test_the_proposed_bearing_misses_least_of_what_is_asked(bench, plain):
    """Of all that keeps away from critical speeds; what misses as little is neither plainer nor smaller."""
    best, others = plain.tried[0], plain.tried[1:]
    assert best.check is plain.shaft
    assert limit(plain, "relubrication interval").weight == SERVICING < limit(plain, "rating life, front").weight == 1
    assert best.check.bearing.bore >= float(bench.blower.impeller.bore)
    assert best.check.separation >= 0.2
    away = [one for one in others if one.check.separation >= 0.2]
    assert len(away) > 5
    assert all(best.shortfall < one.shortfall + WORTH for one in away)
    alike = [one for one in away if round(one.shortfall / WORTH) == round(best.shortfall / WORTH)]
    same = [one for one in alike if (one.form.balls, one.form.grease) == (best.form.balls, best.form.grease)]
    assert all(one.check.bearing.outside >= best.check.bearing.outside for one in same)


def test_what_is_missed_adds_up_and_grease_counts_half():
    half, double = Limit("life", 1.0, low=2.0), Limit("speed factor", 6.0, high=3.0)
    warm = Limit("temperature", 380.0, high=350.0, quantity="temperature")
    assert shortfall([half]) == pytest.approx(np.log(2))
    assert shortfall([half, double, Limit("kept", 1.0, high=2.0)]) == pytest.approx(2 * np.log(2))
    assert shortfall([warm]) == pytest.approx(2 * np.log(2))
    assert shortfall([Limit("interval", 1.0, low=4.0, weight=SERVICING)]) == pytest.approx(np.log(2))
    assert shortfall([Limit("life", 0.0, low=2.0)]) == pytest.approx(np.log(HOPELESS))


def test_springs_give_angular_contact_bearings_their_least_load(bench):
    """ISO 281: with little radial load P is 0.35 Fr + 0.57 Fa for 40 deg, of which 0.01 C is asked (a catalogue's rule, from memory)."""
    check = machine_check(with_rotor(bench, series="72B"))
    assert all(limit(check, f"least load over C, {which}").passed for which in ("front", "rear"))
    dynamic = check.shaft.bearing.dynamic
    assert check.shaft.preload == pytest.approx(max(0.01 * dynamic / 0.57, 6e3 * check.shaft.bearing.bore))
    loose = machine_check(with_rotor(bench, series="72B", bearing=check.shaft.bearing.name, preload=20.0))
    assert loose.shaft.preload == 20.0
    assert not limit(loose, "least load over C, rear").passed


def test_balls_grease_rule_and_series_are_taken(bench, plain):
    other = machine_check(
        with_rotor(
            bench,
            balls="hybrid",
            grease_rule="halving per 15 K",
            series="72B",
            grease="high speed, ester oil",
            balance_grade="G1",
        )
    )
    assert other.shaft.bearing.name.endswith("B")
    assert limit(other, "speed factor").high > limit(plain, "speed factor").high
    assert limit(other, "relubrication").name.endswith("halving per 15 K")
    assert limit(other, "relubrication").value == pytest.approx(other.shaft.grease.halving_per_15_K.min())
    assert limit(plain, "relubrication").value == pytest.approx(plain.shaft.grease.halving_per_15_degF.min())
    assert other.shaft.eccentricity == pytest.approx(plain.shaft.eccentricity / 2.5)


def belted(rotor: str = "") -> Design:
    """The bench with a belt from the case file on, so that its drive is worked out too."""
    text = BENCH.replace("[choices]", '[drive]\nkind = "belt"\n[choices]')
    return design_case(case_from_text(text + rotor))


def test_drive_and_rotor_know_one_belt():
    free, given = belted(), belted('[rotor]\nbelt_pull = "800 N"\n')
    for design in (free, given):
        belt, check = design.running.drive_line.belt, machine_check(design)
        assert check.shaft.belt_pull == belt.pull > 0
        named = check.shaft.bearing.name
        loose = machine_check(dataclasses.replace(
            with_rotor(design, bearing=named, balls=check.form.balls, grease=check.form.grease, belt_pull=0.0), running=bench_running(design, 0.0)
        ))  # fmt: skip
        assert np.all(check.shaft.radial[1] - loose.shaft.radial[1] > belt.pull)
    assert given.running.drive_line.belt.pull == 800.0


def bench_running(design: Design, pull: float):
    """The drive of a design with another pull of its belt."""
    line = design.running.drive_line
    return dataclasses.replace(design.running, drive_line=dataclasses.replace(line, belt=line.belt.but(pull=pull)))


def test_no_belt_no_pull(bench):
    assert machine_check(bench).shaft.belt_pull == 0
    assert machine_check(with_rotor(bench, belt_pull=500.0)).shaft.belt_pull == 500.0


def test_back_vanes_ease_the_thrust(bench):
    plain, vaned = (
        dataclasses.replace(bench, form=bench.form.but(wheel=bench.form.wheel.but(back="flat", back_vanes=n)))
        for n in (0, 8)
    )
    assert np.all(machine_check(vaned).shaft.thrust.total < machine_check(plain).shaft.thrust.total)


def test_the_shaft_of_the_assembly_is_the_rotors(bench, plain):
    parts, wheel = plain.shaft.parts, plain.body
    ahead, behind = shaft_pieces(parts, wheel)
    assert ahead == ()
    assert sum(length for _, length in behind) == pytest.approx(
        parts.length.sum() - (wheel.back - wheel.centre), rel=1e-9
    )
    assert max(d for d, _ in behind) == pytest.approx(1.2 * plain.shaft.bearing.bore)
    outline = shaft_outline(
        bore=float(bench.blower.impeller.bore), r1h=0.02, front=wheel.front, back=wheel.back, behind=behind
    )
    assert outline[-1, 0] == pytest.approx(wheel.back + sum(length for _, length in behind))
    assert 2 * outline[:, 1].max() == pytest.approx(1.2 * plain.shaft.bearing.bore)
    both = machine_check(with_rotor(bench, layout="between bearings"))
    ahead, behind = shaft_pieces(both.shaft.parts, both.body)
    assert ahead
    assert sum(length for _, length in (*ahead, *behind)) == pytest.approx(
        both.shaft.parts.length.sum() - (both.body.back - both.body.front), rel=1e-9
    )


@pytest.mark.parametrize("kind", ["direct", "belt", "gear", "inverter"])
@pytest.mark.parametrize("layout", ["overhung", "between bearings"])
def test_every_layout_and_drive_gets_its_chapter(bench, kind, layout):
    check = machine_check(with_rotor(with_drive(bench, kind), layout=layout))
    assert np.isfinite(check.shaft.critical[0])
    assert check.shaft.parts.z[check.shaft.parts.rear] > check.shaft.parts.z[check.shaft.parts.front]
    assert np.all(np.isfinite(check.shaft.life))
    text = "\n".join(machine_chapter(check, Units()).lines)
    assert check.shaft.bearing.name in text


def test_balance_holes_ease_the_thrust(bench, plain):
    flat = bench.form.wheel.but(back="flat", balance_holes=True)
    eased = machine_check(dataclasses.replace(bench, form=bench.form.but(wheel=flat)))
    assert np.all(eased.shaft.thrust.total < plain.shaft.thrust.total)
    sealed = machine_check(dataclasses.replace(bench, form=bench.form.but(wheel=flat.but(back_labyrinth=0.8))))
    assert np.all(sealed.shaft.thrust.total < eased.shaft.thrust.total)


def test_a_covered_wheel_has_its_cover_looked_at():
    case = case_from_text(BENCH + "covered = true\n")
    check = machine_check(design_case(case))
    assert limit(check, "cover alone").value > 0
    assert limit(check, "clearance left").name.endswith("eye seal")


def test_a_wheel_too_weak_is_a_grave_flag_and_the_page_says_no(bench, monkeypatch):
    sound = MATERIALS["aluminium 7075-T6"]
    weak = dataclasses.replace(
        sound, yields=tuple(0.02 * y for y in sound.yields), ultimates=tuple(0.02 * u for u in sound.ultimates)
    )
    monkeypatch.setitem(MATERIALS, sound.name, weak)
    check = machine_check(bench)
    assert not limit(check, "highest stress").passed
    assert not limit(check, "burst speed").passed
    grave = [flag for flag in check.flags if flag.grave and flag.raised]
    assert grave
    failed = dataclasses.replace(bench, flags=[*bench.flags, *check.flags])
    assert not failed.meets_duty
    text = page.page_text(design=failed, title="weak", drawings={}, machine=check)
    assert "LIMIT passed over: highest stress of the disc" in text


# What cannot be


@pytest.mark.parametrize(
    ("choices", "words"),
    [
        (dict(bearing="6202"), "rotor.bearing = 6202: its bore of 15 mm is smaller than its shaft"),
        (
            dict(bearing="6204", shaft_diameter=0.025),
            "rotor.bearing = 6204: has a bore of 20 mm, smaller than the shaft_diameter of 25 mm",
        ),
        (dict(shaft_diameter=0.006), "rotor.shaft_diameter = 6 mm: is smaller than the wheel's bore"),
        (dict(shaft_diameter=0.2), "rotor.series = any: no bearing here takes a shaft of 200 mm"),
        (dict(shaft_diameter=0.2, series="62"), "rotor.series = 62: no bearing here takes a shaft of 200 mm"),
        (dict(layout="between bearings", span=0.03), "rotor.span = 30 mm: leaves no room for the wheel"),
    ],
)
def test_what_cannot_be_is_one_clear_line(bench, choices, words):
    with pytest.raises(RejectedMachine) as refused:
        machine_check(with_rotor(bench, **choices))
    assert str(refused.value).startswith(words)
    assert "\n" not in str(refused.value)
    found, missing = checked(with_rotor(bench, **choices))
    assert found is None
    assert words in missing[0]


def test_a_table_of_the_case_file(bench):
    case = case_from_text(
        BENCH
        + '[rotor]\nbearing = "6306"\noverhang = "60 mm"\nbearing_life = "20000 h"\nsupport_stiffness = "150 N/um"\n'
    )
    assert case.form.rotor.bearing == "6306"
    assert case.form.rotor.bearing_life == pytest.approx(20000 * 3600)
    assert case.form.rotor.support_stiffness == pytest.approx(1.5e8)
    assert "rotor.bearing" not in case.defaults
    assert "rotor.span" in case.defaults
    with pytest.raises(CaseError, match=r"bearing.*has a bore of 20 mm, smaller than the shaft_diameter of 25 mm"):
        case_from_text(BENCH + '[rotor]\nbearing = "6204"\nshaft_diameter = "25 mm"\n')
    with pytest.raises(CaseError, match="6306"):
        case_from_text(BENCH + '[rotor]\nbearing = "6306x"\n')


# Where it stands


def test_the_chapter_shows_every_limit_with_its_source(bench, plain):
    text = page.page_text(design=bench, title="bench", machine=plain)
    for group in plain.limits.values():
        for one in group:
            assert one.name.replace('"', "&#34;") in text
    for name in ("machine", "figure-disc", "figure-campbell"):
        assert f'id="{name}"' in text
    for words in (
        "halving per 15 K",
        "halving per 15 °F",
        "from memory",
        "Nobody stands in the plane of a wheel on test",
        plain.shaft.bearing.name,
    ):
        assert words in text, words
    assert 'id="machine"' not in page.page_text(design=bench, title="bench", drawings={})


def test_units_of_the_chapter(plain):
    us = "\n".join(machine_chapter(plain, Units("us")).lines)
    assert " lb" in us
    assert " °F" in us
    rows = [row for table in machine_chapter(plain, Units("us")).tables for row in table.rows]
    assert any("ksi" in cell for row in rows for cell in row)


def test_the_record_is_plain_and_whole(bench, plain):
    record = design_record(bench, title="bench", stamp="", machine=plain)
    again = json.loads(json.dumps(record, allow_nan=False))["machine"]
    assert len(again["limits"]) == sum(map(len, plain.limits.values()))
    assert again["rotor"]["critical_speeds"][0] == pytest.approx(plain.shaft.critical[0])
    assert "machine" not in design_record(bench, title="bench", stamp="")


def test_the_terminal_says_it_in_two_lines(plain):
    lines = machine_lines(plain)
    assert len(lines) == 2
    assert plain.shaft.bearing.name in lines[1]
