"""The same passage on a mesh that turns: unsteady, in the frame at rest, with every term of the energy equation. A check, not a tool.

It shares mesh, gas, turbulence and boundaries with the steady case and none of what that one rests on: no rotating frame, no
temperature imposed from rothalpy, no relaxation. From the steady state on it must keep torque and rise.
"""

import shutil
from pathlib import Path

from aerodesign.cfd.case import RUN, read_case_folder
from aerodesign.cfd.conditions import still_walls, turning_walls
from aerodesign.cfd.polymesh import SMOOTH
from aerodesign.cfd.settings import SOLVER, average, dictionary, forces, schemes
from aerodesign.cfd.solved import states
from aerodesign.core.errors import AerodesignError
from aerodesign.mesh.passage import Mesh

UNSTEADY = "rhoPimpleFoam"
FIELDS = ("U", "p", "T", "k", "omega", "nut", "alphat")
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
            + forces("wheel", turning, point, EVERY)
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
    for name, text in texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="ascii")
    (folder / "run").write_text(RUN.replace(SOLVER, UNSTEADY), encoding="ascii")
    (folder / "run").chmod(0o755)


def _walls(text: str, turning: tuple[str, ...], still: tuple[str, ...]) -> str:
    """A velocity field with walls that move with the mesh, and others at rest; the smooth one stays as it is."""
    for name in (*turning, *still):
        assert name not in SMOOTH
        begin = text.index(f"    {name}\n", text.index("boundaryField"))
        end = text.index("}", begin) + 1
        kind = "movingWallVelocity" if name in turning else "fixedValue"
        text = f"{text[:begin]}    {name} {{ type {kind}; value uniform (0 0 0); }}{text[end:]}"
    return text
