"""The solver at work: started, watched, stopped when it is steady, and taken up again after a kill."""

import contextlib
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from aerodesign.cfd.case import CaseFolder
from aerodesign.cfd.foam import CaseFileError, read_field
from aerodesign.cfd.history import History, forget_beyond, read_history, residuals
from aerodesign.cfd.settings import RUNNING, SOLVER, solution
from aerodesign.cfd.solved import NEEDED, states
from aerodesign.core.errors import AerodesignError, MissingLibrary

LOG, MESH_LOG = "log.solver", "log.mesh"
"""What the solver says, and what its mesher says where there is one to run."""
MESHER_FAILED = 8
"""Status of a run whose mesh could not be made."""
FULL = 2e6
"""Bytes below which a disc counts as full."""
LOOK = 0.5
"""Seconds between two looks at a run."""
LEAST = 120
"""Iterations before a run may count as steady: the start has left the domain by then."""
CALMED = 0.5
"""Part of its iterations after which a run that wavers goes on with shorter steps."""
STEADY_TORQUE, STEADY_RISE, BALANCED = 0.8e-3, 1.5e-3, 0.5e-4
"""Ranges of torque and of the rise at the outlet over the last 50 iterations, and imbalance of flow, at which a run is ended."""
KILLED = (-signal.SIGKILL, -signal.SIGTERM, -signal.SIGINT, -signal.SIGHUP)
INSTALL = "on Debian: apt-get install --no-install-recommends openfoam"


class MissingSolver(MissingLibrary):
    """The flow solver is not installed."""


class SolverFailed(AerodesignError):
    """A run that ended without a state to read: killed, diverged, or never begun."""

    exit_status = 6


@dataclass(frozen=True)
class Look:
    """A run at one moment; ``watched`` says in words and numbers what it is about."""

    iteration: int
    iterations: int
    watched: str
    residuals: dict[str, float]


@dataclass(frozen=True)
class Ended:
    """How a run ended: the iteration, whether it had become steady, and the seconds it took this time."""

    iteration: int
    steady: bool
    seconds: float


Watcher = Callable[[Look], None]


def solver_there() -> bool:
    """True where the solver can be started."""
    return shutil.which(SOLVER) is not None


def steady(history: History, pt: float) -> bool:
    """True once torque, rise and flow balance have come to rest."""
    return (
        history.last >= LEAST
        and history.scatter(history.torque) < STEADY_TORQUE
        and history.scatter(history.pressure, scale=history.pressure[-1] - pt) < STEADY_RISE
        and history.imbalance < BALANCED
    )


def run_case(case: CaseFolder, *, watch: Watcher | None = None, seconds: float = float("inf")) -> Ended:
    """Run the case of a passage until it is steady or its iterations are used up; see :func:`attend`."""

    def late() -> None:
        if read_history(case.path).last >= CALMED * case.iterations:
            calm(case)

    return attend(
        case.path,
        iterations=case.iterations,
        look=lambda: look_at(case),
        settled=lambda: steady(read_history(case.path), case.point.pt),
        meanwhile=late,
        watch=watch,
        seconds=seconds,
    )


def look_at(case: CaseFolder) -> Look:
    """How far the run of a passage is."""
    history = read_history(case.path)
    torque = float(history.torque[-1] * case.point.blades) if history.last else float("nan")
    return Look(history.last, case.iterations, f"torque {torque:.4g} N m", residuals(case.path / LOG))


def attend(
    folder: Path,
    *,
    iterations: int,
    look: Callable[[], Look],
    settled: Callable[[], bool],
    meanwhile: Callable[[], None] = lambda: None,
    watch: Watcher | None = None,
    seconds: float = float("inf"),
) -> Ended:
    """Run a case folder until it has ``settled`` or its iterations are used up; goes on from the latest state on disc.

    ``meanwhile`` is done at every look at it.

    Raises :class:`MissingSolver`, or :class:`SolverFailed` where the solver broke off, or still runs there. After ``seconds`` the
    run is ended with everything written. An interrupt ends the solver and what it started; the states on disc stay.
    """
    begun = time.monotonic()
    _refuse_second(folder)
    discard_broken(folder)
    done = states(folder)
    # Histories may tell of more than what is on disc, where a run broke off: what they say then is not true of the state.
    if done and 0 < look().iteration <= done[-1] and (settled() or done[-1] >= iterations):
        return Ended(done[-1], settled(), 0.0)
    if not solver_there():
        raise MissingSolver(f"{SOLVER} is not installed; {INSTALL}; the case is written: {folder / 'run'} starts it")

    forget_beyond(folder, done[-1] if done else 0)
    # In a group of its own: what ends it ends a mesher that it has started as well.
    with subprocess.Popen(
        ["./run"], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    ) as process:
        try:
            while process.poll() is None:
                time.sleep(LOOK)
                if watch is not None:
                    watch(look())
                meanwhile()
                if settled() or time.monotonic() - begun > seconds:
                    (folder / "stop").touch()
        except BaseException:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGTERM)
            process.wait()
            raise
    for name in ("stop", RUNNING):
        (folder / name).unlink(missing_ok=True)
    discard_broken(folder)
    if process.returncode:
        raise SolverFailed(f"{folder}: {_why(folder, process.returncode, look().iteration)}; see {folder / LOG}")
    done = states(folder)
    if not done:
        raise SolverFailed(f"{folder}: the solver ended without a state; see {folder / LOG}")
    for earlier in done[:-1]:
        shutil.rmtree(folder / str(earlier), ignore_errors=True)
    return Ended(done[-1], settled(), time.monotonic() - begun)


def _refuse_second(folder: Path) -> None:
    """Two solvers in one folder would spoil each other's states: one whose parent was killed may still be at work."""
    try:
        number = int((folder / RUNNING).read_text(encoding="ascii"))
        at_work = Path(f"/proc/{number}/cwd").resolve(strict=True) == folder.resolve()
    except (OSError, ValueError):
        return
    if at_work:
        raise SolverFailed(
            f"{folder}: process {number} still runs this case; wait for it, or end it, and give the same command again"
        )


def calm(case: CaseFolder) -> None:
    """Relax more strongly from now on; the solver reads its settings again when they change. Edited settings stay as they are."""
    path = case.path / "system" / "fvSolution"
    if path.read_text(encoding="utf-8") == solution(case.point):
        path.write_text(solution(case.point, calm=True), encoding="ascii")


def discard_broken(folder: Path) -> None:
    """Remove states that were being written when a run was killed; the solver would start from them and fail."""
    for path in folder.glob("*"):
        if path.name.isdigit() and int(path.name) > 0 and not _whole(path):
            shutil.rmtree(path, ignore_errors=True)


def _whole(state: Path) -> bool:
    """True where every field of a state can be read to its end."""
    try:
        for name in (*NEEDED, "k", "omega", "nut"):
            if not (state / name).read_text(encoding="ascii", errors="replace").rstrip(" /*\n").endswith("}"):
                return False
        read_field(state / "phi")
    except (OSError, CaseFileError):
        return False
    return (state / "uniform" / "time").is_file()


def _why(folder: Path, status: int, last: int) -> str:
    """Why a run broke off after its iteration ``last``, from its status, the disc, and the end of its log."""
    try:
        log = (folder / (MESH_LOG if status == MESHER_FAILED else LOG)).read_text(encoding="utf-8", errors="replace")[
            -20000:
        ]
    except OSError:
        log = ""
    if status in KILLED:
        return f"the solver was killed (signal {-status}) after iteration {last}; the same command goes on from its latest state"
    if shutil.disk_usage(folder).free < FULL or "No space left" in log or "quota exceeded" in log:
        return f"the disc is full after iteration {last}; make room, and the same command goes on from the latest state"
    if status == -signal.SIGFPE or "sigFpe::sigHandler" in log:
        return f"the run diverged after iteration {last}: a smaller flow, or a coarser mesh, may do"
    lines = log.splitlines()
    for number, line in enumerate(lines):
        if "FOAM FATAL" in line:
            said = " ".join(part.strip() for part in lines[number + 1 : number + 4] if part.strip())
            who = "mesher refused" if status == MESHER_FAILED else f"solver refused after iteration {last}"
            return f"the {who}: {said[:200]}"
    if status == MESHER_FAILED:
        return f"the mesher failed; see {MESH_LOG}, or take another --size"
    return f"the solver ended with status {status} after iteration {last}"
