"""Cross-sections of a volute: a shape is a class with one method, its outline.

An outline is an open curve in the meridional plane from one corner of the slot, ``(r3, -b3/2)``, round the section to
the other, ``(r3, +b3/2)``. Area, centroid and the integral of dA/r that decides the angular-momentum schedule follow
from it by Green's theorem.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Area, Length, Values


class Outline(NamedTuple):
    """Points of an outline, each of shape ``(n, *designs)``: radius and axial position."""

    r: NDArray[np.float64]
    z: NDArray[np.float64]


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

        Newton's method on the logarithms (the integral grows about as a power of the size); eight passes reach 1e-10
        over integrals of 0.001 to 1 times ``b3``.
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
    f, z = np.asarray(antiderivative(outline.r)), outline.z
    f0, f1, f2 = f[:-2:2], f[1:-1:2], f[2::2]
    z0, z1, z2 = z[:-2:2], z[1:-1:2], z[2::2]
    total: Values = np.sum(f0 * (4 * z1 - 3 * z0 - z2) + 4 * f1 * (z2 - z0) + f2 * (z0 - 4 * z1 + 3 * z2), axis=0) / 6
    return total


def _leaning(outline: Outline, lean: float, r3: Length) -> Outline:
    """The outline sheared towards one side, corners in place: every radius keeps its width, and so area and integrals stay."""
    return Outline(outline.r, outline.z + np.tan(lean) * (outline.r - r3))


@dataclass(frozen=True)
class Circle(Section):
    """A circular arc through both corners of the slot; ``lean`` shears it towards +z."""

    name: str = "circle"
    points: int = 41
    lean: float = 0.0

    @property
    def joints(self) -> tuple[int, ...]:
        return (0, self.points - 1)

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        half_sweep = 2 * np.arctan(2 * size / b3)
        radius = b3 / 2 / np.sin(half_sweep)
        centre = r3 - radius * np.cos(half_sweep)
        angle = np.multiply.outer(np.linspace(-1, 1, self.points), half_sweep)
        return _leaning(Outline(centre + radius * np.cos(angle), radius * np.sin(angle)), self.lean, r3)


@dataclass(frozen=True)
class Ellipse(Section):
    """An arc of an ellipse through both corners of the slot: a circle, ``aspect`` times as wide as high; then ``lean``."""

    name: str = "ellipse"
    aspect: float = 1.5
    points: int = 41
    lean: float = 0.0

    @property
    def joints(self) -> tuple[int, ...]:
        return (0, self.points - 1)

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        r, z = Circle(points=self.points).outline(size=size, r3=r3, b3=b3 / self.aspect)
        return _leaning(Outline(r, self.aspect * z), self.lean, r3)


@dataclass(frozen=True)
class RoundedTrapezoid(Section):
    """Side walls that flare from the slot's corners, an outer wall at one radius, and an arc at each outer corner.

    The side walls lean by ``flare_start`` from the radial direction in a section that is low against the slot's width
    and by ``flare`` in a high one. Growing, they leave room between the last section and the first, in which the
    tongue of the solid stands. ``corner`` is the radius of the arcs over half the width of the outer wall; the arcs
    give way where the walls are too short for them. ``points`` counts those of one piece: side wall, arc, half of the
    outer wall, and back. ``lean`` shears the whole towards +z.
    """

    name: str = "trapezoid"
    flare_start: float = float(np.radians(8))
    flare: float = float(np.radians(25))
    corner: float = 0.35
    points: int = 13
    lean: float = 0.0

    @property
    def joints(self) -> tuple[int, ...]:
        return tuple(piece * (self.points - 1) for piece in (0, 1, 2, 4, 5, 6))

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        # half of the growth is done where the section is two slots high, between the ends of a blower's usual spiral
        growth = size / (size + 2 * b3)
        slope = np.tan(self.flare_start) + (np.tan(self.flare) - np.tan(self.flare_start)) * growth
        half_width = b3 / 2 + size * slope
        stretch = np.hypot(1, slope)
        side = size * stretch

        turn = np.pi / 2 + np.arctan(slope)
        tangent = np.tan(turn / 2)
        setback = _least(self.corner * half_width * tangent, 0.8 * side, 0.8 * half_width)
        radius = setback / tangent

        up, round_, along = _evened(side - setback, radius * turn, half_width - setback, points=self.points)
        angle = round_ / np.where(radius > 0, radius, 1) - turn
        r = (r3 + up / stretch, r3 + size - radius + radius * np.cos(angle), r3 + size + 0 * along)
        z = (
            -b3 / 2 - up * slope / stretch,
            setback - half_width + radius * np.sin(angle),
            setback - half_width + along,
        )

        half_r = np.concatenate([r[0][:-1], r[1][:-1], r[2]])
        half_z = np.concatenate([z[0][:-1], z[1][:-1], z[2]])
        whole = Outline(np.concatenate([half_r, half_r[-2::-1]]), np.concatenate([half_z, -half_z[-2::-1]]))
        return _leaning(whole, self.lean, r3)


@dataclass(frozen=True)
class Rectangle(Section):
    """Parallel side walls, ``width`` slot widths apart, and a cylindrical outer wall.

    ``side`` moves it along the axis: 0 in the middle of the slot, 1 (or -1) flush with the slot's wall at -z (or +z).
    """

    name: str = "rectangle"
    width: float = 1.0
    points: int = 17
    side: float = 0.0

    def walls(self, b3: Length) -> tuple[Length, Length]:
        """Axial positions of both side walls."""
        shift = self.side * (self.width - 1) * b3 / 2
        return shift - self.width * b3 / 2, shift + self.width * b3 / 2

    @property
    def joints(self) -> tuple[int, ...]:
        return tuple(corner * (self.points - 1) for corner in range(6))

    def outline(self, *, size: Length, r3: Length, b3: Length) -> Outline:
        size, r3, b3 = np.broadcast_arrays(size, r3, b3)
        slot, (low, high) = b3 / 2, self.walls(b3)
        corners_r = np.stack([r3, r3, r3 + size, r3 + size, r3, r3])
        corners_z = np.stack([-slot, low, low, high, high, slot])
        return _along(corners_r, corners_z, self.points)


def _along(corners_r: NDArray[np.float64], corners_z: NDArray[np.float64], points: int) -> Outline:
    """Straight lines through the corners, each cut into ``points - 1`` equal (and an even number of) parts."""
    t = np.linspace(0, 1, points).reshape((-1,) + (1,) * (np.ndim(corners_r) - 1))

    def line(corners: NDArray[np.float64]) -> NDArray[np.float64]:
        parts = [a + (b - a) * t[:-1] for a, b in pairwise(corners)]
        return np.concatenate([*parts, corners[-1:]])

    return Outline(line(corners_r), line(corners_z))


def _least(wish: Values, *limits: Values) -> Values:
    """About the least of the lengths, with no kink where another one takes over; zero stays zero."""
    return wish / (1 + sum((wish / limit) ** 4 for limit in limits)) ** 0.25


def _evened(*lengths: Values, points: int) -> list[Values]:
    """Positions on the pieces of a half outline, of which the last ends in the plane of symmetry.

    A cubic on each piece: the speed is the same on both sides of a joint (the harmonic mean of the two lengths, so that
    no position turns back), and a spline through the points with one parameter for all sizes stays smooth there.
    """
    t = np.linspace(0, 1, points).reshape((-1,) + (1,) * np.ndim(sum(lengths)))
    joints = [2 * a * b / (a + b) for a, b in pairwise(lengths)]
    starts = [1.5 * lengths[0] - 0.5 * joints[0], *joints]
    ends = [*joints, 1.5 * lengths[-1] - 0.5 * joints[-1]]
    return [
        start * t + (3 * length - 2 * start - end) * t**2 + (start + end - 2 * length) * t**3
        for length, start, end in zip(lengths, starts, ends, strict=True)
    ]


def section_named(name: str) -> Section:
    """The section of a given name, such as "circle" or "trapezoid", in its usual proportions.

    Raises CaseError for a name that no section has.
    """
    sections = {section.name: section for section in (family() for family in Section.__subclasses__())}
    if name not in sections:
        raise CaseError(f"section = {name!r}: no such cross-section of a volute; choose one of {', '.join(sections)}")
    return sections[name]
