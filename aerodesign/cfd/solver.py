"""The solver at work: started, watched, stopped when it is steady, and taken up again after a kill."""

import shutil
import signal
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from aerodesign.cfd.case import CaseFolder
from aerodesign.cfd.foam import CaseFileError, read_field
from aerodesign.cfd.history import History, read_history, residuals
from aerodesign.cfd.settings import SOLVER, solution
from aerodesign.cfd.solved import NEEDED, states
from aerodesign.core.errors import AerodesignError, MissingLibrary

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
    """A run at one moment."""

    iteration: int
    iterations: int
    torque: float
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
    """Run a case until it is steady or its iterations are used up; goes on from the latest state on disc.

    Raises :class:`MissingSolver`, or :class:`SolverFailed` where the solver broke off. After ``seconds`` the run is ended with
    everything written. An interrupt ends the solver; the states on disc stay.
    """
    begun = time.monotonic()
    discard_broken(case.path)
    history = read_history(case.path)
    done = states(case.path)
    if done and history.last and (steady(history, case.point.pt) or done[-1] >= case.iterations):
        return Ended(done[-1], steady(history, case.point.pt), 0.0)
    if not solver_there():
        raise MissingSolver(f"{SOLVER} is not installed; {INSTALL}; the case is written: {case.path / 'run'} starts it")

    with subprocess.Popen(["./run"], cwd=case.path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        try:
            while process.poll() is None:
                time.sleep(LOOK)
                history = read_history(case.path)
                if watch is not None:
                    torque = float(history.torque[-1] * case.point.blades) if history.last else float("nan")
                    watch(Look(history.last, case.iterations, torque, residuals(case.path / "log.solver")))
                if history.last >= CALMED * case.iterations:
                    calm(case)
                if steady(history, case.point.pt) or time.monotonic() - begun > seconds:
                    (case.path / "stop").touch()
        except BaseException:
            process.terminate()
            process.wait()
            raise
    (case.path / "stop").unlink(missing_ok=True)
    discard_broken(case.path)
    if process.returncode:
        raise SolverFailed(f"{case.path}: {_why(case.path, process.returncode)}; see {case.path / 'log.solver'}")
    history, done = read_history(case.path), states(case.path)
    if not done:
        raise SolverFailed(f"{case.path}: the solver ended without a state; see {case.path / 'log.solver'}")
    return Ended(done[-1], steady(history, case.point.pt), time.monotonic() - begun)


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


def _why(folder: Path, status: int) -> str:
    """Why a run broke off, from the end of its log."""
    last = read_history(folder).last
    try:
        log = (folder / "log.solver").read_text(encoding="utf-8", errors="replace")[-20000:]
    except OSError:
        log = ""
    if status in KILLED:
        return f"the solver was killed (signal {-status}) after iteration {last}; the same command goes on from its latest state"
    if status == -signal.SIGFPE or "sigFpe::sigHandler" in log:
        return f"the run diverged after iteration {last}: a smaller flow, or a coarser mesh, may do"
    lines = log.splitlines()
    for number, line in enumerate(lines):
        if "FOAM FATAL" in line:
            said = " ".join(part.strip() for part in lines[number + 1 : number + 4] if part.strip())
            return f"the solver refused after iteration {last}: {said[:200]}"
    return f"the solver ended with status {status} after iteration {last}"
