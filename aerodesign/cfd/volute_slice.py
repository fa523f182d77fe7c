"""A plane across the axis through a mesh of any cells: the polygon of each cell that it cuts."""

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.polyhedra import Polyhedra

Array = NDArray[np.float64]


def slice_across(mesh: Polyhedra, z: float) -> tuple[list[Array], NDArray[np.int64]]:
    """Polygons (x, y) of the cells that the plane at ``z`` cuts, and the numbers of these cells.

    Cells are taken as convex: their corners are put in order round their mean. Grid planes do not lie at ``z`` by chance.
    """
    sizes = np.diff(mesh.ends, prepend=0)
    face = np.repeat(np.arange(len(sizes)), sizes)
    following = np.arange(1, len(mesh.faces) + 1)
    following[mesh.ends - 1] = mesh.ends - sizes
    a, b = mesh.points[mesh.faces], mesh.points[mesh.faces[following]]
    cut = (a[:, 2] - z) * (b[:, 2] - z) < 0
    a, b, face = a[cut], b[cut], face[cut]
    at = (a + (b - a) * ((z - a[:, 2]) / (b[:, 2] - a[:, 2]))[:, None])[:, :2]

    inner = face < mesh.inside
    cell = np.concatenate([mesh.owner[face], mesh.neighbour[face[inner]]])
    at = np.concatenate([at, at[inner]])
    count = np.bincount(cell, minlength=len(mesh.volume))
    middle = np.stack([np.bincount(cell, at[:, k], len(count)) for k in (0, 1)], axis=1) / np.maximum(count, 1)[:, None]
    arm = at - middle[cell]
    order = np.lexsort((np.arctan2(arm[:, 1], arm[:, 0]), cell))
    cells = np.flatnonzero(count)
    return np.split(at[order], np.cumsum(count[cells])[:-1]), cells


def wall_from(mesh: Polyhedra, patches: tuple[str, ...]) -> tuple[list[Array], NDArray[np.int64]]:
    """Polygons (x, y) of the faces of patches that look along +z, those further off first, and their owners."""
    which = np.concatenate([np.arange(mesh.patches[name].start, mesh.patches[name].stop) for name in patches])
    which = which[mesh.area[which, 2] > 0]
    which = which[np.argsort(mesh.centre[which, 2])]
    starts = mesh.ends[which] - np.diff(mesh.ends, prepend=0)[which]
    shapes = [mesh.points[mesh.faces[first:last], :2] for first, last in zip(starts, mesh.ends[which], strict=True)]
    return shapes, mesh.owner[which]
