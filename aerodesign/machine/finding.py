"""A finding on the machine: one number with its limits, the source of these, and what to do where it passes them."""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.quantities import Ratio, Values


@dataclass(frozen=True)
class Finding:
    """``low <= value <= high``; ``quantity`` names the kind of number for printing, ``source`` says where the bounds come from."""

    name: str
    value: Values
    low: Values = -np.inf
    high: Values = np.inf
    quantity: str = "ratio"
    source: Source = PRACTICE
    advice: str = ""

    @property
    def margin(self) -> Ratio:
        """Distance from the nearer bound over that bound, negative beyond it; infinite without bounds."""
        below, above = (np.where(np.isfinite(b), np.abs(b), 1.0) for b in (self.low, self.high))
        return np.minimum((self.value - self.low) / below, (self.high - self.value) / above)[()]

    @property
    def passed(self) -> Values:
        """True where the value lies within its bounds."""
        return (self.margin >= 0)[()]
