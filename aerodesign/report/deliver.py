"""A design to its folder: record, tables, figures, mesh, solids and the page, all or nothing."""

import csv
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import aerodesign
from aerodesign.aero.design import Design, silent
from aerodesign.cad.export import Made
from aerodesign.cad.worker import SolidsWorker
from aerodesign.case import Case
from aerodesign.case.idle import without_effect
from aerodesign.core.errors import AerodesignError
from aerodesign.core.flags import Flag
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.wheel_flow import wheel_flow
from aerodesign.report.default_values import default_rows
from aerodesign.report.design_json import design_record, write_design
from aerodesign.report.folder import whole_folder
from aerodesign.whole import MachineCheck, machine_check

SOLIDS_TIME = 180.0
"""Seconds after which the making of the solids is given up."""


@dataclass
class Delivered:
    """What went into a folder: the design with all its flags, what could not be made and what is to be known of the solids, a line for each."""

    folder: Path
    design: Design
    record: dict[str, Any]
    machine: MachineCheck | None = None
    files: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    seconds: float = 0.0


def inside_flags(design: Design) -> list[Flag]:
    """What the flow inside the wheel warns of; nothing for a wheel whose blades cannot be drawn."""
    try:
        return wheel_flow(design.stage, Blading(design.blower.impeller, design.form.blade)).flags
    except AerodesignError:
        return []


def checked(design: Design, case: Case | None = None) -> tuple[MachineCheck | None, list[str]]:
    """The check of wheel, shaft and bearings, or the line that says why there is none; with the ``case``, where its fault stands."""
    try:
        return machine_check(design), []
    except AerodesignError as cause:
        return None, [f"wheel, shaft and bearings: {case.located(str(cause)) if case else cause}"]


def stamp(case: Case) -> str:
    """Version and hash of the input, for every file: the same input and version give the same stamp."""
    return f"aerodesign {aerodesign.__version__}, input {case.digest[:12] or 'none'}"


@contextmanager
def solids_worker() -> Iterator[SolidsWorker]:
    """A process for the solids, which begins to load the CAD kernel at once; ended with the block."""
    worker = SolidsWorker()
    try:
        yield worker
    finally:
        worker.end()


def deliver(
    design: Design,
    case: Case,
    folder: str | Path,
    *,
    units: str = "si",
    solids: bool = True,
    mesh: bool = True,
    worker: SolidsWorker | None = None,
    progress: Callable[[str], None] = silent,
) -> Delivered:
    """Write a design's folder. A crash or an interrupt leaves an earlier result whole.

    The solids are made in a process of their own, beside the rest: the kernel is slow to load, and should it crash, everything
    else is still delivered. What cannot be made is listed in ``missing`` and on the page. ``worker`` is a :func:`solids_worker` that
    has been loading the kernel meanwhile.
    """
    if solids and worker is None:
        with solids_worker() as fresh:
            return deliver(design, case, folder, units=units, mesh=mesh, worker=fresh, progress=progress)
    begun = time.monotonic()
    progress("wheel, shaft and bearings")
    machine, missing = checked(design, case)
    design = replace(design, flags=[*design.flags, *inside_flags(design), *(machine.flags if machine else [])])
    target, mark = Path(folder), stamp(case)
    record = design_record(design, title=case.title, stamp=mark, machine=machine)
    done = Delivered(folder=target, design=design, record=record, machine=machine, missing=missing)
    with whole_folder(target) as work:
        if solids and worker:
            worker.start(design.blower, design.form, work, mark)
        write_design(work / "design.json", record)
        made_mesh = _mesh(design, work, mark, done, progress) if mesh else None
        _tables(design, work, mark, progress)
        milled = _milling(design, work, mark, done, progress)
        drawings = _figures(design, milled, machine, work, mark, units, progress)
        _data_sheet(design, case.title, work, mark, units, progress)
        made = collect(worker, done, progress) if solids and worker else None
        _page(
            design, case, work, mark, units=units, made=made, mesh=made_mesh, milled=milled, drawings=drawings, done=done, progress=progress
        )  # fmt: skip
        done.files = sorted(str(path.relative_to(work)) for path in work.rglob("*") if path.is_file())
    done.seconds = time.monotonic() - begun
    return done


def _mesh(design: Design, work: Path, mark: str, done: Delivered, progress: Callable[[str], None]) -> Any:
    from aerodesign.mesh.io import write_vtu
    from aerodesign.mesh.passage import passage_mesh

    progress("passage mesh")
    try:
        mesh = passage_mesh(design.blower.impeller, design.blower.diffuser, "look", form=design.form.blade)
        write_vtu(mesh, work / "passage.vtu", stamp=mark)
    except AerodesignError as cause:
        done.missing.append(f"passage mesh: {cause}")
        return None
    return mesh


def _tables(design: Design, work: Path, mark: str, progress: Callable[[str], None]) -> None:
    from aerodesign.report import tables

    progress("tables")
    write_csv(work / "map.csv", tables.map_rows(design), mark)
    write_csv(work / "volute.csv", tables.schedule_rows(design), mark)


def write_csv(path: Path, rows: Iterable[Sequence[Any]], mark: str) -> None:
    """Rows as CSV under a comment line with the stamp; the first row holds the names."""
    with path.open("w", newline="", encoding="utf-8") as file:
        file.write(f"# {mark}\n")
        csv.writer(file, lineterminator="\n").writerows(rows)


def _milling(design: Design, work: Path, mark: str, done: Delivered, progress: Callable[[str], None]) -> Any:
    """The milling checks with their record; None, with a line on the page, for a wheel whose blades cannot be drawn."""
    from aerodesign.milling.survey import survey_of
    from aerodesign.report.milling_lines import milling_record

    progress("milling checks")
    try:
        survey = survey_of(design.blower.impeller, design.form.shop, design.form.blade, design.form.wheel)
    except AerodesignError as cause:
        done.missing.append(f"milling checks: {cause}")
        return None
    write_design(work / "milling.json", milling_record(survey, stamp=mark))
    return survey


def _figures(
    design: Design,
    milled: Any,
    machine: MachineCheck | None,
    work: Path,
    mark: str,
    units: str,
    progress: Callable[[str], None],
) -> Any:
    from aerodesign.report import figures

    progress("figures")
    (work / "figures").mkdir()
    drawings = figures.all_drawings(design, units, milled, machine)
    for name, svg in drawings.items():
        figures.save_drawing(svg, work / "figures" / f"{name}.svg", stamp=mark)
    return drawings


def _data_sheet(design: Design, title: str, work: Path, mark: str, units: str, progress: Callable[[str], None]) -> None:
    from aerodesign.report.figures import units_for
    from aerodesign.report.figures_datasheet import data_sheet, save_data_sheet

    progress("data sheet")
    figure = data_sheet(design, units_for(design, units), title=title, stamp=mark)
    save_data_sheet(figure, work / "datasheet.pdf", title=title, stamp=mark)


def collect(worker: SolidsWorker, done: Delivered, progress: Callable[[str], None]) -> Made | None:
    """What the solids' process made, waited for; what it could not make is listed."""
    progress("solids")
    try:
        made = worker.result(SOLIDS_TIME)
    except AerodesignError as cause:
        done.missing.append(f"solids: {cause}")
        return None
    done.missing += made.missing
    return made


def remarks(made: Made) -> list[str]:
    """What the page says below the pictures: the gate's numbers, and what had to give way in the solids."""
    lines = [
        f"{name}.step: one valid closed solid of {1e6 * checks.volume:.0f} cm3, largest tolerance {1e6 * checks.tolerance:.2g} um, read back alike."
        for name, checks in made.checks.items()
    ]
    return lines + [f"{name}: {flag.message}; {flag.advice}." for name, flags in made.flags.items() for flag in flags]


def _page(
    design: Design,
    case: Case,
    work: Path,
    mark: str,
    *,
    units: str,
    made: Made | None,
    mesh: Any,
    milled: Any,
    drawings: Any,
    done: Delivered,
    progress: Callable[[str], None],
) -> None:
    from aerodesign.report.page import page_text, units_of, write_page

    progress("page")
    text = page_text(
        design=design,
        title=case.title,
        notes=case.notes,
        solids=made.pictures if made else None,
        mesh=mesh,
        milling=milled,
        drawings=drawings,
        machine=done.machine,
        units=units,
        stamp=mark,
        defaults=default_rows(case, units_of(design, units), rated=design.sized is None),
        idle=without_effect(case, rated=design.sized is None),
        missing=done.missing,
        remarks=remarks(made) if made else [],
    )
    write_page(work / "report.html", text)
