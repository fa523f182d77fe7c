"""The command ``simulate --volute``: a case file to simulated points of its volute, with their answers beside the meanline's."""

import json
from dataclasses import replace
from typing import Any

from aerodesign.case import read_case
from aerodesign.cfd.answer import Answer
from aerodesign.cfd.settings import SOLVER
from aerodesign.cfd.simulate import Progress, Task, simulate
from aerodesign.cfd.solver import INSTALL, MissingSolver, solver_there
from aerodesign.cfd.volute_simulate import VoluteSimulation, simulate_volute
from aerodesign.core.errors import AerodesignError
from aerodesign.report.deliver import stamp
from aerodesign.report.figures_base import svg_text
from aerodesign.report.figures_volute_flow import volute_flow
from aerodesign.report.simulate import Told, Wish, machine_of, page_of, put_text, task_of
from aerodesign.report.simulated_table import add_to_table
from aerodesign.report.volute_page import page_of_volutes
from aerodesign.report.volute_simulated import VOLUTE_HEADS, volute_lines, volute_record, volute_rows


def simulate_volute_case(wish: Wish, *, progress: Progress | None = None) -> Told:
    """Design or rate the machine of a case, simulate its volute, and leave answers in the folder.

    Raises AerodesignError where nothing could be begun. A missing solver is such an error, but only after the cases are written.
    """
    content = read_case(wish.case)
    made = machine_of(content)
    task = task_of(wish, content, made)
    if not wish.write_only and not solver_there():
        simulate_volute(replace(task, write_only=True), made.form)
        raise MissingSolver(
            f"{SOLVER} is not installed; {INSTALL}; the cases are written to {wish.folder}: the same command will run them"
        )
    swirl = passages(task, progress) if wish.swirl == "simulated" else {}
    done = simulate_volute(task, made.form, swirl=swirl, progress=progress)
    mark = stamp(content)
    record = volute_record(done, title=content.title, stamp=mark)
    lines = _with_swirl(volute_lines(done), swirl)
    files = _leave(wish, done, record, lines, mark) if not wish.write_only else []
    if wish.table is not None:
        add_to_table(wish.table, volute_rows(done, wish.case.stem), VOLUTE_HEADS)
        put_text(wish.table.with_suffix(".md"), page_of_volutes(wish.table))
    lines += ["", f"written to {wish.folder}" + (f": {', '.join(files)}" if files else "")]
    return Told(lines, record, wish.write_only or all(point.accepted for point in done.points))


def passages(task: Task, progress: Progress | None) -> dict[float, Answer]:
    """Answers of the passages, simulated where that is not done yet. Raises AerodesignError where one is not to be believed."""
    if task.write_only:
        raise AerodesignError(
            "--swirl simulated needs runs of the passage, --write-only forbids them; take --swirl meanline"
        )
    done = simulate(task, progress=progress)
    without = [f"{point.part:g}" for point in done.points if not point.accepted]
    if without:
        raise AerodesignError(
            f"{task.folder}: no answer to be believed of the passage at flow {', '.join(without)} of design, whose swirl is asked; "
            "take --swirl meanline, or another size"
        )
    return {point.part: point.judged.answer for point in done.points if point.judged is not None}


def _with_swirl(lines: list[str], swirl: dict[float, Answer]) -> list[str]:
    if not swirl:
        return lines
    words = ", ".join(f"{float(answer.cu2):.4g} m/s at flow {part:g}" for part, answer in swirl.items())
    return [
        *lines,
        f"swirl behind the wheel is that of the simulated passage: {words}; the meanline's column has its own",
    ]


def _leave(wish: Wish, done: VoluteSimulation, record: dict[str, Any], lines: list[str], mark: str) -> list[str]:
    """Write the answers beside the cases, each under its name only when complete; returns the names."""
    drawings = {
        point.case.name: svg_text(volute_flow(point), prefix=point.case.name.replace(".", "-"))
        for point in done.points
        if point.solved is not None
    }
    kept = {"volute.json": json.dumps(record, indent=1, allow_nan=False) + "\n"}
    kept |= {f"{name}.svg": f'<?xml version="1.0" encoding="utf-8"?>\n{svg}' for name, svg in drawings.items()}
    kept["volute.html"] = page_of(f"{record['title']}: volute", lines, drawings, mark)
    for name, text in kept.items():
        put_text(wish.folder / name, text)
    return list(kept)
