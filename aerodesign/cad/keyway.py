"""A bore with a keyway from its back: the cylinder, and the slot's sides, floor and, where it ends in the bore, its end (millimetres)."""

from collections.abc import Hashable

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import MM
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.straight import Straight
from aerodesign.cad.surfaces import circle, line2d
from aerodesign.cad.turned import Junction
from aerodesign.geometry.bore import Slot

Array = NDArray[np.float64]


class KeyedBore:
    """The bore from ``z_front`` to ``z_end`` with its slot in the direction of x; ``front`` and ``end`` are its mouths.

    A ``blind`` slot begins with a wall at ``z_front``, where the bore goes on without it: ``front`` is then the whole circle.
    """

    def __init__(self, boundary: Boundary, slot: Slot, z_front: float, z_end: float, *, blind: bool = False) -> None:
        self._boundary, self._ends = boundary, {"front": z_front, "end": z_end}
        self._radius, w, h = MM * slot.bore, MM * slot.half_width, MM * slot.floor
        self._half_angle = float(np.arcsin(w / self._radius))
        x = self._radius * np.cos(self._half_angle)
        corners = {"a": (x, w), "b": (h, w), "c": (h, -w), "d": (x, -w)}
        self._slot = Straight(
            boundary,
            "keyway",
            {f"{end} {name}": np.array([*xy, z]) for end, z in self._ends.items() for name, xy in corners.items()},
        )
        self._build()
        self.front, self.end = (self._mouth(end) for end in self._ends)
        if blind:
            self.front = self._closed()

    def _build(self) -> None:
        turn = 2 * np.pi - 2 * self._half_angle
        for end, z in self._ends.items():
            self._boundary.edge(
                ("keyway", end, "arc"),
                circle(z=z, r=self._radius, angle=self._half_angle),
                start=self._slot.vertex(f"{end} a"),
                end=self._slot.vertex(f"{end} d"),
                first=0.0,
                last=turn,
            )
        face = Revolution(np.array([[z, self._radius] for z in self._ends.values()]), 0.0)
        high = self._half_angle
        side_a = Use(self._slot.edge("front a", "end a"), self._axial(high))
        side_d = Use(self._slot.edge("front d", "end d"), self._axial(2 * np.pi - high))
        arcs = [Use(("keyway", end, "arc"), face.circle2d(high, number)) for number, end in enumerate(self._ends)]
        self._boundary.face(
            "keyed bore", face.surface, [[arcs[0], side_d, arcs[1], side_a]], lambda p: np.array([-p[0], -p[1], 0.0])
        )
        for (a, b), outward in ((("a", "b"), (0, -1, 0)), (("b", "c"), (-1, 0, 0)), (("c", "d"), (0, 1, 0))):
            self._slot.face([f"front {a}", f"front {b}", f"end {b}", f"end {a}"], np.array(outward, float))

    def _axial(self, angle: float) -> object:
        """The line along the bore at an angle in the parameter plane of the cylinder, from the end that sorts first."""
        start, other = sorted(self._ends)
        return line2d((angle, self._ends[start]), (0.0, np.sign(self._ends[other] - self._ends[start])))

    def _closed(self) -> Junction:
        """The wall at the slot's front end, and the circle ahead of it."""
        z, angle = self._ends["front"], self._half_angle
        self._boundary.edge(
            ("keyway", "front", "closing arc"),
            circle(z=z, r=self._radius, angle=-angle),
            start=self._slot.vertex("front d"),
            end=self._slot.vertex("front a"),
            first=0.0,
            last=2 * angle,
        )
        face = Revolution(np.array([[z, 0.0], [z, self._radius]]), 0.0)
        arc = Use(("keyway", "front", "closing arc"), face.circle2d_at(self._radius, -angle))
        loop = [arc, *self._slot.on_turned_plane([f"front {name}" for name in "abcd"], face)]
        self._boundary.face(("keyway", "end wall"), face.surface, [loop], lambda p: np.array([0.0, 0.0, 1.0]))
        edges: list[tuple[Hashable, float]] = [
            (("keyway", "front", "arc"), angle),
            (("keyway", "front", "closing arc"), 2 * np.pi - angle),
        ]
        return Junction(edges, self._slot.vertex("front a"), angle)

    def _mouth(self, end: str) -> Junction:
        """The edge of the bore in the plane at one of its ends."""

        def uses(face: Revolution) -> list[Use]:
            arc = Use(("keyway", end, "arc"), face.circle2d_at(self._radius, self._half_angle))
            return [arc, *self._slot.on_turned_plane([f"{end} {name}" for name in "dcba"], face)]

        return Junction([], self._slot.vertex(f"{end} a"), 0.0, uses)
