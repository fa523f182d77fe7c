"""A case folder: mesh, settings, start, and a script that runs it without this tool. Written whole or not at all."""

import glob
import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from aerodesign.cfd import settings
from aerodesign.cfd.conditions import field_texts, still_walls, turning_walls
from aerodesign.cfd.point import FlowPoint
from aerodesign.cfd.polymesh import OPEN, SMOOTH, write_polymesh
from aerodesign.cfd.start import StartFields, start_fields
from aerodesign.core.errors import AerodesignError
from aerodesign.mesh.passage import Mesh

MARK = "case.json"
"""The file by which a folder is known as a case of ours: what it was asked."""
STALE = 3600.0
"""Seconds after which a folder that was being written counts as left behind by a process that was killed."""
BYTES_PER_CELL = 4000
"""Disc that a case takes at most: mesh, start, two states and what is being written; 2100 measured."""

RUN = settings.script(
    "# Runs this simulation with OpenFOAM (Debian: apt-get install --no-install-recommends openfoam) and nothing else.",
    """latest=$(ls -d [0-9]* | sort -n | tail -n 1)
[ "$latest" = 0 ] || cp 0/U_frame 0/T_rest 0/T_rothalpy "$latest"/    # the solver looks for them where it starts""",
)


@dataclass(frozen=True)
class CaseFolder:
    """A case on disc: where, and what it was asked."""

    path: Path
    point: FlowPoint
    iterations: int
    stamp: str = ""


def write_case(
    folder: Path, mesh: Mesh, point: FlowPoint, *, iterations: int, stamp: str = "", start: StartFields | None = None
) -> CaseFolder:
    """Write a case under a name that must be free; ``start`` replaces the meanline's fields.

    Raises AerodesignError where the folder exists or the disc is too small; nothing is left behind then.
    """

    def fill(work: Path) -> None:
        _fill(work, mesh, point, iterations=iterations, start=start or start_fields(mesh, point))
        _mark(work, CaseFolder(Path(folder), point, iterations, stamp))

    write_whole(folder, fill, needed=BYTES_PER_CELL * len(mesh.hexes))
    return CaseFolder(Path(folder), point, iterations, stamp)


def write_whole(folder: Path, fill: Callable[[Path], None], *, needed: float) -> None:
    """Let ``fill`` write into a folder that gets its name, which must be free, only when it is whole; ``needed`` bytes must be free.

    Raises AerodesignError where the folder exists or the disc is too small; nothing is left behind then.
    """
    folder = Path(folder)
    if folder.exists():
        raise AerodesignError(f"{folder}: exists already; name another folder, or remove it")
    require_room(folder.parent, needed)
    for left in folder.parent.glob(f".{glob.escape(folder.name)}-*"):
        if time.time() - left.stat().st_mtime > STALE:
            shutil.rmtree(left, ignore_errors=True)
    work = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        work.chmod(0o755)
        fill(work)
        os.rename(work, folder)
    except OSError as cause:
        raise AerodesignError(f"{folder}: cannot be written: {cause.strerror}; nothing was left behind") from cause
    finally:
        shutil.rmtree(work, ignore_errors=True)


def read_case_folder(folder: Path) -> CaseFolder:
    """What a case folder was asked. Raises AerodesignError where it is none."""
    path = Path(folder) / MARK
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        return CaseFolder(Path(folder), FlowPoint(**kept["point"]), int(kept["iterations"]), kept["stamp"])
    except (OSError, ValueError, KeyError, TypeError) as cause:
        raise AerodesignError(f"{path}: does not say what this simulation is ({cause}); write the case anew") from cause


def _mark(folder: Path, case: CaseFolder) -> None:
    kept = {"stamp": case.stamp, "iterations": case.iterations, "point": asdict(case.point)}
    (folder / MARK).write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


def _fill(work: Path, mesh: Mesh, point: FlowPoint, *, iterations: int, start: StartFields) -> None:
    write_polymesh(mesh, work / "constant" / "polyMesh")
    turning, still = turning_walls(mesh, point), still_walls(mesh, point)
    texts = {
        "system/controlDict": settings.control(point, iterations=iterations, still=still, turning=turning),
        "system/fvSchemes": settings.schemes(),
        "system/fvSolution": settings.solution(point),
        "system/fvOptions": settings.options(),
        "constant/MRFProperties": settings.rotation(point, resting=(*OPEN, *SMOOTH)),
        "constant/thermophysicalProperties": settings.gas(point),
        "constant/turbulenceProperties": settings.turbulence(),
    }
    texts |= {f"0/{name}": text for name, text in field_texts(mesh, point, start).items()}
    put_texts(work, texts, run=RUN)


def put_texts(folder: Path, texts: dict[str, str], *, run: str) -> None:
    """Write the files of a case by their paths in it, and its script ``run``."""
    for name, text in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="ascii")
    (folder / "run").write_text(run, encoding="ascii")
    (folder / "run").chmod(0o755)


def edited(folder: Path) -> bool:
    """True where something in a case that has not run yet is younger than the mark, which is written last: a hand was at it."""
    written = (folder / MARK).stat().st_mtime_ns
    return any(path.stat().st_mtime_ns > written for path in folder.rglob("*") if path.is_file())


def require_room(folder: Path, needed: float) -> None:
    """Refuse before the disc is full rather than after; the folder is made where it is missing."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        free = shutil.disk_usage(folder).free
    except OSError as cause:
        raise AerodesignError(f"{folder}: cannot be made: {cause.strerror}") from cause
    if free < needed:
        raise AerodesignError(
            f"{folder}: has {free / 1e6:.0f} MB free, the simulation takes up to {needed / 1e6:.0f} MB; "
            "make room or name another folder with --out"
        )
