"""A shaded picture of triangulated solids as a PNG, row by row in numpy, the nearest face on top."""

import base64
import struct
import zlib
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mesh = tuple[Any, Any]
"""Points (n, 3) in metres and triangles (m, 3) as indices of points."""

COLOURS = np.array([[122, 163, 201], [214, 166, 118], [141, 186, 160], [178, 160, 196]], float)
GROUND = 255.0
SUPER = 2
"""Samples across a pixel."""


def picture(
    mesh: Mesh, *, size: int = 420, colour: int = 0, eye: tuple[float, float, float] = (0.55, -0.45, -1.0)
) -> bytes:
    """One solid from the direction ``eye`` (from the solid to the viewer), fitted into a square, as PNG bytes.

    The default looks into the inlet, because the flow enters in +z. Both sides of a face are lit.
    """
    points, triangles = np.asarray(mesh[0], float), np.asarray(mesh[1], int)
    across = _projected(points, np.array(eye))
    side = size * SUPER
    low, high = across[:, :2].min(axis=0), across[:, :2].max(axis=0)
    scale = 0.94 * side / max(float(np.max(high - low)), 1e-12)
    across[:, :2] = (across[:, :2] - (low + high) / 2) * scale + side / 2
    corners = across[triangles]

    nearest = _nearest(corners, side)
    seen = nearest >= 0
    light = _light(points[triangles], np.array(eye))
    image = np.full((side, side, 3), GROUND)
    image[seen] = np.minimum(COLOURS[colour % len(COLOURS)] * light[nearest[seen], None], 255)
    image = image.reshape(size, SUPER, size, SUPER, 3).mean(axis=(1, 3))
    return png(np.round(image[::-1]).astype(np.uint8))


def pictures(solids: Mapping[str, Mesh]) -> dict[str, str]:
    """A data URL of a picture for every solid, by name; smaller where there are many, so that a page stays small."""
    size = 420 if len(solids) <= 2 else 320
    return {
        name: "data:image/png;base64," + base64.b64encode(picture(mesh, size=size, colour=i)).decode("ascii")
        for i, (name, mesh) in enumerate(solids.items())
    }


def _projected(points: Array, eye: Array) -> Array:
    """Coordinates to the right, up and towards the viewer. Up is +y, the direction of a discharge."""
    toward = eye / np.linalg.norm(eye)
    right = np.cross([0.0, 1.0, 0.0], toward)
    right /= np.linalg.norm(right)
    return np.asarray(points @ np.stack([right, np.cross(toward, right), toward], axis=1))


def _light(corners: Array, eye: Array) -> Array:
    """Brightness of each triangle: a lamp beside the viewer and some from above."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    toward = eye / np.linalg.norm(eye)
    normal = normal * np.where(normal @ toward < 0, -1, 1)[:, None]
    lamp = toward + np.array([-0.5, 0.6, 0.0])
    lamp = lamp / np.linalg.norm(lamp)
    result: Array = 0.32 + 0.78 * np.clip(normal @ lamp, 0, None) + 0.12 * np.clip(normal[:, 1], 0, None)
    return result


def _nearest(corners: Array, side: int) -> NDArray[np.int64]:
    """Index of the triangle nearest to the viewer at each sample, -1 where there is none; shape (side, side)."""
    triangle, row, start, end = _spans(corners)
    first = np.ceil(start[0] - 0.5).astype(int)
    span, along = _counted(np.floor(end[0] - 0.5).astype(int) - first + 1)
    column = first[span] + along

    slope = (end[1] - start[1]) / np.maximum(end[0] - start[0], 1e-9)
    depth = start[1][span] + slope[span] * (column + 0.5 - start[0][span])
    pixel = row[span] * side + column
    order = np.argsort(depth, kind="stable")
    owner = np.full(side * side, -1, dtype=np.int64)
    # assignment keeps the last of equal indices, which is the nearest
    owner[pixel[order]] = triangle[span][order]
    return owner.reshape(side, side)


def _spans(corners: Array) -> tuple[Any, Any, Array, Array]:
    """Rows of samples that triangles cross: triangle, row, and (x, depth) where the row enters and leaves it."""
    low, high = corners[:, :, 1].min(axis=1), corners[:, :, 1].max(axis=1)
    first = np.ceil(low - 0.5).astype(int)
    triangle, along = _counted(np.floor(high - 0.5).astype(int) - first + 1)
    row = first[triangle] + along
    y = row + 0.5

    start, end = np.full((2, len(row)), np.inf), np.full((2, len(row)), -np.inf)
    for one, other in ((0, 1), (1, 2), (2, 0)):
        p, q = corners[triangle, one], corners[triangle, other]
        rise = q[:, 1] - p[:, 1]
        share = (y - p[:, 1]) / np.where(rise == 0, np.inf, rise)
        crossed = (share >= 0) & (share <= 1) & (rise != 0)
        place = (p + share[:, None] * (q - p))[:, ::2].T
        start = np.where(crossed & (place[0] < start[0]), place, start)
        end = np.where(crossed & (place[0] > end[0]), place, end)
    met = np.isfinite(start[0])
    return triangle[met], row[met], start[:, met], end[:, met]


def _counted(counts: Any) -> tuple[Any, Any]:
    """Owner and number within the owner of each of ``counts`` things: counts 2, 0, 1 give (0 0 2) and (0 1 0)."""
    counts = np.maximum(counts, 0)
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)


def png(image: NDArray[np.uint8]) -> bytes:
    """An image of shape (rows, columns, 3) as PNG (ISO/IEC 15948), rows filtered by the difference to the row above."""
    rows, columns, _ = image.shape
    above = np.concatenate([np.zeros_like(image[:1]), image[:-1]])
    filtered = np.concatenate([np.full((rows, 1), 2, np.uint8), (image - above).reshape(rows, -1)], axis=1)

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    header = struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(filtered.tobytes(), 9))
        + chunk(b"IEND", b"")
    )
