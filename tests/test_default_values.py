"""What the page says of choices left at their defaults: every key of the case file, with what then holds."""

from dataclasses import replace

import numpy as np
import pytest
from conftest import BENCH

from aerodesign.case import Case, case_from_text
from aerodesign.case.parts import OPTIONS
from aerodesign.core.bounds import Several, mark_of
from aerodesign.core.fields import fields_of
from aerodesign.report.default_values import OPEN, default_rows, default_text
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
        ("conditions.hotter", "20 K", "20 K"),
        ("blade.surface", '"free"', '"free"'),
        ("blade.hub_angles", OPEN, OPEN),
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
        if field is None or field.quantity is None or text == OPEN or mark_of(field.hint, Several):
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


def test_a_design_point_among_several_gives_its_own(case):
    assert case.duty is not None
    other = replace(case, duty=case.duty[np.array([0, 0])])
    assert default_text(other, "duty.hours", Units()) == default_text(case, "duty.hours", Units())
