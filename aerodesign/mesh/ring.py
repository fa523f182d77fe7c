"""The ring of cells round one blade at one span: the true outline of the blade, and a line at a distance from it.

Cells between the two lie normal to the blade, round the rounded nose too, so that first cells have the height asked for
everywhere. Towards the trailing edge their sides turn into the direction of rotation, as the exit is a cylinder.
The place on a ring is ``way``: length along the outer line in metres from the nose, positive on the pressure side.
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.core.errors import RejectedMesh
from aerodesign.geometry.profile import NOSE, outline, profile_places
from aerodesign.mesh.chart import Chart, Grid
from aerodesign.mesh.spacing import smooth_step

CORNER = np.radians(50.0)
LEANING = (0.4, -0.4)
"""Where the sides of the ring begin, suction and pressure side: at this angle of the outline's normal to the camber, and a part of
the blade angle more. Lines of constant station lean against the blade; so these meet it less askew."""
TURNING = 0.15
"""Of the blade's length: over which the cells' sides turn to the direction of rotation, ahead of the trailing edge."""


@dataclass(frozen=True, eq=False)
class Ring:
    """A ring on its chart: ``wall`` and ``outer`` give (x, theta) at a way; corners and ends are ways (suction, pressure)."""

    wall: CubicSpline
    outer: CubicSpline
    corners: tuple[float, float]
    ends: tuple[float, float]

    def way_at(self, x: float, side: int) -> float:
        """The way at which the outer line of a side (0 suction, 1 pressure) passes x."""
        ways = np.linspace(self.corners[side], self.ends[side], 2000)
        return float(np.interp(x, self.outer(ways)[:, 0], ways))


def ring_round(chart: Chart, *, start: float, thickness: float) -> Ring:
    """The ring round the blade that begins at ``start``. Raises RejectedMesh where its nose cannot be followed."""
    line = chart.line
    half = np.concatenate([np.linspace(0, NOSE, 121), np.linspace(NOSE, 1, 401)[1:]])
    sigma = np.concatenate([-half[:0:-1], half])
    beyond = 1 + 3 * line.thickness / line.length
    m, theta = outline(line, sigma, *profile_places(line, sigma, start, beyond), start)
    wall = np.stack([chart.x_of(m), theta], axis=1)
    radius = chart.zr(m)[:, 1]

    tangent = CubicSpline(sigma, wall)(sigma, 1)
    normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    normal /= np.linalg.norm(normal, axis=1)[:, None]

    arc = _way(wall, radius)
    past = wall[:, 0] - chart.x_end
    ends = _crossing(past, arc, -1), _crossing(past, arc, 1)
    left = np.where(sigma < 0, arc - ends[0], ends[1] - arc)
    turned = smooth_step(1 - left / (TURNING * line.length * (1 - start)))[:, None]
    across = np.stack([np.zeros_like(sigma), np.sign(sigma)], axis=1)
    direction = (1 - turned) * normal + turned * across
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    direction /= 1 - turned * (
        1 - chart.cos_beta(wall[:, :1])
    )  # to the camber: a rounded exit is too steep to be followed
    outer = wall + direction * (thickness / radius)[:, None]
    way = _way(outer, radius)
    if np.any(np.diff(way) <= 0) or not np.all(np.isfinite(way)):
        raise RejectedMesh("passage mesh: the outline of a blade cannot be followed: ease the blade angles")

    beta = float(line.at(start).beta)
    off = np.arccos(np.clip(-normal @ [np.cos(beta), -np.sin(beta)], -1, 1))
    suction, pressure = (off - CORNER - leaning * beta for leaning in LEANING)
    return Ring(
        wall=CubicSpline(way, wall),
        outer=CubicSpline(way, outer),
        corners=(_crossing(suction, way, -1), _crossing(pressure, way, 1)),
        ends=(_crossing(past, way, -1), _crossing(past, way, 1)),
    )


def _way(points: Grid, radius: Grid) -> Grid:
    """Length along a line of points on the chart, 0 at its middle."""
    step = np.linalg.norm(np.diff(points, axis=0), axis=1) * (radius[1:] + radius[:-1]) / 2
    way = np.concatenate([[0], np.cumsum(step)])
    return np.asarray(way - way[len(way) // 2])


def _crossing(level: Grid, way: Grid, side: int) -> float:
    """The way at which a level that is negative at the nose first becomes positive, on the suction (-1) or pressure side (1)."""
    middle = len(way) // 2
    level, way = level[middle::side], way[middle::side]
    after = int(np.argmax(level >= 0))
    if level[after] < 0 or after == 0:
        raise RejectedMesh(
            "passage mesh: a blade has no nose that a ring of cells can follow: check thickness and angles"
        )
    low, high = level[after - 1], level[after]
    return float(way[after - 1] + (way[after] - way[after - 1]) * low / (low - high))
