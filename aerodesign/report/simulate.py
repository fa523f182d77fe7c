"""The command ``simulate``: a case file to simulated points in a folder, with their answers beside the meanline's."""

import json
import os
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import Any

from aerodesign.aero.design import Design
from aerodesign.case import Case, read_case
from aerodesign.case.run import design_case, rate_case
from aerodesign.cfd.settings import SOLVER
from aerodesign.cfd.simulate import Progress, Simulation, Task, parts_of, simulate
from aerodesign.cfd.solver import INSTALL, MissingSolver, solver_there
from aerodesign.core.errors import AerodesignError
from aerodesign.report.deliver import stamp
from aerodesign.report.figures_base import svg_text
from aerodesign.report.figures_simulated import simulated
from aerodesign.report.safety import DEFERENCE
from aerodesign.report.simulated import points_text, simulation_lines, simulation_record
from aerodesign.report.simulated_page import page_of_table
from aerodesign.report.simulated_table import add_to_table, table_rows

STYLE = """body { max-width: 1080px; margin: 2rem auto; font: 16px/1.5 sans-serif; color: #1d2329 }
pre { font-size: 13px } svg { width: 100%; height: auto }"""


@dataclass(frozen=True)
class Wish:
    """What was asked on the command line."""

    case: Path
    out: Path | None = None
    flows: str = "1"
    size: str = "look"
    jobs: int = 1
    write_only: bool = False
    table: Path | None = None
    first_cell: str = ""
    clearance: bool = False
    scheduler: str = ""
    swirl: str = "meanline"

    @property
    def folder(self) -> Path:
        """Where cases and answers go."""
        return self.out or Path(f"{self.case.stem}-simulation")


@dataclass(frozen=True)
class Told:
    """What to tell: lines, plain data, and whether every point was accepted (or only written, as asked)."""

    lines: list[str]
    record: dict[str, Any]
    good: bool


def simulate_case(wish: Wish, *, progress: Progress | None = None) -> Told:
    """Design or rate the machine of a case, simulate it, and leave answers in the folder.

    Raises AerodesignError where nothing could be begun. A missing solver is such an error, but only after the cases are written.
    """
    if wish.table is not None and wish.first_cell:
        raise AerodesignError(f"{wish.table}: holds machines that are meshed alike; leave out --table, or --first-cell")
    if wish.table is not None and wish.write_only:
        raise AerodesignError(
            f"{wish.table}: gets no rows from cases that are not run; leave out --table, or --write-only"
        )
    content = read_case(wish.case)
    task = task_of(wish, content, machine_of(content))
    if not wish.write_only and not solver_there():
        simulate(replace(task, write_only=True))
        raise MissingSolver(
            f"{SOLVER} is not installed; {INSTALL}; the cases are written to {wish.folder}: the same command will run them"
        )
    done = simulate(task, progress=progress)
    mark = stamp(content)
    record = simulation_record(done, title=content.title, stamp=mark)
    files = _leave(wish.folder, done, record, mark) if not wish.write_only else []
    if wish.table is not None:
        add_to_table(wish.table, table_rows(done, wish.case.stem))
        leave_page(wish.table)
    lines = [*simulation_lines(done), "", f"written to {wish.folder}" + (f": {', '.join(files)}" if files else "")]
    return Told(lines, record, wish.write_only or all(point.accepted for point in done.points))


def leave_page(table: Path) -> None:
    """Write the page of a table beside it."""
    put_text(table.with_suffix(".md"), page_of_table(table))


def machine_of(content: Case) -> Design:
    """The machine that a case describes, or that is sized for its duty."""
    return rate_case(content).design if content.given is not None else design_case(content)


def task_of(wish: Wish, content: Case, made: Design) -> Task:
    """What the solver is to do for a wish."""
    return Task(
        blower=made.blower,
        site=made.site,
        service=made.duty.service,
        basis=made.duty.basis,
        models=made.models,
        flow=float(made.flow),
        speed=float(made.speed),
        parts=parts_of(wish.flows),
        size=wish.size,
        folder=wish.folder.absolute() if wish.scheduler else wish.folder,
        form=made.form.blade,
        stamp=stamp(content),
        jobs=wish.jobs,
        scheduler=wish.scheduler,
        write_only=wish.write_only,
        first_cell=wish.first_cell,
        clearance=wish.clearance,
    )


def _leave(folder: Path, done: Simulation, record: dict[str, Any], mark: str) -> list[str]:
    """Write the answers beside the cases, each under its name only when complete; returns the names."""
    texts = {
        "simulation.json": json.dumps(record, indent=1, allow_nan=False) + "\n",
        "points.csv": points_text(done, mark),
    }
    kept = {name: text for name, text in texts.items() if text}
    drawings = {
        point.case.name: svg_text(simulated(point), prefix=point.case.name.replace(".", "-"))
        for point in done.points
        if point.solved is not None
    }
    kept |= {f"{name}.svg": f'<?xml version="1.0" encoding="utf-8"?>\n{svg}' for name, svg in drawings.items()}
    kept["simulation.html"] = page_of(record["title"], simulation_lines(done), drawings, mark)
    for name, text in kept.items():
        put_text(folder / name, text)
    return list(kept)


def page_of(title: str, lines: list[str], drawings: dict[str, str], mark: str) -> str:
    """The answers as a page that opens without a network: the lines, then a picture for each point."""
    pictures = "".join(f"<h2>{escape(name)}</h2>\n{svg}\n" for name, svg in drawings.items())
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}: simulated</title>\n<style>{STYLE}</style></head>\n'
        f"<body><h1>{escape(title)}: simulated beside predicted</h1>\n<pre>{escape(chr(10).join(lines))}</pre>\n{pictures}"
        f"<p>{escape(DEFERENCE)}</p>\n<footer>{escape(mark)}</footer></body></html>\n"
    )


def put_text(path: Path, text: str) -> None:
    """Write a file under its name only when it is whole. Raises AerodesignError; an earlier one is kept then."""
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, path)
    except OSError as cause:
        beside.unlink(missing_ok=True)
        raise AerodesignError(
            f"{path}: cannot be written: {cause.strerror}; the runs are safe in their folders"
        ) from cause
