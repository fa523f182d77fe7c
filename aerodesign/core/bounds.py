"""What a user may type into a field, written in the field's type beside its quantity.

``backsweep: Annotated[Angle, Within("-10 deg", "75 deg")]`` is all that a new field needs: the case file, its error
messages and the exploration read the bounds from here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Any, TypeVar, get_args, get_origin

from aerodesign.core.units import parse

Mark = TypeVar("Mark")


@dataclass(frozen=True)
class Within:
    """Bounds of a number, both allowed, as a user would write them: ``Within("200 K", "400 K")``, ``Within(3, 40)``.

    ``advice`` says what to do about a number below them. ``free`` says that the number may be left to the search
    though it has a default; a field whose default is nan may be so anyway.
    """

    low: str | float
    high: str | float
    advice: str = ""
    free: bool = False

    @cached_property
    def span(self) -> tuple[float, float]:
        """The bounds in SI units."""
        low, high = (parse(b).value if isinstance(b, str) else float(b) for b in (self.low, self.high))
        return low, high

    def complaint(self, value: float) -> str | None:
        """What is wrong with a value in SI units, with the advice; None where it is allowed."""
        low, high = self.span
        # A bound typed in another unit must not refuse its own value by the last digit.
        slack = 1e-12 * max(abs(low), abs(high))
        if low - slack <= value <= high + slack:
            return None
        said = "must be positive" if value <= 0 < low else f"must lie between {self.low} and {self.high}"
        return said + (f"; {self.advice}" if self.advice and value < low else "")


@dataclass(frozen=True)
class OneOf:
    """Words that a field allows; any iterable of names, as the keys of a table."""

    words: tuple[str, ...]

    def __init__(self, words: Iterable[str]) -> None:
        object.__setattr__(self, "words", tuple(words))


@dataclass(frozen=True)
class Several:
    """A field that holds a list: so many values of one kind, at least ``least`` and at most ``most``; its default is a tuple."""

    least: int = 1
    most: int = 40


@dataclass(frozen=True)
class Accepts:
    """What, beside plain units, a pressure or a flow may count from: ``Accepts("gauge")``; ``advice`` for the rest."""

    references: tuple[str, ...]
    advice: str = ""

    def __init__(self, *references: str, advice: str = "") -> None:
        object.__setattr__(self, "references", references)
        object.__setattr__(self, "advice", advice)


def mark_of(hint: Any, kind: type[Mark]) -> Mark | None:
    """The mark of a given kind written in a type hint, or None."""
    if get_origin(hint) is not Annotated:
        return None
    return next((extra for extra in get_args(hint)[1:] if isinstance(extra, kind)), None)
