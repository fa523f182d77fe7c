"""Runs that go wrong: killed, out of disc, diverged, refused, edited, started twice, handed to other machines. Nothing may be lost.

A few lines of shell stand in for the solver, so that these tests need none; its own ways to fail are in test_simulation.py.
"""

import os
import shutil
import signal
import subprocess
import threading
import time
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from aerodesign.cfd.case import MARK, RUN, edited, require_room, write_whole
from aerodesign.cfd.foam import field_text
from aerodesign.cfd.settings import RUNNING, SOLVER
from aerodesign.cfd.solved import states
from aerodesign.cfd.solver import Ended, Look, MissingSolver, SolverFailed, attend
from aerodesign.cfd.spread import runner, side_by_side
from aerodesign.cfd.volute_case import RUN as RUN_VOLUTE
from aerodesign.cli_simulate import _line
from aerodesign.core.errors import AerodesignError, MissingLibrary

STATE = ("U", "p", "T", "phi", "k", "omega", "nut")


def a_state(folder: Path) -> None:
    """All that the solver needs to go on."""
    (folder / "uniform").mkdir(parents=True)
    (folder / "uniform" / "time").write_text("time\n")
    for name in STATE:
        value = np.ones((3, 3)) if name == "U" else np.ones(3)
        (folder / name).write_text(
            field_text(name, value, {"wall": "type zeroGradient;"}, dimensions="[0 0 0 0 0 0 0]")
        )


def programs(folder: Path, monkeypatch, **scripts: str) -> None:
    """Programs of these names ahead of all others on the path."""
    folder.mkdir(exist_ok=True)
    for name, script in scripts.items():
        (folder / name).write_text(f"#!/bin/sh\n{script}\n")
        (folder / name).chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case whose solver is to be stood in for, with a state to copy from."""
    folder = tmp_path / "case"
    a_state(tmp_path / "model")
    (folder / "0").mkdir(parents=True)
    for name in ("U_frame", "T_rest", "T_rothalpy"):
        (folder / "0" / name).write_text("}")
    (folder / "run").write_text(RUN)
    (folder / "run").chmod(0o755)
    (folder / MARK).write_text("{}")
    return folder


def attended(folder: Path, *, iterations: int = 300, settled: bool = False) -> Ended:
    """A run that is looked at as the passage's and the volute's are."""
    last = lambda: Look((states(folder) or [0])[-1], iterations, "", {})  # noqa: E731
    return attend(folder, iterations=iterations, look=last, settled=lambda: settled)


FIRST = "cp -r ../model 100"


def test_a_killed_solver_leaves_its_state_and_the_same_command_goes_on(case: Path, tmp_path: Path, monkeypatch) -> None:
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: f"{FIRST}; kill -9 $$"})
    with pytest.raises(SolverFailed, match=r"killed.*after iteration 100.*same command goes on") as failed:
        attended(case)
    assert "\n" not in str(failed.value)
    assert states(case) == [100]
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: "test -d 100 || exit 9; cp -r ../model 300"})
    assert attended(case).iteration == 300
    assert not (case / RUNNING).exists()


def test_a_disc_that_fills_while_it_runs_keeps_the_last_whole_state(case: Path, tmp_path: Path, monkeypatch) -> None:
    """The limit on the size of a file makes the write itself fail, as a full disc does; the log says what the solver says."""
    write = f"{FIRST}; mkdir 200; ulimit -f 1; (yes 12345 | head -c 100000 >200/U) 2>/dev/null; echo 'No space left on device'; exit 1"
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: write})
    with pytest.raises(SolverFailed, match="disc is full after iteration 100; make room") as failed:
        attended(case)
    assert "\n" not in str(failed.value)
    assert states(case) == [100]
    assert not (case / "200").exists(), "half a state would stop the next start"


def test_a_disc_with_nothing_free_is_named_whatever_the_log_says(case: Path, tmp_path: Path, monkeypatch) -> None:
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: f"{FIRST}; exit 1"})
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage._replace(free=1000))
    with pytest.raises(SolverFailed, match="disc is full"):
        attended(case)


def test_a_diverged_run_and_a_refused_case_are_told_apart(case: Path, tmp_path: Path, monkeypatch) -> None:
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: f"{FIRST}; echo '#1 Foam::sigFpe::sigHandler(int)'; exit 136"})
    with pytest.raises(SolverFailed, match="diverged after iteration 100"):
        attended(case)
    (case / "log.solver").unlink()
    programs(
        tmp_path / "bin",
        monkeypatch,
        **{SOLVER: "printf -- '--> FOAM FATAL IO ERROR:\\nkeyword div(phi,U) is undefined\\n'; exit 1"},
    )
    with pytest.raises(SolverFailed, match=r"refused after iteration 100: keyword div\(phi,U\) is undefined"):
        attended(case)
    assert states(case) == [100]


def test_a_mesher_that_fails_is_told_and_begins_anew_next_time(case: Path, tmp_path: Path, monkeypatch) -> None:
    (case / "run").write_text(RUN_VOLUTE)
    mesher = {"surfaceFeatureExtract": "true", "checkMesh": "echo Mesh OK.", SOLVER: "cp -r ../model 300"}
    fatal = "mkdir -p constant/polyMesh; touch constant/polyMesh/half; printf -- '--> FOAM FATAL ERROR:\\nno such surface\\n'; exit 1"
    programs(tmp_path / "bin", monkeypatch, blockMesh="true", snappyHexMesh=fatal, **mesher)
    with pytest.raises(SolverFailed, match="mesher refused: no such surface"):
        attended(case)
    programs(tmp_path / "bin", monkeypatch, blockMesh="mkdir -p constant/polyMesh", snappyHexMesh="true", **mesher)
    assert attended(case).iteration == 300
    assert sorted(path.name for path in (case / "constant" / "polyMesh").iterdir()) == ["whole"]


def test_an_interrupt_ends_the_solver_and_what_it_started(case: Path, tmp_path: Path, monkeypatch) -> None:
    (case / "run").write_text(RUN_VOLUTE)
    programs(tmp_path / "bin", monkeypatch, blockMesh="echo $$ >mesher; exec sleep 60", **{SOLVER: "true"})

    def interrupt() -> Look:
        if (case / "mesher").exists() and (case / "mesher").read_text().strip():
            raise KeyboardInterrupt
        return Look(0, 300, "", {})

    with pytest.raises(KeyboardInterrupt):
        attend(
            case, iterations=300, look=lambda: Look(0, 300, "", {}), settled=lambda: False, watch=lambda _: interrupt()
        )
    number = int((case / "mesher").read_text())
    for _ in range(50):
        if not Path(f"/proc/{number}/cwd").exists():
            break
        time.sleep(0.1)
    with pytest.raises(OSError, match="No such"):
        os.readlink(f"/proc/{number}/cwd")


def test_an_interrupt_ends_runs_side_by_side(case: Path, tmp_path: Path, monkeypatch) -> None:
    """The interrupt reaches the thread that waits for the others, not those that watch a solver."""
    other = shutil.copytree(case, tmp_path / "other")
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: "exec sleep 60"})
    run = lambda folder, watch: attend(  # noqa: E731
        folder, iterations=300, look=lambda: Look(0, 300, "", {}), settled=lambda: False, watch=watch
    )
    runs: list[Future[Ended]] = []

    def interrupted() -> None:
        with side_by_side(run, 2) as (pool, watched):
            runs.extend(pool.submit(watched, folder, None) for folder in (case, other))
            while not all((folder / RUNNING).exists() for folder in (case, other)):
                time.sleep(0.05)
            raise KeyboardInterrupt

    begun = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert time.monotonic() - begun < 30
    assert all(isinstance(future.exception(), KeyboardInterrupt) for future in runs)


def test_a_case_that_still_runs_is_not_started_twice(case: Path, tmp_path: Path, monkeypatch) -> None:
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: "exec sleep 60"})
    with subprocess.Popen(["./run"], cwd=case) as orphan:
        try:
            for _ in range(100):
                if (case / RUNNING).exists() and (case / RUNNING).read_text().strip():
                    break
                time.sleep(0.05)
            with pytest.raises(SolverFailed, match=f"process {orphan.pid} still runs this case"):
                attended(case)
        finally:
            orphan.send_signal(signal.SIGKILL)
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: "cp -r ../model 300"})
    assert attended(case).iteration == 300, "a number that is left over does not stop anything"


def test_a_run_that_is_done_is_not_run_again_even_without_a_solver(case: Path, tmp_path: Path, monkeypatch) -> None:
    shutil.copytree(tmp_path / "model", case / "300")
    monkeypatch.setenv("PATH", "/nowhere")
    assert attended(case).seconds == 0
    with pytest.raises(MissingSolver, match="apt-get install"):
        attended(case, iterations=400)


def test_what_the_histories_say_of_a_lost_state_does_not_count(case: Path, tmp_path: Path, monkeypatch) -> None:
    shutil.copytree(tmp_path / "model", case / "100")
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: "cp -r ../model 160"})
    look = lambda: Look(160, 300, "", {})  # noqa: E731
    ended = attend(case, iterations=300, look=look, settled=lambda: True)
    assert ended.iteration == 160
    assert ended.seconds > 0


def test_what_a_hand_changed_is_seen(tmp_path: Path) -> None:
    def fill(work: Path) -> None:
        (work / "system").mkdir()
        (work / "system" / "fvSchemes").write_text("a")
        (work / MARK).write_text("{}")

    write_whole(tmp_path / "case", fill, needed=1)
    assert not edited(tmp_path / "case")
    (tmp_path / "case" / "system" / "fvSchemes").write_text("b")
    assert edited(tmp_path / "case")


def test_too_little_room_is_refused_with_both_sizes(tmp_path: Path) -> None:
    with pytest.raises(AerodesignError, match=r"has \d+ MB free, the simulation takes up to 1000000000000 MB"):
        require_room(tmp_path / "new", 1e18)


def test_leftovers_of_a_killed_writer_are_swept_and_those_of_one_at_work_are_not(tmp_path: Path) -> None:
    for name, age in ((".case-old", 7200.0), (".case-new", 0.0), (".other-old", 7200.0)):
        (tmp_path / name).mkdir()
        os.utime(tmp_path / name, (time.time() - age, time.time() - age))
    write_whole(tmp_path / "case", lambda work: (work / MARK).write_text("{}"), needed=1)
    assert sorted(path.name for path in tmp_path.iterdir()) == [".case-new", ".other-old", "case"]


def test_of_a_run_that_ended_its_last_state_stays(case: Path, tmp_path: Path, monkeypatch) -> None:
    programs(tmp_path / "bin", monkeypatch, **{SOLVER: f"{FIRST}; cp -r ../model 200; cp -r ../model 300"})
    assert attended(case).iteration == 300
    assert states(case) == [300]
    assert (case / "0").is_dir()


def test_the_line_on_the_terminal_says_how_far_a_run_is() -> None:
    look = Look(150, 300, "torque 12.3 N m", {"p": 1.2e-3, "Ux": 4e-5, "k": 1e-4, "h": 1.0})
    assert (
        _line("flow 1", look)
        == "flow 1 [############------------] 150 of 300, torque 12.3 N m, p 1e-03  Ux 4e-05  k 1e-04"
    )


# Other machines


@dataclass(frozen=True)
class Small:
    """A case of which only the folder counts."""

    path: Path


def run_small(case: Small, *, watch=None, seconds: float = float("inf")) -> Ended:
    """A stand-in for a run, on the machine of a worker."""
    time.sleep(0.8)
    (case.path / "done").write_text(threading.current_thread().name)
    return Ended(7, True, seconds)


def run_badly(case: Small, *, watch=None, seconds: float = float("inf")) -> Ended:
    """A run that fails as runs do."""
    raise SolverFailed(f"{case.path}: the run diverged")


@pytest.fixture
def cluster():
    """A scheduler with two workers within this process."""
    distributed = pytest.importorskip("distributed", reason="Dask is not installed: pip install 'aerodesign[dask]'")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None) as local:
        yield local.scheduler_address


@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_hands_cases_to_its_workers(cluster: str, tmp_path: Path) -> None:
    cases = [Small(tmp_path / name) for name in ("a", "b")]
    for small in cases:
        small.path.mkdir()
        (small.path / MARK).write_text("{}")
    looks: list[Look] = []
    begun = time.monotonic()
    with runner(cluster, run_small, lambda small: Look(1, 2, small.path.name, {}), seconds=30.0) as run:
        found: dict[str, Ended] = {}
        hands = [threading.Thread(target=lambda s=s: found.update({s.path.name: run(s, looks.append)})) for s in cases]
        for hand in hands:
            hand.start()
        for hand in hands:
            hand.join()
    assert found == {"a": Ended(7, True, 30.0), "b": Ended(7, True, 30.0)}
    assert time.monotonic() - begun < 10
    assert {look.watched for look in looks} == {"a", "b"}, "the folder is looked at from here"
    assert all((small.path / "done").is_file() for small in cases)

    with runner(cluster, run_badly, lambda small: Look(1, 2, "", {}), seconds=1.0) as run:
        with pytest.raises(SolverFailed, match="the run diverged"):
            run(cases[0], None)
        with pytest.raises(SolverFailed, match="is not seen from"):
            run(Small(tmp_path / "elsewhere"), None)


@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_that_does_not_answer_is_told_in_one_line(monkeypatch) -> None:
    pytest.importorskip("distributed", reason="Dask is not installed: pip install 'aerodesign[dask]'")
    monkeypatch.setattr("aerodesign.cfd.spread.ANSWER", 0.5)
    with (
        pytest.raises(AerodesignError, match="does not answer") as caught,
        runner("tcp://127.0.0.1:9", run_small, lambda small: Look(1, 2, "", {}), seconds=1.0),
    ):
        pass
    assert "\n" not in str(caught.value)


def test_without_dask_one_line_says_how_to_install_it(monkeypatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "distributed", None)
    with (
        pytest.raises(MissingLibrary, match="pip install"),
        runner("tcp://127.0.0.1:9", run_small, lambda small: Look(1, 2, "", {}), seconds=1.0),
    ):
        pass
