"""What a run writes while it goes on: moments and flows every few iterations, residuals in its log."""

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

WINDOW = 50
"""Iterations over which a run must have become steady."""

BLOCKS = 5
"""Parts into which the end of a wavering run is divided, to learn how well its mean is known."""

_RESIDUAL = re.compile(r"Solving for (\w+), Initial residual = ([\d.eE+-]+)")
TAIL = 20000
"""Bytes of the log's end in which the last iterations are looked for."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Waver:
    """A value that never came to rest: its mean, the standard deviation about it, and the standard error of the mean.

    Both as parts of the mean; the error from the means of :data:`BLOCKS` blocks, as neighbouring iterations are not independent.
    """

    mean: float
    deviation: float
    error: float


@dataclass(frozen=True)
class History:
    """Iterations (n,), the moment on the wheel's walls about the axis, flows and the outlet's pressure, of one passage.

    ``torque`` is what the wheel gives to the gas of this passage; flows count positive out of the domain.
    """

    iteration: Array
    torque: Array
    inlet: Array
    outlet: Array
    pressure: Array

    @property
    def last(self) -> int:
        """The last iteration; 0 before the first entry."""
        return int(self.iteration[-1]) if self.iteration.size else 0

    def scatter(self, values: Array, *, scale: float | None = None) -> float:
        """Range of values over the last :data:`WINDOW` iterations, as a part of their mean or of ``scale``."""
        if self.last <= WINDOW:
            return float("inf")
        recent = values[self.iteration > self.last - WINDOW]
        base = abs(scale if scale is not None else float(recent.mean()))
        return float(np.ptp(recent)) / base if base > 0 else float("inf")

    def waver(self, values: Array, start: int) -> "Waver":
        """Mean of values after an iteration, how much they waver about it, and how well the mean is known."""
        recent = values[self.iteration > start]
        if recent.size < 2 * BLOCKS:
            return Waver(float(recent.mean()) if recent.size else float("nan"), float("inf"), float("inf"))
        mean = float(recent.mean())
        blocks = np.array([part.mean() for part in np.array_split(recent, BLOCKS)])
        return Waver(mean, float(recent.std() / abs(mean)), float(blocks.std(ddof=1) / np.sqrt(BLOCKS) / abs(mean)))

    @property
    def imbalance(self) -> float:
        """Flow in less flow out over flow out, at the last entry."""
        if not self.iteration.size or self.outlet[-1] == 0:
            return float("inf")
        return float(abs(self.inlet[-1] + self.outlet[-1]) / abs(self.outlet[-1]))


def read_history(case: Path) -> History:
    """The histories of a case so far, restarts joined; entries that are being written are left for later."""
    moment = series(case, "moment_wheel", "moment.dat")
    inlet = series(case, "flow_inlet", "surfaceFieldValue.dat")
    outlet = series(case, "flow_outlet", "surfaceFieldValue.dat")
    pressure = series(case, "pressure_outlet", "surfaceFieldValue.dat")
    known = sorted(set(moment) & set(inlet) & set(outlet) & set(pressure))
    return History(
        iteration=np.array(known, float),
        torque=np.array([-moment[n][2] for n in known]),
        inlet=np.array([inlet[n][0] for n in known]),
        outlet=np.array([outlet[n][0] for n in known]),
        pressure=np.array([pressure[n][0] for n in known]),
    )


def series(case: Path, name: str, file: str) -> dict[int, list[float]]:
    """Numbers by iteration of one of the solver's tables; a restart's replace those that it repeats."""
    found: dict[int, list[float]] = {}
    folder = case / "postProcessing" / name
    starts = [path for path in folder.glob("*") if path.name.isdigit()] if folder.is_dir() else []
    for start in sorted(starts, key=lambda path: int(path.name)):
        found = {n: row for n, row in found.items() if n <= int(start.name)}
        for line in _lines(start / file):
            cells = re.sub("[()]", " ", line).split()
            try:
                found[int(float(cells[0]))] = [float(cell) for cell in cells[1:]]
            except (ValueError, IndexError):
                continue
    return {n: row for n, row in found.items() if row and np.all(np.isfinite(row))}


def forget_beyond(case: Path, iteration: int) -> None:
    """Drop what the tables tell of iterations after the one from which a run goes on, which are lost.

    Left there, they would pass for its own until it writes; and beside a table of the same start the solver begins one of another
    name, which nobody reads.
    """
    for start in (case / "postProcessing").glob("*/*"):
        if not start.name.isdigit():
            continue
        if int(start.name) >= iteration:
            shutil.rmtree(start, ignore_errors=True)
            continue
        for table in start.glob("*.dat"):
            kept = [
                line
                for line in table.read_text(encoding="utf-8", errors="replace").splitlines(keepends=True)
                if _within(line, iteration)
            ]
            table.write_text("".join(kept), encoding="utf-8")


def _within(line: str, iteration: int) -> bool:
    """True for a remark, and for a whole line up to an iteration."""
    if line.startswith("#"):
        return True
    try:
        return float(line.split()[0]) <= iteration and line.endswith("\n")
    except (ValueError, IndexError):
        return False


def _lines(path: Path) -> list[str]:
    """Whole lines of a table, without remarks."""
    try:
        text = path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return []
    return [line for line in text[: text.rfind("\n") + 1].splitlines() if not line.startswith("#")]


def residuals(log: Path) -> dict[str, float]:
    """Initial residuals of the last iteration in a log, by field."""
    try:
        with log.open("rb") as file:
            file.seek(0, 2)
            file.seek(max(0, file.tell() - TAIL))
            text = file.read().decode("utf-8", errors="replace")
    except OSError:
        return {}
    return {name: float(value) for name, value in _RESIDUAL.findall(text)}


def residual_history(log: Path) -> dict[str, list[float]]:
    """Initial residuals of every iteration in a log, by field."""
    found: dict[str, list[float]] = {}
    try:
        text = log.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return found
    for name, value in _RESIDUAL.findall(text):
        found.setdefault(name, []).append(float(value))
    return found
