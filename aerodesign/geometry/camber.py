"""Blade angle along a blade and the wrap that follows from it.

The angle goes from its value at the leading edge to that at the trailing edge by a cubic with no slope at either end,
plus a bump that is largest at mid-length. The bump of each span is solved so that the wrap is what the stacking asks.
Angles from the meridional, positive against rotation; rotation is towards +theta, so d(theta)/dm = -tan(beta) / r.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

Array = NDArray[np.float64]

BUMP_LIMIT = np.radians(60.0)
"""Largest bump that is tried; beyond it no blade is sensible."""
ANGLE_LIMIT = np.radians(80.0)
"""Largest blade angle that a bump may lead to: its tangent would run away."""


def ramp(x: Array) -> Array:
    """Cubic from 0 at x = 0 to 1 at x = 1 with no slope at either end."""
    return x * x * (3 - 2 * x)


def bump(x: Array) -> Array:
    """Hump of height 1 at x = 1/2, zero with zero slope at both ends."""
    return 16 * (x * (1 - x)) ** 2


def angle(*, x: Array, beta1: Array | float, beta2: Array | float, extra: Array | float) -> Array:
    """Blade angle at parts ``x`` of the meridional length (0 leading edge, 1 exit), ``extra`` more at mid-length."""
    return beta1 + (beta2 - beta1) * ramp(x) + extra * bump(x)


def wrap(*, x: Array, r: Array, length: float, beta1: float, beta2: float, extra: float) -> float:
    """Angle theta from exit back to leading edge in rad: the integral of tan(beta) / r dm over ``x`` in 0..1."""
    slope = np.tan(angle(x=x, beta1=beta1, beta2=beta2, extra=extra)) / r
    return float(length * CubicSpline(x, slope).integrate(x[0], x[-1]))


def highest_extra(*, x: Array, beta1: float, beta2: float) -> float:
    """The largest bump that keeps the angle below ``ANGLE_LIMIT`` everywhere, at most ``BUMP_LIMIT``."""
    room = ANGLE_LIMIT - angle(x=x, beta1=beta1, beta2=beta2, extra=0.0)
    return float(min(BUMP_LIMIT, np.min(room / np.maximum(bump(x), 1e-3))))


def solve_extra(*, x: Array, r: Array, length: float, beta1: float, beta2: float, wanted: float) -> tuple[float, bool]:
    """The bump that gives a wanted wrap, and whether it exists within the limits.

    The wrap grows with the bump, so a bracketed root finder cannot miss.
    """

    def miss(extra: float) -> float:
        return wrap(x=x, r=r, length=length, beta1=beta1, beta2=beta2, extra=extra) - wanted

    return bracketed(miss, -BUMP_LIMIT, highest_extra(x=x, beta1=beta1, beta2=beta2))


def bracketed(miss: Callable[[float], float], low: float, high: float) -> tuple[float, bool]:
    """Root of a growing function between two bounds by Brent's method; the nearer bound and False if there is none."""
    if miss(low) > 0:
        return low, False
    if miss(high) < 0:
        return high, False
    return float(brentq(miss, low, high, xtol=1e-13)), True
