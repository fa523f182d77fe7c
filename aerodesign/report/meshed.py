"""The command ``mesh``: the passage of a case's machine as files that flow solvers and viewers read, with how good it is."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.case import read_case
from aerodesign.cfd.polymesh import write_polymesh
from aerodesign.core.plain import to_plain
from aerodesign.core.quantities import Length, quantity_of
from aerodesign.core.units import format as unit_text
from aerodesign.mesh.cgns import write_cgns
from aerodesign.mesh.io import write_gmsh, write_vtu
from aerodesign.mesh.passage import Mesh, passage_mesh
from aerodesign.mesh.quality import Quality
from aerodesign.mesh.wall import blade_heights, first_height, wall_flow, y_plus
from aerodesign.report.deliver import stamp
from aerodesign.report.figures_base import svg_text
from aerodesign.report.figures_mesh import mesh_picture
from aerodesign.report.folder import whole_folder
from aerodesign.report.simulate import machine_of

MARK = "mesh.json"
"""Quality and patches; by this file a folder is known as a result that may be replaced."""
FORMATS = ("vtu", "cgns", "polymesh", "msh")
HEIGHT = quantity_of(Length)


@dataclass(frozen=True)
class MeshWish:
    """What was asked on the command line."""

    case: Path
    out: Path | None = None
    size: str = "look"
    first_cell: str = ""
    clearance: bool = False
    formats: tuple[str, ...] = ("vtu",)

    @property
    def folder(self) -> Path:
        """Where the files go."""
        return self.out or Path(f"{self.case.stem}-mesh")


@dataclass(frozen=True)
class Meshed:
    """What to tell: lines and plain data."""

    lines: list[str]
    record: dict[str, Any]


def mesh_case(wish: MeshWish) -> Meshed:
    """Design or rate the machine of a case, mesh its passage, and write files, picture and quality to a folder, whole or not at all."""
    content = read_case(wish.case)
    made, mark = machine_of(content), stamp(content)
    stage = made.stage
    first = first_height(wish.first_cell, wall_flow(stage)) if wish.first_cell else None
    mesh = passage_mesh(
        made.blower.impeller,
        made.blower.diffuser,
        wish.size,
        form=made.form.blade,
        first=first,
        clearance=wish.clearance,
    )
    record = mesh_record(mesh, stage) | {"title": content.title, "stamp": mark, "size": wish.size}
    with whole_folder(wish.folder, MARK) as work:
        for name in wish.formats:
            WRITERS[name](mesh, work, mark)
        picture = svg_text(mesh_picture(mesh), prefix="mesh")
        (work / "mesh.svg").write_text(f'<?xml version="1.0" encoding="utf-8"?>\n{picture}', encoding="utf-8")
        (work / MARK).write_text(json.dumps(record, indent=1, allow_nan=False) + "\n", encoding="utf-8")
        files = sorted(path.name for path in work.iterdir())
    return Meshed([*mesh_lines(mesh, stage), "", f"written to {wish.folder}: {', '.join(files)}"], record)


WRITERS: dict[str, Callable[[Mesh, Path, str], Any]] = {
    "vtu": lambda mesh, folder, mark: write_vtu(mesh, folder / "passage.vtu", stamp=mark),
    "cgns": lambda mesh, folder, mark: write_cgns(mesh, folder / "passage.cgns", stamp=mark),
    "polymesh": lambda mesh, folder, mark: write_polymesh(mesh, folder / "polyMesh"),
    "msh": lambda mesh, folder, mark: write_gmsh(mesh, folder / "passage.msh"),
}
"""What writes each format of :data:`FORMATS`."""


def mesh_record(mesh: Mesh, stage: Stage) -> dict[str, Any]:
    """Quality, patches and first cells as plain data, SI units."""
    height = float(np.median(blade_heights(mesh)))
    return {
        "made": mesh.made,
        "quality": to_plain(mesh.quality),
        "patches": {name: len(quads) for name, quads in mesh.patches.items()},
        "first_cell": height,
        "y_plus_estimated": float(y_plus(height=height, flow=wall_flow(stage))),
    }


def weak_points(quality: Quality) -> list[str]:
    """What a solver may stumble over, each with what to do; common practice, no source."""
    found = [
        (np.degrees(quality.non_orthogonality_max) > 70, "faces askew by more than 70 deg: solvers call that severe; correct for it"
         " in full, and ease steep blade angles where results waver"),
        (quality.scaled_jacobian_min < 0.05, "a cell is nearly flat: take the next finer size, or ease the blade angles"),
        (quality.growth_max > 12, "cells beside each other differ by more than 12 times: take a higher first cell or the next finer size"),
        (quality.aspect_max > 2000, "cells more than 2000 times as long as high: linear solvers converge slowly; take a higher first cell"),
    ]  # fmt: skip
    return [f"note: {words}" for weak, words in found if weak]


def mesh_lines(mesh: Mesh, stage: Stage) -> list[str]:
    """How good a mesh is, in words of those who solve on it."""
    q, record = mesh.quality, mesh_record(mesh, stage)
    assert HEIGHT is not None
    return [
        f"{q.cells} hexahedra, {len(mesh.points)} points, one passage of {np.degrees(mesh.pitch):.4g} deg; made by {mesh.made}",
        f"corners: least Jacobian {q.jacobian_min:.3g} m3, scaled {q.scaled_jacobian_min:.2f} (1 is a cube, 0 folded)",
        f"faces: non-orthogonality {np.degrees(q.non_orthogonality_max):.0f} deg at most, {np.degrees(q.non_orthogonality_mean):.0f} deg in the mean;"
        f" skewness {q.skewness_max:.2f} at most",
        f"cells: aspect {q.aspect_max:.0f} at most; neighbours differ by {q.growth_max:.1f} at most, {q.growth_mean:.2f} in the mean",
        f"first cells on the blades: {unit_text(record['first_cell'], HEIGHT, digits=3)}, y+ about {record['y_plus_estimated']:.0f} in their middle"
        " (flat plate, relative velocity at the shroud's leading edge)",
        *weak_points(q),
    ]
