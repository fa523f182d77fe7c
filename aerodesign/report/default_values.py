"""The choices that a case leaves at their defaults, with what then holds."""

from typing import Any

import numpy as np

from aerodesign.case import Case
from aerodesign.case.idle import SIZES_ONLY
from aerodesign.core.fields import fields_of
from aerodesign.core.record import Record
from aerodesign.core.units import UNITS
from aerodesign.report.display import Units

OPEN = "open"
"""For a number that the search or a proposal finds."""

LONG = 10.0
"""Longer than this (m) is no part of a machine, and told in metres or feet."""


NONE = "none"
"""For what is asked or there only where the case says so."""

ASKING_NOTHING = {"limits", "fit", "money", "blade.thickness_along", "wheel.back_labyrinth", "wheel.keyway_length"}
"""Tables and keys of which an open one is :data:`NONE`."""


def default_rows(case: Case, units: Units, *, rated: bool = False) -> list[tuple[str, str]]:
    """Key and value of every choice that the case leaves at its default, in the order of the file's tables.

    Of a ``rated`` machine without those that only size one.
    """
    sizing = {f"choices.{key}" for key in SIZES_ONLY} if rated else set()
    return [(key, default_text(case, key, units)) for key in case.defaults if key not in sizing]


def default_text(case: Case, key: str, units: Units) -> str:
    """What holds for one key of a case, ``"table.name"``: a number with its unit, a word in quotes, true or false, :data:`OPEN` or :data:`NONE`."""
    if key == "service":
        return f'"{case.service}"'
    if key == "site.gas":
        return '"air"'
    if key == "duty.hours":
        return "none: money.hours counts, at the design point"
    table, name = key.split(".")
    record = _table(case, table)
    kind_of_record: type = type(record)
    value, field = getattr(record, name), fields_of(kind_of_record)[name]
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, Record):
        return f'"{type(value).__name__.lower()}"'
    kind = field.quantity.name if field.quantity else "ratio"
    numbers = value if isinstance(value, tuple) else np.ravel(value)
    if not len(numbers) or (np.isnan(numbers).all() and {table, key} & ASKING_NOTHING):
        return NONE
    texts = [_number(one, kind, units) for one in numbers]
    return texts[0] if len(set(texts)) == 1 else ", ".join(texts)


def _table(case: Case, table: str) -> Any:
    if table == "duty":
        return case.design_duty
    return getattr(case, table) if hasattr(case, table) else getattr(case.form, table)


def _number(value: Any, kind: str, units: Units) -> str:
    if isinstance(value, (bool, np.bool_)):
        return "true" if value else "false"
    if np.isnan(value):
        return OPEN
    if np.isinf(value):
        return NONE
    if kind == "length" and value > LONG:
        unit = "ft" if units.system == "us" else "m"
        return f"{UNITS[unit].from_si(value):.5g} {unit}"
    label = units.label(kind)
    return f"{units.value(value, kind):.5g}{'' if label == '°' else ' '}{label}".rstrip()
