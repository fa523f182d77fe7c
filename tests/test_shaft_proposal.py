"""The bearings, balls and grease that are proposed where the case leaves them open."""

import dataclasses
from itertools import pairwise, product

import numpy as np
import pytest
from conftest import BENCH

from aerodesign.aero.design import Design
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.core.limit import Limit
from aerodesign.form.rotor import ANY, RotorForm
from aerodesign.geometry.blade import Blading
from aerodesign.machine.bearing_table import SERIES
from aerodesign.machine.bearings import SPEED_FACTORS
from aerodesign.machine.grease import GREASES
from aerodesign.report.display import Units
from aerodesign.report.machine_chapter import machine_chapter
from aerodesign.whole import MachineCheck, machine_check
from aerodesign.whole.shaft_layout import SIZES
from aerodesign.whole.shaft_limits import SEPARATION
from aerodesign.whole.shaft_proposal import HOPELESS, WORTH, shortfall


@pytest.fixture(scope="module")
def bench() -> Design:
    return design_case(case_from_text(BENCH))


@pytest.fixture(scope="module")
def open_choice(bench) -> MachineCheck:
    return machine_check(bench)


def checked(design: Design, form: RotorForm) -> MachineCheck:
    return machine_check(dataclasses.replace(design, form=design.form.but(rotor=form)), Blading(design.blower.impeller))


def test_a_shortfall_is_the_logarithm_of_the_factor_missed_and_ln_2_for_15_k():
    missed = [
        Limit("life", 100.0, low=100.0 * np.e),
        Limit("speed factor", 2.0, high=1.0),
        Limit("temperature", 400.0, high=385.0, quantity="temperature"),
    ]
    kept = Limit("kept", 5.0, low=1.0, high=10.0)
    assert shortfall([*missed, kept]) == pytest.approx(1 + 2 * np.log(2))
    assert shortfall([Limit("nothing left", 0.0, low=1.0)]) == pytest.approx(np.log(HOPELESS))


def test_the_proposal_is_the_first_of_what_was_tried_and_stands_alone_when_named(bench, open_choice):
    best = open_choice.tried[0]
    assert open_choice.form == best.form
    assert open_choice.shaft is best.check
    assert ANY not in (best.form.bearing, best.form.series, best.form.balls, best.form.grease)
    named = checked(bench, best.form)
    assert len(named.tried) == 1
    assert named.shaft.life == pytest.approx(best.check.life)
    assert named.shaft.critical == pytest.approx(best.check.critical)


def test_what_runs_near_a_critical_speed_comes_last_and_then_who_misses_more(open_choice):
    near = [bool(tried.check.separation < SEPARATION) for tried in open_choice.tried]
    assert near == sorted(near)
    missing = [tried.shortfall for tried, close in zip(open_choice.tried, near, strict=True) if not close]
    assert all(b >= a - WORTH for a, b in pairwise(missing))


def test_nothing_that_could_be_named_misses_less(bench, open_choice):
    """The shortlist against the whole list: every bearing with every kind of balls and grease."""
    sizes = [bearing.name for rows in SERIES.values() for bearing in rows]
    shaft = open_choice.shaft
    candidates = {tried.check.bearing.name for tried in open_choice.tried}
    assert len(candidates) == SIZES * len(SERIES)
    assert candidates <= set(sizes)
    best = min(
        found.tried[0].shortfall
        for name, balls, grease in product(sorted(candidates), SPEED_FACTORS, GREASES)
        if (found := checked(bench, RotorForm(bearing=name, balls=balls, grease=grease))).shaft.separation >= SEPARATION
    )
    assert shaft.separation >= SEPARATION
    assert open_choice.tried[0].shortfall <= best + WORTH


def test_what_is_named_is_kept(bench):
    steel = checked(bench, RotorForm(series="62", balls="steel"))
    assert {tried.check.bearing.series for tried in steel.tried} == {"62"}
    assert {tried.form.balls for tried in steel.tried} == {"steel"}
    assert {tried.form.grease for tried in steel.tried} == set(GREASES)


def test_the_page_shows_the_best_of_what_was_tried(open_choice):
    chapter = machine_chapter(open_choice, Units("si"))
    table = next(table for table in chapter.tables if table.heads[0] == "bearings tried")
    assert table.rows[0][0] == f"{open_choice.shaft.bearing.name}, {open_choice.form.balls}"
    assert any(f"{len(open_choice.tried)} choices of bearings" in line for line in chapter.lines)
