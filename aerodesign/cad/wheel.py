"""The boundary of a wheel: walls, rim and body of revolution between its blades (millimetres).

The walls are cut into one patch a pitch, along the meridian from the inlet to the nose of each full blade, so that no
patch closes on itself. The rim is cut at the pressure side of each full blade.
"""

from collections.abc import Callable, Hashable
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.blade_faces import Blade, BladeShape
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import MM
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.surfaces import circle, line, line2d
from aerodesign.cad.turned import Junction, add_turned
from aerodesign.geometry.body import Body, Curve, piece
from aerodesign.geometry.fillet import foot
from aerodesign.geometry.meridional import Contour
from aerodesign.geometry.row import BladeRow

Array = NDArray[np.float64]


class _Wall(NamedTuple):
    """A flow wall: its name, contour in mm from the inlet to r2, and on which side of it the flow is."""

    name: str
    contour: Contour
    curve: BSpline
    side: float


class Wheel:
    """Fills ``boundary`` with one wheel of ``count`` full blades."""

    def __init__(self, row: BladeRow, wheel: Body, *, count: int) -> None:
        self.boundary = Boundary()
        self.count = count
        self.pitch = 2 * np.pi / count
        self.r2 = MM * float(wheel.hub.at(1.0)[1])
        self.covered = bool(wheel.cover)
        self.start = wheel.start
        self.blades = self._placed(row)
        self.hub, self.tip = (
            _Wall(name, contour, piece(contour, wheel.start), side)
            for name, contour, side in (
                ("hub", Contour(MM * wheel.hub.poles), 1.0),
                ("tip", Contour(MM * wheel.shroud.poles), -1.0),
            )
        )
        outline, cover = [_millimetres(c) for c in wheel.outline], [_millimetres(c) for c in wheel.cover]
        self.z_back = float(outline[-1][-1, 0])
        self.z_hub, self.z_tip = (float(wall.contour.at(1.0)[0]) for wall in (self.hub, self.tip))
        self.z_front = float(cover[-1](1.0)[0]) if self.covered else self.z_tip
        self._build(outline, cover)

    def _placed(self, row: BladeRow) -> list[list[Blade]]:
        """For every pitch: the full blade and, where there are any, the splitter ahead of it."""
        kinds = [("full", row.full, 0.0)]
        if row.splitter is not None:
            kinds.append(("splitter", row.splitter, self.pitch / 2))
        shapes = [(BladeShape(skin, kind), shift) for kind, skin, shift in kinds]
        return [
            [shape.at((shape.kind, k), k * self.pitch + shift) for shape, shift in shapes] for k in range(self.count)
        ]

    def _build(self, outline: list[Any], cover: list[Any]) -> None:
        for blade in self._all():
            blade.build(self.boundary)
        self._patches(self.hub)
        if self.covered:
            self._patches(self.tip)
        else:
            self._tips()
        rims = [self._rim_lines("back", self.hub, self.z_back)]
        if self.covered:
            rims.append(self._rim_lines("front", self.tip, self.z_front))
        for k in range(self.count):
            self._rim(k)
        add_turned(self.boundary, "body", outline, first=self._inlet(self.hub), last=rims[0], side=1.0)
        if self.covered:
            add_turned(self.boundary, "cover", cover, first=self._inlet(self.tip), last=rims[1], side=-1.0)

    def _all(self) -> list[Blade]:
        return [blade for pitch in self.blades for blade in pitch]

    def _neighbours(self, k: int) -> list[tuple[Blade, float]]:
        """The blades round the passage of pitch k with the turns that make their angles grow: full, (splitter), full."""
        last = k == self.count - 1
        ahead = self.blades[0][0] if last else self.blades[k + 1][0]
        return [(blade, 0.0) for blade in self.blades[k]] + [(ahead, 2 * np.pi if last else 0.0)]

    # ---- flow walls

    def _nose_line(self, wall: _Wall, k: int) -> tuple[Blade, float, float]:
        """Full blade k (k may run past the last), the angle of its nose on the wall, and the t of the nose."""
        blade = self.blades[k % self.count][0]
        t = float(blade.shape.track(wall.name)[blade.shape.skin.nose, 1])
        return blade, blade.nose_angle(wall.name) + (k // self.count) * 2 * np.pi, t

    def _inlet(self, wall: _Wall) -> Junction:
        arcs: list[tuple[Hashable, float]] = [
            ((wall.name, "inlet", k), self._nose_line(wall, k)[1]) for k in range(self.count)
        ]
        return Junction(arcs, (wall.name, "inlet vertex", 0), arcs[0][1])

    def _patches(self, wall: _Wall) -> None:
        """The wall, cut into one face a pitch."""
        meridian = Revolution(wall.curve, 0.0)
        z, r = (float(x) for x in wall.contour.at(self.start))
        for k in range(self.count):
            blade, angle, t = self._nose_line(wall, k)
            nose = blade.corner("nose", blade.line(wall.name))
            inlet, following = (wall.name, "inlet vertex", k), (wall.name, "inlet vertex", (k + 1) % self.count)
            self.boundary.edge(
                (wall.name, "lead", k),
                meridian.meridian_at(angle),
                start=inlet,
                end=nose,
                first=self.start,
                last=t,
                family=(wall.name, "lead"),
            )
            self.boundary.edge(
                (wall.name, "inlet", k),
                circle(z=z, r=r, angle=angle),
                start=inlet,
                end=following,
                first=0.0,
                last=self.pitch,
                family=(wall.name, "inlet"),
            )
        for k in range(self.count):
            self._patch(wall, k)

    def _patch(self, wall: _Wall, k: int) -> None:
        neighbours = self._neighbours(k)
        angles = np.concatenate([blade.shape.track(wall.name)[:, 0] + blade.angle + turn for blade, turn in neighbours])
        face = Revolution(wall.curve, float(angles.min() + angles.max()) / 2 - np.pi)
        low, high = self._nose_line(wall, k)[1], self._nose_line(wall, k + 1)[1]
        loop = [
            Use((wall.name, "inlet", k), face.circle2d(low, 0)),
            Use((wall.name, "lead", (k + 1) % self.count), line2d((high - face.seam, 0), (0, 1))),
        ]
        for ahead, behind in zip(neighbours[:0:-1], neighbours[-2::-1], strict=True):
            (blade, turn), (other, other_turn) = ahead, behind
            loop.append(
                Use(blade.edge("suction", blade.line(wall.name)), blade.wall_curve(wall.name, face.seam - turn))
            )
            loop.append(self._exit_arc(wall, other, blade, face, other_turn, turn))
            loop.append(Use(other.edge("pressure", other.line(wall.name)), other.wall_curve(wall.name, face.seam)))
        loop.append(Use((wall.name, "lead", k), line2d((low - face.seam, 0), (0, 1))))
        self.boundary.face((wall.name, k), face.surface, [loop], self._into_flow(wall))

    def _exit_arc(
        self, wall: _Wall, behind: Blade, ahead: Blade, face: Revolution, turn_behind: float, turn_ahead: float
    ) -> Use:
        """The arc at r2 from the pressure side of one blade to the suction side of the next."""
        start = behind.track_ends(wall.name)[1] + turn_behind
        end = ahead.track_ends(wall.name)[0] + turn_ahead
        key = (wall.name, "exit", behind.key)
        self.boundary.edge(
            key,
            circle(z=float(wall.contour.at(1.0)[0]), r=self.r2, angle=start),
            start=behind.corner("pressure", behind.line(wall.name)),
            end=ahead.corner("suction", ahead.line(wall.name)),
            first=0.0,
            last=end - start,
            family=(wall.name, "exit", behind.shape.kind),
        )
        return Use(key, face.circle2d(start, 1))

    def _into_flow(self, wall: _Wall) -> Callable[[Array], Array]:
        """The normal of a wall into the passage, as a function of a point."""

        def normal(p: Array) -> Array:
            r = float(np.hypot(p[0], p[1]))
            zr = np.array([[p[2], r]])
            trial = np.linspace(self.start, 1, 201)
            nearest = trial[np.argmin(np.sum((wall.contour.at(trial) - zr) ** 2, axis=1))]
            dz, dr = wall.contour.tangent(foot(wall.contour, zr, np.array([nearest])))[0]
            return wall.side * np.array([dz * p[0] / r, dz * p[1] / r, -dr])

        return normal

    # ---- blade tips of a semi-open wheel

    def _tips(self) -> None:
        for blade in self._all():
            line_number = blade.line("tip")
            theta = blade.shape.track("tip")[:, 0] + blade.angle
            face = Revolution(self.tip.curve, float(theta.min() + theta.max()) / 2 - np.pi)
            curve = blade.wall_curve("tip", face.seam)
            low, high = blade.track_ends("tip")
            self.boundary.edge(
                (blade.key, "tip end"),
                circle(z=self.z_tip, r=self.r2, angle=low),
                start=blade.corner("suction", line_number),
                end=blade.corner("pressure", line_number),
                first=0.0,
                last=high - low,
                family=(blade.shape.kind, "tip end"),
            )
            loop = [
                Use(blade.edge("suction", line_number), curve),
                Use(blade.edge("pressure", line_number), curve),
                Use((blade.key, "tip end"), face.circle2d(low, 1)),
            ]
            self.boundary.face((blade.key, "tip"), face.surface, [loop], self._into_flow(self.tip._replace(side=1.0)))

    # ---- rim: the cylinder r2 from the back's corner to the front's, with the passages' mouths cut out

    def _rim_lines(self, name: str, wall: _Wall, z: float) -> Junction:
        """Axial lines on the rim from full blades to a corner circle, and that circle's arcs."""
        arcs: list[tuple[Hashable, float]] = []
        z_wall = float(wall.contour.at(1.0)[0])
        for k in range(self.count):
            blade, angle = self.blades[k][0], self._rim_angle(wall, k)
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
                end=(name, "corner", (k + 1) % self.count),
                first=0.0,
                last=self.pitch,
                family=(name, "arc"),
            )
        return Junction(arcs, (name, "corner", 0), arcs[0][1])

    def _rim_angle(self, wall: _Wall, k: int) -> float:
        """Angle at which the pressure side of full blade k (k may run past the last) meets a wall at r2."""
        return self.blades[k % self.count][0].track_ends(wall.name)[1] + (k // self.count) * 2 * np.pi

    def _rim(self, k: int) -> None:
        """One pitch of the rim, from the pressure side of full blade k to that of the next."""
        low, high = self._rim_angle(self.hub, k), self._rim_angle(self.hub, k + 1)
        face = Revolution(np.array([[self.z_back, self.r2], [self.z_hub, self.r2]]), (low + high) / 2 - np.pi)
        neighbours = self._neighbours(k)
        pairs = list(pairwise(neighbours))

        def axial(name: str, number: int, wall: _Wall, z: float) -> Use:
            angle = self._rim_angle(wall, number) - face.seam
            z_wall = float(wall.contour.at(1.0)[0])
            return Use((name, "line", number % self.count), line2d((angle, z_wall), (0, np.sign(z - z_wall))))

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
                tip = Use((blade.key, "tip end"), line2d((start, self.z_tip), (1, 0)))
                loop += self._side(ahead, "pressure", face)
                loop += [tip, *self._side(ahead, "suction", face)[::-1], mouth]
        loop.append(axial("back", k, self.hub, self.z_back))
        self.boundary.face(("rim", k), face.surface, [loop, *holes], lambda p: np.array([p[0], p[1], 0.0]))

    def _covered_rim(
        self,
        pairs: list[tuple[tuple[Blade, float], tuple[Blade, float]]],
        face: Revolution,
        axial: Callable[[str, int, _Wall, float], Use],
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

    def _on_rim(self, wall: _Wall, behind: Blade, face: Revolution) -> Use:
        """The mouth's arc on a wall, from the pressure side of a blade, on the rim."""
        angle = behind.track_ends(wall.name)[1] - face.seam
        return Use((wall.name, "exit", behind.key), line2d((angle, float(wall.contour.at(1.0)[0])), (1, 0)))


def _millimetres(curve: Curve) -> Any:
    if isinstance(curve, BSpline):
        return BSpline(curve.t, MM * curve.c, curve.k)
    return MM * curve
