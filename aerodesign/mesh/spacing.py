"""Points clustered towards the ends of a line: the two-sided hyperbolic tangent, for many lines at once."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

HALVINGS = 50  # of the bracket of the stretching parameter: to the last bits of a double
NEWTON = 6  # steps of Newton's method for the same: to 1e-10 for ratios from 1 + 1e-6 to 1e6
PASSES = 4  # towards the asked end cells: within 0.4 % for 8 cells, 0.01 % for 17, down to a thousandth of an even cell


def two_sided_tanh(cells: int, *, first: ArrayLike, last: ArrayLike) -> NDArray[np.float64]:
    """Points on [0, 1] whose first cell is ``first`` and whose last cell is ``last``; shape ``(cells + 1, *lines)``.

    ``first`` and ``last`` are fractions of the line and broadcast against each other. The distribution is given by its
    slopes at the ends; end cells come out larger than these where the stretching is strong, which is corrected by
    repetition. Source: M. Vinokur, 1983, "On one-dimensional stretching functions for finite-difference calculations",
    J. Comput. Phys. 50 (from memory); the correction is our own.
    """
    first, last = np.broadcast_arrays(np.asarray(first, float), np.asarray(last, float))
    points = with_slopes(cells, first=first, last=last)
    start, end = first, last
    for _ in range(PASSES):
        start, end = start * first / points[1], end * last / (1 - points[-2])
        points = with_slopes(cells, first=start, last=end)
    return points


def with_slopes(cells: int, *, first: NDArray[np.float64], last: NDArray[np.float64]) -> NDArray[np.float64]:
    """Vinokur's distribution, its slopes at the ends ``first`` and ``last`` a cell; shape ``(cells + 1, *lines)``."""
    ratio = np.sqrt(last / first)
    stretching = 1 / (cells * np.sqrt(first * last))

    line = np.linspace(0, 1, cells + 1).reshape((-1,) + (1,) * first.ndim)
    symmetric = _symmetric(line, stretching)

    points = symmetric / (ratio + (1 - ratio) * symmetric)
    points[0], points[-1] = 0, 1
    return np.asarray(points)


def _symmetric(line: NDArray[np.float64], stretching: NDArray[np.float64]) -> NDArray[np.float64]:
    """The symmetric distribution with slope ``1 / stretching`` at both ends: tanh to cluster there, tan to thin out."""
    clusters, thins = stretching > 1 + 1e-6, stretching < 1 - 1e-6
    strong = np.where(clusters, stretching, 2.0)
    weak = np.where(thins, stretching, 0.5)

    d = _of_sinh(strong)
    tanh = 0.5 * (1 + np.tanh(d * (line - 0.5)) / np.tanh(d / 2))

    if not thins.any():
        return np.where(clusters, tanh, line)
    e = _bisect(lambda e: weak - np.sin(e) / e, np.full(weak.shape, np.pi))
    tan = 0.5 * (1 + np.tan(e * (line - 0.5)) / np.tan(e / 2))

    return np.where(clusters, tanh, np.where(thins, tan, line))


def _of_sinh(ratio: NDArray[np.float64]) -> NDArray[np.float64]:
    """The d at which sinh(d) / d has a value above 1."""
    d = np.minimum(np.sqrt(6 * (ratio - 1)), 2 * np.log(2 * ratio) + 2)  # both lie above it
    for _ in range(2):
        d = np.minimum(d, np.arcsinh(ratio * d))  # ... and this stays above it
    for _ in range(NEWTON):  # from above, on a curve that rises ever more steeply: it cannot overshoot
        sinh = np.sinh(d)
        d = d - (sinh / d - ratio) * d**2 / (d * np.cosh(d) - sinh)
    return np.asarray(d)


def _bisect(rising, high: NDArray[np.float64]) -> NDArray[np.float64]:  # type: ignore[no-untyped-def]
    """Root of a function that rises from below zero at 0 to above zero at ``high``."""
    low = np.zeros_like(high)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        above = rising(middle) > 0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return (low + high) / 2


def smooth_step(x: ArrayLike) -> NDArray[np.float64]:
    """0 up to x = 0, 1 from x = 1 on, and between them the cubic that is level at both ends."""
    x = np.clip(x, 0, 1)
    return np.asarray(x * x * (3 - 2 * x))


def growing(cells: int, first: float) -> NDArray[np.float64]:
    """Points on [0, 1], each cell larger than the one before by the same ratio, the first one ``first``; even at least."""
    if first * cells >= 1:
        return np.linspace(0, 1, cells + 1)
    excess = brentq(lambda q: np.expm1(cells * np.log1p(q)) / q - 1 / first, 1e-9, 1 / first)
    points = np.expm1(np.arange(cells + 1) * np.log1p(excess)) / np.expm1(cells * np.log1p(excess))
    points[-1] = 1
    return np.asarray(points)
