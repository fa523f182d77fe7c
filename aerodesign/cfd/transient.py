"""The same passage on a mesh that turns: unsteady, in the frame at rest, with every term of the energy equation. A check, not a tool.

It shares mesh, gas, turbulence and boundaries with the steady case and none of what that one rests on: no rotating frame, no
temperature imposed from rothalpy, no relaxation. From the steady state on it must keep torque and rise.
"""

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.case import RUN, put_texts, read_case_folder
from aerodesign.cfd.conditions import still_walls, turning_walls
from aerodesign.cfd.foam import FIELDS
from aerodesign.cfd.history import read_history
from aerodesign.cfd.settings import SOLVER, average, dictionary, forces, schemes
from aerodesign.cfd.solved import states
from aerodesign.core.errors import AerodesignError
from aerodesign.mesh.passage import Mesh

UNSTEADY = "rhoPimpleFoam"
EVERY = 10
"""Steps between two entries of the histories."""


def write_transient(steady: Path, folder: Path, mesh: Mesh, *, time: float, step: float) -> None:
    """Write the turning case that begins with a steady case's latest state and lasts ``time`` seconds in steps of ``step``.

    Raises AerodesignError where the steady case holds no state.
    """
    point, known = read_case_folder(steady).point, states(steady)
    if not known:
        raise AerodesignError(f"{steady}: holds no solved state to begin with")
    shutil.copytree(steady / "constant", folder / "constant")
    (folder / "constant" / "MRFProperties").unlink()
    turning, still = turning_walls(mesh, point), still_walls(mesh, point)

    (folder / "0").mkdir()
    for name in FIELDS:
        shutil.copy(steady / str(known[-1]) / name, folder / "0" / name)
    velocity = folder / "0" / "U"
    velocity.write_text(_walls(velocity.read_text(encoding="ascii"), turning, still), encoding="ascii")

    texts = {
        "constant/dynamicMeshDict": dictionary(
            "dynamicMeshDict",
            "dynamicFvMesh dynamicMotionSolverFvMesh;\nmotionSolverLibs (fvMotionSolvers);\nmotionSolver solidBody;\n"
            "solidBodyMotionFunction rotatingMotion;\n"
            f"rotatingMotionCoeffs {{ origin (0 0 0); axis (0 0 1); omega {point.speed:.10g}; }}",
            folder="constant",
        ),
        "system/controlDict": dictionary(
            "controlDict",
            f"application {UNSTEADY};\nstartFrom latestTime;\nstartTime 0;\nstopAt endTime;\nendTime {time:g};\ndeltaT {step:g};\n"
            f"writeControl timeStep;\nwriteInterval {round(time / step)};\nwriteFormat ascii;\nwritePrecision 9;\nrunTimeModifiable no;\n"
            "functions\n{\n"
            + forces("moment_wheel", turning, point.rho_t, EVERY)
            + average("flow_inlet", "inlet", "sum", "phi", EVERY)
            + average("flow_outlet", "outlet", "sum", "phi", EVERY)
            + average("pressure_outlet", "outlet", "weightedAverage; weightField phi", "p", EVERY)
            + "}",
        ),
        "system/fvSchemes": schemes().replace("steadyState", "Euler").replace("bounded ", "")
        .replace("div(phid,p) Gauss upwind;", "div(phid,p) Gauss upwind;\n    div(meshPhi,p) Gauss linear;"),
        "system/fvSolution": dictionary(
            "fvSolution",
            'solvers\n{\n    "p.*" { solver GAMG; smoother DICGaussSeidel; tolerance 1e-7; relTol 0.01; nPreSweeps 1; nPostSweeps 2; }\n'
            '    "rho.*" { solver diagonal; }\n'
            '    "(U|h|k|omega).*" { solver smoothSolver; smoother symGaussSeidel; tolerance 1e-9; relTol 0.05; minIter 1; }\n}\n'
            "PIMPLE { nOuterCorrectors 2; nCorrectors 1; nNonOrthogonalCorrectors 0; transonic no; rhoMin 0.3; rhoMax 5; }\n"
            'relaxationFactors { equations { ".*" 1; } }',
        ),
    }  # fmt: skip
    put_texts(folder, texts, run=RUN.replace(SOLVER, UNSTEADY))


def _walls(text: str, turning: tuple[str, ...], still: tuple[str, ...]) -> str:
    """A velocity field with walls that move with the mesh, and others at rest; the smooth one stays as it is."""
    inside, on_walls = text[: text.index("boundaryField")], text[text.index("boundaryField") :]
    for name in (*turning, *still):
        kind = "movingWallVelocity" if name in turning else "fixedValue"
        condition = f"    {name} {{ type {kind}; value uniform (0 0 0); }}"
        on_walls = re.sub(rf"^\s*{name}\s*\{{[^}}]*\}}", condition, on_walls, count=1, flags=re.MULTILINE)
    return inside + on_walls


@dataclass(frozen=True)
class Turned:
    """A turning run beside the steady one: means over the second half of its time, and what the steady state has.

    ``rise`` is the outlet's static pressure above the total pressure at the inlet; the deviations are standard deviations in time.
    """

    torque: float
    torque_deviation: float
    rise: float
    rise_deviation: float
    steady_torque: float
    steady_rise: float
    revolutions: float


def compare(steady: Path, turning: Path) -> Turned:
    """The two runs side by side, torque of the whole wheel. Raises AerodesignError where one of them has no histories."""
    point, history = read_case_folder(steady).point, read_history(steady)
    moment, pressure = (
        _series(turning / "postProcessing" / name / "0" / file)
        for name, file in (("moment_wheel", "moment.dat"), ("pressure_outlet", "surfaceFieldValue.dat"))
    )
    if not (history.last and len(moment) and len(pressure)):
        raise AerodesignError(f"{turning}: has no histories beside those of {steady}; run both first")
    late = moment[:, 0] > moment[-1, 0] / 2
    torque, rise = -point.blades * moment[late, 3], pressure[pressure[:, 0] > pressure[-1, 0] / 2, 1] - point.pt
    return Turned(
        torque=float(torque.mean()),
        torque_deviation=float(torque.std()),
        rise=float(rise.mean()),
        rise_deviation=float(rise.std()),
        steady_torque=float(point.blades * history.torque[-1]),
        steady_rise=float(history.pressure[-1] - point.pt),
        revolutions=float(moment[-1, 0] * point.speed / (2 * np.pi)),
    )


def _series(path: Path) -> NDArray[np.float64]:
    """A table of the solver with times in seconds, (rows, columns); empty where there is none."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except OSError:
        return np.empty((0, 0))
    rows = [re.sub("[()]", " ", line).split() for line in lines if not line.startswith("#")]
    return np.array([row for row in rows if len(row) == len(rows[0])], float)
