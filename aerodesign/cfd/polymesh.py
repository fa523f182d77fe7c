"""The mesh in the solver's own format: five text files, the faces sorted as the solver wants them, with named patches.

Faces between two cells come first, sorted by the cell of lower and then of higher number; then the boundary, patch by patch. The
two periodic patches hold faces that correspond one by one. ``PATCHES`` says what each patch is in words of the machine.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np

from aerodesign.cfd import foam
from aerodesign.mesh.hexahedra import Indices, SharedFaces, shared_faces
from aerodesign.mesh.passage import Mesh

PERIODIC = ("periodic_low", "periodic_high")
OPEN = ("inlet", "outlet")
ROTATING = (
    "hub", "blade_pressure", "blade_suction", "blade_leading_edge", "blade_trailing_edge", "blade_tip",
    "splitter_pressure", "splitter_suction", "splitter_leading_edge", "splitter_trailing_edge", "splitter_tip",
)  # fmt: skip
"""Walls that turn with every wheel; the shroud turns with a covered one."""
SMOOTH = ("hub_inlet",)
"""A wall without friction: the cylinder ahead of the blades stands for the nose, which the mesh does not have."""
BLADES = tuple(name for name in ROTATING if name != "hub")
MATCH = 1e-6
"""How far periodic faces may miss each other, in their own size, before the solver refuses."""


def write_polymesh(mesh: Mesh, folder: Path, *, faces: SharedFaces | None = None) -> None:
    """Write ``points``, ``faces``, ``owner``, ``neighbour``, ``boundary`` and ``cellZones`` into a folder."""
    inside = faces or shared_faces(mesh.hexes)
    names = [name for name in mesh.patches if len(mesh.patches[name])]
    quads = np.concatenate([inside.quads, *(mesh.patches[name] for name in names)])
    owner = np.concatenate([inside.owner, *(mesh.owners[name] for name in names)])

    counts = (
        f"nPoints:{len(mesh.points)} nCells:{len(mesh.hexes)} nFaces:{len(quads)} nInternalFaces:{len(inside.owner)}"
    )
    place = "constant/polyMesh"
    folder.mkdir(parents=True, exist_ok=True)
    texts: dict[str, Callable[[], str]] = {
        "points": lambda: foam.header("vectorField", "points", place) + foam.points(mesh.points),
        "faces": lambda: foam.header("faceList", "faces", place) + foam.quads(quads),
        "owner": lambda: foam.header("labelList", "owner", place, counts) + foam.whole_numbers(owner),
        "neighbour": lambda: (
            foam.header("labelList", "neighbour", place, counts) + foam.whole_numbers(inside.neighbour)
        ),
        "boundary": lambda: (
            foam.header("polyBoundaryMesh", "boundary", place) + _boundary(mesh, names, len(inside.owner))
        ),
        "cellZones": lambda: foam.header("regIOobject", "cellZones", place) + _zone(len(mesh.hexes)),
    }
    for name, text in texts.items():
        (folder / name).write_text(text(), encoding="ascii")


def _boundary(mesh: Mesh, names: list[str], start: int) -> str:
    """The list of patches: kind, count and first face of each."""
    entries = []
    for name in names:
        count = len(mesh.patches[name])
        entries.append(
            f"    {name}\n    {{\n{_kind(name)}        nFaces {count};\n        startFace {start};\n    }}\n"
        )
        start += count
    return f"{len(names)}\n(\n{''.join(entries)})\n"


def _kind(name: str) -> str:
    if name in OPEN:
        return "        type patch;\n"
    if name not in PERIODIC:
        return "        type wall;\n        inGroups 1(wall);\n"
    other = PERIODIC[1 - PERIODIC.index(name)]
    return (
        f"        type cyclic;\n        inGroups 1(cyclic);\n        neighbourPatch {other};\n        transform rotational;\n"
        f"        rotationAxis (0 0 1);\n        rotationCentre (0 0 0);\n        matchTolerance {MATCH:g};\n"
    )


def _zone(cells: int) -> str:
    """All cells as one zone, which the solver turns with the wheel."""
    numbers: Indices = np.arange(cells)
    listed = foam.whole_numbers(numbers)
    return f"1\n(\nfluid\n{{\n    type cellZone;\n    cellLabels List<label>\n{listed};\n}}\n)\n"
