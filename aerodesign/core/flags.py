"""Flags: bad answers are data. A flag is a condition per design with a message that says what to do."""

from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True)
class Flag:
    """One thing that the user must know about a result.

    ``active`` is a boolean per design; ``value`` and ``limit`` are the numbers compared, in SI units or as a ratio;
    ``grave`` says that the result must not be used as it stands.
    """

    code: str
    active: Any
    message: str
    advice: str
    value: Any = None
    limit: Any = None
    grave: bool = False

    @property
    def raised(self) -> bool:
        """True where any design carries the flag."""
        return bool(np.any(self.active))


def raised(flags: list[Flag]) -> list[Flag]:
    """The flags that any design carries, the grave ones first."""
    return sorted((flag for flag in flags if flag.raised), key=lambda flag: not flag.grave)
