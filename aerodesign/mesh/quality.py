"""How good a mesh of hexahedra is, in the measures that finite-volume solvers care about."""

import numpy as np

from aerodesign.core.quantities import Angle, Count, Ratio, Values
from aerodesign.core.record import Record, record
from aerodesign.mesh.hexahedra import (
    Indices,
    Points,
    SharedFaces,
    area_vectors,
    blocks,
    corner_jacobians,
    dot,
    mean_of_corners,
    shared_faces,
    volumes,
)

EDGES = {  # node pairs of the four edges along each direction of a structured cell
    "i": ((0, 1), (3, 2), (4, 5), (7, 6)),
    "k": ((0, 3), (1, 2), (4, 7), (5, 6)),
    "j": ((0, 4), (1, 5), (2, 6), (3, 7)),
}


@record
class Quality(Record):
    """Quality of one mesh; the extremes over its cells and its inner faces.

    ``scaled_jacobian_min`` is the least of all corner determinants over the product of their edges (1: a cube's corner,
    0 or less: a folded cell). ``non_orthogonality`` is the angle between the line that joins two cells' centres and the
    normal of the face between them. ``skewness_max`` is how far that line passes by the face's centre, over its length.
    ``aspect_max`` is a cell's longest over its shortest mean edge. ``growth_max`` compares the distances of two
    neighbours' centres from the face between them.
    """

    cells: Count
    jacobian_min: Values
    scaled_jacobian_min: Ratio
    volume_min: Values
    volume: Values
    non_orthogonality_max: Angle
    non_orthogonality_mean: Angle
    skewness_max: Ratio
    aspect_max: Ratio
    growth_max: Ratio
    growth_mean: Ratio
    folded_cells: Count

    @property
    def sound(self) -> bool:
        """True when every corner of every cell has a positive Jacobian."""
        return bool(self.jacobian_min > 0)


@record
class FaceQuality(Record):
    """Measures on each inner face, as arrays in the order of the faces."""

    non_orthogonality: Angle
    skewness: Ratio
    growth: Ratio


def mesh_quality(points: Points, hexes: Indices, *, faces: SharedFaces | None = None) -> Quality:
    """All measures of a mesh of at least two cells; ``faces`` saves the search when the caller has them already."""
    cells = [_of_cells(points, hexes[part]) for part in blocks(len(hexes))]
    determinant, scaled, least, whole, aspect, folded = (np.array(column) for column in zip(*cells, strict=True))
    face = face_quality(points, hexes, faces=faces or shared_faces(hexes))
    return Quality(
        cells=len(hexes),
        jacobian_min=float(determinant.min()),
        scaled_jacobian_min=float(scaled.min()),
        volume_min=float(least.min()),
        volume=float(whole.sum()),
        non_orthogonality_max=float(np.max(face.non_orthogonality)),
        non_orthogonality_mean=float(np.mean(face.non_orthogonality)),
        skewness_max=float(np.max(face.skewness)),
        aspect_max=float(aspect.max()),
        growth_max=float(np.max(face.growth)),
        growth_mean=float(np.mean(face.growth)),
        folded_cells=int(folded.sum()),
    )


def _of_cells(points: Points, hexes: Indices) -> tuple[float, ...]:
    """Of some cells: least determinant, plain and scaled, least and whole volume, largest aspect ratio, folded ones."""
    determinant, scaled = corner_jacobians(points, hexes)
    volume = volumes(points, hexes)
    return (
        determinant.min(),
        scaled.min(),
        volume.min(),
        volume.sum(),
        aspect_ratios(points, hexes).max(),
        (determinant.min(axis=1) <= 0).sum(),
    )


def aspect_ratios(points: Points, hexes: Indices) -> Points:
    """Longest over shortest mean edge length of each cell (n,)."""
    corners = points[hexes]
    lengths = [
        np.mean([np.sqrt(dot(d, d)) for d in (corners[:, b] - corners[:, a] for a, b in pairs)], axis=0)
        for pairs in EDGES.values()
    ]
    return np.asarray(np.max(lengths, axis=0) / np.min(lengths, axis=0))


def face_quality(points: Points, hexes: Indices, *, faces: SharedFaces) -> FaceQuality:
    """Angle, skewness and growth at each face between two cells; centres are the means of the corners."""
    centres = cell_centres(points, hexes)
    angle, skewness, growth = np.empty((3, len(faces.owner)))
    for part in blocks(len(faces.owner)):
        quads = faces.quads[part]
        middle = mean_of_corners(points, quads)
        normal = area_vectors(points, quads)
        normal /= np.sqrt(dot(normal, normal))[:, None]

        own, other = centres[faces.owner[part]], centres[faces.neighbour[part]]
        joint = other - own
        length = np.sqrt(dot(joint, joint))

        before, behind = dot(middle - own, normal), dot(other - middle, normal)
        miss = middle - own - joint * (before / dot(joint, normal))[:, None]
        near, far = np.minimum(np.abs(before), np.abs(behind)), np.maximum(np.abs(before), np.abs(behind))
        angle[part] = np.arccos(np.clip(dot(joint, normal) / length, -1, 1))
        skewness[part] = np.sqrt(dot(miss, miss)) / length
        growth[part] = far / near
    return FaceQuality(non_orthogonality=angle, skewness=skewness, growth=growth)


def cell_centres(points: Points, hexes: Indices) -> Points:
    """Mean of the corners of each cell, (n, 3)."""
    centres = np.empty((len(hexes), 3))
    for part in blocks(len(hexes)):
        centres[part] = mean_of_corners(points, hexes[part])
    return centres


def cell_scaled_jacobians(points: Points, hexes: Indices) -> Points:
    """Least scaled corner Jacobian of each cell (n,), for pictures."""
    least = np.empty(len(hexes))
    for part in blocks(len(hexes)):
        least[part] = corner_jacobians(points, hexes[part])[1].min(axis=1)
    return least
