"""The command ``simulate`` for many cases: machines side by side on the cores given, a row a point, begun again where it was left."""

import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from aerodesign.case import read_case
from aerodesign.cfd.domain import has_clearance
from aerodesign.cfd.edition import edition
from aerodesign.cfd.settings import SOLVER
from aerodesign.cfd.simulate import parts_of, simulate
from aerodesign.cfd.solver import INSTALL, MissingSolver, solver_there
from aerodesign.core.errors import AerodesignError
from aerodesign.report.simulate import Wish, leave_page, machine_of, task_of
from aerodesign.report.simulated_table import (
    CLOSED,
    OPEN,
    REFUSED,
    VERDICTS,
    Row,
    add_to_table,
    read_table,
    row_without,
    table_rows,
)

CELLS = {"look": 30_000, "design": 90_000, "study": 210_000}
"""For the estimate: between two blades a third less, with splitters half as many again."""
ITERATIONS, PER_CELL = 350, 4e-6
"""For the estimate before anything ran: iterations a point, seconds of a core a cell and iteration. Measured: 3.5 to 4 microseconds."""
FINER = {"look": "design", "design": "study"}

Say = Callable[[str], None]


@dataclass(frozen=True)
class Many:
    """Cases to be simulated alike: parts of the design flow, a size of mesh, a table for the rows, a folder for the runs.

    ``clearance`` opens the gap over the tips of the wheels that have one. ``finer`` simulates points again on the
    next finer mesh where the torque came to rest but a balance failed: there the mesh is at fault.
    """

    cases: tuple[Path, ...]
    table: Path
    folder: Path
    flows: str = "1"
    size: str = "look"
    jobs: int = 1
    finer: bool = False
    clearance: bool = False


def simulate_many(many: Many, *, say: Say) -> Counter[str]:
    """Simulate what the table does not hold yet in this edition; returns how many points have each verdict.

    Every machine is written to the table as soon as it is done, so nothing but runs in progress is lost by a kill, and those go on
    from their latest state. A machine that fails keeps its reason in its rows. Raises AerodesignError where nothing can be begun.
    """
    if not solver_there():
        raise MissingSolver(f"{SOLVER} is not installed; {INSTALL}")
    known = _known(many)
    todo = [(case, parts) for case in many.cases if (parts := _missing(many, case, known))]
    left = sum(len(parts) for _, parts in todo)
    begun, done, lock = time.monotonic(), 0, threading.Lock()
    guess = left * CELLS[many.size] * ITERATIONS * PER_CELL / many.jobs
    say(
        f"{len(many.cases)} machines, {left} points to simulate (edition {edition()}), {many.jobs} side by side: "
        f"about {_duration(guess)} on idle cores"
    )

    def one(case: Path, parts: tuple[float, ...]) -> None:
        nonlocal done
        rows = _rows(many, case, parts)
        with lock:
            add_to_table(many.table, rows)
            leave_page(many.table)
            done += len(parts)
            rest = (time.monotonic() - begun) * (left - done) / done
            count = Counter(row["verdict"] for row in rows)
            told = ", ".join(f"{count[verdict]} {verdict}" for verdict in VERDICTS if count[verdict])
            say(f"{case.stem}: {told}; {done} of {left} points done, about {_duration(rest)} left")

    with ThreadPoolExecutor(many.jobs) as pool:
        for future in [pool.submit(one, case, parts) for case, parts in todo]:
            future.result()
    rows = read_table(many.table) if many.table.exists() else []
    names = {case.stem for case in many.cases}
    return Counter(row["verdict"] for row in rows if row["case"] in names)


def _known(many: Many) -> set[tuple[str, str, float]]:
    """Points that the table holds in this edition: with the clearance as asked, or of wheels that have none to simulate."""
    if not many.table.exists():
        return set()
    wanted = OPEN if many.clearance else CLOSED
    return {
        (row["case"], row["size"], float(row["part"]))
        for row in read_table(many.table)
        if row["edition"] == edition() and (row["clearance"] == wanted or row["clearance_over_b2"] == "0")
    }


def _missing(many: Many, case: Path, known: set[tuple[str, str, float]]) -> tuple[float, ...]:
    return tuple(part for part in parts_of(many.flows) if (case.stem, many.size, part) not in known)


def _rows(many: Many, case: Path, parts: tuple[float, ...]) -> list[Row]:
    """The rows of one machine, those on a finer mesh included; a machine that cannot be begun keeps the reason in its rows."""
    try:
        rows = _at(many, case, parts, many.size)
        again = tuple(float(row["part"]) for row in rows if _at_rest(row))
        if many.finer and again and many.size in FINER:
            rows += _at(many, case, again, FINER[many.size])
    except MissingSolver:
        raise
    except AerodesignError as problem:
        return [row_without(case.stem, many.size, part, str(problem), clearance=many.clearance) for part in parts]
    return rows


def _at(many: Many, case: Path, parts: tuple[float, ...], size: str) -> list[Row]:
    content = read_case(case)
    made = machine_of(content)
    gap = many.clearance and has_clearance(made.blower.impeller)
    folder = many.folder / edition() / f"{case.stem}-{size}{'-clearance' if gap else ''}"
    wish = Wish(case, out=folder, flows=many.flows, size=size, clearance=gap)
    return table_rows(simulate(replace(task_of(wish, content, made), parts=parts)), case.stem)


def _at_rest(row: Row) -> bool:
    """True for a point that was refused although its torque came to rest."""
    return row["verdict"] == REFUSED and not row["torque_deviation"]


def _duration(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60} min" if minutes >= 60 else f"{max(minutes, 1)} min"
