"""Triangles as a binary STL file: the layout of 84 bytes and 50 a triangle, little endian, in millimetres (from memory)."""

import os
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.kernel import MM
from aerodesign.cad.tessellate import Triangles, in_single
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length

HEADER = 80
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def write_stl(skin: Triangles, path: str | Path, stamp: str, *, deflection: Length) -> Path:
    """Write a closed skin (metres) in millimetres and return the path.

    The header states the unit, the ``deflection`` (how far the triangles may lie from the true surface) and the stamp. Points
    that coincide in the file's single precision are one. Raises :class:`RejectedSolid` for a skin that is not closed, and writes
    nothing then.
    """
    single = in_single(skin, unit=MM)
    if single.open_edges:
        raise RejectedSolid(
            f"{path}: the triangles leave {single.open_edges} edges open; a finer deflection may mend it"
        )
    corners = (MM * single.points).astype("<f4")[single.triangles]
    facets = np.zeros(len(corners), _FACET)
    facets["corners"] = corners
    facets["normal"] = _normals(corners.astype(float))
    header = f"binary STL, mm, deflection {MM * float(deflection):.3g} mm, {stamp}".encode("ascii", "replace")[:HEADER]
    path = Path(path)
    draft = path.with_name(f".{path.name}")
    draft.write_bytes(header.ljust(HEADER) + np.uint32(len(facets)).astype("<u4").tobytes() + facets.tobytes())
    os.replace(draft, path)
    return path


def _normals(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit normals of triangles (n, 3, 3); zero where a triangle has no area."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    return np.asarray(normal / np.where(length > 0, length, 1))
