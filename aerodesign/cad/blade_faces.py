"""Edges and faces of one blade: sides, fillets, and its outline at the exit (millimetres)."""

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.surfaces import curve2d_through, line2d, surface_through
from aerodesign.geometry.round_exit import RoundExit
from aerodesign.geometry.skin import DEGREE_ACROSS, Skin

Array = NDArray[np.float64]

SIDES = ("suction", "pressure")


class BladeShape:
    """The surfaces of a kind of blade (full or splitter), to be set into a boundary at many angles.

    The strips of a blade follow each other from hub to tip: fillet (if any), blade, tip fillet (if any). The lines
    between strips are numbered 0 (on the hub) to ``lines`` - 1 (on the tip's wall).
    """

    def __init__(self, skin: Skin, kind: str) -> None:
        self.skin, self.kind = skin, kind
        grids = [skin.blade]
        if skin.hub.grid is not None:
            grids.insert(0, skin.hub.grid[:, ::-1])
        if skin.tip.grid is not None:
            grids.append(skin.tip.grid)
        self.grids = [MM * grid for grid in grids]
        self.surfaces = [surface_through(g, skin.u, skin.v, 3, DEGREE_ACROSS) for g in self.grids]
        self.round = [MM * grid for grid in _round_grids(skin.exit)] if skin.exit else []
        self.round_surfaces = (
            [surface_through(g, skin.exit.u, skin.v, 3, DEGREE_ACROSS) for g in self.round] if skin.exit else []
        )
        self.lines = len(grids) + 1
        self.nose = float(skin.u[skin.nose])

    def at(self, key: Hashable, angle: float) -> "Blade":
        """The blade of this kind at an angle; ``key`` names it."""
        return Blade(self, key, angle)

    def track(self, wall: str) -> Array:
        """(theta, t) of the outermost line on the hub or the tip's wall."""
        return self.skin.hub.track if wall == "hub" else self.skin.tip.track


@dataclass(frozen=True, eq=False)
class Blade:
    """One blade of a wheel."""

    shape: BladeShape
    key: Hashable
    angle: float

    def line(self, wall: str) -> int:
        """Number of the line on a wall."""
        return 0 if wall == "hub" else self.shape.lines - 1

    def corner(self, where: str, line: int) -> Hashable:
        """Name of the vertex on a line: at the end of the suction or pressure side, or at the nose."""
        return (self.key, where, line)

    def edge(self, side: str, line: int) -> Hashable:
        """Name of the edge along one side on a line."""
        return (self.key, "along", side, line)

    def track_ends(self, wall: str) -> tuple[float, float]:
        """Angles at which the suction and the pressure side meet a wall at r2."""
        theta = self.shape.track(wall)[:, 0] + self.angle
        return float(theta[0]), float(theta[-1])

    def nose_angle(self, wall: str) -> float:
        """Angle of the nose on a wall."""
        return float(self.shape.track(wall)[self.shape.skin.nose, 0] + self.angle)

    def build(self, boundary: Boundary) -> None:
        """Add edges and faces of sides and fillets."""
        for strip, flat in enumerate(self.shape.surfaces):
            surface = _turned(flat, self.angle)
            self._edges(boundary, strip, surface)
            self._faces(boundary, strip, surface)
        for strip, flat in enumerate(self.shape.round_surfaces):
            self._round_face(boundary, strip, _turned(flat, self.angle))

    def _round_face(self, boundary: Boundary, strip: int, surface: Any) -> None:
        """One strip of a full round trailing edge, between the ends of the sides."""
        for line in (strip, strip + 1):
            boundary.edge(
                self.edge("exit", line),
                surface.VIso(float(line - strip)),
                start=self.corner("pressure", line),
                end=self.corner("suction", line),
                first=0.0,
                last=1.0,
                family=(self.shape.kind, "exit", line),
            )
        loop = [
            Use(self.edge("exit", strip), line2d((0, 0), (1, 0))),
            Use((self.key, "across", "suction", strip), line2d((1, 0), (0, 1))),
            Use(self.edge("exit", strip + 1), line2d((0, 1), (1, 0))),
            Use((self.key, "across", "pressure", strip), line2d((0, 0), (0, 1))),
        ]
        boundary.face((self.key, "exit", strip), surface, [loop], lambda p: np.array([p[0], p[1], 0.0]))

    def _edges(self, boundary: Boundary, strip: int, surface: Any) -> None:
        nose, kind = self.shape.nose, self.shape.kind
        for line in (strip, strip + 1):
            along = surface.VIso(float(line - strip))
            for side, start, end, first, last in (
                ("suction", "suction", "nose", 0.0, nose),
                ("pressure", "nose", "pressure", nose, 1.0),
            ):
                boundary.edge(
                    self.edge(side, line),
                    along,
                    start=self.corner(start, line),
                    end=self.corner(end, line),
                    first=first,
                    last=last,
                    family=(kind, side, line),
                )
        for where, u in (("suction", 0.0), ("nose", nose), ("pressure", 1.0)):
            boundary.edge(
                (self.key, "across", where, strip),
                surface.UIso(u),
                start=self.corner(where, strip),
                end=self.corner(where, strip + 1),
                first=0.0,
                last=1.0,
                family=(kind, "across", where, strip),
            )

    def _faces(self, boundary: Boundary, strip: int, surface: Any) -> None:
        nose = self.shape.nose
        for side, first, last in (("suction", 0.0, nose), ("pressure", nose, 1.0)):
            half = surface.Copy()
            half.Segment(first, last, 0.0, 1.0)
            end = first if side == "suction" else last
            loop = [
                Use(self.edge(side, strip), line2d((0, 0), (1, 0))),
                Use((self.key, "across", side, strip), line2d((end, 0), (0, 1))),
                Use(self.edge(side, strip + 1), line2d((0, 1), (1, 0))),
                Use((self.key, "across", "nose", strip), line2d((nose, 0), (0, 1))),
            ]
            boundary.face((self.key, side, strip), half, [loop], _ahead if side == "pressure" else _behind)

    def wall_curve(self, wall: str, seam: float) -> Any:
        """The blade's line on a wall in the wall's parameter plane."""
        track = self.shape.track(wall)
        return curve2d_through(np.stack([track[:, 0] + self.angle - seam, track[:, 1]], axis=1), self.shape.skin.u)

    def round_on_rim(self, wall: str, seam: float) -> Use:
        """The edge of a full round trailing edge's fillet on the cylinder r2."""
        line = self.line(wall)
        edge = self.shape.round[0][:, 0] if line == 0 else self.shape.round[-1][:, -1]
        theta = np.unwrap(np.arctan2(edge[:, 1], edge[:, 0]))
        theta += self.track_ends(wall)[1] - self.angle - theta[0]
        assert self.shape.skin.exit is not None
        flat = np.stack([theta + self.angle - seam, edge[:, 2]], axis=1)
        return Use(self.edge("exit", line), curve2d_through(flat, self.shape.skin.exit.u))

    def round_on_tip(self, seam: float) -> Use:
        """The edge of a full round trailing edge on the surface of the tips of a semi-open wheel."""
        assert self.shape.skin.exit is not None
        theta, t = self.shape.skin.exit.tip_track.T
        theta = theta + self.track_ends("tip")[1] - self.angle - theta[0]
        flat = np.stack([theta + self.angle - seam, t], axis=1)
        return Use(self.edge("exit", self.line("tip")), curve2d_through(flat, self.shape.skin.exit.u))

    def exit_line(self, side: str, seam: float) -> list[Use]:
        """Edges of one side of the trailing edge from hub to tip, with their curves on the cylinder r2."""
        row = 0 if side == "suction" else -1
        uses = []
        for strip, grid in enumerate(self.shape.grids):
            theta = np.unwrap(np.arctan2(grid[row, :, 1], grid[row, :, 0])) + self.angle - seam
            flat = np.stack([theta, grid[row, :, 2]], axis=1)
            uses.append(Use((self.key, "across", side, strip), curve2d_through(flat, self.shape.skin.v, DEGREE_ACROSS)))
        return uses


def _round_grids(exit: RoundExit) -> list[Array]:
    """The grids of a full round trailing edge, strips from hub to tip."""
    grids = [] if exit.hub is None else [exit.hub[:, ::-1]]
    return [*grids, exit.blade] + ([] if exit.tip is None else [exit.tip])


def _ahead(p: Array) -> Array:
    """Direction of rotation at a point."""
    return np.array([-p[1], p[0], 0.0])


def _behind(p: Array) -> Array:
    """Direction against rotation at a point."""
    return -_ahead(p)


def _turned(surface: Any, angle: float) -> Any:
    axis = occ.gp.gp_Ax1(occ.gp.gp_Pnt(0.0, 0.0, 0.0), occ.gp.gp_Dir(0.0, 0.0, 1.0))
    return surface.Rotated(axis, float(angle))
