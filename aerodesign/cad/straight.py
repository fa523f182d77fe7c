"""Straight edges between named points, and the plane faces that they bound: keyways, ribs (millimetres)."""

from collections.abc import Hashable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.primitives import frame, plane
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.surfaces import line, line2d

Array = NDArray[np.float64]


class Straight:
    """Edges and faces between ``points`` (name to x, y, z); ``name`` tells them from those of others in the boundary."""

    def __init__(self, boundary: Boundary, name: Hashable, points: Mapping[str, Array]) -> None:
        self.boundary, self.name, self.points = boundary, name, points

    def vertex(self, corner: str) -> Hashable:
        """Name of the vertex at a point."""
        return (self.name, corner)

    def edge(self, a: str, b: str) -> Hashable:
        """Name of the edge between two points, made where it is new."""
        first, last = sorted((a, b))
        key = (self.name, first, last)
        start, direction, length = self._line(a, b)
        self.boundary.edge(
            key, line(start, direction), start=self.vertex(first), end=self.vertex(last), first=0.0, last=length
        )
        return key

    def _line(self, a: str, b: str) -> tuple[Array, Array, float]:
        first, last = sorted((a, b))
        start, way = self.points[first], self.points[last] - self.points[first]
        length = float(np.linalg.norm(way))
        return start, way / length, length

    def face(self, corners: Sequence[str], outward: Array) -> None:
        """The plane face round some corners; ``outward`` is any vector out of the solid."""
        origin = self.points[corners[0]]
        _, x, _ = self._line(corners[0], corners[1])
        normal = np.cross(x, self.points[corners[2]] - origin)
        normal = normal / np.linalg.norm(normal)
        axes = np.stack([x, np.cross(normal, x)])
        surface = plane(frame(origin, normal, x))
        loop = [self._use(a, b, lambda p: axes @ (p - origin), axes) for a, b in pairwise([*corners, corners[0]])]
        self.boundary.face((self.name, *corners), surface, [loop], lambda _: outward)

    def on_turned_plane(self, corners: Sequence[str], face: Revolution) -> list[Use]:
        """The edges from corner to corner with their curves in a plane across the axis."""
        c, s = np.cos(face.seam), np.sin(face.seam)
        axes = np.array([[c, s, 0.0], [-s, c, 0.0]])
        return [self._use(a, b, lambda p: axes @ p, axes) for a, b in pairwise(corners)]

    def _use(self, a: str, b: str, flat: Any, axes: Array) -> Use:
        start, direction, _ = self._line(a, b)
        return Use(self.edge(a, b), line2d(flat(start), axes @ direction))
