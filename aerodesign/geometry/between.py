"""Surfaces that part one passage of a wheel from the next: midway between the blades, from hub to casing.

Their lines of constant t are straight in the meridional plane and turn evenly from the hub's angle to the casing's.
Upstream of the blades they go on with the angle that the leading edge has.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline, CubicSpline

from aerodesign.geometry.blade import Blading
from aerodesign.geometry.meridional import Array, Contour


@dataclass(frozen=True, eq=False)
class Between:
    """The camber of the blades laid from ``hub`` to ``casing``, to be turned about the axis; both contours from t = ``start``."""

    blading: Blading
    hub: Contour
    casing: Contour
    start: float

    @cached_property
    def _angles(self) -> tuple[BSpline, BSpline]:
        """Angle at hub and tip as a function of t."""
        x = np.linspace(0, 1, 201)
        found = []
        for span in (0.0, 1.0):
            line = self.blading.span(span).at(x)
            camber = CubicSpline(line.t, line.theta)
            t = np.linspace(self.start, 1, 161)
            slope = float(camber(line.t[0], 1))
            ahead = camber(line.t[0]) + slope * (t - line.t[0])
            found.append(CubicSpline(t, np.where(t < line.t[0], ahead, camber(t))))
        return found[0], found[1]

    def angle(self, t: Array, share: Array | float) -> Array:
        """Angle at stations t and shares of the way from hub (0) to casing (1)."""
        low, high = self._angles
        return np.asarray((1 - share) * low(t) + share * high(t))

    def points(self, t: Array, share: Array, turn: float = 0.0) -> Array:
        """Points (x, y, z) of shape ``(len(t), len(share), 3)``, turned about the axis."""
        inner, outer = self.hub.at(t)[:, None], self.casing.at(t)[:, None]
        zr = inner + (outer - inner) * share[None, :, None]
        theta = self.angle(t[:, None], share[None]) + turn
        return np.stack([zr[..., 1] * np.cos(theta), zr[..., 1] * np.sin(theta), zr[..., 0]], axis=-1)
