"""CalculiX as a program that is started, and its answer read back."""

import shutil
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import AerodesignError, MissingLibrary

Array = NDArray[Any]

PROGRAM = "ccx"
INSTALL = "on Debian: apt-get install --no-install-recommends calculix-ccx"
LONGEST = 1800.0
"""Seconds after which a run is given up."""


class MissingProgram(MissingLibrary):
    """The stress solver is not installed."""


class StressFailed(AerodesignError):
    """A run that left no answer."""

    exit_status = 6


@dataclass(frozen=True, eq=False)
class Answer:
    """At the nodes: ``moved`` (n, 3) in metres; ``stress`` (n, 6) xx, yy, zz, xy, yz, zx in Pa; ``seconds`` that it took."""

    moved: Array
    stress: Array
    seconds: float

    @property
    def mises(self) -> Array:
        """Von Mises' stress at the nodes."""
        xx, yy, zz, xy, yz, zx = self.stress.T
        return np.asarray(np.sqrt(((xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2) / 2 + 3 * (xy**2 + yz**2 + zx**2)))


def program_there() -> bool:
    """Whether CalculiX can be started."""
    return shutil.which(PROGRAM) is not None


def run(path: Path, *, seconds: float = LONGEST) -> Answer:
    """Solve the model in a file ``NAME.inp`` and read ``NAME.frd``.

    Raises MissingProgram where there is no solver, StressFailed where it left no answer.
    """
    if not program_there():
        raise MissingProgram(
            f"CalculiX is not installed; {INSTALL}; the model is written: {path}, and '{PROGRAM} {path.stem}' solves it"
        )
    begun = time.monotonic()
    path.with_suffix(".frd").unlink(missing_ok=True)
    log = path.with_suffix(".log")
    try:
        with log.open("w", encoding="utf-8") as out:
            subprocess.run(
                [PROGRAM, path.stem],
                cwd=path.parent,
                stdout=out,
                stderr=subprocess.STDOUT,
                timeout=seconds,
                check=False,
            )
    except subprocess.TimeoutExpired:
        raise StressFailed(f"{path}: CalculiX was stopped after {seconds:.0f} s; a coarser size may do") from None
    answer = path.with_suffix(".frd")
    said = [line.strip() for line in log.read_text(encoding="utf-8", errors="replace").splitlines() if "*ERROR" in line]
    if said or not answer.is_file():
        raise StressFailed(f"{path}: CalculiX left no answer{': ' + said[0][:160] if said else ''}; see {log}")
    moved, stress = read_answer(answer)
    return Answer(moved, stress, time.monotonic() - begun)


def read_answer(path: Path) -> tuple[Array, Array]:
    """Displacements (n, 3) and stresses (n, 6) of the first step in a result file, by node.

    Raises StressFailed where one of them is missing or not a number.
    """
    blocks: dict[str, list[list[float]]] = {"DISP": [], "STRESS": []}
    block: list[list[float]] | None = None
    try:
        for line in path.read_text(encoding="ascii", errors="replace").splitlines():
            if line.startswith(" -4"):
                block = blocks.get(line.split()[1])
            elif line.startswith(" -3"):
                block = None
            elif block is not None and line.startswith(" -1"):
                block.append([float(line[13 + 12 * k : 25 + 12 * k]) for k in range((len(line.rstrip()) - 13) // 12)])
        moved, stress = (np.array(blocks[name]) for name in ("DISP", "STRESS"))
    except (OSError, ValueError) as cause:
        raise StressFailed(f"{path}: cannot be read: {cause}") from cause
    whole = moved.ndim == 2 and stress.ndim == 2 and stress.shape[1:] == (6,) and len(moved) == len(stress)
    if not (whole and np.isfinite(moved).all() and np.isfinite(stress).all()):
        raise StressFailed(f"{path}: holds no whole answer")
    return moved[:, :3], stress
