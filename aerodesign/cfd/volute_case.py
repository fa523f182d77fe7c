"""The case of a volute: its skin, orders to the mesher, settings, start, and a script that meshes and runs it without this tool."""

import json
import re
import shutil
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.cad.volute_skin import SKIN
from aerodesign.cfd import settings, volute_settings
from aerodesign.cfd.case import MARK, put_texts, write_whole
from aerodesign.cfd.foam import Values
from aerodesign.cfd.solver import MESH_LOG, MESHER_FAILED
from aerodesign.cfd.volute_mesh import SIZES, box, features, lattice, mesher
from aerodesign.cfd.volute_point import VolutePoint
from aerodesign.core.errors import AerodesignError
from aerodesign.form import Form
from aerodesign.geometry.entry import diffuser_entry

NEEDED_BYTES = {"look": 0.2e9, "design": 0.5e9, "study": 1.5e9}
"""Disc that a case takes at most, by size: skin, mesh, two states and what is being written; 70 MB measured at 90 000 cells."""
MESH = Path("constant") / "polyMesh"
ORDERS = (
    "system/blockMeshDict",
    "system/surfaceFeatureExtractDict",
    "system/snappyHexMeshDict",
    f"constant/triSurface/{SKIN}",
)
"""All that a mesh depends on."""
WHOLE = "whole"
"""A file beside the mesh that says that all of it is there."""

RUN = settings.script(
    """# Meshes this volute, where that is not done yet, and runs its simulation, with OpenFOAM
# (Debian: apt-get install --no-install-recommends openfoam) and nothing else.""",
    f"""if [ ! -f {MESH}/{WHOLE} ]; then
    rm -rf {MESH}
    {{ blockMesh && surfaceFeatureExtract && snappyHexMesh -overwrite && checkMesh; }} >{MESH_LOG} 2>&1 || exit {MESHER_FAILED}
    touch {MESH}/{WHOLE}
fi""",
)


@dataclass(frozen=True)
class VoluteCase:
    """A case on disc: where, and what it was asked; ``shape`` as :func:`shape_of` gives it."""

    path: Path
    point: VolutePoint
    shape: tuple[float, ...]
    iterations: int
    stamp: str = ""


@dataclass(frozen=True)
class MeshSaid:
    """What the solver's own check says of a mesh: cells, the worst angle between faces and cells (deg), skewness, and its verdict."""

    cells: int
    non_orthogonality: float
    skewness: float
    fine: bool


def shape_of(blower: Blower, form: Form) -> tuple[float, ...]:
    """All numbers that the skin is made from: another tongue or discharge may leave the meanline's point as it is."""
    volute, diffuser = blower.volute, blower.diffuser
    outline = volute.section.outline(size=volute.size4, r3=diffuser.r3, b3=diffuser.b3)
    sizes = [value for name, value in volute.items() if name != "section"]
    walls = [value for _, value in (*diffuser.items(), *diffuser_entry(blower).items())]
    return tuple(float(value) for value in (*sizes, *walls, *outline.r, *outline.z, form.casing.discharge_turn))


def write_volute_case(
    folder: Path,
    blower: Blower,
    form: Form,
    point: VolutePoint,
    *,
    skin: Path,
    size: str,
    iterations: int,
    stamp: str = "",
) -> VoluteCase:
    """Write a case under a name that must be free.

    Raises AerodesignError where the folder exists or the disc is too small; nothing is left behind then.
    """
    case = VoluteCase(Path(folder), point, shape_of(blower, form), iterations, stamp)

    def fill(work: Path) -> None:
        made = lattice(blower, SIZES[size], *skin_bounds(skin))
        texts = {
            "system/blockMeshDict": box(made),
            "system/surfaceFeatureExtractDict": features(),
            "system/snappyHexMeshDict": mesher(blower, made),
            "system/controlDict": volute_settings.volute_control(point, iterations=iterations),
            "system/fvSchemes": volute_settings.volute_schemes(),
            "system/fvSolution": volute_settings.volute_solution(point),
            "constant/thermophysicalProperties": settings.gas(point),
            "constant/turbulenceProperties": settings.turbulence(),
        }
        texts |= {f"0/{name}": text for name, text in volute_settings.volute_fields(point).items()}
        put_texts(work, texts, run=RUN)
        (work / "constant" / "triSurface").mkdir()
        shutil.copyfile(skin, work / "constant" / "triSurface" / SKIN)
        kept = {"stamp": stamp, "iterations": iterations, "volute": asdict(point), "shape": case.shape}
        (work / MARK).write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")

    write_whole(folder, fill, needed=NEEDED_BYTES[size])
    return case


def read_volute_case(folder: Path) -> VoluteCase:
    """What a case folder was asked. Raises AerodesignError where it is none of a volute."""
    path = Path(folder) / MARK
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        point, shape = VolutePoint(**kept["volute"]), tuple(float(value) for value in kept["shape"])
        return VoluteCase(Path(folder), point, shape, int(kept["iterations"]), kept["stamp"])
    except (OSError, ValueError, KeyError, TypeError) as cause:
        raise AerodesignError(f"{path}: does not say which volute this is ({cause}); write the case anew") from cause


def meshed(folder: Path) -> bool:
    """True where a case has its mesh."""
    return (folder / MESH / WHOLE).is_file()


def same_mesh(folder: Path, other: Path) -> bool:
    """True where a case has the mesh that the mesher would make from the orders and the skin of another."""
    try:
        return meshed(folder) and all((folder / name).read_bytes() == (other / name).read_bytes() for name in ORDERS)
    except OSError:
        return False


def take_mesh(folder: Path, donor: Path) -> None:
    """Copy a mesh; it is there only when all of it is. Raises AerodesignError where the disc is too small."""
    beside = folder / MESH.with_name("polyMesh.part")
    try:
        shutil.rmtree(beside, ignore_errors=True)
        shutil.copytree(donor / MESH, beside)
        shutil.copyfile(donor / MESH_LOG, folder / MESH_LOG)
        shutil.rmtree(folder / MESH, ignore_errors=True)
        beside.rename(folder / MESH)
    except OSError as cause:
        shutil.rmtree(beside, ignore_errors=True)
        raise AerodesignError(f"{folder}: the mesh cannot be copied to it: {cause.strerror or cause}") from cause


def take_start(case: VoluteCase, start: Mapping[str, Values]) -> None:
    """Put fields in the place of the gas at rest from which a case begins."""
    for name, text in volute_settings.volute_fields(case.point, start).items():
        (case.path / "0" / name).write_text(text, encoding="ascii")


def mesh_said(folder: Path) -> MeshSaid:
    """The solver's own words on the mesh of a case, as numbers. Raises AerodesignError where they cannot be found."""
    try:
        text = (folder / MESH_LOG).read_text(encoding="utf-8", errors="replace")
        cells = re.findall(r"cells:\s+(\d+)", text)[-1]
        angle = re.findall(r"non-orthogonality Max: ([\d.eE+-]+)", text)[-1]
        skewness = re.findall(r"Max skewness = ([\d.eE+-]+)", text)[-1]
    except (OSError, IndexError) as cause:
        raise AerodesignError(f"{folder / MESH_LOG}: does not say what the mesh is like; mesh it anew") from cause
    return MeshSaid(int(cells), float(angle), float(skewness), "Mesh OK." in text)


def skin_bounds(skin: Path) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest corner of a skin in text STL."""
    found = re.findall(r"vertex (\S+) (\S+) (\S+)", skin.read_text(encoding="ascii"))
    points = np.array(found, float)
    return points.min(axis=0), points.max(axis=0)
