"""The hexahedron: its faces, corners and volume, and how the cells of a mesh share their faces.

Nodes are numbered as in VTK: 0 1 2 3 round the bottom, 4 5 6 7 above them; a sound cell has a positive volume.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.record import Record, record

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

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


def all_faces(hexes: Indices) -> tuple[Indices, Indices]:
    """The six outward faces of every cell (6 n, 4), and the cell that each belongs to."""
    quads = np.concatenate([hexes[:, nodes] for nodes in FACES.values()])
    return quads, np.tile(np.arange(len(hexes)), len(FACES))


def shared_faces(hexes: Indices) -> SharedFaces:
    """The faces that two cells share."""
    quads, cells = all_faces(hexes)
    keys = face_keys(quads)
    order = np.argsort(keys, kind="stable")
    pair = np.flatnonzero(keys[order][1:] == keys[order][:-1])

    one, other = order[pair], order[pair + 1]
    swap = cells[one] > cells[other]
    one, other = np.where(swap, other, one), np.where(swap, one, other)

    rank = np.lexsort((cells[other], cells[one]))
    return SharedFaces(quads=quads[one[rank]], owner=cells[one[rank]], neighbour=cells[other[rank]])


def face_keys(quads: Indices) -> Indices:
    """One whole number a face, whatever node it starts from: three of its four sorted nodes tell it from all others."""
    nodes = np.sort(quads, axis=1).astype(np.int64)
    span = int(nodes.max()) + 1
    return np.asarray((nodes[:, 0] * span + nodes[:, 1]) * span + nodes[:, 2])


def corner_jacobians(points: Points, hexes: Indices) -> tuple[Points, Points]:
    """Determinants of the three edges at each corner (n, 8) in m3, and the same over the product of their lengths."""
    corners = points[hexes]
    determinant, scaled = np.empty((2, len(hexes), len(CORNERS)))
    for column, (node, *neighbours) in enumerate(CORNERS):
        a, b, c = (corners[:, n] - corners[:, node] for n in neighbours)
        determinant[:, column] = dot(np.cross(a, b), c)
        scaled[:, column] = determinant[:, column] / np.sqrt(dot(a, a) * dot(b, b) * dot(c, c))
    return determinant, scaled


def area_vectors(points: Points, quads: Indices) -> Points:
    """Area vectors of quadrilaterals (n, 3), exact also for warped ones."""
    p = points[quads]
    return np.asarray(0.5 * np.cross(p[:, 2] - p[:, 0], p[:, 3] - p[:, 1]))


def volumes(points: Points, hexes: Indices) -> Points:
    """Volumes of trilinear cells (n,): the flux of x/3 through their bilinear faces, by the divergence theorem."""
    corners = points[hexes]
    corners = corners - corners.mean(axis=1, keepdims=True)
    return np.asarray(np.sum([bilinear_flux(corners[:, nodes]) for nodes in FACES.values()], axis=0))


def bilinear_flux(corners: Points) -> Points:
    """Volume between the origin and bilinear faces with these corners (n, 4, 3): the mean of both triangulations."""
    a, b, c, d = (corners[:, n] for n in range(4))
    ab, cd = np.cross(a, b), np.cross(c, d)
    return np.asarray((dot(ab, c + d) + dot(cd, a + b)) / 12)


def dot(a: Points, b: Points) -> Points:
    """Row by row scalar product."""
    return np.asarray(np.einsum("ij,ij->i", a, b))
