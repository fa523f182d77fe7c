"""Triangles of a solid, in metres, for pictures and for a check that the skin is closed."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.shapes import faces
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Angle, Length

Array = NDArray[np.float64]

WELD = 1e-5
"""Nodes of neighbouring faces closer than this (mm) are one: they were computed from the same edge."""
AGAIN = (1.0, 0.8, 0.6)
"""Deflections, over the one asked, that are tried until the triangles close."""


class Triangles(NamedTuple):
    """Points (n, 3) in metres and triangles (m, 3) of indices into them, counter-clockwise seen from outside."""

    points: Array
    triangles: NDArray[np.int64]

    @property
    def volume(self) -> float:
        """Enclosed volume in m3."""
        a, b, c = (self.points[self.triangles[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)

    @property
    def open_edges(self) -> int:
        """Edges that do not occur exactly once in each direction: none in a closed, oriented skin."""
        t = self.triangles
        edges = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
        forward = edges[:, 0] * len(self.points) + edges[:, 1]
        backward = edges[:, 1] * len(self.points) + edges[:, 0]
        repeated = len(forward) - len(np.unique(forward))
        return int(np.sum(~np.isin(forward, backward))) + repeated


def tessellate(shape: Any, *, deflection: Length = 1e-4, angle: Angle = 0.3) -> Triangles:
    """Triangles within ``deflection`` of a shape of the kernel, their normals within ``angle`` of its own.

    Raises :class:`RejectedSolid` for a face that cannot be meshed.
    """
    return tessellate_faces(shape, deflection=deflection, angle=angle)[0]


def tessellate_faces(
    shape: Any, *, deflection: Length = 1e-4, angle: Angle = 0.3
) -> tuple[Triangles, NDArray[np.int64]]:
    """The same, with the number of the face, in the order of :func:`~aerodesign.cad.shapes.faces`, for each triangle.

    Where a surface all but stands still, as beside the crease of a volute's duct, the kernel may set nodes so close together that
    the triangles between them close up on each other: a solid whose triangles do not close is laid anew, a little finer.
    """
    first, *others = AGAIN
    laid = _laid(shape, first * deflection, angle)
    for part in others if laid[0].open_edges else ():
        again = _laid(shape, part * deflection, angle)
        if not again[0].open_edges:
            return again
    return laid


def _laid(shape: Any, deflection: Length, angle: Angle) -> tuple[Triangles, NDArray[np.int64]]:
    occ.BRepTools.BRepTools.Clean_s(shape)
    occ.BRepMesh.BRepMesh_IncrementalMesh(shape, float(deflection) * MM, False, float(angle), False)
    points: list[Array] = []
    triangles: list[Array] = []
    for number, face in enumerate(faces(shape)):
        location = occ.TopLoc.TopLoc_Location()
        mesh = occ.BRep.BRep_Tool.Triangulation_s(face, location)
        if mesh is None:
            raise RejectedSolid(f"face {number} of the solid cannot be turned into triangles")
        nodes = [mesh.Node(i) for i in range(1, mesh.NbNodes() + 1)]
        if not location.IsIdentity():
            move = location.Transformation()
            nodes = [node.Transformed(move) for node in nodes]
        corners = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)]) - 1
        if face.Orientation() == occ.TopAbs.TopAbs_Orientation.TopAbs_REVERSED:
            corners = corners[:, ::-1]
        triangles.append(corners + sum(len(p) for p in points))
        points.append(np.array([(p.X(), p.Y(), p.Z()) for p in nodes]))
    number_of = np.repeat(np.arange(len(triangles)), [len(t) for t in triangles])
    skin, kept = _welded(np.concatenate(points), np.concatenate(triangles))
    return skin, number_of[kept]


def _welded(points: Array, triangles: Array) -> tuple[Triangles, NDArray[np.bool_]]:
    """One point for all nodes in the same place; triangles that collapse are dropped, ``kept`` says which are not.

    Millimetres in, metres out.
    """
    pairs = cKDTree(points).query_pairs(WELD, output_type="ndarray")
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points), len(points)))
    _, label = connected_components(graph, directed=False)
    _, first = np.unique(label, return_index=True)
    t = label[triangles].astype(np.int64)
    whole = (t[:, 0] != t[:, 1]) & (t[:, 1] != t[:, 2]) & (t[:, 2] != t[:, 0])
    return Triangles(points[first] / MM, t[whole]), np.asarray(whole)


def in_single(skin: Triangles, *, unit: float = 1.0) -> Triangles:
    """The skin as a file in single precision holds it, lengths times ``unit`` rounded: points that coincide there are one.

    Triangles that collapse are dropped; what was closed stays closed.
    """
    points, label = np.unique((unit * skin.points).astype(np.float32), axis=0, return_inverse=True)
    t = label.reshape(-1)[skin.triangles].astype(np.int64)
    whole = (t[:, 0] != t[:, 1]) & (t[:, 1] != t[:, 2]) & (t[:, 2] != t[:, 0])
    return Triangles(points.astype(float) / unit, t[whole])
