"""The choices that a case leaves at their defaults, with what then holds."""

from typing import Any

import numpy as np

from aerodesign.case import Case
from aerodesign.core.fields import fields_of
from aerodesign.core.record import Record
from aerodesign.core.units import UNITS
from aerodesign.report.display import Units

OPEN = "open"
"""For a number that the search or a proposal finds."""

LONG = 10.0
"""Longer than this (m) is no part of a machine, and told in metres or feet."""


def default_rows(case: Case, units: Units) -> list[tuple[str, str]]:
    """Key and value of every choice that the case leaves at its default, in the order of the file's tables."""
    return [(key, default_text(case, key, units)) for key in case.defaults]


def default_text(case: Case, key: str, units: Units) -> str:
    """What holds for one key of a case, ``"table.name"``: a number with its unit, a word in quotes, yes or no, or :data:`OPEN`."""
    if key == "service":
        return f'"{case.service}"'
    if key == "site.gas":
        return '"air"'
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
    if not len(numbers):
        return OPEN
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
        return "none"
    if kind == "length" and value > LONG:
        unit = "ft" if units.system == "us" else "m"
        return f"{UNITS[unit].from_si(value):.5g} {unit}"
    label = units.label(kind)
    return f"{units.value(value, kind):.5g}{'' if label == '°' else ' '}{label}".rstrip()
