"""Whether a duct has room: its walls clear of the scroll that begins beside it, and no wall through another."""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.spiral import schedule
from aerodesign.cad.duct import Strip, in_a_ring, strip_points, strip_poles, with_even_area
from aerodesign.cad.tube import Tube
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.discharge import Discharge, bernstein, discharge

Array = NDArray[np.float64]

WANTED = 0.75
"""Least thickness of the wall between scroll and duct that is sought, over the tongue's thickness."""
LEAST = 0.3
"""What is still taken if no longer duct gives more."""
_END = np.geomspace(1e-6, 0.05, 50)
CLOSE = np.concatenate([[0], _END, np.linspace(0.05, 0.95, 151)[1:-1], 1 - _END[::-1], [1]])
"""Places across a strip, closest beside the creases."""
TURNED = 0.3
"""Cosine of the angle between two neighbouring ones below which the strip counts as folded."""

STRETCHES = (1.0, 0.9, 1.1, 1.25, 1.6, 2.1, 0.85)


class Fitted(NamedTuple):
    """A duct that has room: ``stretch`` is its length over the usual one, ``room`` the wall left over the tongue's."""

    exit: Discharge
    strips: Sequence[Strip]
    stretch: float
    room: float


class Walls(NamedTuple):
    """What was built round the gas from the slot to the end of the cone: the ``duct``, the volume of the tongue's
    ``nose``, for each side (-1, 1) the name and radius of the circle (name, side) in the slot's wall, and the open ``end``
    of the cone.
    """

    duct: Fitted
    nose: float
    rims: dict[int, tuple[str, float]]
    end: Tube


def roomy_duct(volute: Volute, diffuser: Diffuser, layouts: Iterable[Sequence[Strip]]) -> Fitted:
    """The first duct with room enough. ``layouts`` are ways to lay the strips round the circle, best first.

    Raises RejectedSolid where no layout and no length leaves :data:`LEAST` of the tongue's thickness.
    """
    choices = list(layouts)
    best: Fitted | None = None
    for stretch in STRETCHES:
        exit_ = discharge(volute, diffuser, stretch)
        for layout in choices:
            strips = with_even_area(layout, exit_)
            if walls_cross(strips, exit_) or any(folded(strip, exit_) for strip in strips):
                continue
            room = clearance(volute, diffuser, strips, exit_) / float(2 * volute.tongue_radius)
            if best is None or room > best.room:
                best = Fitted(exit_, strips, stretch, room)
            if room >= WANTED:
                return best
    if best is None or best.room < LEAST:
        found = (
            "every duct's walls cross or fold" if best is None else f"{best.room:.2f} of the tongue's thickness is left"
        )
        raise RejectedSolid(
            f"volute: the outlet duct finds no room beside the scroll's beginning ({found}, {LEAST} needed); "
            f"take a tongue_radius larger than {volute.tongue_radius:.2g} mm, or a section that is less wide or stands straight"
        )
    return best


def clearance(volute: Volute, diffuser: Diffuser, strips: Sequence[Strip], exit_: Discharge) -> float:
    """Least distance from the duct's walls beyond their start to the scroll in the same half-plane; negative inside
    it.
    """
    along = np.linspace(0, 1, 15)[1:]
    points = np.concatenate([strip_points(strip, exit_, along, 41).reshape(-1, 3) for strip in strips])
    theta, r = np.arctan2(points[:, 1], points[:, 0]), np.hypot(points[:, 0], points[:, 1])
    table = np.linspace(0, np.pi / 2, 33)
    size = np.interp(theta, table, schedule(volute, diffuser, table).size)
    near = r < diffuser.r3 + 2 * size + 6 * volute.tongue_radius
    if not near.any():
        return float("inf")

    outline = volute.section.outline(size=size[near], r3=diffuser.r3, b3=diffuser.b3)
    # the diffuser belongs to what must not be touched: the closed line runs back by way of the axis
    axis, half = np.zeros((1, near.sum())), np.full((1, near.sum()), diffuser.b3 / 2)
    corner_r = np.concatenate([outline.r, axis, axis, outline.r[:1]])
    corner_z = np.concatenate([outline.z, half, -half, outline.z[:1]])
    distance = _distance(corner_r, corner_z, r[near], points[near, 2])
    return float(np.min(distance))


def walls_cross(strips: Sequence[Strip], exit_: Discharge) -> bool:
    """True where the line round the duct crosses itself in some section across the axis."""
    along = np.linspace(0, 1, 14)[1:-1]
    walls = [strip_points(strip, exit_, along, 61)[..., [0, 2]] for strip in strips]
    ring = in_a_ring(walls)
    line = np.concatenate([*(wall[:, :-1] for wall in ring), ring[-1][:, -1:]], axis=1)

    a, d = line[:, :-1, None], np.diff(line, axis=1)[:, :, None]
    b, e = line[:, None, :-1], np.diff(line, axis=1)[:, None]
    determinant = d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0]
    determinant = np.where(np.abs(determinant) < 1e-12, 1e-12, determinant)
    gap = b - a
    s = (gap[..., 0] * e[..., 1] - gap[..., 1] * e[..., 0]) / determinant
    t = (gap[..., 0] * d[..., 1] - gap[..., 1] * d[..., 0]) / determinant
    inside = (s > 1e-6) & (s < 1 - 1e-6) & (t > 1e-6) & (t < 1 - 1e-6)
    return bool(inside.any())


def folded(strip: Strip, exit_: Discharge) -> bool:
    """True where the line across a strip turns back, which it does first beside a crease where both walls leave it the same way."""
    rows = bernstein(strip_poles(strip, exit_), np.linspace(0, 1, 42)[1:])
    across = BSpline(strip.space.knots, np.moveaxis(rows, 1, 0), strip.space.degree).derivative()
    way = across(strip.space.first + (strip.space.last - strip.space.first) * CLOSE)[..., [0, 2]]
    way = way / np.linalg.norm(way, axis=-1, keepdims=True)
    return bool(np.sum(way[1:] * way[:-1], axis=-1).min() < TURNED)


def _distance(corner_r: Array, corner_z: Array, r: Array, z: Array) -> Any:
    """Distance of each point to its own closed polygon (corners first); negative inside."""
    r0, r1, z0, z1 = corner_r[:-1], corner_r[1:], corner_z[:-1], corner_z[1:]
    dr, dz = r1 - r0, z1 - z0
    length2 = np.maximum(dr**2 + dz**2, 1e-30)
    share = np.clip(((r - r0) * dr + (z - z0) * dz) / length2, 0, 1)
    distance = np.min(np.hypot(r0 + share * dr - r, z0 + share * dz - z), axis=0)

    spans = (z0 > z) != (z1 > z)
    hit = r0 + (z - z0) / np.where(spans, dz, 1) * dr > r
    inside = np.sum(spans & hit, axis=0) % 2 == 1
    return np.where(inside, -distance, distance)
