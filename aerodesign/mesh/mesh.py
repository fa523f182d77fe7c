"""A mesh of one periodic passage: points, hexahedra, named patches, and how good it is."""

import numpy as np

from aerodesign.core.errors import RejectedMesh
from aerodesign.core.record import Record, record
from aerodesign.mesh.blocks import Layout, build_blocks
from aerodesign.mesh.hexahedra import Indices, Points, corner_jacobians
from aerodesign.mesh.hexahedra import blocks as in_blocks
from aerodesign.mesh.quality import Quality, mesh_quality


@record
class Mesh(Record):
    """A mesh of hexahedra for one blade passage, a sector of ``pitch`` about the z axis; rotation towards +theta.

    ``points`` (n, 3) in metres; ``hexes`` (cells, 8), numbered as VTK does; ``patches`` {name: (faces, 4)} the whole
    boundary, each face counter-clockwise from outside, ``owners`` {name: (faces,)} the cell behind each;
    face n of ``periodic_low``, turned by ``pitch``, is face n of ``periodic_high``, its nodes 0 1 2 3 there 0 3 2 1.
    ``ijk`` (cells, 3): station along the flow, column in the direction of rotation, layer from hub to shroud.
    ``leading_edge`` and ``trailing_edge`` are the stations i of the first cell behind these edges; before a rounded leading edge the
    station begins at the ring round the nose. ``made`` tells which generator and which settings made it.
    """

    points: Points
    hexes: Indices
    patches: dict[str, Indices]
    owners: dict[str, Indices]
    ijk: Indices
    pitch: float
    leading_edge: int
    trailing_edge: int
    quality: Quality
    made: str = ""

    @property
    def shape(self) -> tuple[int, ...]:
        """A mesh belongs to a single design."""
        return ()


def mesh_from_nodes(nodes: Points, layout: Layout, *, pitch: float, made: str = "") -> Mesh:
    """The mesh of one period from its nodes (z, r, theta), shape (3, stations + 1, columns, layers + 1).

    Raises :class:`RejectedMesh` where a cell is folded.
    """
    blocks = build_blocks(layout)
    z, r, theta = (values.reshape(-1)[blocks.kept] for values in nodes)
    points = np.stack([r * np.cos(theta), r * np.sin(theta), z], axis=-1)
    quality = mesh_quality(points, blocks.hexes)
    if not quality.sound:
        _refuse_folded(points, blocks.hexes, blocks.ijk)
    return Mesh(
        points=points,
        hexes=blocks.hexes,
        patches=blocks.patches,
        owners=blocks.owners,
        ijk=blocks.ijk,
        pitch=pitch,
        leading_edge=layout.leading[-1],
        trailing_edge=layout.trailing,
        quality=quality,
        made=made,
    )


def _refuse_folded(points: Points, hexes: Indices, ijk: Indices) -> None:
    folded, worst, least = 0, 0, np.inf
    for part in in_blocks(len(hexes)):
        determinant, scaled = corner_jacobians(points, hexes[part])
        sound = (determinant > 0).all(axis=1)  # False for cells that are not numbers, too
        if sound.all():
            continue
        folded += int((~sound).sum())
        value = np.where(sound, np.inf, np.nan_to_num(scaled.min(axis=1), nan=-np.inf))
        if value.min() <= least:
            worst, least = part.start + int(np.argmin(value)), float(value.min())
    if folded:
        i, j, k = (int(n) for n in ijk[worst])
        raise RejectedMesh(
            f"passage mesh: {folded} of {len(hexes)} cells are folded; the worst, at station {i}, column {j},"
            f" layer {k}, has a scaled Jacobian of {least:.3f}, must be positive:"
            " ease the blade angles or lengthen the impeller"
        )
