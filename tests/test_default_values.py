"""What the page says of choices left at their defaults: every key of the case file, with what then holds."""

from pathlib import Path

import numpy as np
import pytest
from conftest import BENCH

from aerodesign.case import Case, case_from_text, read_case
from aerodesign.case.parts import OPTIONS
from aerodesign.core.bounds import Several, mark_of
from aerodesign.core.fields import fields_of
from aerodesign.report.default_values import NONE, OPEN, default_rows, default_text
from aerodesign.report.display import Units


@pytest.fixture(scope="module")
def case() -> Case:
    return case_from_text(BENCH)


def test_every_default_has_a_text(case):
    rows = default_rows(case, Units())
    assert [key for key, _ in rows] == list(case.defaults)
    assert all(text for _, text in rows)
    assert len(rows) > 140


@pytest.mark.parametrize(
    ("key", "si", "us"),
    [
        ("site.gas", '"air"', '"air"'),
        ("drive.kind", '"inverter"', '"inverter"'),
        ("choices.speed", OPEN, OPEN),
        ("choices.backsweep", "40°", "40°"),
        ("choices.covered", "false", "false"),
        ("choices.volute_section", '"circle"', '"circle"'),
        ("conditions.hotter", "20 K", "36 °R"),
        ("blade.surface", '"free"', '"free"'),
        ("blade.hub_angles", NONE, NONE),
        ("limits.diameter", NONE, NONE),
        ("wheel.rim", OPEN, OPEN),
        ("conditions.higher", "1500 m", "4921.3 ft"),
        ("money.hours", "8000 h", "8000 h"),
        ("shop.table_radius", "300 mm", "11.811 in"),
        ("noise.silencer", "0 dB", "0 dB"),
    ],
)
def test_what_holds_is_said_in_the_page_s_units(case, key, si, us):
    assert default_text(case, key, Units()) == si
    assert default_text(case, key, Units(system="us")) == us


def test_what_is_written_back_into_the_file_means_the_same(case):
    """Every printed default in SI that is a number, put into the case in its own words, gives the same record."""
    for key, text in default_rows(case, Units()):
        table, _, name = key.partition(".")
        field = fields_of(OPTIONS[table]).get(name) if table in OPTIONS else None
        if field is None or field.quantity is None or text in (OPEN, NONE) or mark_of(field.hint, Several):
            continue
        kind = field.quantity.name
        word = text.replace("°", " deg").replace("³", "3").replace("µ", "u") if kind not in ("ratio", "count") else text
        quoted = word if kind in ("ratio", "count") else f'"{word}"'
        head = f"[{table}]\n"
        said = (
            BENCH.replace(head, f"{head}{name} = {quoted}\n") if head in BENCH else f"{BENCH}{head}{name} = {quoted}\n"
        )
        again = case_from_text(said)
        holder = (again, case) if hasattr(case, table) else (again.form, case.form)
        mine, theirs = (getattr(getattr(one, table), name) for one in holder)
        np.testing.assert_allclose(mine, theirs, rtol=1e-4, err_msg=key)


def test_hours_that_nobody_gave_are_those_of_the_money(case):
    assert default_text(case, "duty.hours", Units()).startswith("none: money.hours")


def test_a_rated_machine_has_no_choices_of_sizing():
    rated = read_case(Path(__file__).parent.parent / "cases" / "measured-kit-fan.toml")
    keys = [key for key, _ in default_rows(rated, Units(), rated=True)]
    assert not {"choices.covered", "choices.backsweep", "choices.hub_ratio"} & set(keys)
    assert {"choices.mechanical_efficiency", "wheel.nose"} <= set(keys)
