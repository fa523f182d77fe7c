"""A shaded picture of triangulated solids as a PNG, by a z-buffer in numpy."""

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
CHUNK = 300_000
"""Samples handled at a time: they fit the cache, which halves the time."""


def picture(mesh: Mesh, *, size: int = 420, colour: int = 0, eye: tuple[float, float, float] = (0.55, -0.45, -1.0)) -> bytes:
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
    return points @ np.stack([right, np.cross(toward, right), toward], axis=1)


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
    """Index of the triangle nearest to the viewer at each sample, -1 where there is none; shape (side, side).

    Triangles are taken together with others of about the same extent, each with a square of samples over its bounds.
    """
    low = np.floor(corners[:, :, :2].min(axis=1)).astype(int)
    extent = (np.ceil(corners[:, :, :2].max(axis=1)).astype(int) - low).max(axis=1) + 1
    depth = np.full(side * side, -np.inf)
    owner = np.full(side * side, -1, dtype=np.int64)
    classes = np.ceil(np.log2(extent)).astype(int)
    for power in np.unique(classes):
        width = 2 ** int(power)
        members = np.flatnonzero(classes == power)
        for part in np.array_split(members, max(1, len(members) * width * width // CHUNK)):
            _paint(part, corners[part], low[part], width, side, depth, owner)
    return owner.reshape(side, side)


def _paint(part: Any, corners: Array, low: Any, width: int, side: int, depth: Array, owner: Any) -> None:
    """Enter triangles into the buffers ``depth`` and ``owner``, which it changes."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (corners[:, k].T for k in range(3))
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    area = np.where(np.abs(area) > 1e-12, area, np.inf)
    # the weights of corners b and c are linear in a sample's column and row
    x, y = low[:, 0] + 0.5 - ax, low[:, 1] + 0.5 - ay
    b_start, b_column, b_row = (x * (cy - ay) - (cx - ax) * y) / area, (cy - ay) / area, -(cx - ax) / area
    c_start, c_column, c_row = ((bx - ax) * y - x * (by - ay)) / area, -(by - ay) / area, (bx - ax) / area

    def weight(start: Array, column: Array, row: Array) -> Array:
        along, down = np.multiply.outer(column, step), np.multiply.outer(row, step) + start[:, None]
        return np.asarray(along[:, None, :] + down[:, :, None])

    step = np.arange(width)
    b, c = weight(b_start, b_column, b_row), weight(c_start, c_column, c_row)
    # a hair beyond the edges, so that no sample falls between two neighbours
    inside = np.minimum(np.minimum(b, c), 1 - b - c) >= -1e-6
    inside[~np.isfinite(area)] = False
    triangle, row, column = np.nonzero(inside)
    z = az[triangle] + b[inside] * (bz - az)[triangle] + c[inside] * (cz - az)[triangle]
    pixel = (low[triangle, 1] + row) * side + low[triangle, 0] + column

    order = np.argsort(z, kind="stable")
    pixel, z, triangle = pixel[order], z[order], triangle[order]
    nearer = z > depth[pixel]
    # assignment keeps the last of equal indices: the nearest, for they are sorted
    depth[pixel[nearer]] = z[nearer]
    owner[pixel[nearer]] = part[triangle[nearer]]


def png(image: NDArray[np.uint8]) -> bytes:
    """An image of shape (rows, columns, 3) as PNG (ISO/IEC 15948), rows filtered by the difference to the row above."""
    rows, columns, _ = image.shape
    above = np.concatenate([np.zeros_like(image[:1]), image[:-1]])
    filtered = np.concatenate([np.full((rows, 1), 2, np.uint8), (image - above).reshape(rows, -1)], axis=1)

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    header = struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(filtered.tobytes(), 9)) + chunk(b"IEND", b"")
