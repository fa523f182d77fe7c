"""What a check found: a value beside its limit, with the margin, the source of the limit, and what to do."""

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass

from aerodesign.core.quantities import Values

PRACTICE = "common practice, no source"
SHOP = "shop"
"""The shop's table of the case, or its default; a default is common practice, no source."""


@dataclass(frozen=True)
class Finding:
    """One line of the checks, in SI units; ``quantity`` names the kind of number for printing.

    ``sense`` is "at least", "at most" or "" where the number has no limit and only informs; ``where`` says where it occurs, with
    a pair of braces for each of ``numbers`` (value, quantity).
    """

    name: str
    value: Values
    quantity: str
    limit: Values = float("nan")
    sense: str = ""
    where: str = ""
    _: KW_ONLY
    numbers: tuple[tuple[float, str], ...] = ()
    source: str = SHOP
    advice: str = ""

    @property
    def margin(self) -> float:
        """Distance to the limit as a part of it, negative where it is passed over; nan without a limit."""
        if not self.sense or not self.limit:
            return float("nan")
        gap = self.value - self.limit if self.sense == "at least" else self.limit - self.value
        return float(gap / abs(self.limit))

    @property
    def kept(self) -> bool:
        """False where the value is on the wrong side of its limit, or could not be had."""
        if not self.sense:
            return True
        return bool(self.value >= self.limit) if self.sense == "at least" else bool(self.value <= self.limit)

    def place(self, text: Callable[[float, str], str]) -> str:
        """Where it occurs, the numbers written by ``text(value, quantity)``."""
        return self.where.format(*(text(value, quantity) for value, quantity in self.numbers))
