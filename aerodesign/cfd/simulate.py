"""From a design to simulated points: mesh, cases, runs, answers. Points that are there already are taken up, not run again."""

import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.stage import Stage
from aerodesign.cfd.answer import Judged, judge
from aerodesign.cfd.case import BYTES_PER_CELL, CaseFolder, edited, read_case_folder, require_room, write_case
from aerodesign.cfd.domain import domain_mesh
from aerodesign.cfd.edition import edition
from aerodesign.cfd.point import flow_point, same_point
from aerodesign.cfd.polyhedra import read_points
from aerodesign.cfd.settings import AVERAGED
from aerodesign.cfd.solved import Solved, averaged, read_solved, states
from aerodesign.cfd.solver import Ended, Look, MissingSolver, look_at, run_case
from aerodesign.cfd.spread import Runner, runner, side_by_side
from aerodesign.cfd.start import continued
from aerodesign.core.errors import AerodesignError
from aerodesign.form import BladeForm
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.wall import first_height, wall_flow

ITERATIONS = {"look": 700, "design": 800, "study": 1000}
"""Iterations after which a run that never came to rest is read from its mean fields, by size of mesh."""

MARK = "mesh and settings"
"""What stands in a case's stamp ahead of the edition and the mesh asked for."""

Progress = Callable[[str, Look], None]


@dataclass(frozen=True)
class Task:
    """What is to be simulated: a machine on its site at parts of a flow, on a mesh of a size, into a folder.

    ``write_only`` writes the cases and runs nothing. Each point starts from its solved neighbour, from the design flow outwards;
    with more ``jobs`` than one the points above and below the design flow run side by side. ``scheduler`` is the address of one
    that hands all points to its workers at once. ``first_cell`` is the first cell at walls in words, a height or "y+ 30" at the part
    nearest to the design flow; ``clearance`` opens the gap over the tips.
    """

    blower: Blower
    site: Site
    service: str
    basis: str
    models: Models
    flow: float
    speed: float
    parts: tuple[float, ...]
    size: str
    folder: Path
    form: BladeForm | None = None
    stamp: str = ""
    jobs: int = 1
    write_only: bool = False
    seconds: float = float("inf")
    scheduler: str = ""
    first_cell: str = ""
    clearance: bool = False

    @property
    def mesh_words(self) -> str:
        """The mesh that was asked for."""
        first = f", first cells {self.first_cell}" if self.first_cell else ""
        return f"{self.size}{first}{', open clearance' if self.clearance else ''}"


@dataclass(frozen=True)
class Simulated:
    """One point: its part of the flow, the meanline's stage, its case, and the answer or why there is none."""

    part: float
    stage: Stage
    case: Path
    ended: Ended | None = None
    judged: Judged | None = None
    solved: Solved | None = None
    problem: str = ""

    @property
    def accepted(self) -> bool:
        """True where there is an answer that passed every gate."""
        return self.judged is not None and self.judged.accepted

    @property
    def open_tips(self) -> bool:
        """True where the clearance was simulated."""
        return self.solved is not None and "blade_tip" in self.solved.mesh.patches


@dataclass(frozen=True)
class Simulation:
    """All points of a task, in the order asked, on one mesh."""

    task: Task
    mesh: Mesh
    points: tuple[Simulated, ...]


def simulate(task: Task, *, progress: Progress | None = None) -> Simulation:
    """Write, run and read every point of a task.

    A point that fails keeps its reason in ``problem`` and stops no other. Raises AerodesignError where nothing can be begun: no
    mesh, a folder of something else, a flow that the meanline cannot run at, or the solver is missing (cases are written then).
    """
    stages = {part: stage_at(task, part) for part in task.parts}
    near = stages[min(task.parts, key=lambda part: abs(part - 1))]
    height = first_height(task.first_cell, wall_flow(near)) if task.first_cell else None
    mesh = domain_mesh(task.blower, task.size, form=task.form, first=height, clearance=task.clearance)
    missing = [part for part in task.parts if not point_folder(task.folder, part).exists()]
    require_room(task.folder, len(missing) * BYTES_PER_CELL * len(mesh.hexes))
    cases = {part: _case(task, mesh, part, stage) for part, stage in stages.items()}
    if task.write_only:
        return Simulation(task, mesh, tuple(Simulated(part, stages[part], cases[part].path) for part in task.parts))

    found: dict[float, Simulated] = {}
    jobs = len(task.parts) if task.scheduler else task.jobs
    with (
        runner(task.scheduler, run_case, look_at, seconds=task.seconds) as alone,
        side_by_side(alone, jobs) as (pool, run),
    ):

        def one(part: float, before: Simulated | None = None) -> Simulated:
            case = cases[part]
            if before is not None and before.solved is not None and not (states(case.path) or edited(case.path)):
                case = _again(case, mesh, before)
            return _run(case, task, mesh, part, stages[part], run, progress)

        def chain(parts: list[float]) -> None:
            before = found[first]
            for part in parts:
                found[part] = one(part, before if before.accepted else None)
                before = found[part] if found[part].accepted else before

        if task.scheduler:
            found |= dict(zip(task.parts, pool.map(one, task.parts), strict=True))
        else:
            first, *others = sorted(task.parts, key=lambda part: abs(part - 1))
            found[first] = one(first)
            list(pool.map(chain, _chains(first, others)))
    return Simulation(task, mesh, tuple(found[part] for part in task.parts))


def _chains(first: float, others: list[float]) -> list[list[float]]:
    """The other points as chains from the first outwards, each point beside the one it starts from."""
    return [side for side in ([p for p in others if p < first], [p for p in others if p > first]) if side]


def point_folder(folder: Path, part: float) -> Path:
    """Where the case of a part of the flow lies."""
    return folder / f"flow-{part:.3f}"


def stage_at(task: Task, part: float) -> Stage:
    """The meanline at a part of the flow. Raises AerodesignError where it finds no operating point."""
    stage = operate(
        task.blower,
        task.site,
        service=task.service,
        basis=task.basis,
        flow=part * task.flow,
        speed=task.speed,
        models=task.models,
    ).stage
    if not bool(stage.solved):
        raise AerodesignError(
            f"flow {part:g} of the design flow: the meanline finds no operating point there; ask for a part nearer to 1"
        )
    return stage


def _case(task: Task, mesh: Mesh, part: float, stage: Stage) -> CaseFolder:
    """The case of a point: the one that lies there when it asks the same, else a new one."""
    path, point, stamp = (
        point_folder(task.folder, part),
        flow_point(stage),
        f"{task.stamp}, {MARK} {edition()}, {task.mesh_words}",
    )
    if not path.exists():
        return write_case(path, mesh, point, iterations=ITERATIONS[task.size], stamp=stamp)
    there = read_case_folder(path)
    if not (same_point(there.point, point) and made_alike(there.stamp, stamp) and _on(path, mesh)):
        raise AerodesignError(
            f"{path}: holds a simulation of another machine, point, size or version of mesh and settings; "
            "name another folder with --out, or remove it"
        )
    return there


def made_alike(one: str, other: str) -> bool:
    """True for stamps of the same edition and mesh asked for, whatever version and input they tell of."""
    return one.split(MARK)[-1] == other.split(MARK)[-1]


def _on(case: Path, mesh: Mesh) -> bool:
    """True where a case lies on this mesh, to a nanometre: blades of another form may leave the meanline's point as it is."""
    there = read_points(case / "constant" / "polyMesh")
    return there.shape == mesh.points.shape and bool(np.abs(there - mesh.points).max() < 1e-9)


def _again(case: CaseFolder, mesh: Mesh, before: Simulated) -> CaseFolder:
    """The case of a point that was not begun, written anew with its neighbour's fields to start from."""
    assert before.solved is not None
    start = continued(before.solved, case.point, case=before.case)
    shutil.rmtree(case.path)
    return write_case(case.path, mesh, case.point, iterations=case.iterations, stamp=case.stamp, start=start)


def _run(
    case: CaseFolder, task: Task, mesh: Mesh, part: float, stage: Stage, run: Runner, progress: Progress | None
) -> Simulated:
    wheel = task.blower.impeller
    watch = None if progress is None else lambda look: progress(f"flow {part:g}", look)
    try:
        ended = run(case, watch)
        mean = not ended.steady and averaged(case.path)
        solved = read_solved(case.path, mesh, case.point, mean=mean)
        since = case.iterations - AVERAGED if mean else None
        judged = judge(case.path, solved, b2=float(wheel.b2), beta2_blade=float(wheel.beta2_blade), since=since)
    except MissingSolver:
        raise
    except AerodesignError as problem:
        return Simulated(part, stage, case.path, problem=str(problem))
    return Simulated(part, stage, case.path, ended=ended, judged=judged, solved=solved)


def parts_of(text: str) -> tuple[float, ...]:
    """Parts of the design flow from a list as ``0.8,1,1.2``. Raises AerodesignError."""
    try:
        parts: Sequence[float] = [float(word) for word in text.split(",")]
    except ValueError:
        parts = []
    if not parts or not all(0.1 <= part <= 3 for part in parts) or len(set(parts)) != len(parts):
        raise AerodesignError(
            f'flows "{text}": give parts of the design flow between 0.1 and 3, each once, as 0.8,1,1.2'
        )
    return tuple(parts)
