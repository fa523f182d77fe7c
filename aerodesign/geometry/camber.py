"""What shapes the blade angle along a blade, and the wrap that follows from it.

To the law of the angle (see :mod:`~aerodesign.geometry.angle_law`) a bump is added that is largest at mid-length. The bump of
each span is solved so that the wrap is what the stacking asks; the wrap grows with the bump, so a bracketed root finder cannot miss.
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
STEEPEST = np.radians(84.0)
"""Blade angle, either way, at which a blade is refused."""
ANGLE_LIMIT = np.radians(80.0)
"""Largest blade angle that a bump may lead to: its tangent would run away."""


def ramp(x: Array) -> Array:
    """Cubic from 0 at x = 0 to 1 at x = 1 with no slope at either end."""
    return x * x * (3 - 2 * x)


def bump(x: Array) -> Array:
    """Hump of height 1 at x = 1/2, zero with zero slope at both ends."""
    return 16 * (x * (1 - x)) ** 2


def wrap(*, x: Array, r: Array, length: float, beta: Array) -> float:
    """Angle theta from exit back to leading edge in rad: the integral of tan(beta) / r dm over ``x`` in 0..1."""
    return float(length * CubicSpline(x, np.tan(beta) / r).integrate(x[0], x[-1]))


def highest_extra(*, x: Array, beta: Array) -> float:
    """The largest bump that keeps the angle below ``ANGLE_LIMIT`` everywhere, at most ``BUMP_LIMIT``."""
    return float(min(BUMP_LIMIT, np.min((ANGLE_LIMIT - beta) / np.maximum(bump(x), 1e-3))))


def bracketed(miss: Callable[[float], float], low: float, high: float) -> tuple[float, bool]:
    """Root of a growing function between two bounds by Brent's method; the nearer bound and False if there is none."""
    if miss(low) > 0:
        return low, False
    if miss(high) < 0:
        return high, False
    return float(brentq(miss, low, high, xtol=1e-13)), True
