"""A record's field as a key of a file: what it may hold follows from its type, and is read alike in every kind of file.

What a number counts from, gauge or absolute, is each file's own rule: its reader adds it.
"""

import dataclasses
import math
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, get_type_hints

from aerodesign.core.bounds import Accepts, OneOf, Within, mark_of
from aerodesign.core.errors import CaseError, UnitError
from aerodesign.core.quantities import Quantity, quantity_of
from aerodesign.core.texts import one_line, one_of
from aerodesign.core.units import LARGEST, UNSPECIFIED, Parsed, common_units, parse

PLAIN = ("ratio", "count")
"""Quantities of numbers that stand without a unit."""


class WrongValueError(CaseError):
    """What is wrong with one value; the reader of the file adds where."""


@dataclass(frozen=True)
class Field:
    """One key that a file may hold: its name, type hint and default, and the marks in the hint."""

    name: str
    hint: Any
    default: Any

    @cached_property
    def quantity(self) -> Quantity | None:
        """The quantity of a number; None for words and switches."""
        return quantity_of(self.hint)

    @property
    def within(self) -> Within | None:
        """The bounds of a number."""
        return mark_of(self.hint, Within)

    @property
    def accepts(self) -> Accepts | None:
        """What a number may count from beside plain units."""
        return mark_of(self.hint, Accepts)

    @property
    def is_switch(self) -> bool:
        """True for a field that is true or false."""
        return self.hint is bool or isinstance(self.default, bool)

    @property
    def is_word(self) -> bool:
        """True for a field that holds text."""
        return self.hint is str or mark_of(self.hint, OneOf) is not None

    @property
    def required(self) -> bool:
        """True for a field without a default."""
        return self.default is dataclasses.MISSING

    @property
    def may_be_free(self) -> bool:
        """True for a number that the search may choose."""
        return (self.within is not None and self.within.free) or (
            isinstance(self.default, float) and math.isnan(self.default)
        )

    @property
    def span(self) -> tuple[float, float]:
        """The bounds in SI units, infinite where there are none."""
        return self.within.span if self.within else (-math.inf, math.inf)


@cache
def fields_of(record: type) -> dict[str, Field]:
    """All fields of a record, by name."""
    hints = get_type_hints(record, include_extras=True)
    return {f.name: Field(f.name, hints[f.name], f.default) for f in dataclasses.fields(record)}


def read_word(field: Field, raw: Any) -> str:
    """A word of a field, one of those that it allows. Raises WrongValueError."""
    allowed = mark_of(field.hint, OneOf)
    if not isinstance(raw, str):
        raise WrongValueError("must be a word in quotes" + (f", one of {', '.join(allowed.words)}" if allowed else ""))
    if allowed is not None and raw not in allowed.words:
        raise WrongValueError(one_of(raw, allowed.words))
    return raw


def read_number(field: Field, raw: Any) -> Parsed:
    """A number of a field: text with a unit, or a plain number where the quantity has none. Raises WrongValueError.

    Neither its bounds nor what it counts from are checked yet.
    """
    quantity = field.quantity
    if quantity is None:
        raise WrongValueError("cannot be set here")
    if isinstance(raw, str):
        if quantity.name == "count":
            raise WrongValueError("must be a plain number, without quotes")
        return parse_number(raw, quantity)
    if not is_number(raw):
        raise WrongValueError("must be a number" if quantity.name in PLAIN else f"must be a {quantity.name} in quotes")
    if quantity.name not in PLAIN:
        example = common_units(quantity)[0]
        got = one_line(str(raw), 12)
        raise WrongValueError(f'needs its unit in quotes, as in "{got} {example}"; any unit of {quantity.name} will do')
    if not abs(raw) < LARGEST:
        raise WrongValueError("must be a finite number")
    return Parsed(float(raw), quantity.name, UNSPECIFIED, "")


def parse_number(text: str, quantity: Quantity | None = None) -> Parsed:
    """A number with its unit, as :func:`~aerodesign.core.units.parse` reads it. Raises WrongValueError."""
    try:
        return parse(text, quantity)
    except UnitError as cause:
        raise WrongValueError(str(cause)) from cause


def check_bounds(field: Field, value: float) -> None:
    """Refuse a number in SI units that lies outside a field's bounds. Raises WrongValueError."""
    complaint = field.within.complaint(value) if field.within else None
    if complaint:
        raise WrongValueError(complaint)


def is_number(raw: Any) -> bool:
    """True for a number of a file; true and false are none."""
    return isinstance(raw, int | float) and not isinstance(raw, bool)
