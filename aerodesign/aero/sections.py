"""Cross-sections of a volute: a shape is a class with one method, its outline.

An outline is an open curve in the meridional plane from one corner of the slot, ``(r3, -b3/2)``, round the section to the
other, ``(r3, +b3/2)``. Area, centroid and the integral of dA/r that decides the angular-momentum schedule follow
from it by Green's theorem.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Area, Length, Values


class Outline(NamedTuple):
    """Points of an outline, each of shape ``(n, *designs)``: radius and axial position."""

    r: Values
    z: Values


class Section(ABC):
    """A family of cross-sections that grows with one length, its ``size``: the height above the base circle."""

    name: str

    @abstractmethod
    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        """The outline of the section of a given height; an odd number of points, corners at even indices."""

    @property
    @abstractmethod
    def joints(self) -> tuple[int, ...]:
        """Indices of the first point, of those where two smooth pieces of the outline meet, and of the last point."""

    def area(self, *, size: Length, r3: Length, b3: Length) -> Area:
        """Area between the outline and the base circle."""
        return _contour(self.outline(size=size, r3=r3, b3=b3), lambda r: r - r3)

    def angular_integral(self, *, size: Length, r3: Length, b3: Length) -> Length:
        """Integral of dA / r over the section: a flow with r cu = K carries the volume K times this."""
        return _contour(self.outline(size=size, r3=r3, b3=b3), lambda r: np.log(r / r3))

    def centroid_radius(self, *, size: Length, r3: Length, b3: Length) -> Length:
        """Radius of the centroid of the section."""
        outline = self.outline(size=size, r3=r3, b3=b3)
        return _contour(outline, lambda r: (r**2 - r3**2) / 2) / _contour(outline, lambda r: r - r3)

    def size_for(self, *, angular_integral: Length, r3: Length, b3: Length) -> Length:
        """The size whose :meth:`angular_integral` has a given value.

        Newton's method on the logarithms (the integral grows about as a power of the size); eight passes reach 1e-10 over
        integrals of 0.001 to 1 times ``b3``.
        """
        size = np.sqrt(angular_integral * r3) + angular_integral * r3 / b3
        for _ in range(8):
            value = self.angular_integral(size=size, r3=r3, b3=b3)
            nudged = self.angular_integral(size=size * 1.0001, r3=r3, b3=b3)
            slope = np.log(nudged / value) / np.log(1.0001)
            size = size * np.exp(np.log(angular_integral / value) / slope)
        return size


def _contour(outline: Outline, antiderivative: Callable[[Values], Values]) -> Values:
    """Contour integral of f(r) dz along an outline, by Simpson's rule on f and z through each three points.

    The closing chord lies on r3, where every f used here vanishes.
    """
    f, z = antiderivative(outline.r), outline.z
    f0, f1, f2 = f[:-2:2], f[1:-1:2], f[2::2]
    z0, z1, z2 = z[:-2:2], z[1:-1:2], z[2::2]
    return np.sum(f0 * (4 * z1 - 3 * z0 - z2) + 4 * f1 * (z2 - z0) + f2 * (z0 - 4 * z1 + 3 * z2), axis=0) / 6


@dataclass(frozen=True)
class Circle(Section):
    """A circular arc through both corners of the slot."""

    name: str = "circle"
    points: int = 41

    @property
    def joints(self) -> tuple[int, ...]:
        return (0, self.points - 1)

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        half_sweep = 2 * np.arctan(2 * size / b3)
        radius = b3 / 2 / np.sin(half_sweep)
        centre = r3 - radius * np.cos(half_sweep)
        angle = np.multiply.outer(np.linspace(-1, 1, self.points), half_sweep)
        return Outline(centre + radius * np.cos(angle), radius * np.sin(angle))


@@TRAP@@


@dataclass(frozen=True)
class Rectangle(Section):
    """Parallel side walls, ``width`` slot widths apart, and a cylindrical outer wall."""

    name: str = "rectangle"
    width: float = 1.0
    points: int = 17

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        size, r3, b3 = np.broadcast_arrays(size, r3, b3)
        slot, wall = b3 / 2, self.width * b3 / 2
        corners_r = np.stack([r3, r3, r3 + size, r3 + size, r3, r3])
        corners_z = np.stack([-slot, -wall, -wall, wall, wall, slot])
        return _along(corners_r, corners_z, self.points)


def _along(corners_r: Values, corners_z: Values, points: int) -> Outline:
    """Straight lines through the corners, each cut into ``points - 1`` equal (and an even number of) parts."""
    t = np.linspace(0, 1, points).reshape((-1,) + (1,) * (np.ndim(corners_r) - 1))

    def line(corners: Values) -> Values:
        parts = [a + (b - a) * t[:-1] for a, b in zip(corners[:-1], corners[1:], strict=True)]
        return np.concatenate([*parts, corners[-1:]])

    return Outline(line(corners_r), line(corners_z))
