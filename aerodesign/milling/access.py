"""Can a cutter reach a place: axes along which cutter and holder stay clear of blades, hub and cover.

The tool is a ball with a cylinder of its own radius behind it, or a cone that touches the ball, and beyond its reach a thicker cylinder,
the holder. Blades are clouds of
points; hub and cover are bodies of revolution, whose distance is a table over (z, r). Axes are tried in a fan about the blades' own
direction: leaning along the flow (lead) and across it (lean).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.ndimage import map_coordinates

from aerodesign.geometry.body import body, points
from aerodesign.geometry.meridional import Array
from aerodesign.milling.sheets import Sheet, turned
from aerodesign.milling.wheel import Wheel

LEADS, LEANS = np.radians(np.arange(-90, 91, 15)), np.radians(np.arange(-24, 25, 4))
"""The fan of axes, 169 of them: a passage ten cutters deep and two wide leaves a window of about six degrees."""
SAMPLES = 36
"""Points along the tool at which it is held against hub and cover."""
BLOCK = 8
"""Axes taken at a time: their distances from all points then fit the cache."""
GRID = 110
"""Cells of the table of distances each way."""
ROUGH = 0.04
"""Part of the cutter's radius that samples and table may be wrong by; the tool is tried that much slimmer."""


@dataclass(frozen=True)
class Tool:
    """A ball-nosed cutter: radius, reach out of its holder, the holder's radius, and the half angle of the cone behind the ball."""

    radius: float
    reach: float
    holder: float
    taper: float = 0.0

    def half_width(self, x: Array | float) -> Array:
        """Radius of the tool at distances ``x`` behind the ball's centre: of the cone that touches the ball, no wider than the holder."""
        return np.minimum(self.radius / np.cos(self.taper) + x * np.tan(self.taper), self.holder)


@dataclass(frozen=True, eq=False)
class Reach:
    """What of the axes at one place is free: those clear of the walls with their tilt from the wheel's axis, and the reach each needs."""

    tilt: Array
    lead: Array
    need: Array

    def free(self, tool: Tool, tilt: float) -> Array:
        """Which axes also suit the tool's reach and the machine's tilt."""
        return np.asarray((self.need <= tool.reach) & (self.tilt <= tilt + 1e-9))


class Surroundings:
    """All that a tool must not touch: the blades of the first pitch densely, all others coarsely, hub and cover."""

    def __init__(self, wheel: Wheel) -> None:
        self._wheel = wheel

    def blades(self, radius: float) -> tuple[Array, Array]:
        """Points of the blades of the first pitch, no further apart than half a tool's radius, and of all others.

        Those are as far apart as the tool is wide from axis to side: enough that it cannot pass through them.
        """
        wheel = self._wheel
        near = [
            turned(_thinned(sheet, 0.5 * radius), b.angle) for b in wheel.blades for sheet in (b.pressure, b.suction)
        ]
        one = [turned(_thinned(s, radius), b.angle) for b in wheel.blades[:-1] for s in (b.pressure, b.suction)]
        turns = np.arange(2, round(float(wheel.impeller.blades))) * wheel.pitch
        others = [turned(sheet, turn) for turn in turns for sheet in one]
        # the splitter ahead of the following blade belongs to no pitch so far
        others += [turned(sheet, wheel.pitch) for sheet in one[2:]]
        return np.concatenate(near), np.concatenate([*others, np.empty((0, 3))])

    @cached_property
    def _table(self) -> tuple[Array, Array, Array]:
        """Distance to hub body and cover over a grid of z and r, negative inside."""
        wheel, channel = self._wheel, self._wheel.blading.meridional
        lead = 0.25
        parts = body(wheel.impeller, channel, lead=lead, form=wheel.form)
        t = np.linspace(-lead, 1, 90)
        rings = [np.concatenate([parts.hub.at(t)[::-1]] + [points(curve, 25) for curve in parts.outline])]
        if parts.cover:
            rings.append(np.concatenate([parts.shroud.at(t)[::-1]] + [points(curve, 60) for curve in parts.cover]))
        r2, length = float(wheel.impeller.r2), float(wheel.impeller.axial_length)
        z, r = np.linspace(-r2, length + 0.3 * r2, GRID), np.linspace(0, 1.5 * r2, GRID)
        grid = np.stack(np.meshgrid(z, r, indexing="ij"), axis=-1).reshape(-1, 2)
        return z, r, np.min([_signed(ring, grid) for ring in rings], axis=0).reshape(GRID, GRID)

    def room(self, xyz: Array) -> Array:
        """Distance from hub and cover of points (..., 3)."""
        z, r, table = self._table
        at = [(xyz[..., 2] - z[0]) / (z[1] - z[0]), np.hypot(xyz[..., 0], xyz[..., 1]) / (r[1] - r[0])]
        return np.asarray(map_coordinates(table, at, order=1, mode="nearest"))

    def reach(
        self, point: Array, normal: Array, fan: tuple[Array, Array, Array], tool: Tool, blades: tuple[Array, Array]
    ) -> Reach:
        """Free axes for a ball that touches a point (normal out of the wall); ``fan`` is up, along the flow, across it.

        ``blades`` are the points of :meth:`blades` for the tool's radius.
        """
        axes, leads = _axes(*fan)
        outward = axes @ normal > -1e-6
        axes, leads = axes[outward], leads[outward]
        centre = point + tool.radius * normal
        far = 2.5 * float(self._wheel.impeller.r2)
        x = np.geomspace(0.1 * tool.radius, far, SAMPLES)
        room = self.room(centre + x[:, None, None] * axes)
        slim = (1 - ROUGH) * tool.radius - 5e-5
        # the ball itself lies on the wall; the cylinder is judged from where it leaves the ball
        beyond = x > 0.3 * tool.radius
        # balls within the cone, one behind the other, fill it
        grown = np.minimum(slim + x * np.sin(tool.taper), tool.holder)[:, None]
        clear = np.all(room[beyond] >= grown[beyond], axis=0)
        need = np.max(np.where(room < tool.holder, x[:, None], 0.0), axis=0)
        axes, leads, need = axes[clear], leads[clear], need[clear]

        for some in blades:
            free, blocked = _past(axes, some - centre, slim, tool)
            axes, leads, need = axes[free], leads[free], np.maximum(need, blocked)[free]
        tilt = np.arccos(np.clip(-axes[:, 2], -1, 1))
        return Reach(tilt, leads, need + tool.radius)


def _past(axes: Array, d: Array, slim: float, tool: Tool) -> tuple[Array, Array]:
    """Which axes (from the origin) pass all points d by ``slim`` and the taper, and how far along each the last point within the holder lies.

    Single precision is enough: a thousandth of the cutter's radius.
    """
    points = d.astype(np.float32)
    square = np.einsum("ij,ij->i", points, points)
    free, last = np.zeros(len(axes), bool), np.zeros(len(axes))
    if np.min(square, initial=np.inf) < slim**2:
        return free, last
    for first in range(0, len(axes), BLOCK):
        some = slice(first, first + BLOCK)
        along = axes[some].astype(np.float32) @ points.T
        aside = square - along * along
        aside[along <= 0] = np.inf
        width = np.float32(slim)
        if tool.taper > 0:
            width = np.minimum(slim / np.cos(tool.taper) + along * np.tan(tool.taper), tool.holder)
        free[some] = np.all(aside >= width**2, axis=1)
        along[aside >= tool.holder**2] = 0
        last[some] = np.max(along, axis=1, initial=0.0)
    return free, last


def _thinned(sheet: Sheet, spacing: float) -> Array:
    """Points of a side, left out so that they stand about ``spacing`` apart and no further."""
    rows, columns = sheet.face.shape[:2]
    along = max(1, int(spacing / (sheet.length / (rows - 1))))
    across = max(1, int(spacing / (float(np.max(sheet.height)) / (columns - 1))))
    grids = [sheet.face[::along, ::across], sheet.face[::along, -1:]]
    grids += [grid[::along, ::2] for grid in (sheet.root, sheet.head) if grid is not None]
    return np.concatenate([grid.reshape(-1, 3) for grid in grids])


def _axes(up: Array, flow: Array, across: Array) -> tuple[Array, Array]:
    """The fan of unit vectors, and the lead of each (positive: leaning with the flow)."""
    lead, lean = (x.ravel() for x in np.meshgrid(LEADS, LEANS, indexing="ij"))
    upright = np.cos(lead)[:, None] * up + np.sin(lead)[:, None] * flow
    axes = np.cos(lean)[:, None] * upright + np.sin(lean)[:, None] * across
    return axes / np.linalg.norm(axes, axis=1, keepdims=True), lead


def fan_about(up: Array, flow: Array) -> tuple[Array, Array, Array]:
    """Three unit vectors at right angles: up, the part of the flow's direction across it, and sideways."""
    up = up / np.linalg.norm(up)
    flow = flow - (flow @ up) * up
    flow = flow / np.linalg.norm(flow)
    return up, flow, np.cross(up, flow)


def _signed(ring: Array, at: Array) -> Array:
    """Distance of points from a closed polygon in the plane, negative inside."""
    start, end = ring, np.roll(ring, -1, axis=0)
    edge = end - start
    square = np.maximum(np.sum(edge**2, axis=1), 1e-30)
    least = np.full(len(at), np.inf)
    inside = np.zeros(len(at), bool)
    for a, e, s, b in zip(start, edge, square, end, strict=True):
        d = at - a
        share = np.clip((d @ e) / s, 0, 1)
        least = np.minimum(least, np.hypot(d[:, 0] - share * e[0], d[:, 1] - share * e[1]))
        if a[1] != b[1]:
            crosses = (a[1] > at[:, 1]) != (b[1] > at[:, 1])
            inside ^= crosses & (at[:, 0] < a[0] + (at[:, 1] - a[1]) / (b[1] - a[1]) * e[0])
    return np.where(inside, -least, least)
