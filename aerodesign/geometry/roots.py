"""A bracketed root finder for many equations at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import AerodesignError

Array = NDArray[np.float64]


class NoBracket(AerodesignError):
    """The function does not change sign between the bounds."""


def solve(function: Callable[[Array], Array], low: Array, high: Array, *, tolerance: float, what: str) -> Array:
    """Roots x of ``function(x) = 0`` where the function is negative at ``low`` and positive at ``high``.

    False position with the Illinois rule (the value at an end kept twice is halved). All arrays have one shape. Raises
    :class:`NoBracket`, which names ``what`` was sought.
    """
    at_low, at_high = function(low), function(high)
    if np.any(at_low > 0) or np.any(at_high < 0):
        raise NoBracket(f"no solution for {what}: {np.sum((at_low > 0) | (at_high < 0))} of {low.size} have no bracket")
    kept = np.zeros(low.shape)
    x = low
    for _ in range(80):
        x = (low * at_high - high * at_low) / (at_high - at_low)
        value = function(x)
        if np.max(np.abs(value)) < tolerance:
            return x
        negative = value < 0
        low, high = np.where(negative, x, low), np.where(negative, high, x)
        new_low = np.where(negative, value, np.where(kept > 0, at_low / 2, at_low))
        new_high = np.where(negative, np.where(kept < 0, at_high / 2, at_high), value)
        at_low, at_high, kept = new_low, new_high, np.where(negative, -1.0, 1.0)
    raise NoBracket(f"no solution for {what}: not converged, largest miss {np.max(np.abs(value)):.3g}")
