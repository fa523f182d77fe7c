"""A mesh of any cells in the solver's format, read back: areas and centres of its faces, centres and volumes of its cells."""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.foam import CaseFileError

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Number = TypeVar("Number", np.float64, np.int64)
_PATCH = re.compile(r"(\w+)\s*\{[^}]*?nFaces\s+(\d+);\s*startFace\s+(\d+);", re.DOTALL)


@dataclass(frozen=True, eq=False)
class Polyhedra:
    """Faces in the solver's order: those between two cells first, then the boundary, patch by patch.

    ``area`` (faces, 3) points out of ``owner``, for inner faces into ``neighbour``. ``faces`` holds the corners of all faces in
    one row and ``ends`` where each face ends in it. ``patches`` says which faces belong to a patch.
    """

    points: Array
    faces: Indices
    ends: Indices
    owner: Indices
    neighbour: Indices
    area: Array
    centre: Array
    cell_centre: Array
    volume: Array
    patches: dict[str, slice]

    @property
    def inside(self) -> int:
        """Faces between two cells."""
        return len(self.neighbour)


def read_polyhedra(folder: Path) -> Polyhedra:
    """Read the mesh in a folder. Raises CaseFileError where a file is missing or cut short."""
    points = read_points(folder)
    owner, neighbour = (_numbers(folder / name).astype(np.int64) for name in ("owner", "neighbour"))
    corners, ends = _faces(folder / "faces")
    if len(ends) != len(owner) or corners.max() >= len(points):
        raise CaseFileError(f"{folder}: its files do not belong together; mesh it anew")
    area, centre = _polygons(points, corners, ends)
    cells = (
        int(max(owner.max(), neighbour.max())) + 1
    )  # the last cell owns no face where all its neighbours come before it
    cell_centre, volume = _cells(cells, owner, neighbour, area, centre)
    text = _text(folder / "boundary")
    patches = {name: slice(int(start), int(start) + int(count)) for name, count, start in _PATCH.findall(text)}
    if sum(faces.stop - faces.start for faces in patches.values()) != len(owner) - len(neighbour):
        raise CaseFileError(f"{folder / 'boundary'}: is cut short; mesh it anew")
    return Polyhedra(points, corners, ends, owner, neighbour, area, centre, cell_centre, volume, patches)


def read_points(folder: Path) -> Array:
    """The points (n, 3) of the mesh in a folder. Raises CaseFileError where they are missing or cut short."""
    points = _numbers(folder / "points")
    if points.size % 3:
        raise CaseFileError(f"{folder / 'points'}: is no list of points")
    return points.reshape(-1, 3)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii", errors="replace")
    except OSError as cause:
        raise CaseFileError(f"{path}: cannot be read: {cause.strerror}") from cause


def _body(path: Path) -> tuple[int, str]:
    """The announced number of rows of a list, and the text of its rows."""
    text = _text(path)
    match = re.search(r"\n(\d+)\s*\(", text[text.find("}") :])
    if match is None or re.search(r"format\s+binary", text[:1000]):
        raise CaseFileError(f"{path}: is not a list of plain text")
    begin = text.find("}") + match.end()
    return int(match[1]), text[begin : text.rfind(")")]


def _numbers(path: Path) -> Array:
    count, body = _body(path)
    numbers = _split(path, body, np.float64)
    if count == 0 or numbers.size % count or numbers.size // count not in (1, 3):
        raise CaseFileError(f"{path}: holds {numbers.size} numbers where {count} rows are announced")
    return numbers


def _split(path: Path, body: str, kind: type[Number]) -> NDArray[Number]:
    try:
        return np.array(body.replace("(", " ").replace(")", " ").split(), kind)
    except ValueError as cause:
        raise CaseFileError(f"{path}: cannot be read ({cause})") from cause


def _faces(path: Path) -> tuple[Indices, Indices]:
    """Corners of all faces in one row, and the end of each face in it."""
    count, body = _body(path)
    numbers = _split(path, body, np.int64)
    sizes = np.array([int(size) for size in re.findall(r"(\d+)\(", body)], np.int64)
    ends = np.cumsum(sizes)
    if count == 0 or len(sizes) != count or numbers.size != ends[-1] + count:
        raise CaseFileError(f"{path}: is cut short")
    heads = ends - sizes + np.arange(count)
    return np.delete(numbers, heads), ends


def _polygons(points: Array, corners: Indices, ends: Indices) -> tuple[Array, Array]:
    """Area vectors and centres of faces, from triangles about the mean of their corners, as the solver has them."""
    sizes = np.diff(ends, prepend=0)
    area, centre = np.zeros((len(ends), 3)), np.zeros((len(ends), 3))
    for size in np.unique(sizes):
        which = np.flatnonzero(sizes == size)
        at = points[corners[(ends[which] - size)[:, None] + np.arange(size)]]
        middle = at.mean(axis=1)
        following = np.roll(at, -1, axis=1)
        part = np.cross(following - at, middle[:, None] - at) / 2
        total = part.sum(axis=1)
        weight = np.einsum("fcx,fx->fc", part, total / np.maximum(np.linalg.norm(total, axis=1), 1e-300)[:, None])
        mean = np.einsum("fc,fcx->fx", weight, (at + following + middle[:, None]) / 3)
        area[which], centre[which] = total, mean / np.maximum(weight.sum(axis=1), 1e-300)[:, None]
    return area, centre


def _cells(cells: int, owner: Indices, neighbour: Indices, area: Array, centre: Array) -> tuple[Array, Array]:
    """Centres and volumes of cells, from pyramids over their faces about the mean of the faces' centres."""
    inside = len(neighbour)
    count = np.bincount(owner, minlength=cells) + np.bincount(neighbour, minlength=cells)
    guess = np.stack(
        [
            np.bincount(owner, centre[:, a], cells) + np.bincount(neighbour, centre[:inside, a], cells)
            for a in range(3)
        ],
        axis=1,
    ) / count[:, None]  # fmt: skip
    volume, moment = np.zeros(cells), np.zeros((cells, 3))
    for cell, sign, faces in ((owner, 1.0, slice(None)), (neighbour, -1.0, slice(inside))):
        pyramid = sign * np.einsum("fx,fx->f", area[faces], centre[faces] - guess[cell]) / 3
        volume += np.bincount(cell, pyramid, cells)
        at = 0.75 * centre[faces] + 0.25 * guess[cell]
        moment += np.stack([np.bincount(cell, pyramid * at[:, a], cells) for a in range(3)], axis=1)
    return moment / volume[:, None], volume
