"""The hexahedron: its faces, corners and volume, and how the cells of a mesh share their faces.

Nodes are numbered as in VTK: 0 1 2 3 round the bottom, 4 5 6 7 above them; a sound cell has a positive volume.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.record import Record, record

Points = NDArray[np.float64]
Indices = NDArray[np.integer[Any]]

# Nodes of each face, seen from outside counter-clockwise; the sides of a structured cell (i, j, k): i along the flow,
# k from hub to shroud, j in the direction of rotation. Node 0 -> 1 is i, 0 -> 3 is k, 0 -> 4 is j (a right-handed set).
FACES = {
    "i-": (0, 4, 7, 3),
    "i+": (1, 2, 6, 5),
    "k-": (0, 1, 5, 4),
    "k+": (3, 7, 6, 2),
    "j-": (0, 3, 2, 1),
    "j+": (4, 5, 6, 7),
}
# Each node with its three neighbours in right-handed order: the edges of the corner Jacobians.
CORNERS = (
    (0, 1, 3, 4), (1, 2, 0, 5), (2, 3, 1, 6), (3, 0, 2, 7),
    (4, 7, 5, 0), (5, 4, 6, 1), (6, 5, 7, 2), (7, 6, 4, 3),
)  # fmt: skip


@record
class SharedFaces(Record):
    """Faces between two cells: corners (n, 4) seen from ``owner`` outwards, ``owner < neighbour``, sorted by both."""

    quads: Indices
    owner: Indices
    neighbour: Indices

    @property
    def shape(self) -> tuple[int, ...]:
        """Lists of faces belong to one mesh: a single design."""
        return ()


BLOCK = 50_000
"""Cells or faces that are worked on at once: their corners' coordinates take as much room as a whole mesh of this size."""


def blocks(count: int) -> Iterator[slice]:
    """Slices of at most :data:`BLOCK` that cover a count."""
    return (slice(start, min(start + BLOCK, count)) for start in range(0, count, BLOCK))


def shared_faces(hexes: Indices) -> SharedFaces:
    """The faces that two cells share."""
    sides, span = np.array(list(FACES.values())), int(hexes.max()) + 1
    keys = np.concatenate([face_keys(hexes[:, side], span=span) for side in sides])
    order = np.argsort(keys, kind="stable").astype(np.int32)
    keys = keys[order]
    pair = np.flatnonzero(keys[1:] == keys[:-1])
    del keys
    one, other = order[pair], order[pair + 1]
    del order, pair

    count = len(hexes)
    swap = one % count > other % count
    one, other = np.where(swap, other, one), np.where(swap, one, other)
    owner, neighbour = one % count, other % count
    rank = np.argsort(owner.astype(np.int64) * count + neighbour, kind="stable")
    owner, neighbour, one = owner[rank], neighbour[rank], one[rank]

    quads = np.empty((len(owner), 4), np.int32)
    for part in blocks(len(owner)):
        quads[part] = np.take_along_axis(hexes[owner[part]], sides[one[part] // count], axis=1)
    return SharedFaces(quads=quads, owner=owner, neighbour=neighbour)


def face_keys(quads: Indices, *, span: int) -> NDArray[np.int64]:
    """One whole number a face, whatever node it starts from: its two least nodes and its largest tell it from all others.

    ``span`` is the count of nodes; two million of them at most, or the numbers run over.
    """
    a, b, c, d = (quads[:, n].astype(np.int64) for n in range(4))
    low, high = np.minimum(a, b), np.maximum(a, b)
    low2, high2 = np.minimum(c, d), np.maximum(c, d)
    first, last = np.minimum(low, low2), np.maximum(high, high2)
    second = np.minimum(np.maximum(low, low2), np.minimum(high, high2))
    return np.asarray((first * span + second) * span + last)


def corner_jacobians(points: Points, hexes: Indices) -> tuple[Points, Points]:
    """Determinants of the three edges at each corner (n, 8) in m3, and the same over the product of their lengths."""
    x, y, z = (points[:, axis][hexes].T for axis in range(3))
    determinant, scaled = np.empty((2, len(hexes), len(CORNERS)))
    for column, (node, *neighbours) in enumerate(CORNERS):
        a, b, c = ((x[n] - x[node], y[n] - y[node], z[n] - z[node]) for n in neighbours)
        determinant[:, column] = triple(a, b, c)
        sizes = [p[0] ** 2 + p[1] ** 2 + p[2] ** 2 for p in (a, b, c)]
        scaled[:, column] = determinant[:, column] / np.sqrt(sizes[0] * sizes[1] * sizes[2])
    return determinant, scaled


def triple(a: tuple[Points, ...], b: tuple[Points, ...], c: tuple[Points, ...]) -> Points:
    """Determinant of three vectors, each given by its components."""
    return np.asarray(
        (a[1] * b[2] - a[2] * b[1]) * c[0] + (a[2] * b[0] - a[0] * b[2]) * c[1] + (a[0] * b[1] - a[1] * b[0]) * c[2]
    )


def area_vectors(points: Points, quads: Indices) -> Points:
    """Area vectors of quadrilaterals (n, 3), exact also for warped ones."""
    p = points[quads]
    return np.asarray(0.5 * np.cross(p[:, 2] - p[:, 0], p[:, 3] - p[:, 1]))


def volumes(points: Points, hexes: Indices) -> Points:
    """Volumes of trilinear cells (n,): the flux of x/3 through their bilinear faces, by the divergence theorem."""
    x, y, z = (c - c.mean(axis=0) for c in (points[:, axis][hexes].T for axis in range(3)))
    total = np.zeros(len(hexes))
    for nodes in FACES.values():
        a, b, c, d = ((x[n], y[n], z[n]) for n in nodes)
        total += triple(a, b, _sum(c, d)) + triple(c, d, _sum(a, b))
    return total / 12


def _sum(a: tuple[Points, ...], b: tuple[Points, ...]) -> tuple[Points, ...]:
    return tuple(p + q for p, q in zip(a, b, strict=True))


def bilinear_flux(corners: Points) -> Points:
    """Volume between the origin and bilinear faces with these corners (n, 4, 3): the mean of both triangulations."""
    a, b, c, d = (corners[:, n] for n in range(4))
    ab, cd = np.cross(a, b), np.cross(c, d)
    return np.asarray((dot(ab, c + d) + dot(cd, a + b)) / 12)


def mean_of_corners(points: Points, corners: Indices) -> Points:
    """Mean of the corners of faces or cells, (n, 3)."""
    total = points[corners[:, 0]]
    for column in range(1, corners.shape[1]):
        total += points[corners[:, column]]
    return total / corners.shape[1]


def dot(a: Points, b: Points) -> Points:
    """Row by row scalar product."""
    return np.asarray(np.einsum("ij,ij->i", a, b))
