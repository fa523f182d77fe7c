"""Round pieces one after the other about an axis anywhere: cones, cylinders, bends, rings, a disc at the end (millimetres).

A tube grows from a circle that exists. Every piece is a face whose seam goes on where the last one ended; ``outward``
says whether the body lies within the tube (1) or round it (-1).
"""

from collections.abc import Hashable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import occ
from aerodesign.cad.primitives import circle_in, cone, frame, plane
from aerodesign.cad.surfaces import circle2d, line, line2d

Array = NDArray[np.float64]

TURN = 2 * np.pi


@dataclass(frozen=True, eq=False)
class Tube:
    """The open end of a tube: edge and vertex ``key``, a circle about ``axis`` that starts in the direction ``x``."""

    boundary: Boundary
    key: Hashable
    centre: Array
    axis: Array
    x: Array
    radius: float
    outward: float = 1.0

    def cone(self, key: Hashable, length: float, radius: float) -> "Tube":
        """A cone, or a cylinder, to another radius at a distance along the axis."""
        end = replace(self, key=key, centre=self.centre + length * self.axis, radius=radius)
        end.rim()
        start = self.centre + self.radius * self.x
        surface, slant = cone(
            frame(self.centre, self.axis, self.x), radius=self.radius, end_radius=radius, length=length
        )
        self._seam(key, line(start, end.centre + radius * self.x - start), slant)
        loop = [
            Use((key, "seam"), line2d((0, 0), (0, 1))),
            Use(key, line2d((0, slant), (1, 0))),
            Use((key, "seam"), line2d((TURN, 0), (0, 1))),
            Use(self.key, line2d((0, 0), (1, 0))),
        ]
        self.boundary.face((key, "cone"), surface, [loop], self._from_axis)
        return end

    def bend(self, key: Hashable, angle: float, radius: float, about: Array) -> "Tube":
        """A bend of a centre line ``radius`` by a positive angle about the direction ``about``, across the axis."""
        towards = np.cross(self.axis, about)
        middle = self.centre - radius * towards
        turned = np.cos(angle) * towards + np.sin(angle) * self.axis
        ahead = np.cos(angle) * self.axis - np.sin(angle) * towards
        along, up = float(self.x @ towards), float(self.x @ about)
        end = replace(
            self, key=key, centre=middle + radius * turned, axis=ahead, x=along * turned + up * np.asarray(about)
        )
        end.rim()

        surface = occ.Geom.Geom_ToroidalSurface(frame(middle, about, towards), float(radius), float(self.radius))
        first = float(np.arctan2(up, along))
        seam = circle_in(
            frame(middle + self.radius * up * np.asarray(about), about, towards), radius + self.radius * along
        )
        self._seam(key, seam, angle)
        # about the axis the circles run against the torus's own second parameter
        loop = [
            Use(self.key, line2d((0, first), (0, -1))),
            Use((key, "seam"), line2d((0, first - TURN), (1, 0))),
            Use(key, line2d((angle, first), (0, -1))),
            Use((key, "seam"), line2d((0, first), (1, 0))),
        ]

        def outward(p: Array) -> Array:
            flat = p - middle - ((p - middle) @ about) * about
            return self.outward * (p - middle - radius * flat / np.linalg.norm(flat))

        self.boundary.face((key, "bend"), surface, [loop], outward)
        return end

    def ring(self, key: Hashable, radius: float, facing: float) -> "Tube":
        """A plane ring to another radius; the body lies behind it where ``facing`` is 1, ahead of it where -1."""
        end = replace(self, key=key, radius=radius)
        end.rim()
        outer, inner = (end, self) if radius > self.radius else (self, end)
        self.close(key, outer, inner, facing)
        return end

    def disc(self, key: Hashable, facing: float) -> None:
        """A plane disc that ends the tube."""
        self.close(key, self, None, facing)

    def close(self, key: Hashable, outer: "Tube", inner: "Tube | None", facing: float) -> None:
        """The plane between two circles about this axis, both of which exist."""
        y = np.cross(self.axis, self.x)
        loops = [
            [Use(tube.key, circle2d(tube.radius, float(np.arctan2(tube.x @ y, tube.x @ self.x))))]
            for tube in (outer, inner)
            if tube
        ]
        self.boundary.face(
            (key, "plane"), plane(frame(self.centre, self.axis, self.x)), loops, lambda p: facing * self.axis
        )

    def rim(self) -> None:
        """The edge of this end, where it does not exist yet."""
        circle = circle_in(frame(self.centre, self.axis, self.x), self.radius)
        self.boundary.edge(self.key, circle, start=self.key, end=self.key, first=0.0, last=TURN)

    def _seam(self, key: Hashable, curve: Any, last: float) -> None:
        self.boundary.edge((key, "seam"), curve, start=self.key, end=key, first=0.0, last=last)

    def _from_axis(self, p: Array) -> Array:
        arm = p - self.centre
        return self.outward * (arm - (arm @ self.axis) * self.axis)
