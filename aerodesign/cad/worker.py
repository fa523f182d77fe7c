"""Solids in a process of their own: the kernel is slow to load, and should it crash it takes nothing else with it.

Started as ``python -m aerodesign.cad.worker`` it loads the kernel, then waits for one job on standard input and answers on
standard output, both pickled. :class:`SolidsWorker` is the other end.
"""

import contextlib
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from aerodesign.aero.impeller import Blower
from aerodesign.cad.export import Made, make_solids
from aerodesign.cad.kernel import load
from aerodesign.core.errors import AerodesignError, MissingLibrary
from aerodesign.form import Form

Job = Callable[[Blower, Form, Path, str], Made]
"""What makes solids of a flow path in a folder under a stamp."""


class SolidsWorker:
    """A process that makes the solids of one flow path. It begins to load the kernel when it is made; ``end`` it in any case."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", __name__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        self._job = b""

    def start(self, blower: Blower, form: Form, folder: Path, stamp: str, job: Job = make_solids) -> None:
        """Hand over the job; :meth:`result` waits for its end."""
        self._job = pickle.dumps((job, (blower, form, folder.absolute(), stamp)))
        # A worker that has died already is found out by result(); its pipe is closed all the same.
        pipe = self._process.stdin
        assert pipe is not None
        with _broken_pipes_raise():
            with contextlib.suppress(BrokenPipeError):
                pipe.write(self._job)
                pipe.flush()
            with contextlib.suppress(BrokenPipeError):
                pipe.close()
        self._process.stdin = None

    def result(self, timeout: float) -> Made:
        """What was made. Raises MissingLibrary, or AerodesignError where the process died or took longer than ``timeout`` seconds."""
        try:
            answer, _ = self._process.communicate(timeout=timeout)
        except subprocess.TimeoutExpired as cause:
            raise AerodesignError(f"given up after {timeout:.0f} s") from cause
        if self._process.returncode or not answer:
            raise AerodesignError(f"the CAD kernel's process ended with status {self._process.returncode}")
        made = pickle.loads(answer)
        if isinstance(made, Exception):
            raise made
        assert isinstance(made, Made)
        return made

    def end(self) -> None:
        """End the process, whatever it does; it holds nothing that must be saved."""
        self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with _broken_pipes_raise(), contextlib.suppress(BrokenPipeError):
                    pipe.close()
        self._process.wait()


@contextlib.contextmanager
def _broken_pipes_raise() -> Iterator[None]:
    """Here a broken pipe is an exception, as Python has it, also where another library has let its signal end the process."""
    if not hasattr(signal, "sigtimedwait"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGPIPE})
    try:
        yield
    finally:
        signal.sigtimedwait({signal.SIGPIPE}, 0)  # takes the signal that waits, if there is one
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def main() -> None:
    """The process itself."""
    # The interrupt of a terminal goes to all its processes; this one is ended by its parent.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    with contextlib.suppress(MissingLibrary):
        load("cadquery")
    try:
        job, given = pickle.load(sys.stdin.buffer)
    except EOFError:  # ended without a job
        return
    made: Made | Exception
    try:
        made = job(*given)
    except MissingLibrary as cause:
        made = cause
    except Exception as cause:  # whatever the kernel throws is told, not shown as a trace
        made = AerodesignError(f"the CAD kernel failed ({type(cause).__name__}: {cause})")
    with answers:
        pickle.dump(made, answers)


if __name__ == "__main__":
    main()
