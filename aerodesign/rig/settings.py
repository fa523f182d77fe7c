"""Reading one setting: what a key may hold follows from its field's type, as it does in a case file."""

import dataclasses
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, get_type_hints

from aerodesign.core.bounds import Accepts, OneOf, Within, mark_of
from aerodesign.core.errors import CaseError, UnitError
from aerodesign.core.quantities import Quantity, quantity_of
from aerodesign.core.texts import one_of
from aerodesign.core.units import UNITS, UNSPECIFIED, Parsed, common_units, parse
from aerodesign.rig.contents import Spread

LARGEST_SPREAD = 0.5
"""A relative uncertainty beyond which a reading says nothing."""


class WrongValueError(CaseError):
    """What is wrong with one value; the reader of the file adds where."""


@dataclass(frozen=True)
class Setting:
    """One key or column: its name, type hint and default."""

    name: str
    hint: Any
    default: Any

    @cached_property
    def quantity(self) -> Quantity | None:
        """The quantity of a number; None for a word."""
        return quantity_of(self.hint)

    @property
    def required(self) -> bool:
        """True for a setting without a default."""
        return self.default is dataclasses.MISSING

    @property
    def span(self) -> tuple[float, float]:
        """Bounds in SI units."""
        within = mark_of(self.hint, Within)
        return within.span if within else (-float("inf"), float("inf"))


@cache
def settings_of(record: type) -> dict[str, Setting]:
    """The settings of a record, by name."""
    hints = get_type_hints(record, include_extras=True)
    return {f.name: Setting(f.name, hints[f.name], f.default) for f in dataclasses.fields(record)}


def read_setting(setting: Setting, raw: Any) -> Parsed | str:
    """One value: a word, or a number in SI units with what it counts from. Raises WrongValueError."""
    allowed = mark_of(setting.hint, OneOf)
    if allowed is not None:
        if raw in allowed.words:
            return raw
        if not isinstance(raw, str):
            raise WrongValueError(f"must be a word in quotes, one of {', '.join(allowed.words)}")
        raise WrongValueError(one_of(raw, allowed.words))
    quantity = setting.quantity
    if quantity is None:
        raise WrongValueError("cannot be set here")
    if isinstance(raw, str):
        parsed = _parsed(raw, quantity)
    elif isinstance(raw, bool) or not isinstance(raw, int | float):
        raise WrongValueError(f"must be a {quantity.name} in quotes, with its unit")
    elif quantity.name != "ratio":
        raise WrongValueError(f'needs its unit in quotes, as in "{str(raw)[:12]} {common_units(quantity)[0]}"')
    elif not abs(raw) < 1e30:
        raise WrongValueError("must be a finite number")
    else:
        parsed = Parsed(float(raw), quantity.name, UNSPECIFIED, "")
    check_reference(setting, parsed.reference, parsed.unit)
    return checked(setting, parsed)


def check_reference(setting: Setting, reference: str, unit: str) -> None:
    """Refuse a unit that counts from something else than the setting does. Raises WrongValueError."""
    accepts = mark_of(setting.hint, Accepts)
    if reference == UNSPECIFIED:
        if accepts is not None and "gauge" in accepts.references:
            raise WrongValueError(f"gauge or absolute? write {unit}(g), {unit}(a) or {unit} vac")
    elif accepts is None or reference not in accepts.references:
        said = (
            accepts.advice if accepts and accepts.advice else "give the difference, without gauge, absolute or vacuum"
        )
        raise WrongValueError(f"{unit} is {reference}, which has no meaning here; {said}")


def checked(setting: Setting, parsed: Parsed) -> Parsed:
    """The number with a vacuum turned into a negative gauge pressure, its bounds checked. Raises WrongValueError."""
    if parsed.reference == "vacuum":
        parsed = Parsed(-parsed.value, parsed.quantity, "gauge", parsed.unit)
    within = mark_of(setting.hint, Within)
    complaint = within.complaint(parsed.value) if within else None
    if complaint:
        raise WrongValueError(complaint)
    return parsed


def read_spread(setting: Setting, raw: Any) -> Spread:
    """An uncertainty: "0.3 K", "0.5 %" of the reading, "0.25 % of largest"; of a ratio always in points of it.

    Raises WrongValueError.
    """
    quantity = setting.quantity
    if quantity is None:
        raise AssertionError(f"{setting.name} has no quantity")
    if quantity.name == "ratio":
        if isinstance(raw, bool) or not isinstance(raw, int | float | str):
            raise WrongValueError('must be a number as 0.01 or "1 %"')
        value = _parsed(str(raw), quantity).value
        return Spread(_between(value, LARGEST_SPREAD))
    if not isinstance(raw, str):
        raise WrongValueError(f'needs its unit in quotes, as in "0.5 %" or "1 {common_units(quantity)[0]}"')
    text, _, of = raw.strip().partition("%")
    if _ and of.strip() in ("", "of reading", "of largest"):
        value = _parsed(text + "%", RATIO).value
        return Spread(_between(value, LARGEST_SPREAD), relative=True, of_largest=of.strip() == "of largest")
    parsed = _parsed(raw, quantity)
    if parsed.reference != UNSPECIFIED:
        raise WrongValueError(f"an uncertainty is a difference; write it without {parsed.reference}")
    unit = UNITS[parsed.unit]
    return Spread(_between(parsed.value - unit.offset * unit.factor, 1e30))


RATIO = Quantity("ratio", "", (0, 0, 0, 0))


def _between(value: float, high: float) -> float:
    if not 0 <= value <= high:
        raise WrongValueError(f"must lie between 0 and {high:g}" if high < 1 else "must not be negative")
    return value


def _parsed(text: str, quantity: Quantity) -> Parsed:
    try:
        return parse(text, quantity)
    except UnitError as cause:
        raise WrongValueError(str(cause)) from cause
