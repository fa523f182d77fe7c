"""The walls of the passages: hub, and cover or the surface of the blade tips (millimetres).

A wall is cut into one patch a pitch, along the meridian from the inlet to the nose of each full blade, so that no patch
closes on itself.
"""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.blade_faces import Blade
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.surfaces import circle, line2d
from aerodesign.cad.turned import Junction, Openings
from aerodesign.geometry.body import piece
from aerodesign.geometry.fillet import foot
from aerodesign.geometry.meridional import Contour

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Ring:
    """The blades of a wheel: for every pitch the full blade and, where there are any, the splitter ahead of it."""

    pitches: list[list[Blade]]

    @property
    def count(self) -> int:
        """Number of pitches."""
        return len(self.pitches)

    @property
    def pitch(self) -> float:
        """Angle of a pitch."""
        return 2 * np.pi / self.count

    def blades(self) -> list[Blade]:
        """All blades."""
        return [blade for pitch in self.pitches for blade in pitch]

    def full(self, k: int) -> Blade:
        """Full blade k, which may run past the last."""
        return self.pitches[k % self.count][0]

    def neighbours(self, k: int) -> list[tuple[Blade, float]]:
        """The blades of pitch k with the turns that make their angles grow: full, (splitter), next full."""
        turn = 2 * np.pi if k == self.count - 1 else 0.0
        return [*((blade, 0.0) for blade in self.pitches[k]), (self.full(k + 1), turn)]


@dataclass(frozen=True, eq=False)
class Wall:
    """One wall: ``name`` "hub" or "tip", its contour in mm from t = ``start`` to r2 = ``r2``.

    ``side`` is 1 where the passage lies to the left of the flow along the contour (hub), -1 where to the right.
    """

    name: str
    contour: Contour
    side: float
    start: float
    r2: float
    ring: Ring
    boundary: Boundary

    @cached_property
    def curve(self) -> BSpline:
        """The contour from inlet to exit as a spline."""
        return piece(self.contour, self.start)

    @cached_property
    def z_exit(self) -> float:
        """Axial position at r2."""
        return float(self.contour.at(1.0)[0])

    def _nose_line(self, k: int) -> tuple[Blade, float, float]:
        """Full blade k (k may run past the last), the angle of its nose on the wall, and the t of the nose."""
        blade = self.ring.full(k)
        t = float(blade.shape.track(self.name)[blade.shape.skin.nose, 1])
        return blade, blade.nose_angle(self.name) + (k // self.ring.count) * 2 * np.pi, t

    def inlet(self) -> Junction:
        arcs: list[tuple[Hashable, float]] = [
            ((self.name, "inlet", k), self._nose_line(k)[1]) for k in range(self.ring.count)
        ]
        return Junction(arcs, (self.name, "inlet vertex", 0), arcs[0][1])

    def add_patches(self, holes: Mapping[int, Openings] | None = None) -> None:
        """The wall, cut into one face a pitch; ``holes`` in it go by the number of the pitch."""
        meridian = Revolution(self.curve, 0.0)
        z, r = (float(x) for x in self.contour.at(self.start))
        for k in range(self.ring.count):
            blade, angle, t = self._nose_line(k)
            nose = blade.corner("nose", blade.line(self.name))
            inlet, following = (self.name, "inlet vertex", k), (self.name, "inlet vertex", (k + 1) % self.ring.count)
            self.boundary.edge(
                (self.name, "lead", k),
                meridian.meridian_at(angle),
                start=inlet,
                end=nose,
                first=self.start,
                last=t,
                family=(self.name, "lead"),
            )
            self.boundary.edge(
                (self.name, "inlet", k),
                circle(z=z, r=r, angle=angle),
                start=inlet,
                end=following,
                first=0.0,
                last=self.ring.pitch,
                family=(self.name, "inlet"),
            )
        for k in range(self.ring.count):
            self._patch(k, holes[k] if holes and k in holes else None)

    def _patch(self, k: int, holes: Openings | None) -> None:
        neighbours = self.ring.neighbours(k)
        angles = np.concatenate([blade.shape.track(self.name)[:, 0] + blade.angle + turn for blade, turn in neighbours])
        face = Revolution(self.curve, float(angles.min() + angles.max()) / 2 - np.pi)
        low, high = self._nose_line(k)[1], self._nose_line(k + 1)[1]
        loop = [
            Use((self.name, "inlet", k), face.circle2d(low, 0)),
            Use((self.name, "lead", (k + 1) % self.ring.count), line2d((high - face.seam, 0), (0, 1))),
        ]
        for ahead, behind in zip(neighbours[:0:-1], neighbours[-2::-1], strict=True):
            (blade, turn), (other, other_turn) = ahead, behind
            loop.append(
                Use(blade.edge("suction", blade.line(self.name)), blade.wall_curve(self.name, face.seam - turn))
            )
            loop.append(self._exit_arc(other, blade, face, other_turn, turn))
            loop.append(Use(other.edge("pressure", other.line(self.name)), other.wall_curve(self.name, face.seam)))
        loop.append(Use((self.name, "lead", k), line2d((low - face.seam, 0), (0, 1))))
        self.boundary.face(
            (self.name, k), face.surface, [loop, *(holes(face) if holes else [])], self.normal(self.side)
        )

    def _exit_arc(self, behind: Blade, ahead: Blade, face: Revolution, turn_behind: float, turn_ahead: float) -> Use:
        """The arc at r2 from the pressure side of one blade to the suction side of the next."""
        start = behind.track_ends(self.name)[1] + turn_behind
        end = ahead.track_ends(self.name)[0] + turn_ahead
        key = (self.name, "exit", behind.key)
        self.boundary.edge(
            key,
            circle(z=self.z_exit, r=self.r2, angle=start),
            start=behind.corner("pressure", behind.line(self.name)),
            end=ahead.corner("suction", ahead.line(self.name)),
            first=0.0,
            last=end - start,
            family=(self.name, "exit", behind.shape.kind),
        )
        return Use(key, face.circle2d(start, 1))

    def normal(self, side: float) -> Callable[[Array], Array]:
        """The normal of the wall to the left of the flow (1) or to the right (-1), as a function of a point."""

        def normal(p: Array) -> Array:
            r = float(np.hypot(p[0], p[1]))
            zr = np.array([[p[2], r]])
            trial = np.linspace(self.start, 1, 201)
            nearest = trial[np.argmin(np.sum((self.contour.at(trial) - zr) ** 2, axis=1))]
            dz, dr = self.contour.tangent(foot(self.contour, zr, np.array([nearest])))[0]
            return side * np.array([dz * p[0] / r, dz * p[1] / r, -dr])

        return normal

    def add_tips(self) -> None:
        """The blade tips of a semi-open wheel, which lie on this wall's surface."""
        for blade in self.ring.blades():
            line_number = blade.line(self.name)
            theta = blade.shape.track(self.name)[:, 0] + blade.angle
            face = Revolution(self.curve, float(theta.min() + theta.max()) / 2 - np.pi)
            curve = blade.wall_curve(self.name, face.seam)
            sides = [Use(blade.edge(side, line_number), curve) for side in ("suction", "pressure")]
            if blade.shape.skin.exit:
                loop = [*sides, blade.round_on_tip(face.seam)]
                self.boundary.face((blade.key, "tip"), face.surface, [loop], self.normal(1.0))
                continue
            low, high = blade.track_ends(self.name)
            self.boundary.edge(
                (blade.key, "tip end"),
                circle(z=self.z_exit, r=self.r2, angle=low),
                start=blade.corner("suction", line_number),
                end=blade.corner("pressure", line_number),
                first=0.0,
                last=high - low,
                family=(blade.shape.kind, "tip end"),
            )
            loop = [*sides, Use((blade.key, "tip end"), face.circle2d(low, 1))]
            self.boundary.face((blade.key, "tip"), face.surface, [loop], self.normal(1.0))
