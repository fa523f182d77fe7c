"""Reading the fields of a record from a table: what a key may hold follows from the field's type alone.

A field with a quantity takes a number with a unit, a ratio or a count a plain number, ``bool`` true or false, ``str`` a
word. A new field in a record is therefore a new key in the file, with no other line to write.
"""

import math
from functools import cache
from typing import Any

import numpy as np

from aerodesign.aero.sections import Section, section_named
from aerodesign.case.lines import Path
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.core.bounds import Several, mark_of
from aerodesign.core.errors import AerodesignError
from aerodesign.core.fields import Field, WrongValueError, check_bounds, is_number, read_number, read_word
from aerodesign.core.fields import fields_of as all_fields
from aerodesign.core.units import UNSPECIFIED, Parsed, common_units


@cache
def fields_of(record: type) -> dict[str, Field]:
    """The fields of a record that a case can hold as one value, by name."""

    def readable(field: Field) -> bool:
        return field.quantity is not None or field.is_switch or field.is_word or field.hint is Section

    return {name: field for name, field in all_fields(record).items() if readable(field)}


def read_table(
    table: Any,
    fields: dict[str, Field],
    path: Path,
    problems: Problems,
    *,
    also: tuple[str, ...] = (),
    free: bool = False,
    columns: bool = False,
) -> dict[str, Any]:
    """Values of the given keys in SI units; :class:`Parsed` where it matters what a number counts from (``Accepts``).

    Everything wrong is added to ``problems``. ``also`` names keys that the caller reads itself, ``free`` allows numbers
    to be left to the search, ``columns`` allows arrays.
    """
    read = read_column if columns else read_value
    if not isinstance(table, dict):
        problems.add(path, table, f"must be a table: write [{path[-1]}] and its keys below")
        return {}
    values = {}
    for key, raw in table.items():
        if key in also:
            continue
        if key not in fields:
            problems.unknown((*path, key), raw, [*fields, *also])
            continue
        try:
            values[key] = math.nan if free and raw == "free" and fields[key].may_be_free else read(fields[key], raw)
        except WrongValueError as complaint:
            problems.add((*path, key), raw, str(complaint))
    return values


def read_value(field: Field, raw: Any) -> Any:
    """One value of a field. Raises WrongValueError."""
    if field.is_switch:
        if not isinstance(raw, bool):
            raise WrongValueError("must be true or false, without quotes")
        return raw
    if field.hint is Section:
        return _section(read_word(field, raw))
    if field.is_word:
        return read_word(field, raw)
    several = mark_of(field.hint, Several)
    if several is not None:
        return _several(field, raw, several)
    if raw == "free":
        raise WrongValueError("cannot be left to the search; give a value or take the key out")
    parsed = read_number(field, raw)
    _check(field, parsed)
    return parsed if field.accepts else parsed.value


def read_column(field: Field, raw: Any) -> Any:
    """An array of a field: a list of values, or ``{values = [1, 2], unit = "m3/h"}``. Raises WrongValueError."""
    raw = _spelled_out(field, raw)
    if not isinstance(raw, list):
        return read_value(field, raw)
    values = [read_value(field, element) for element in raw]
    return np.array([v.value if isinstance(v, Parsed) else v for v in values])


def _spelled_out(field: Field, raw: Any) -> Any:
    """The short form of a list, ``{values = [1, 2], unit = "m3/h"}``, as a list; everything else as it is."""
    if not isinstance(raw, dict):
        return raw
    if set(raw) != {"values", "unit"} or not isinstance(raw["unit"], str) or not isinstance(raw["values"], list):
        raise WrongValueError('must be {values = [...], unit = "..."}')
    if field.quantity is None:
        raise WrongValueError("has no unit; write the list alone")
    if not all(is_number(v) for v in raw["values"]):
        raise WrongValueError("values must be plain numbers")
    return [f"{number!r} {raw['unit']}" for number in raw["values"]]


def _several(field: Field, raw: Any, several: Several) -> tuple[float, ...]:
    """The values of a list, each of them checked."""
    raw = _spelled_out(field, raw)
    if not isinstance(raw, list) or not several.least <= len(raw) <= several.most:
        count = f"{several.least} to {several.most}" if several.least < several.most else f"{several.most}"
        raise WrongValueError(f"must be a list of {count} values in square brackets")
    parsed = [read_number(field, element) for element in raw]
    for one in parsed:
        _check(field, one)
    return tuple(one.value for one in parsed)


def _section(name: str) -> Section:
    try:
        return section_named(name)
    except AerodesignError as cause:
        raise WrongValueError(str(cause).split(": ", 1)[-1]) from cause


def _check(field: Field, parsed: Parsed) -> None:
    accepts = field.accepts
    allowed = (UNSPECIFIED, *(accepts.references if accepts else ()))
    if parsed.reference not in allowed:
        advice = f"; {accepts.advice}" if accepts and accepts.advice else ""
        raise WrongValueError(f"{parsed.unit} is {parsed.reference}, which has no meaning here{advice}")
    if parsed.quantity == "count" and parsed.value != round(parsed.value):
        raise WrongValueError("must be a whole number")
    check_bounds(field, parsed.value)


def missing(values: dict[str, Any], fields: dict[str, Field], path: Path, problems: Problems) -> None:
    """Note every required field that the table lacks."""
    for name, field in fields.items():
        if field.required and name not in values:
            example = f' as in "12 {common_units(field.quantity)[0]}"' if field.quantity else ""
            problems.add((*path, name), ABSENT, f"is missing; give it{example}")
