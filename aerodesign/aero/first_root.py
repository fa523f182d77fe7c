"""The least setting at which something suffices, for many machines and points at once and in a fixed number of passes."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from aerodesign.core.quantities import Values


class Setting(NamedTuple):
    """A setting between 0 and 1, and whether it suffices; where none does, it is the one that comes nearest."""

    x: Values
    reached: Values


def first_root(
    surplus: Callable[[Values], Values], shape: tuple[int, ...], *, trials: int, passes: int, tolerance: float
) -> Setting:
    """The least x from 0 to 1 at which ``surplus(x)`` is not negative; ``shape`` is that of the points.

    The first of ``trials`` evenly spaced settings that suffices and the one before it bracket a root, which false position with
    the Illinois rule (the value at an end kept twice is halved) approaches. Where that has not come within ``tolerance``, as at
    a jump, the end of the bracket that suffices is taken.
    """
    x = np.linspace(0, 1, trials).reshape(trials, *(1 for _ in shape))
    values = np.broadcast_to(surplus(x), (trials, *shape))
    suffices: Values = values >= -tolerance
    reached = suffices.any(axis=0)
    first = np.where(reached, suffices.argmax(axis=0), values.argmax(axis=0))
    before = np.where(reached, np.maximum(first - 1, 0), first)
    low, high = (np.broadcast_to(x, values.shape)[(k, *np.indices(shape))] for k in (before, first))
    at_low, at_high = (values[(k, *np.indices(shape))] for k in (before, first))

    found, kept = high, 0 * high
    nearest = np.abs(at_high)
    for _ in range(passes):
        slope = np.where(at_high == at_low, 1, at_high - at_low)
        x = np.where(at_high == at_low, high, (low * at_high - high * at_low) / slope)
        value = surplus(x)
        nearer = np.abs(value) < nearest
        found, nearest = np.where(nearer, x, found), np.where(nearer, np.abs(value), nearest)

        short = value < 0
        low, high_next = np.where(short, x, low), np.where(short, high, x)
        at_low, at_high = (
            np.where(short, value, np.where(kept > 0, at_low / 2, at_low)),
            np.where(short, np.where(kept < 0, at_high / 2, at_high), value),
        )
        high, kept = high_next, np.where(short, -1.0, 1.0)
    return Setting(x=np.where(nearest <= tolerance, found, high)[()], reached=reached[()])
