"""Meshes as files: VTU to look at, gmsh 2.2 to carry to a solver. The only file that imports meshio.

A file appears under its name only when it is complete. Of the formats that meshio writes, these two keep every point
bit for bit. The gmsh file keeps the patch names; it is written in ASCII, as some converters refuse the binary form, and
without fields, which come out unreadable with numpy 2.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.core.errors import AerodesignError, MissingLibrary
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.quality import cell_scaled_jacobians

FLUID = "fluid"


def patch_numbers(mesh: Mesh) -> dict[str, int]:
    """Number of each patch in files: 1 is the fluid, patches count from 2 in the mesh's order."""
    return {name: number for number, name in enumerate(mesh.patches, start=2)}


def write_vtu(mesh: Mesh, path: str | os.PathLike[str], *, stamp: str = "") -> Path:
    """Write a binary VTU of cells and boundary faces, with a stamp in a comment; returns its path.

    Cell data: ``patch`` (numbers as :func:`patch_numbers` gives them; VTU has no names), ``station``, ``column`` and
    ``layer`` (-1 on boundary faces), ``scaled_jacobian`` (0 there).
    """
    faces = sum(len(quads) for quads in mesh.patches.values())
    nothing = np.full(faces, -1)
    data = {
        "patch": list(_numbers(mesh)),
        "scaled_jacobian": [cell_scaled_jacobians(mesh.points, mesh.hexes), np.zeros(faces)],
    }
    for axis, name in enumerate(("station", "column", "layer")):
        data[name] = [mesh.ijk[:, axis].astype(np.int64), nothing]

    return _write(mesh, path, ".vtu", data=data, stamp=stamp, file_format="vtu", binary=True)


def write_gmsh(mesh: Mesh, path: str | os.PathLike[str]) -> Path:
    """Write a gmsh 2.2 ASCII file with the fluid and all patches as named physical groups; returns its path."""
    numbers = list(_numbers(mesh))
    names = {FLUID: np.array([1, 3])} | {name: np.array([number, 2]) for name, number in patch_numbers(mesh).items()}
    data = {"gmsh:physical": numbers, "gmsh:geometrical": numbers}
    return _write(mesh, path, ".msh", data=data, names=names, file_format="gmsh22", binary=False)


def _numbers(mesh: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Group of each cell, then of each boundary face."""
    patches = [np.full(len(mesh.patches[name]), number) for name, number in patch_numbers(mesh).items()]
    return np.ones(len(mesh.hexes), int), np.concatenate(patches)


def _write(
    mesh: Mesh,
    path: str | os.PathLike[str],
    ending: str,
    *,
    data: dict[str, list[np.ndarray]],
    names: dict[str, np.ndarray] | None = None,
    stamp: str = "",
    **how: Any,
) -> Path:
    meshio = _meshio()
    cells = [("hexahedron", mesh.hexes), ("quad", np.concatenate(list(mesh.patches.values())))]
    with complete(path, ending) as unfinished:
        meshio.write(unfinished, meshio.Mesh(mesh.points, cells, cell_data=data, field_data=names or {}), **how)
        if stamp:
            head, rest = unfinished.read_bytes().split(b"\n", 1)
            unfinished.write_bytes(head + f"\n<!-- {stamp.replace('--', '- -')} -->\n".encode() + rest)
    return Path(path)


@contextmanager
def complete(path: str | os.PathLike[str], ending: str) -> Iterator[Path]:
    """A name beside ``path`` to write to; renamed to it at the end, or removed when writing failed."""
    path = Path(path)
    if path.suffix != ending:
        raise AerodesignError(f"mesh file {path}: the name must end in {ending}")
    if not path.parent.is_dir():
        raise AerodesignError(f"mesh file {path}: the folder {path.parent} does not exist; make it first")
    unfinished = path.with_name(f".{path.stem}.{os.getpid()}.unfinished{path.suffix}")
    try:
        yield unfinished
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def _meshio() -> Any:
    try:
        import meshio
    except ImportError as error:
        raise MissingLibrary(f"writing a mesh needs meshio ({error}); install it: pip install meshio") from error
    return meshio
