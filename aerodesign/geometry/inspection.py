"""Points on the blade surfaces with their normals, to be compared with a made wheel on a measuring machine.

They come from the formula of the surface, not from the solid's splines, and leave out fillets and the edge at r2.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from aerodesign.geometry.blade import Blading
from aerodesign.geometry.fillet import roll
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.row import BladeRow
from aerodesign.geometry.skin import Skin, beyond

SPANS = (0.1, 0.3, 0.5, 0.7, 0.9)
"""Part of the height from hub to tip."""
ALONG = 41
"""Points of a side from nose to trailing edge, before those in fillets are left out."""
SIDES = {"suction": -1.0, "pressure": 1.0}


class InspectionPoints(NamedTuple):
    """Points and unit normals out of the blade, (n, 3) in metres; for each its blade ("full", "splitter"), side, span and number.

    ``station`` counts along a line of one span from the nose (0) to the trailing edge.
    """

    points: Array
    normals: Array
    blade: NDArray[np.str_]
    side: NDArray[np.str_]
    span: Array
    station: NDArray[np.int64]


def inspection_points(blading: Blading, row: BladeRow) -> InspectionPoints:
    """Points on the full blade at theta of the blading and on the splitter ahead of it."""
    p = blading.impeller
    parts = [_points(blading, row, row.full, "full", 0.0)]
    if row.splitter is not None:
        splitter = _points(blading, row, row.splitter, "splitter", float(p.splitter_start))
        turn = row.splitter_turn
        parts.append(splitter._replace(points=_turned(splitter.points, turn), normals=_turned(splitter.normals, turn)))
    return InspectionPoints(*(np.concatenate(fields) for fields in zip(*parts, strict=True)))


def _points(blading: Blading, row: BladeRow, skin: Skin, name: str, start: float) -> InspectionPoints:
    p = blading.impeller
    surface = BladeSurface(blading, start=start, beyond=beyond(p, row.fillet))
    # closer at the nose, where the surface bends most
    along = np.linspace(0, 1, ALONG) ** 1.5
    side, s, g = (a.reshape(-1) for a in np.meshgrid(list(SIDES.values()), SPANS, along, indexing="ij"))
    number = np.tile(np.arange(ALONG), len(SIDES) * len(SPANS))
    sigma = side * g
    low, high = np.zeros_like(s), np.ones_like(s)
    if skin.hub.grid is not None:
        low = roll(surface, at_hub=True, radius=row.fillet, at_nose=skin.hub.at_nose).s_of(sigma)
    if skin.tip.grid is not None:
        high = roll(surface, at_hub=False, radius=row.fillet, at_nose=skin.tip.at_nose).s_of(sigma)
    points, normals = surface.with_normal(s, sigma)
    radius = np.hypot(points[:, 0], points[:, 1])
    # a nose belongs to both sides and is listed with one of them
    kept = (s > low) & (s < high) & (radius < 0.999 * float(p.r2)) & ((g > 0) | (side > 0))
    names = np.array(list(SIDES))[(side > 0).astype(int)]
    return InspectionPoints(
        points[kept], normals[kept], np.full(int(kept.sum()), name), names[kept], s[kept], number[kept]
    )


def _turned(vectors: Array, turn: float) -> Array:
    """Vectors (n, 3) turned about the axis."""
    c, s = np.cos(turn), np.sin(turn)
    x, y, z = vectors.T
    return np.stack([c * x - s * y, s * x + c * y, z], axis=1)
