"""From a design to simulated points of its volute: skin, cases, mesh, runs, answers. Points that are there are taken up, not run again."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.cad.volute_skin import SKIN, make_volute_skin
from aerodesign.cad.worker import SolidsWorker
from aerodesign.cfd.answer import Answer
from aerodesign.cfd.case import edited, require_room
from aerodesign.cfd.foam import FIELDS, read_field
from aerodesign.cfd.point import same_point
from aerodesign.cfd.simulate import MARK, Progress, Task, made_alike, stage_at
from aerodesign.cfd.solved import states
from aerodesign.cfd.solver import Ended, MissingSolver
from aerodesign.cfd.spread import Runner, runner, side_by_side
from aerodesign.cfd.volute_answer import VoluteJudged, judge_volute
from aerodesign.cfd.volute_case import (
    NEEDED_BYTES,
    MeshSaid,
    VoluteCase,
    mesh_said,
    meshed,
    read_volute_case,
    same_mesh,
    shape_of,
    take_mesh,
    take_start,
    write_volute_case,
)
from aerodesign.cfd.volute_edition import volute_edition
from aerodesign.cfd.volute_point import VolutePoint, volute_point
from aerodesign.cfd.volute_run import look_at_volute, run_volute
from aerodesign.cfd.volute_solved import VoluteSolved, read_volute
from aerodesign.core.errors import AerodesignError
from aerodesign.form import Form

ITERATIONS = {"look": 600, "design": 800, "study": 1200}
"""Iterations after which a run is given up, by size of mesh."""
SKIN_TIME = 300.0
"""Seconds after which the skin is given up."""


@dataclass(frozen=True)
class SimulatedVolute:
    """One point: its part of the flow, the meanline's stage, its case, and the answer or why there is none."""

    part: float
    stage: Stage
    case: Path
    ended: Ended | None = None
    judged: VoluteJudged | None = None
    solved: VoluteSolved | None = None
    mesh: MeshSaid | None = None
    problem: str = ""

    @property
    def accepted(self) -> bool:
        """True where there is an answer that passed every gate."""
        return self.judged is not None and self.judged.accepted


@dataclass(frozen=True)
class VoluteSimulation:
    """All points of a task, in the order asked."""

    task: Task
    points: tuple[SimulatedVolute, ...]


def simulate_volute(
    task: Task, form: Form, *, swirl: dict[float, Answer] | None = None, progress: Progress | None = None
) -> VoluteSimulation:
    """Write, run and read every point of a task in the volute of its machine.

    ``swirl`` holds answers of simulated passages by part of the flow: their swirl and temperature come in then. A point that fails
    keeps its reason and stops no other. Raises AerodesignError where nothing can be begun, as :func:`~.simulate.simulate` does.
    """
    stages = {part: stage_at(task, part) for part in task.parts}
    known = swirl or {}
    points = {part: volute_point(stage, answer=known.get(part)) for part, stage in stages.items()}
    folders = {part: volute_folder(task.folder, part, simulated_swirl=part in known) for part in task.parts}
    missing = [part for part in task.parts if not folders[part].exists()]
    require_room(task.folder, len(missing) * NEEDED_BYTES[task.size])
    cases = {part: _there(task, form, folders[part], points[part]) for part in task.parts if part not in missing}
    with _skin(task, form, needed=bool(missing)) as skin:
        for part in missing:
            cases[part] = _write(task, form, folders[part], points[part], skin)
    if task.write_only:
        return VoluteSimulation(task, tuple(SimulatedVolute(p, stages[p], cases[p].path) for p in task.parts))

    jobs = len(task.parts) if task.scheduler else task.jobs
    with (
        runner(task.scheduler, run_volute, look_at_volute, seconds=task.seconds) as alone,
        side_by_side(alone, jobs) as (pool, run),
    ):

        def one(part: float, before: SimulatedVolute | None = None) -> SimulatedVolute:
            _begin_near(cases[part], before)
            return _run(cases[part], part, stages[part], run, progress)

        # The first point makes the mesh, which all share; the others begin with that and with the fields that it ended with.
        order = sorted(task.parts, key=lambda part: (not meshed(cases[part].path), abs(part - 1)))
        found = {order[0]: one(order[0])}
        first = found[order[0]]
        found |= dict(zip(order[1:], pool.map(lambda part: one(part, first), order[1:]), strict=True))
    return VoluteSimulation(task, tuple(found[part] for part in task.parts))


def volute_folder(folder: Path, part: float, *, simulated_swirl: bool = False) -> Path:
    """Where the case of a part of the flow lies, with the meanline's swirl or that of a simulated passage."""
    return folder / f"volute-{part:.3f}{'-simulated-swirl' if simulated_swirl else ''}"


@contextmanager
def _skin(task: Task, form: Form, *, needed: bool) -> Iterator[Path]:
    """The skin of the gas, made by the process of the solids where a case is still to be written."""
    with TemporaryDirectory() as scratch:
        folder = Path(scratch)
        if needed:
            worker = SolidsWorker()
            try:
                worker.start(task.blower, form, folder, task.stamp, make_volute_skin)
                made = worker.result(SKIN_TIME)
            finally:
                worker.end()
            if made.missing:
                raise AerodesignError(f"the volute cannot be simulated: {made.missing[0]}")
        yield folder / SKIN


def _stamp(task: Task) -> str:
    return f"{task.stamp}, {MARK} {volute_edition()}, {task.size}"


def _there(task: Task, form: Form, path: Path, point: VolutePoint) -> VoluteCase:
    """The case that lies there, when it asks the same."""
    case, shape = read_volute_case(path), shape_of(task.blower, form)
    alike = len(case.shape) == len(shape) and np.allclose(case.shape, shape, rtol=1e-9, atol=1e-12)
    if not (alike and same_point(case.point, point) and made_alike(case.stamp, _stamp(task))):
        raise AerodesignError(
            f"{path}: holds a simulation of another machine, point or size, or version of mesh and settings; "
            "name another folder with --out, or remove it"
        )
    return case


def _write(task: Task, form: Form, folder: Path, point: VolutePoint, skin: Path) -> VoluteCase:
    return write_volute_case(
        folder,
        task.blower,
        form,
        point,
        skin=skin,
        size=task.size,
        iterations=ITERATIONS[task.size],
        stamp=_stamp(task),
    )


def _begin_near(case: VoluteCase, before: SimulatedVolute | None) -> None:
    """Give a case that has no mesh yet that of another one whose mesher had the same orders, and the fields that a neighbour ended with."""
    if meshed(case.path) or edited(case.path):
        return
    donor = next((folder for folder in sorted(case.path.parent.glob("volute-*")) if same_mesh(folder, case.path)), None)
    if donor is None:
        return
    take_mesh(case.path, donor)
    if before is not None and before.judged is not None:
        last = before.case / str(states(before.case)[-1])
        take_start(case, {name: read_field(last / name).cells for name in FIELDS})


def _run(case: VoluteCase, part: float, stage: Stage, run: Runner, progress: Progress | None) -> SimulatedVolute:
    watch = None if progress is None else lambda look: progress(f"volute, flow {part:g}", look)
    try:
        ended = run(case, watch)
        solved = read_volute(case.path, case.point)
        judged = judge_volute(case.path, solved, stage)
        said = mesh_said(case.path)
    except MissingSolver:
        raise
    except AerodesignError as problem:
        return SimulatedVolute(part, stage, case.path, problem=str(problem))
    return SimulatedVolute(part, stage, case.path, ended=ended, judged=judged, solved=solved, mesh=said)
