"""Reading the fields of a record from a table: what a key may hold follows from the field's type alone.

A field with a quantity takes a number with a unit, a ratio or a count a plain number, ``bool`` true or false, ``str`` a
word. A new field in a record is therefore a new key in the file, with no other line to write.
"""

import dataclasses
import math
from dataclasses import dataclass
from functools import cache
from typing import Any, get_type_hints

import numpy as np

from aerodesign.aero.sections import Section, section_named
from aerodesign.case.lines import Path
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.core.bounds import Accepts, OneOf, Within, mark_of
from aerodesign.core.errors import AerodesignError, CaseError, UnitError
from aerodesign.core.quantities import Quantity, quantity_of
from aerodesign.core.texts import one_line, one_of
from aerodesign.core.units import UNSPECIFIED, Parsed, common_units, parse

PLAIN = ("ratio", "count")


class WrongValueError(CaseError):
    """What is wrong with one value; the reader of the table adds where."""


@dataclass(frozen=True)
class Field:
    """One key that a table may hold: its kind and marks, read from the record's type hint."""

    name: str
    hint: Any
    default: Any

    @property
    def quantity(self) -> Quantity | None:
        """The quantity of a number; None for words and switches."""
        return quantity_of(self.hint)

    @property
    def is_switch(self) -> bool:
        """True for a field that is true or false."""
        return self.hint is bool or isinstance(self.default, bool)

    @property
    def is_word(self) -> bool:
        """True for a field that holds text."""
        return self.hint is str or mark_of(self.hint, OneOf) is not None

    @property
    def readable(self) -> bool:
        """True for a field that a file can hold as one value."""
        return self.quantity is not None or self.is_switch or self.is_word or self.hint is Section

    @property
    def required(self) -> bool:
        """True for a field without a default."""
        return self.default is dataclasses.MISSING

    @property
    def may_be_free(self) -> bool:
        """True for a number that the search may choose."""
        mark = mark_of(self.hint, Within)
        return (mark is not None and mark.free) or (isinstance(self.default, float) and math.isnan(self.default))


@cache
def fields_of(record: type) -> dict[str, Field]:
    """The fields of a record that a file can hold, by name."""
    hints = get_type_hints(record, include_extras=True)
    found = (Field(f.name, hints[f.name], f.default) for f in dataclasses.fields(record))
    return {field.name: field for field in found if field.readable}


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
    if field.is_word or field.hint is Section:
        return _word(field, raw)
    if raw == "free":
        raise WrongValueError("cannot be left to the search; give a value or take the key out")
    parsed = _number(field, raw)
    _check(field, parsed)
    return parsed if mark_of(field.hint, Accepts) else parsed.value


def read_column(field: Field, raw: Any) -> Any:
    """An array of a field: a list of values, or ``{values = [1, 2], unit = "m3/h"}``. Raises WrongValueError."""
    if isinstance(raw, dict):
        if set(raw) != {"values", "unit"} or not isinstance(raw["unit"], str) or not isinstance(raw["values"], list):
            raise WrongValueError('must be {values = [...], unit = "..."}')
        if field.quantity is None:
            raise WrongValueError("has no unit; write the list alone")
        if not all(_is_number(v) for v in raw["values"]):
            raise WrongValueError("values must be plain numbers")
        raw = [f"{number!r} {raw['unit']}" for number in raw["values"]]
    if not isinstance(raw, list):
        return read_value(field, raw)
    values = [read_value(field, element) for element in raw]
    return np.array([v.value if isinstance(v, Parsed) else v for v in values])


def _word(field: Field, raw: Any) -> Any:
    if not isinstance(raw, str):
        raise WrongValueError("must be a word in quotes")
    if field.hint is Section:
        try:
            return section_named(raw)
        except AerodesignError as cause:
            raise WrongValueError(str(cause).split(": ", 1)[-1]) from cause
    allowed = mark_of(field.hint, OneOf)
    if allowed is not None and raw not in allowed.words:
        raise WrongValueError(one_of(raw, allowed.words))
    return raw


def _number(field: Field, raw: Any) -> Parsed:
    quantity = field.quantity
    if quantity is None:
        raise WrongValueError("cannot be set here")
    if isinstance(raw, str):
        if quantity.name == "count":
            raise WrongValueError("must be a plain number, without quotes")
        try:
            return parse(raw, quantity)
        except UnitError as cause:
            raise WrongValueError(str(cause)) from cause
    if not _is_number(raw):
        raise WrongValueError("must be a number" if quantity.name in PLAIN else f"must be a {quantity.name} in quotes")
    if quantity.name not in PLAIN:
        example = common_units(quantity)[0]
        got = one_line(str(raw), 12)
        raise WrongValueError(f'needs its unit in quotes, as in "{got} {example}"; any unit of {quantity.name} will do')
    if not abs(raw) < 1e30:
        raise WrongValueError("must be a finite number")
    return Parsed(float(raw), quantity.name, UNSPECIFIED, "")


def _check(field: Field, parsed: Parsed) -> None:
    accepts = mark_of(field.hint, Accepts)
    allowed = (UNSPECIFIED, *(accepts.references if accepts else ()))
    if parsed.reference not in allowed:
        advice = f"; {accepts.advice}" if accepts and accepts.advice else ""
        raise WrongValueError(f"{parsed.unit} is {parsed.reference}, which has no meaning here{advice}")
    if parsed.quantity == "count" and parsed.value != round(parsed.value):
        raise WrongValueError("must be a whole number")
    within = mark_of(field.hint, Within)
    complaint = within.complaint(parsed.value) if within else None
    if complaint:
        raise WrongValueError(complaint)


def _is_number(raw: Any) -> bool:
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def missing(values: dict[str, Any], fields: dict[str, Field], path: Path, problems: Problems) -> None:
    """Note every required field that the table lacks."""
    for name, field in fields.items():
        if field.required and name not in values:
            example = f' as in "12 {common_units(field.quantity)[0]}"' if field.quantity else ""
            problems.add((*path, name), ABSENT, f"is missing; give it{example}")
