"""Holes through the disc from its flat back to the hub's wall (millimetres)."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import MM
from aerodesign.cad.primitives import circle_in, cylinder, frame
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.surfaces import circle2d, curve2d_through, curve_through, line, line2d
from aerodesign.geometry.back import hub_at
from aerodesign.geometry.holes import Hole
from aerodesign.geometry.meridional import Contour

Array = NDArray[np.float64]

STEPS = 97
"""Points round a mouth; the curve through them stays within 1e-5 mm of both surfaces."""
DEGREE = 5


class Drilled:
    """One hole; ``hub`` is the wall's contour in mm. Adds its wall; the mouths are loops for the faces at both ends."""

    def __init__(self, boundary: Boundary, hole: Hole, hub: Contour) -> None:
        hole = replace(hole, centre=MM * hole.centre, radius=MM * hole.radius, back=MM * hole.back)
        self._hole, self._key = hole, ("hole", hole.pitch)
        self._phi = np.linspace(0, 2 * np.pi, STEPS)
        r, self._theta = hole.mouth(self._phi)
        self._t, z = hub_at(hub, r)
        self._build(boundary, np.stack([r * np.cos(self._theta), r * np.sin(self._theta), z], axis=1))

    def _build(self, boundary: Boundary, mouth: Array) -> None:
        hole, key = self._hole, self._key
        radial = np.array([np.cos(hole.angle), np.sin(hole.angle), 0.0])
        centre = hole.centre * radial + np.array([0, 0, hole.back])
        axes = frame(centre, (0, 0, 1), radial)
        depth = float(hole.back - mouth[0, 2])
        for end, curve in (
            ("mouth", curve_through(mouth, self._phi, DEGREE)),
            ("back", circle_in(axes, hole.radius)),
        ):
            boundary.edge(
                (*key, end), curve, start=(*key, end, "start"), end=(*key, end, "start"), first=0.0, last=2 * np.pi, family=("hole", end)
            )  # fmt: skip
        boundary.edge(
            (*key, "seam"),
            line(mouth[0], (0, 0, 1)),
            start=(*key, "mouth", "start"),
            end=(*key, "back", "start"),
            first=0.0,
            last=depth,
            family=("hole", "seam"),
        )
        on_wall = curve2d_through(np.stack([self._phi, mouth[:, 2] - hole.back], axis=1), self._phi, DEGREE)
        loop = [
            Use((*key, "mouth"), on_wall),
            Use((*key, "seam"), line2d((2 * np.pi, -depth), (0, 1))),
            Use((*key, "back"), line2d((0, 0), (1, 0))),
            Use((*key, "seam"), line2d((0, -depth), (0, 1))),
        ]
        boundary.face(key, cylinder(axes, hole.radius), [loop], lambda p: np.array([*(centre - p)[:2], 0.0]))

    @property
    def pitch(self) -> int:
        """Number of the pitch that it lies in."""
        return self._hole.pitch

    def in_hub(self, face: Revolution) -> list[list[Use]]:
        """The mouth's loop in the parameter plane of the hub's wall."""
        flat = np.stack([self._theta - face.seam, self._t], axis=1)
        return [[Use((*self._key, "mouth"), curve2d_through(flat, self._phi, DEGREE))]]

    def on_back(self, face: Revolution) -> list[Use]:
        """The circle in the plane of the back."""
        angle = self._hole.angle - face.seam
        centre = self._hole.centre * np.array([np.cos(angle), np.sin(angle)])
        return [Use((*self._key, "back"), circle2d(self._hole.radius, angle, centre))]
