"""The surface of revolution of one span, unrolled without changing angles, from the inlet pipe to the diffuser's end.

Across is the angle theta about the axis; along is ``x``, the integral of dm/r from the leading edge. A small square on
the chart is a small square on the surface, ``r`` times as large, so that angles and normals may be taken on the chart.
"""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from aerodesign.geometry.span_line import SpanLine
from aerodesign.mesh.spacing import smooth_step

Grid = NDArray[np.float64]

CAMBER_AHEAD, CAMBER_BEHIND = 0.33, 0.53  # of r2: where the camber's slope has faded out of the grid lines
POINTS = 400  # on the blade's length and in each duct: the splines through them are exact to 1e-10


class Chart:
    """The chart of one span; ``inlet`` is the length of the pipe ahead, ``r3`` the radius where the diffuser ends."""

    def __init__(self, line: SpanLine, *, inlet: float, r2: float, r3: float) -> None:
        self.line, self.length, self.r2 = line, line.length, r2
        self.r1 = float(line.contour.at(0.0)[1])
        self.m_start, self.m_end = -inlet, line.length + r3 - r2
        ahead = np.linspace(1.02 * self.m_start, 0, POINTS)[:-1]
        behind = line.length + (r3 - r2) * np.linspace(0, 1.02, POINTS)[1:]
        m = np.concatenate([ahead, np.linspace(0, line.length, POINTS), behind])
        r = self.zr(m)[..., 1]
        x = CubicSpline(m, 1 / r).antiderivative()
        self._x = CubicSpline(m, x(m) - x(0.0))
        self._m = CubicSpline(self._x(m), m)

        beta = line.at(np.clip(m / line.length, 0, 1)).beta
        past = np.where(m < 0, -m / (CAMBER_AHEAD * r2), (m - line.length) / (CAMBER_BEHIND * r2))
        slope = CubicSpline(self._x(m), -np.tan(beta) * (1 - smooth_step(past)))
        turn = slope.antiderivative()
        self._slope, self._turn = slope, CubicSpline(self._x(m), turn(self._x(m)) - turn(0.0) + line.at(0.0).theta)

    def x_of(self, m: Grid | float) -> Grid:
        """Coordinate along the chart at a meridional length from the leading edge."""
        return np.asarray(self._x(m))

    def m_of(self, x: Grid | float) -> Grid:
        """Meridional length from the leading edge."""
        return np.asarray(self._m(x))

    def zr(self, m: Grid) -> Grid:
        """Position (..., 2) in the meridional plane: a straight pipe ahead of the blades, a plane disc behind them."""
        within = self.line.contour.at(self.line.t_at(np.clip(m, 0, self.length)))
        z = within[..., 0] + np.minimum(m, 0)
        return np.stack([z, within[..., 1] + np.maximum(m - self.length, 0)], axis=-1)

    def camber(self, x: Grid | float) -> Grid:
        """Theta of the camber line, continued past both edges; its slope fades away there."""
        return np.asarray(self._turn(x))

    def cos_beta(self, x: Grid | float) -> Grid:
        """Cosine of the camber line's angle to the meridional plane."""
        return np.asarray(1 / np.hypot(1, self._slope(x)))

    @cached_property
    def x_end(self) -> float:
        """Coordinate of the cylinder r2, where the blades end."""
        return float(self.x_of(self.length))
