"""Runs on this machine or on others: a Dask scheduler hands cases to its workers, which see the same folders.

Only the order to run a case travels; cases, states and answers stay in the folder, from which this side also reads how far a
run is. So a run goes on after a loss of the connection as it does after a kill: by the same command.
"""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any, Protocol

from aerodesign.cfd.case import MARK
from aerodesign.cfd.solver import LOOK, Ended, Look, SolverFailed, Watcher
from aerodesign.core.errors import AerodesignError, MissingLibrary

Runner = Callable[[Any, Watcher | None], Ended]
"""Runs a case to its end, telling a watcher how far it is."""
ANSWER = 10.0
"""Seconds within which a scheduler must answer."""


class Run(Protocol):
    """A function that runs a case."""

    def __call__(self, case: Any, *, watch: Watcher | None = None, seconds: float = ...) -> Ended:
        """Run it."""


@contextmanager
def runner(scheduler: str, run: Run, look: Callable[[Any], Look], *, seconds: float) -> Iterator[Runner]:
    """What runs cases: ``run`` itself, or the workers of the ``scheduler`` at an address, whose runs are watched by ``look``.

    Raises MissingLibrary where Dask is not installed, AerodesignError where nobody answers at the address.
    """
    if not scheduler:
        yield lambda case, watch: run(case, watch=watch, seconds=seconds)
        return
    with _client(scheduler) as client:
        yield lambda case, watch: _far(client, run, look, case, watch, seconds)


@contextmanager
def side_by_side(run: Runner, jobs: int) -> Iterator[tuple[ThreadPoolExecutor, Runner]]:
    """Threads that run cases side by side, and the runner for them.

    They are waited for at the end; what breaks the block off, as an interrupt does, ends their runs at the next look.
    """
    broken_off = threading.Event()

    def watched(case: Any, watch: Watcher | None) -> Ended:
        def look(seen: Look) -> None:
            if broken_off.is_set():
                raise KeyboardInterrupt
            if watch is not None:
                watch(seen)

        return run(case, look)

    with ThreadPoolExecutor(jobs) as pool:
        try:
            yield pool, watched
        except BaseException:
            broken_off.set()
            raise


@contextmanager
def _client(scheduler: str) -> Iterator[Any]:
    try:
        from distributed import Client
    except ImportError as cause:
        raise MissingLibrary("a scheduler needs Dask: pip install 'aerodesign[dask]'") from cause
    try:
        connect: Any = Client
        client = connect(scheduler, timeout=ANSWER, set_as_default=False)
    except (OSError, ValueError) as cause:
        raise AerodesignError(
            f"scheduler {scheduler}: does not answer; start one with 'dask scheduler', and 'dask worker ADDRESS --nthreads 1' "
            "for each run at a time"
        ) from cause
    try:
        yield client
    finally:
        client.close()


def _far(client: Any, run: Run, look: Callable[[Any], Look], case: Any, watch: Watcher | None, seconds: float) -> Ended:
    future = client.submit(at_work, run, case, seconds, pure=False, key=f"aerodesign-{case.path.name}-{time.time_ns()}")
    try:
        while not future.done():
            time.sleep(LOOK)
            if watch is not None:
                watch(look(case))
    except BaseException:
        future.cancel()
        (case.path / "stop").touch()  # the solver ends after its next iteration, with everything written
        raise
    try:
        ended: Ended = future.result()
    except AerodesignError:
        raise
    except Exception as cause:  # a worker that was lost, a connection that broke
        raise SolverFailed(
            f"{case.path}: its worker was lost ({type(cause).__name__}); the same command goes on from the latest state"
        ) from cause
    return ended


def at_work(run: Run, case: Any, seconds: float) -> Ended:
    """Run a case on the machine of a worker. Raises SolverFailed where it does not see the folder."""
    if not (case.path / MARK).is_file():
        raise SolverFailed(
            f"{case.path}: is not seen from {socket.gethostname()}; --out must name a folder that all machines share"
        )
    return run(case, seconds=seconds)
