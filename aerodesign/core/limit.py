"""A limit: a number, what it may be, how far away that is, who says so, and what to do about it."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.quantities import Values

BINDING = 0.01
"""A limit binds when the value lies within this part of its bound."""


@dataclass(frozen=True)
class Limit:
    """One limit: ``low <= value <= high``. ``hard`` limits cannot be passed; soft ones only cost in the search.

    ``quantity`` names the kind of number for printing, ``source`` tells where the bounds come from,
    ``weight`` how much missing it counts where one choice is held against another.
    """

    name: str
    value: Values
    low: float = -np.inf
    high: float = np.inf
    hard: bool = True
    quantity: str = "ratio"
    advice: str = ""
    source: Source = PRACTICE
    weight: float = 1.0

    @property
    def margin(self) -> Values:
        """Relative distance to the nearer bound, negative outside; of a bound of zero the distance itself; infinite without bounds."""
        left = [
            sign * (self.value - bound) / (abs(bound) or 1.0)
            for sign, bound in ((1.0, self.low), (-1.0, self.high))
            if np.isfinite(bound)
        ]
        return np.minimum.reduce(np.broadcast_arrays(*left))[()] if left else 0 * self.value + np.inf

    @property
    def excess(self) -> Values:
        """Relative amount by which the value lies outside, zero inside."""
        scale = max((abs(b) for b in (self.low, self.high) if np.isfinite(b)), default=1.0) or 1.0
        return np.maximum(np.maximum(self.low - self.value, self.value - self.high), 0) / scale

    @property
    def binding(self) -> Values:
        """True where the value lies at one of its bounds or beyond."""
        near = np.zeros(np.shape(self.value), dtype=bool)
        for bound in (self.low, self.high):
            if np.isfinite(bound):
                near = near | (np.abs(self.value - bound) <= BINDING * abs(bound)) | (self.excess > 0)
        return near[()]

    @property
    def passed(self) -> Values:
        """True where the value lies within the bounds, to 1e-9."""
        return (self.excess <= 1e-9)[()]


def guideline(name: str, value: Values, low: float = -np.inf, high: float = np.inf, **more: Any) -> Limit:
    """A limit that may be passed: the page then says what would help."""
    return Limit(name, value, low, high, hard=False, **more)
