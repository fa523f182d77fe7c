"""A design as drawings and exchange files in a folder of their own, all or nothing."""

import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np

from aerodesign.aero.design import Design, silent
from aerodesign.cad.exchange import make_exchange
from aerodesign.cad.export import Made
from aerodesign.cad.placing import moved_points
from aerodesign.cad.worker import SolidsWorker
from aerodesign.core.errors import AerodesignError
from aerodesign.drawing.development import development_view
from aerodesign.drawing.dxf import write_dxf
from aerodesign.drawing.front import front_view
from aerodesign.drawing.meridional import meridional_view
from aerodesign.drawing.svg import write_svg
from aerodesign.drawing.view import MM, PAPER_TEXT, View, fitted
from aerodesign.form import CasingForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.inspection import inspection_points
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.shaft import Pieces
from aerodesign.machine.materials import MATERIALS
from aerodesign.report.deliver import Delivered, collect, remarks, solids_worker, write_csv
from aerodesign.report.design_json import design_record, write_design
from aerodesign.report.folder import whole_folder
from aerodesign.whole import machine_check
from aerodesign.whole.shaft_layout import shaft_pieces

ROOM = 380.0, 270.0
"""Paper in mm that a view by itself may fill: A3 in landscape."""
FRAME = (
    "frame: that of the solids, millimetres; z is the axis of rotation, z = 0 the plane of the leading edge, the gas enters in +z; "
    "normals point out of the blade; station counts from the nose (0) to the trailing edge"
)


def deliver_drawings(
    design: Design,
    folder: str | Path,
    *,
    title: str,
    stamp: str,
    schema: str = "ap214",
    solids: bool = True,
    worker: SolidsWorker | None = None,
    progress: Callable[[str], None] = silent,
) -> Delivered:
    """Write the drawings and exchange files of a design. A crash or an interrupt leaves an earlier folder whole.

    Views as DXF and SVG, a sheet of the wheel as PDF, points for inspection as CSV; with ``solids`` each part as STEP and STL, the assembly
    as STEP (``schema`` ap214 or ap242) and GLB. What cannot be made is listed in ``missing``. ``worker`` as in
    :func:`~aerodesign.report.deliver.deliver`.
    """
    if solids and worker is None:
        with solids_worker() as fresh:
            return deliver_drawings(
                design, folder, title=title, stamp=stamp, schema=schema, worker=fresh, progress=progress
            )
    begun = time.monotonic()
    record = design_record(design, title=title, stamp=stamp)
    done = Delivered(folder=Path(folder), design=design, record=record)
    with whole_folder(done.folder) as work:
        if solids and worker:
            worker.start(
                design.blower, design.form, work, stamp, partial(make_exchange, schema=schema, shaft=_shaft(design))
            )
        write_design(work / "design.json", record)
        progress("views")
        for name, make in _views(design).items():
            _tried(done, name, partial(_write_view, make, work, stamp))
        _tried(done, "blade-points.csv", partial(_write_points, design, work / "blade-points.csv", stamp))
        made = collect(worker, done, progress) if solids and worker else None
        progress("sheet")
        _tried(done, "sheet.pdf", partial(_write_sheet, design, work / "sheet.pdf", title, stamp, made))
        done.remarks = remarks(made) if made else []
        done.files = sorted(str(path.relative_to(work)) for path in work.rglob("*") if path.is_file())
    done.seconds = time.monotonic() - begun
    return done


def _shaft(design: Design) -> tuple[Pieces, Pieces]:
    """The shaft that the check of the rotor was made with; nothing where there is none."""
    try:
        check = machine_check(design)
    except AerodesignError:
        return (), ()
    return shaft_pieces(check.shaft.parts, check.body)


def _tried(done: Delivered, name: str, make: Callable[[], None]) -> None:
    """Make one thing, or list why it could not be made."""
    try:
        make()
    except AerodesignError as cause:
        done.missing.append(f"{name}: {cause}")


def _views(design: Design) -> dict[str, Callable[[], View]]:
    """The views that are files of their own, by name, each in letters that are readable on A3."""
    blower = design.blower
    wheel, volute, diffuser = blower.impeller, blower.volute, blower.diffuser

    def sized(build: Callable[[float], View], least: float) -> View:
        return fitted(lambda height: [build(height)], ROOM, letters=PAPER_TEXT, least=MM * least)[1][0]

    return {
        "meridional": lambda: sized(
            partial(meridional_view, blower, Blading(wheel, design.form.blade), form=design.form.wheel),
            float(wheel.axial_length) + float(volute.size4) / 2,
        ),
        "front": lambda: sized(
            partial(
                front_view,
                Blading(wheel, design.form.blade),
                mirrored=design.form.casing.rotation == "clockwise",
            ),
            2 * float(wheel.r2),
        ),
        "volute-development": lambda: sized(
            partial(development_view, volute, diffuser), 2 * np.pi * float(diffuser.r3)
        ),
    }


def _write_view(make: Callable[[], View], work: Path, stamp: str) -> None:
    view = make()
    name = view.name.replace(" ", "-")
    write_svg(view, work / f"{name}.svg", stamp)
    write_dxf(view, work / f"{name}.dxf", stamp)


def _write_points(design: Design, path: Path, stamp: str) -> None:
    casing = design.form.casing
    rows = point_rows(Blading(design.blower.impeller, design.form.blade), casing)
    write_csv(path, rows, f"{stamp}; {FRAME}; the wheel turns {casing.rotation} seen from +z")


def point_rows(blading: Blading, casing: CasingForm) -> Iterator[tuple[str, ...]]:
    """Inspection points in mm, in the frame of the solids, as rows of a CSV file, the head first."""
    found = inspection_points(blading, blade_row(blading))
    found = found._replace(points=moved_points(found.points, casing), normals=moved_points(found.normals, casing))
    yield ("x", "y", "z", "nx", "ny", "nz", "blade", "side", "span", "station")
    for point, normal, blade, side, span, station in zip(*found, strict=True):
        numbers = [f"{c:.5f}" for c in MM * point] + [f"{c:.6f}" for c in normal]
        yield (*numbers, str(blade), str(side), f"{span:g}", str(station))


def _write_sheet(design: Design, path: Path, title: str, stamp: str, made: Made | None) -> None:
    from aerodesign.report.figures_sheet import save_pdf, sheet

    checks = made.checks.get("impeller") if made else None
    mass = checks.volume * MATERIALS[design.limits_asked.material].density if checks else None
    figure = sheet(design, Blading(design.blower.impeller, design.form.blade), title=title, stamp=stamp, mass=mass)
    save_pdf(figure, path, title=title, stamp=stamp)
