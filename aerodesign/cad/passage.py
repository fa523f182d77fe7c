"""The room of the gas in the wheel, from the plane where its walls begin to the cylinder r2: one passage, or all of them.

A passage reaches from a surface midway between the blades to the next one, a pitch further; the full blade stands inside
it, with the splitter where there is one. All passages side by side, without the surfaces between them, are the
annulus. A semi-open wheel's gas fills the gap above the blade tips; a covered wheel's ends at the cover.
"""

from collections.abc import Hashable
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.cad.blade_faces import Blade, BladeShape
from aerodesign.cad.boundary import Boundary, Hollow, Use
from aerodesign.cad.kernel import MM
from aerodesign.cad.primitives import frame, plane
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.solid import Solid
from aerodesign.cad.surfaces import circle, circle2d, line2d, spline_curve, spline_curve2d, surface_of_poles
from aerodesign.cad.walls import Ring, Wall
from aerodesign.core.flags import raised
from aerodesign.geometry.gas_room import GasRoom
from aerodesign.geometry.meridional import Contour

Array = NDArray[np.float64]

ALONG, ACROSS = 121, 9
"""Stations of a surface between passages: from inlet to exit, from hub to casing."""
X, Z = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])


def annulus_solid(room: GasRoom) -> Solid:
    """All passages of a wheel as one solid."""
    boundary = _Passages(room, round(float(room.impeller.blades)), whole=True).boundary
    r2, z = float(room.impeller.r2), room.hub.at(np.array([room.start, 1.0]))[:, 0]
    bounds = np.array([[-r2, -r2, z[0]], [r2, r2, z[1]]])
    return Solid(boundary.solid(), room.volume, bounds, raised(room.row.flags))


def passage_solid(room: GasRoom) -> Solid:
    """One passage of a wheel; copies of it, turned by a pitch each, fill the annulus."""
    boundary = _Passages(room, 1, whole=False).boundary
    t, share = np.linspace(room.start, 1, 241), np.linspace(0, 1, 9)
    turns = room.first + room.pitch * np.linspace(0, 1, 41)
    skin = np.concatenate([room.between.points(t, share, turn).reshape(-1, 3) for turn in turns])
    count = round(float(room.impeller.blades))
    bounds = np.array([skin.min(axis=0), skin.max(axis=0)])
    return Solid(boundary.solid(), room.volume / count, bounds, raised(room.row.flags), skin)


class _Passages:
    """Fills ``boundary`` with ``count`` neighbouring passages; where they are ``whole``, the last one meets the first."""

    def __init__(self, room: GasRoom, count: int, *, whole: bool) -> None:
        self.room, self.count, self.whole = room, count, whole
        self.covered = bool(room.impeller.covered)
        self.boundary = Boundary()
        self.r2 = MM * float(room.impeller.r2)
        kinds = [(BladeShape(room.row.full, "full"), 0.0)]
        if room.row.splitter is not None:
            kinds.append((BladeShape(room.row.splitter, "splitter"), room.row.splitter_turn))
        self.ring = Ring(
            [[shape.at((shape.kind, k), k * room.pitch + shift) for shape, shift in kinds] for k in range(count)]
        )
        tip = room.blading.meridional.shroud
        self.walls = {
            name: Wall(name, Contour(MM * contour.poles), side, room.start, self.r2, self.ring, Hollow(self.boundary))
            for name, contour, side in (("hub", room.hub, 1.0), ("tip", tip, -1.0), ("casing", room.casing, -1.0))
        }
        self.outer = "tip" if self.covered else "casing"
        self.sides = ("hub", self.outer)
        self._build()

    def _build(self) -> None:
        hollow = Hollow(self.boundary)
        for k in range(self.count if self.whole else self.count + 1):
            self._part_lines(k)
        for blade in self.ring.blades():
            blade.build(hollow)
        if not self.covered:
            self.walls["tip"].add_tips()
        for k in range(self.count):
            for name in self.sides:
                self._wall(k, name, touched=name != "casing")
            self._inlet(k)
            self._exit(k)
        if not self.whole:
            self._part_face(0, -1.0)
            self._part_face(self.count, 1.0)

    def _number(self, k: int) -> int:
        return k % self.count if self.whole else k

    def _turn(self, k: int) -> float:
        return self.room.first + k * self.room.pitch

    @cached_property
    def _part(self) -> tuple[Array, Array, Array, Array]:
        """Knots and poles of the surface between passages, unturned: along, across, poles (n, m, 3), angles at both walls."""
        t, share = np.linspace(self.room.start, 1, ALONG), np.linspace(0, 1, ACROSS)
        grid = MM * self.room.between.points(t, share)
        along = make_interp_spline(t, grid, k=5, axis=0)
        across = make_interp_spline(share, along.c, k=5, axis=1)
        angles = make_interp_spline(t, self.room.between.angle(t[:, None], np.array([[0.0, 1.0]])), k=5)
        return along.t, across.t, np.moveaxis(across.c, 0, 1), angles.c

    def _turned(self, poles: Array, k: int) -> Array:
        c, s = np.cos(self._turn(k)), np.sin(self._turn(k))
        return np.asarray(poles @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]))

    def _ends(self, end: int) -> tuple[float, float]:
        """Angles of an unturned surface between passages at the inlet (0) or the exit (-1): at hub and casing."""
        t = np.array([self.room.start if end == 0 else 1.0])
        low, high = self.room.between.angle(t[:, None], np.array([[0.0, 1.0]]))[0]
        return float(low), float(high)

    def _part_lines(self, k: int) -> None:
        """The four edges of the surface that begins passage k."""
        along, across, poles, _ = self._part
        poles = self._turned(poles, k)
        corner = {(side, end): ("part", side, end, k) for side in self.sides for end in ("inlet", "exit")}
        for column, side in zip((0, -1), self.sides, strict=True):
            self.boundary.edge(
                ("part", side, k),
                spline_curve(BSpline(along, poles[:, column], 5)),
                start=corner[side, "inlet"],
                end=corner[side, "exit"],
                first=self.room.start,
                last=1.0,
                family=("part", side),
            )
        for row, end in ((0, "inlet"), (-1, "exit")):
            self.boundary.edge(
                ("part", end, k),
                spline_curve(BSpline(across, poles[row], 5)),
                start=corner["hub", end],
                end=corner[self.outer, end],
                first=0.0,
                last=1.0,
                family=("part", end),
            )

    def _part_face(self, k: int, ahead: float) -> None:
        along, across, poles, _ = self._part
        start = self.room.start
        surface = surface_of_poles(self._turned(poles, k), along, across, 5, 5)
        loop = [
            Use(("part", "hub", k), line2d((0, 0), (1, 0))),
            Use(("part", "exit", k), line2d((1, 0), (0, 1))),
            Use(("part", self.outer, k), line2d((0, 1), (1, 0))),
            Use(("part", "inlet", k), line2d((start, 0), (0, 1))),
        ]
        self.boundary.face(("part", k), surface, [loop], lambda p: ahead * np.array([-p[1], p[0], 0.0]))

    def _blades(self, k: int) -> list[Blade]:
        return self.ring.pitches[k]

    def _arcs(self, name: str, k: int) -> list[tuple[Hashable, float]]:
        """The arcs of passage k where a wall ends at r2, with the angle that each starts from, in growing angle."""
        wall = self.walls[name]
        side = self.sides.index(name)
        low, high = (self._ends(-1)[side] + self._turn(j) for j in (k, k + 1))
        stops: list[tuple[Hashable, float]] = []
        if name != "casing":
            for blade in self._blades(k):
                suction, pressure = blade.track_ends(name)
                stops += [
                    (blade.corner("suction", blade.line(name)), suction),
                    (blade.corner("pressure", blade.line(name)), pressure),
                ]
        places = [
            (("part", name, "exit", k), low),
            *stops,
            (("part", name, "exit", self._number(k + 1)), high),
        ]
        arcs: list[tuple[Hashable, float]] = []
        for number, (start, end) in enumerate(zip(places[::2], places[1::2], strict=True)):
            key = (name, "exit", k, number)
            self.boundary.edge(
                key,
                circle(z=wall.z_exit, r=self.r2, angle=start[1]),
                start=start[0],
                end=end[0],
                first=0.0,
                last=end[1] - start[1],
                family=(name, "exit", number),
            )
            arcs.append((key, start[1]))
        return arcs

    def _inlet_arc(self, name: str, k: int) -> tuple[Hashable, float]:
        z, r = (float(x) for x in self.walls[name].contour.at(self.room.start))
        start = self._ends(0)[self.sides.index(name)] + self._turn(k)
        key = (name, "inlet", k)
        self.boundary.edge(
            key,
            circle(z=z, r=r, angle=start),
            start=("part", name, "inlet", k),
            end=("part", name, "inlet", self._number(k + 1)),
            first=0.0,
            last=self.room.pitch,
            family=(name, "inlet"),
        )
        return key, start

    def _wall(self, k: int, name: str, *, touched: bool) -> None:
        """Passage k's part of the hub, the casing or the cover; ``touched`` by the blades' roots."""
        wall = self.walls[name]
        angles = self._part[3][:, self.sides.index(name)] + self._turn(k)
        tracks = [b.shape.track(name)[:, 0] + b.angle for b in self._blades(k)] if touched else []
        around = np.concatenate([angles, angles + self.room.pitch, *tracks])
        face = Revolution(wall.curve, float(around.min() + around.max()) / 2 - np.pi)

        def part_line(angle: float) -> Any:
            along, _, _, both = self._part
            turned = both[:, self.sides.index(name)] + angle - face.seam
            t = make_interp_spline(np.linspace(self.room.start, 1, ALONG), np.linspace(self.room.start, 1, ALONG), k=5)
            return spline_curve2d(BSpline(along, np.stack([turned, t.c], axis=1), 5))

        inlet, start = self._inlet_arc(name, k)
        arcs = self._arcs(name, k)
        loop = [
            Use(inlet, face.circle2d(start, 0)),
            Use(("part", name, self._number(k + 1)), part_line(self._turn(k + 1))),
        ]
        blades = self._blades(k) if touched else []
        for (key, angle), blade in zip(arcs[:0:-1], blades[::-1], strict=True):
            curve = blade.wall_curve(name, face.seam)
            number = blade.line(name)
            loop += [
                Use(key, face.circle2d(angle, 1)),
                Use(blade.edge("pressure", number), curve),
                Use(blade.edge("suction", number), curve),
            ]
        loop.append(Use(arcs[0][0], face.circle2d(arcs[0][1], 1)))
        loop.append(Use(("part", name, k), part_line(self._turn(k))))
        self.boundary.face((name, k), face.surface, [loop], wall.normal(-wall.side))

    def _inlet(self, k: int) -> None:
        """Passage k's part of the plane where the gas comes in."""
        _, across, poles, _ = self._part
        z = float(self.walls["hub"].contour.at(self.room.start)[0])
        lines = [
            Use(
                ("part", "inlet", self._number(j)), spline_curve2d(BSpline(across, self._turned(poles, j)[0, :, :2], 5))
            )
            for j in (k, k + 1)
        ]
        arcs = []
        for name in self.sides:
            key, start = self._inlet_arc(name, k)
            r = float(self.walls[name].contour.at(self.room.start)[1])
            arcs.append(Use(key, circle2d(r, start)))
        loop = [arcs[0], lines[1], arcs[1], lines[0]]
        self.boundary.face(("inlet", k), plane(frame(z * Z, Z, X)), [loop], lambda p: -Z)

    def _exit(self, k: int) -> None:
        """Passage k's part of the cylinder r2: one face over the blades' tips, or one a gap under a cover."""
        hub, outer = (self._arcs(name, k) for name in self.sides)
        z_hub, z_outer = (self.walls[name].z_exit for name in self.sides)
        low = self._ends(-1)[0] + self._turn(k)
        face = Revolution(np.array([[z_outer, self.r2], [z_hub, self.r2]]), low + self.room.pitch / 2 - np.pi)

        def part_line(j: int) -> Use:
            start, end = (angle + self._turn(j) - face.seam for angle in self._ends(-1))
            ends = np.array([[start, z_hub], [end, z_outer]])
            line = make_interp_spline([0.0, 1.0], ends, k=1)
            return Use(("part", "exit", self._number(j)), spline_curve2d(line))

        def arc(place: tuple[Hashable, float], z: float) -> Use:
            return Use(place[0], line2d((place[1] - face.seam, z), (1, 0)))

        def normal(p: Array) -> Array:
            return np.array([p[0], p[1], 0.0])

        def over(blade: Blade) -> list[Use]:
            """A blade's outline on the cylinder; of a full round edge only its fillet's."""
            if blade.shape.skin.exit:
                return [blade.round_on_rim("hub", face.seam)]
            start = blade.track_ends("tip")[0] - face.seam
            tip = Use((blade.key, "tip end"), line2d((start, self.walls["tip"].z_exit), (1, 0)))
            return [*blade.exit_line("suction", face.seam), tip, *blade.exit_line("pressure", face.seam)[::-1]]

        blades = self._blades(k)
        if self.covered and not self.room.row.full.exit:
            left: list[Use] = [part_line(k)]
            for step, (low_arc, high_arc) in enumerate(zip(hub, outer, strict=True)):
                last = step == len(blades)
                right = [part_line(k + 1)] if last else blades[step].exit_line("suction", face.seam)
                loop = [arc(low_arc, z_hub), *right, arc(high_arc, z_outer), *left[::-1]]
                self.boundary.face(("exit", k, step), face.surface, [loop], normal)
                if not last:
                    left = blades[step].exit_line("pressure", face.seam)
            return
        loop = [arc(hub[0], z_hub)]
        for blade, following in zip(blades, hub[1:], strict=True):
            loop += [*over(blade), arc(following, z_hub)]
        loop.append(part_line(k + 1))
        for blade, following in zip(blades[::-1], outer[:0:-1], strict=self.covered):
            loop += [arc(following, z_outer), blade.round_on_rim("tip", face.seam)]
        loop += [arc(outer[0], z_outer), part_line(k)]
        self.boundary.face(("exit", k), face.surface, [loop], normal)
