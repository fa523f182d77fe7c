"""The section of a wheel's hub body as lines from its front (nose and hub) to what lies behind (bore, boss, back of the disc).

The lines leave the hub at right angles, as far as they can: its front is convex towards the metal, so they do not cross. Corners of
the bore, boss and back keep a line each.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.body import Body, points

Array = NDArray[Any]

SOLID_BORE = 0.1
"""Radius of the hole that a solid hub gets in the model, in parts of its radius at the inlet: no element can stand on the axis."""


@dataclass(frozen=True, eq=False)
class Front:
    """Nose and hub as one curve by length ``s`` (0: the nose's end), for rows: :meth:`at` gives (z, r). ``begin`` is s at the leading edge."""

    s: Array
    zr: Array
    begin: float

    def at(self, s: Array) -> Array:
        """Points (z, r), shape (n, 2)."""
        return np.stack([np.interp(s, self.s, self.zr[:, i]) for i in (0, 1)], axis=-1)

    @property
    def length(self) -> float:
        """Whole length, to the rim."""
        return float(self.s[-1])


@dataclass(frozen=True, eq=False)
class Rear:
    """Bore, boss and back as a polyline from the nose's end to the rim: corners (n, 2); ``held``, the corner at the bore's back edge.

    A boss that stands square on the back is a body of its own: ``boss`` is its end face from bore to edge (2, 2), and the polyline
    then leaves it out; the boss stands on the stretch from corner ``held`` to the next.
    """

    corners: Array
    held: int
    boss: Array | None = None

    @property
    def length(self) -> Array:
        """Length along it at each corner."""
        steps = np.linalg.norm(np.diff(self.corners, axis=0), axis=1)
        return np.asarray(np.r_[0.0, np.cumsum(steps)])

    def at(self, d: Array) -> Array:
        """Points (z, r) at lengths."""
        return np.stack([np.interp(d, self.length, self.corners[:, i]) for i in (0, 1)], axis=-1)


def front_of(parts: Body) -> Front:
    """Nose and hub. A round nose ends where it has turned by 45 degrees: what lies ahead of that carries nothing, and has no corner."""
    t = np.r_[np.linspace(parts.start, 0, 101), np.linspace(0, 1, 1501)[1:]]
    hub = parts.hub.at(t)
    nose = hub[:1]
    if parts.bored > 0 and len(parts.outline) and not _radial(points(parts.outline[0])):
        nose = points(parts.outline[0])
        steps = np.abs(np.diff(nose, axis=0))
        steep = np.flatnonzero(steps[:, 1] > steps[:, 0])
        nose = nose[: steep[0] + 1] if len(steep) and len(nose) > 2 else nose
    zr = np.vstack([nose[:0:-1], hub])
    s = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(zr, axis=0), axis=1))]
    return Front(s, zr, float(s[len(nose) - 1 + 100]))


def _radial(line: Array) -> bool:
    """Whether a line stands in a plane across the axis."""
    return bool(np.ptp(line[:, 0]) < 1e-12)


def rear_of(parts: Body, front: Front, *, hole: float) -> Rear:
    """What lies behind, from under the nose's end to the rim; ``hole`` is the radius of a hole through a solid hub."""
    first = float(front.zr[0, 0])
    corners = np.vstack([points(curve) for curve in parts.outline[parts.bored :]])
    solid = corners[:, 1].min() <= 0
    if solid:
        corners = corners[corners[:, 1] > hole]
        corners = np.vstack([[corners[0, 0], hole], corners])
    keep = np.r_[True, np.linalg.norm(np.diff(corners, axis=0), axis=1) > 1e-9]
    corners = corners[keep]
    behind = corners[:, 0] > first + 1e-9
    at_bore = hole if solid else float(np.interp(first, corners[:2, 0], corners[:2, 1]))
    start = np.array([first, at_bore])
    corners = np.vstack([start, corners[int(np.argmax(behind)) :]])
    # The bore ends with a face across the axis: the last one where there are two.
    faces = np.flatnonzero(np.abs(np.diff(corners[:, 0])) < 1e-9)
    held = int(faces[np.argmax(corners[faces, 0])])
    square = held + 2 < len(corners) and abs(corners[held + 2, 1] - corners[held + 1, 1]) < 1e-9
    if not square:
        return Rear(corners, held)
    foot = corners[held + 2]
    bore = np.array([foot[0], np.interp(foot[0], *corners[held - 1 : held + 1].T)])
    return Rear(np.vstack([corners[:held], bore, corners[held + 2 :]]), held, corners[held : held + 2])


def feet(front: Front, rear: Rear, s: Array) -> tuple[Array, list[int]]:
    """Lengths along the rear, and the rows of its corners, at which the lines from ``s`` (n, odd; corners of elements at even places) end.

    Raises RejectedSolid where there are fewer rows than corners.
    """
    d = np.linspace(0, rear.length[-1], 1201)
    spots, curve = rear.at(d), front.zr
    nearest = front.s[np.argmin(np.sum((spots[:, None, :] - curve[None]) ** 2, axis=2), axis=1)]
    nearest = np.maximum.accumulate(nearest)
    nearest[0], nearest[-1] = 0.0, front.length
    climbs = np.r_[True, np.diff(nearest) > 1e-9]
    plain = np.interp(s, nearest[climbs], d[climbs])
    plain = 0.75 * plain + 0.25 * np.linspace(0, rear.length[-1], len(s))
    plain[0], plain[-1] = 0.0, rear.length[-1]

    rows = [0]
    inner = rear.length[1:-1]
    if len(inner) > (len(s) - 1) // 2 - 1:
        raise RejectedSolid(
            f"wheel: {len(inner)} corners on its back are too many for {(len(s) - 1) // 2} rows of elements"
        )
    for left, length in zip(range(len(inner) - 1, -1, -1), inner, strict=True):
        wanted = 2 * round(float(np.interp(length, plain, np.arange(len(s)))) / 2)
        rows.append(int(np.clip(wanted, rows[-1] + 2, len(s) - 3 - 2 * left)))
    rows.append(len(s) - 1)
    lengths = np.interp(np.arange(len(s)), rows, rear.length)
    # Between two corners the lines keep their places in proportion.
    found = lengths.copy()
    for a, b in pairwise(rows):
        part = plain[a : b + 1]
        even = np.linspace(0, 1, b - a + 1)
        share = (part - part[0]) / (part[-1] - part[0]) if part[-1] > part[0] else even
        share = 0.6 * share + 0.4 * even
        found[a : b + 1] = lengths[a] + share * (lengths[b] - lengths[a])
    found[1::2] = (found[:-1:2] + found[2::2]) / 2
    return found, rows
