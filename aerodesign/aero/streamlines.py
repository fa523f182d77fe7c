"""Streamlines of a meridional channel on straight quasi-orthogonals: where they run, how they bend, derivatives and integrals.

Shapes are (stations, streamlines, *designs), hub first. A point's place is its share ``eta`` of the way from hub to shroud.
The left of the flow is the shroud's side: curvature is positive where an axial flow turns outwards.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Channel:
    """A channel of revolution as quasi-orthogonals, straight lines from hub to shroud; metres.

    ``hub_z``, ``hub_r``, ``shroud_z`` and ``shroud_r`` have the shape (stations, *designs), in the order of the flow, spaced
    smoothly. ``leading`` and ``trailing`` are the numbers of the first and the last station with blades. ``blocked`` is the part
    of the circumference that the blades take, ``lean`` the angle theta of their camber (rad, positive with rotation), both
    (stations, 3, *designs) at hub, middle and shroud, a parabola between; they count on stations with blades only. Zero
    will do for no thickness or for blades made of radial lines. Not a Record: its arrays run over space.
    """

    hub_z: Array
    hub_r: Array
    shroud_z: Array
    shroud_r: Array
    leading: int
    trailing: int
    blocked: Any = 0.0
    lean: Any = 0.0

    @property
    def height(self) -> Array:
        """Length of the quasi-orthogonals, (stations, *designs)."""
        length: Array = np.hypot(self.shroud_z - self.hub_z, self.shroud_r - self.hub_r)
        return length

    def bladed(self, like: Array) -> Array:
        """One on stations with blades, else zero, (stations, 1, ...) with as many axes as ``like``."""
        station = np.arange(len(self.hub_z)).reshape(-1, *(1,) * (np.ndim(like) - 1))
        inside: Array = ((station >= self.leading) & (station <= self.trailing)).astype(float)
        return inside

    def points(self, eta: Array) -> tuple[Array, Array]:
        """Coordinates z and r of the points at shares ``eta``."""
        z = self.hub_z[:, None] + eta * (self.shroud_z - self.hub_z)[:, None]
        r = self.hub_r[:, None] + eta * (self.shroud_r - self.hub_r)[:, None]
        return z, r


def from_spans(values: Any, eta: Array) -> Array:
    """Values at the shares ``eta`` from those at hub, middle and shroud, (stations, 3, *designs), by a parabola; or a constant."""
    if np.ndim(values) == 0:
        return np.full(eta.shape, values)
    hub, middle, shroud = values[:, :1], values[:, 1:2], values[:, 2:]
    found: Array = hub + eta * ((4 * middle - 3 * hub - shroud) + eta * (2 * hub - 4 * middle + 2 * shroud))
    return found


class Course:
    """The course of the streamlines through the points z, r: unit tangent, curvature, derivatives along it.

    Tangents by central differences and curvatures of the circles through three neighbours, both exact for arcs. The first
    and the last station take their neighbour's curvature, and the tangent that an arc has.
    """

    def __init__(self, z: Array, r: Array) -> None:
        self.z, self.r = z, r
        dz, dr = z[1:] - z[:-1], r[1:] - r[:-1]
        self.step = step = np.sqrt(dz * dz + dr * dr)
        self._ahead = step[1:] / (step[1:] + step[:-1])

        chord_z, chord_r = dz / step, dr / step
        tz, tr = self._from_slopes(chord_z), self._from_slopes(chord_r)
        size = np.sqrt(tz * tz + tr * tr)
        tz, tr = tz / size, tr / size
        for end, inner in ((0, 1), (-1, -2)):
            double = 2 * (chord_z[end] * tz[inner] + chord_r[end] * tr[inner])
            tz[end], tr[end] = double * chord_z[end] - tz[inner], double * chord_r[end] - tr[inner]
        self.tangent_z, self.tangent_r = tz, tr

        across = np.sqrt((z[2:] - z[:-2]) ** 2 + (r[2:] - r[:-2]) ** 2)
        self.curvature = np.empty_like(z)
        self.curvature[1:-1] = 2 * (chord_z[:-1] * chord_r[1:] - chord_r[:-1] * chord_z[1:]) / across
        self.curvature[0], self.curvature[-1] = self.curvature[1], self.curvature[-2]

    def along(self, f: Array) -> Array:
        """Derivative of ``f`` along the streamlines: of second order inside, one-sided at both ends."""
        return self._from_slopes((f[1:] - f[:-1]) / self.step)

    def _from_slopes(self, slope: Array) -> Array:
        f = np.empty((len(slope) + 1, *slope.shape[1:]))
        f[0], f[-1] = slope[0], slope[-1]
        f[1:-1] = slope[1:] + (slope[:-1] - slope[1:]) * self._ahead
        return f


class Across:
    """Derivatives and integrals over ``eta``, from hub to shroud, for the places of the streamlines."""

    def __init__(self, eta: Array) -> None:
        self._step = eta[:, 1:] - eta[:, :-1]
        self._weight = self._step[:, :-1] / (self._step[:, 1:] + self._step[:, :-1])

    def derivative(self, f: Array) -> Array:
        """Derivative with respect to ``eta``, of second order everywhere: exact for parabolas."""
        slope = (f[:, 1:] - f[:, :-1]) / self._step
        d = np.empty_like(f)
        d[:, 1:-1] = slope[:, :-1] + self._weight * (slope[:, 1:] - slope[:, :-1])
        d[:, 0], d[:, -1] = 2 * slope[:, 0] - d[:, 1], 2 * slope[:, -1] - d[:, -2]
        return d

    def integral(self, f: Array) -> Array:
        """Integral from the hub to each streamline by trapezes."""
        total = np.zeros_like(f)
        np.cumsum((f[:, 1:] + f[:, :-1]) * (self._step / 2), axis=1, out=total[:, 1:])
        return total

    def total(self, f: Array) -> Array:
        """Integral from hub to shroud, (stations, 1, *designs)."""
        pieces: Array = np.add.reduce((f[:, 1:] + f[:, :-1]) * self._step, axis=1, keepdims=True)
        return pieces / 2
