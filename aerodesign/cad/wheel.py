"""The boundary of a wheel: blades, walls, rim and the turned faces of its body (millimetres).

The rim, the cylinder r2 with the mouths of the passages cut out, is divided at the pressure side of each full blade.
"""

from collections.abc import Callable, Hashable
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.blade_faces import Blade, BladeShape
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.drilled import Drilled
from aerodesign.cad.kernel import MM
from aerodesign.cad.keyway import KeyedBore
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.ribs import Ribs
from aerodesign.cad.surfaces import circle, line, line2d
from aerodesign.cad.turned import Junction, Openings, add_turned
from aerodesign.cad.walls import Ring, Wall
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.body import Body, Curve
from aerodesign.geometry.meridional import Contour
from aerodesign.geometry.row import BladeRow

Array = NDArray[np.float64]


class Wheel:
    """Fills ``boundary`` with one wheel of ``count`` full blades."""

    def __init__(self, row: BladeRow, wheel: Body, *, count: int) -> None:
        self.boundary = Boundary()
        self.ring = _ring(row, count)
        self.r2 = MM * float(wheel.hub.at(1.0)[1])
        self.covered = bool(wheel.cover)
        self.hub, self.tip = (
            Wall(name, Contour(MM * contour.poles), side, wheel.start, self.r2, self.ring, self.boundary)
            for name, contour, side in (("hub", wheel.hub, 1.0), ("tip", wheel.shroud, -1.0))
        )
        outline, cover = [_millimetres(c) for c in wheel.outline], [_millimetres(c) for c in wheel.cover]
        self.z_back = float(outline[-1][-1, 0])
        self.z_front = float(cover[-1](1.0)[0]) if self.covered else self.tip.z_exit
        self._build(row, wheel, outline, cover)

    def _build(self, row: BladeRow, wheel: Body, outline: list[Any], cover: list[Any]) -> None:
        for blade in self.ring.blades():
            blade.build(self.boundary)
        holes = [Drilled(self.boundary, hole, self.hub.contour) for hole in wheel.holes]
        self.hub.add_patches({hole.pitch: hole.in_hub for hole in holes})
        if self.covered:
            self.tip.add_patches()
        else:
            self.tip.add_tips()
        back = self._rim_lines("back", self.hub, self.z_back)
        front = self._rim_lines("front", self.tip, self.z_front) if self.covered else None
        for k in range(self.ring.count):
            if row.full.exit:
                self._round_rim(k, self.hub, "back", self.z_back)
                if front:
                    self._round_rim(k, self.tip, "front", self.z_front)
            else:
                self._rim(k)
        self._body(wheel, outline, holes, back)
        if front:
            add_turned(self.boundary, "cover", cover, first=self.tip.inlet(), last=front, side=-1.0)

    def _body(self, wheel: Body, outline: list[Any], holes: list[Drilled], rim: Junction) -> None:
        """Nose, bore and back, with what is cut into them or stands on them."""
        openings: dict[int, Openings] = {}
        if wheel.vanes:
            openings[_plane_at(outline, MM * wheel.vanes.low)] = Ribs(self.boundary, wheel.vanes).feet
        if holes:
            at = _plane_at(outline, MM * wheel.holes[0].centre)
            others = openings.get(at)
            openings[at] = lambda face: [hole.on_back(face) for hole in holes] + (others(face) if others else [])
        if not wheel.slot:
            add_turned(self.boundary, "body", outline, first=self.hub.inlet(), last=rim, side=1.0, openings=openings)
            return
        (front, _), (end, _) = outline[wheel.bored]
        begins = max(front, end - MM * wheel.slot.length)
        blind, behind = begins > front, wheel.bored + 1
        bore = KeyedBore(self.boundary, wheel.slot, begins, end, blind=blind)
        openings = {number - behind: opening for number, opening in openings.items()}
        nose = outline[: wheel.bored]
        if blind:
            nose.append(np.array([[front, MM * wheel.slot.bore], [begins, MM * wheel.slot.bore]]))
        add_turned(self.boundary, "nose", nose, first=self.hub.inlet(), last=bore.front, side=1.0)
        add_turned(self.boundary, "body", outline[behind:], first=bore.end, last=rim, side=1.0, openings=openings)

    def _rim_lines(self, name: str, wall: Wall, z: float) -> Junction:
        """Axial lines on the rim from full blades to a corner circle, and that circle's arcs."""
        arcs: list[tuple[Hashable, float]] = []
        z_wall = wall.z_exit
        for k in range(self.ring.count):
            blade, angle = self.ring.full(k), self._rim_angle(wall, k)
            foot_point = (self.r2 * np.cos(angle), self.r2 * np.sin(angle), z_wall)
            self.boundary.edge(
                (name, "line", k),
                line(foot_point, (0, 0, np.sign(z - z_wall))),
                start=blade.corner("pressure", blade.line(wall.name)),
                end=(name, "corner", k),
                first=0.0,
                last=abs(z - z_wall),
                family=(name, "line"),
            )
            arcs.append(((name, "arc", k), angle))
        for k, (key, angle) in enumerate(arcs):
            self.boundary.edge(
                key,
                circle(z=z, r=self.r2, angle=angle),
                start=(name, "corner", k),
                end=(name, "corner", (k + 1) % self.ring.count),
                first=0.0,
                last=self.ring.pitch,
                family=(name, "arc"),
            )
        return Junction(arcs, (name, "corner", 0), arcs[0][1])

    def _rim_angle(self, wall: Wall, k: int) -> float:
        """Angle at which the pressure side of full blade k (k may run past the last) meets a wall at r2."""
        return self.ring.full(k).track_ends(wall.name)[1] + (k // self.ring.count) * 2 * np.pi

    def _rim(self, k: int) -> None:
        """One pitch of the rim, from the pressure side of full blade k to that of the next."""
        low, high = self._rim_angle(self.hub, k), self._rim_angle(self.hub, k + 1)
        face = Revolution(np.array([[self.z_back, self.r2], [self.hub.z_exit, self.r2]]), (low + high) / 2 - np.pi)
        neighbours = self.ring.neighbours(k)
        pairs = list(pairwise(neighbours))

        def axial(name: str, number: int, wall: Wall, z: float) -> Use:
            angle = self._rim_angle(wall, number) - face.seam
            z_wall = wall.z_exit
            return Use((name, "line", number % self.ring.count), line2d((angle, z_wall), (0, np.sign(z - z_wall))))

        mouths = [self._on_rim(self.hub, behind, face) for (behind, _), _ in pairs]
        loop = [Use(("back", "arc", k), face.circle2d(low, 0)), axial("back", k + 1, self.hub, self.z_back)]
        holes: list[list[Use]] = []
        if self.covered:
            loop += self._covered_rim(pairs, face, axial, mouths, k)
            holes = [
                [
                    *self._side(behind, "pressure", face),
                    self._on_rim(self.tip, behind[0], face),
                    *self._side(ahead, "suction", face)[::-1],
                    mouth,
                ]
                for (behind, ahead), mouth in zip(pairs[1:], mouths[1:], strict=True)
            ]
        else:
            for (_, ahead), mouth in zip(reversed(pairs), reversed(mouths), strict=True):
                blade, turn = ahead
                start = blade.track_ends("tip")[0] + turn - face.seam
                tip = Use((blade.key, "tip end"), line2d((start, self.tip.z_exit), (1, 0)))
                loop += self._side(ahead, "pressure", face)
                loop += [tip, *self._side(ahead, "suction", face)[::-1], mouth]
        loop.append(axial("back", k, self.hub, self.z_back))
        self.boundary.face(("rim", k), face.surface, [loop, *holes], lambda p: np.array([p[0], p[1], 0.0]))

    def _round_rim(self, k: int, wall: Wall, name: str, z: float) -> None:
        """One pitch of the rim of hub or cover where the blades have full round trailing edges: the mouths run together."""
        low, high = self._rim_angle(wall, k), self._rim_angle(wall, k + 1)
        face = Revolution(np.array([[z, self.r2], [wall.z_exit, self.r2]]), (low + high) / 2 - np.pi)

        def axial(number: int) -> Use:
            angle = self._rim_angle(wall, number) - face.seam
            return Use(
                (name, "line", number % self.ring.count), line2d((angle, wall.z_exit), (0, np.sign(z - wall.z_exit)))
            )

        loop = [Use((name, "arc", k), face.circle2d(low, 0)), axial(k + 1)]
        for (behind, _), (ahead, turn) in reversed(list(pairwise(self.ring.neighbours(k)))):
            loop += [ahead.round_on_rim(wall.name, face.seam - turn), self._on_rim(wall, behind, face)]
        loop.append(axial(k))
        self.boundary.face(("rim", name, k), face.surface, [loop], lambda p: np.array([p[0], p[1], 0.0]))

    def _covered_rim(
        self,
        pairs: list[tuple[tuple[Blade, float], tuple[Blade, float]]],
        face: Revolution,
        axial: Callable[[str, int, Wall, float], Use],
        mouths: list[Use],
        k: int,
    ) -> list[Use]:
        """The part of the loop that goes up the last blade, along the cover and down round the first mouth."""
        last, first = pairs[-1][1], pairs[0]
        front = line2d((self._rim_angle(self.tip, k) - face.seam, self.z_front), (1, 0))
        return [
            *self._side(last, "pressure", face),
            axial("front", k + 1, self.tip, self.z_front),
            Use(("front", "arc", k), front),
            axial("front", k, self.tip, self.z_front),
            self._on_rim(self.tip, first[0][0], face),
            *self._side(first[1], "suction", face)[::-1],
            mouths[0],
        ]

    def _side(self, place: tuple[Blade, float], side: str, face: Revolution) -> list[Use]:
        """One side of a trailing edge from hub to tip on the rim."""
        blade, turn = place
        return blade.exit_line(side, face.seam - turn)

    def _on_rim(self, wall: Wall, behind: Blade, face: Revolution) -> Use:
        """The mouth's arc on a wall, from the pressure side of a blade, on the rim."""
        angle = behind.track_ends(wall.name)[1] - face.seam
        return Use((wall.name, "exit", behind.key), line2d((angle, wall.z_exit), (1, 0)))


def _ring(row: BladeRow, count: int) -> Ring:
    pitch = 2 * np.pi / count
    kinds = [(BladeShape(row.full, "full"), 0.0)]
    if row.splitter is not None:
        kinds.append((BladeShape(row.splitter, "splitter"), row.splitter_turn))
    return Ring([[shape.at((shape.kind, k), k * pitch + shift) for shape, shift in kinds] for k in range(count)])


def _plane_at(outline: list[Any], r: float) -> int:
    """Number of the last curve of an outline that is a plane across the axis at a radius."""
    for number in reversed(range(len(outline))):
        curve = outline[number]
        if not isinstance(curve, BSpline) and curve[0, 0] == curve[1, 0] and min(curve[:, 1]) < r < max(curve[:, 1]):
            return number
    raise RejectedSolid(f"wheel: the back is not flat at {r:.4g} mm from the axis")


def _millimetres(curve: Curve) -> Any:
    if isinstance(curve, BSpline):
        return BSpline(curve.t, MM * curve.c, curve.k)
    return MM * curve
