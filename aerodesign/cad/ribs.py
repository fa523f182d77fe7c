"""Straight ribs on the flat back of a disc (millimetres)."""

from itertools import pairwise

import numpy as np

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import MM
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.straight import Straight
from aerodesign.geometry.back import Vanes

CORNERS = ("a", "b", "c", "d")


class Ribs:
    """The ribs, with their sides and tops; :meth:`feet` are the openings that they need in the plane they stand on."""

    def __init__(self, boundary: Boundary, vanes: Vanes) -> None:
        self._ribs = [_rib(boundary, vanes, k) for k in range(vanes.number)]
        for k, rib in enumerate(self._ribs):
            angle = 2 * np.pi * k / vanes.number
            along, across = (
                np.array([np.cos(angle), np.sin(angle), 0.0]),
                np.array([-np.sin(angle), np.cos(angle), 0.0]),
            )
            rib.face([f"top {c}" for c in CORNERS], np.array([0.0, 0.0, 1.0]))
            for (a, b), outward in zip(pairwise((*CORNERS, "a")), (-across, along, across, -along), strict=True):
                rib.face([f"foot {a}", f"foot {b}", f"top {b}", f"top {a}"], outward)

    def feet(self, face: Revolution) -> list[list[Use]]:
        """The loops of their feet in a plane across the axis."""
        return [rib.on_turned_plane([f"foot {c}" for c in (*CORNERS, "a")], face) for rib in self._ribs]


def _rib(boundary: Boundary, vanes: Vanes, k: int) -> Straight:
    angle, half = 2 * np.pi * k / vanes.number, vanes.width / 2
    c, s = np.cos(angle), np.sin(angle)
    flat = dict(
        zip(CORNERS, [(vanes.low, -half), (vanes.high, -half), (vanes.high, half), (vanes.low, half)], strict=True)
    )
    points = {
        f"{level} {name}": MM * np.array([c * x - s * y, s * x + c * y, z])
        for level, z in (("foot", vanes.foot), ("top", vanes.top))
        for name, (x, y) in flat.items()
    }
    return Straight(boundary, ("rib", k), points)
