"""Reading one setting of a test file: as in a case file, but a pressure at a plane has to say what it counts from."""

from typing import Any

from aerodesign.core.fields import Field, WrongValueError, check_bounds, is_number, parse_number, read_number, read_word
from aerodesign.core.quantities import Quantity
from aerodesign.core.units import UNITS, UNSPECIFIED, Parsed, common_units
from aerodesign.rig.contents import Spread

LARGEST_SPREAD = 0.5
"""A relative uncertainty beyond which a reading says nothing."""


def read_setting(setting: Field, raw: Any) -> Parsed | str:
    """One value: a word, or a number in SI units with what it counts from. Raises WrongValueError."""
    if setting.is_word:
        return read_word(setting, raw)
    number = read_number(setting, raw)
    check_reference(setting, number.reference, number.unit)
    return checked(setting, number)


def check_reference(setting: Field, reference: str, unit: str) -> None:
    """Refuse a unit that counts from something else than the setting does. Raises WrongValueError."""
    accepts = setting.accepts
    if reference == UNSPECIFIED:
        if accepts is not None and "gauge" in accepts.references:
            raise WrongValueError(f"gauge or absolute? write {unit}(g), {unit}(a) or {unit} vac")
    elif accepts is None or reference not in accepts.references:
        said = (
            accepts.advice if accepts and accepts.advice else "give the difference, without gauge, absolute or vacuum"
        )
        raise WrongValueError(f"{unit} is {reference}, which has no meaning here; {said}")


def checked(setting: Field, number: Parsed) -> Parsed:
    """The number with a vacuum turned into a negative gauge pressure, its bounds checked. Raises WrongValueError."""
    if number.reference == "vacuum":
        number = Parsed(-number.value, number.quantity, "gauge", number.unit)
    check_bounds(setting, number.value)
    return number


def read_spread(setting: Field, raw: Any) -> Spread:
    """An uncertainty: "0.3 K", "0.5 %" of the reading, "0.25 % of largest"; of a ratio always in points of it.

    Raises WrongValueError.
    """
    quantity = setting.quantity
    if quantity is None:
        raise AssertionError(f"{setting.name} has no quantity")
    if quantity.name == "ratio":
        if not is_number(raw) and not isinstance(raw, str):
            raise WrongValueError('must be a number as 0.01 or "1 %"')
        value = parse_number(str(raw), quantity).value
        return Spread(_between(value, LARGEST_SPREAD))
    if not isinstance(raw, str):
        raise WrongValueError(f'needs its unit in quotes, as in "0.5 %" or "1 {common_units(quantity)[0]}"')
    text, _, of = raw.strip().partition("%")
    if _ and of.strip() in ("", "of reading", "of largest"):
        value = parse_number(text + "%", RATIO).value
        return Spread(_between(value, LARGEST_SPREAD), relative=True, of_largest=of.strip() == "of largest")
    number = parse_number(raw, quantity)
    if number.reference != UNSPECIFIED:
        raise WrongValueError(f"an uncertainty is a difference; write it without {number.reference}")
    unit = UNITS[number.unit]
    return Spread(_between(number.value - unit.offset * unit.factor, 1e30))


RATIO = Quantity("ratio", "", (0, 0, 0, 0))


def _between(value: float, high: float) -> float:
    if not 0 <= value <= high:
        raise WrongValueError(f"must lie between 0 and {high:g}" if high < 1 else "must not be negative")
    return value
