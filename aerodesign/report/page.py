"""The page: everything about a design in one HTML file that opens without a network and without scripts."""

import os
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

import aerodesign
from aerodesign.aero.design import Design
from aerodesign.geometry.fit import fit
from aerodesign.mesh.passage import Mesh
from aerodesign.milling.survey import Survey
from aerodesign.report import answer, control_tables, figures, page_tables, safety, tables
from aerodesign.report.chapters import running_chapters
from aerodesign.report.display import Units
from aerodesign.report.machine_chapter import FIGURES, machine_chapter
from aerodesign.report.milling_lines import milling_chapter
from aerodesign.report.picture import pictures
from aerodesign.whole import MachineCheck

CAPTIONS = {
    "triangles": "Velocity triangles at the design point, all to one scale. Meridional upwards, rotation to the right; dashed the blade's direction.",
    "cordier": "Specific speed and diameter, dimensionless. The grey bars tell roughly where machines of a kind lie: common practice, no source.",
    "map": "Performance map, inlet flow against {rise}, on the site's gas. The stall criteria disagree; trouble begins somewhere in the band.",
    "control": "Part flow: what the plant asks (above) and the shaft power that each kind of control takes (below). "
    "Pre-swirl vanes reach from -10° to 65°; what is left of the surplus there is throttled. Drives and inverters are not counted.",
    "sites": "The same machine at its design speed. Diamond: the design duty.",
    "meridional": "Meridional half section to scale, with leading edge, vaneless diffuser and the volute's last section.",
    "blade": "Blade angle and polar angle along the meridional length, and the area between hub and shroud.",
    "inside": "Relative velocity on both sides of the blades, and meridional velocity from hub to shroud, at the design point.",
    "losses": "Where the work goes, in the order of the flow.",
    "schedule": "The spiral unrolled from the tongue (0°) to its throat (360°).",
    "milling": "Left: the largest ball that touches the hub and fits between the blades; grey the cutters with the gap that they keep. "
    "Right: what ball may touch a point of a blade, in steps of the cutters on hand; close to the fillet only small ones do.",
    "plan": "Volute and wheel seen from the drive side, to scale.",
    "sound": "Sound power of the open inlet or outlet by octave bands, design point. Handbook rules for ventilation fans.",
    "fit": "The flow path over the place of the existing machine, along the shaft, the wheel turning counter-clockwise; thick bars are flanges.",
    **FIGURES,
}


def write_page(path: str | Path, text: str) -> None:
    """Write the text of a page; under its name only when complete."""
    target = Path(path)
    beside = target.with_name(f".{target.name}.part")
    beside.write_text(text, encoding="utf-8")
    os.replace(beside, target)


def page_text(
    *,
    design: Design,
    title: str,
    notes: str = "",
    solids: Mapping[str, Any] | None = None,
    mesh: Mesh | None = None,
    milling: Survey | None = None,
    drawings: Mapping[str, str] | None = None,
    machine: MachineCheck | None = None,
    units: str = "si",
    stamp: str = "",
    defaults: Sequence[tuple[str, str]] = (),
    idle: Sequence[str] = (),
    missing: Sequence[str] = (),
    remarks: Sequence[str] = (),
    version: str = aerodesign.__version__,
) -> str:
    """The page of a design as text.

    ``solids`` maps a name to points (n, 3) in metres and triangles (m, 3); ``mesh`` is the passage mesh, ``milling`` what the
    milling checks found, ``machine`` the check of wheel and shaft. ``drawings`` are those of
    :func:`~aerodesign.report.figures.all_drawings` where they are drawn already. ``units`` is "si" or "us". ``defaults`` are the
    choices that were left, with what then holds, ``idle`` the settings that have no effect,
    ``missing`` has a line for each thing that could not be made, ``stamp`` goes to the foot.
    """
    shown = units_of(design, units)
    content = {
        "title": title,
        "notes": notes,
        "answer": _answer(design, shown),
        "figures": _drawn(design, units, milling, machine, drawings),
        "pictures": {name: Markup(url) for name, url in pictures(solids or {}).items()},
        "tables": _tables(design, shown),
        "dimensions": page_tables.dimension_rows(design, shown),
        "losses": page_tables.loss_rows(design, shown),
        "limits": page_tables.limit_rows(design, shown),
        "sources": page_tables.source_rows(design),
        "control": _control(design, shown),
        "throat": page_tables.throat_line(design, shown),
        "chapters": [
            *([machine_chapter(machine, shown)] if machine is not None else []),
            *running_chapters(design, fit(design.blower, design.form.fit, design.form.casing), shown),
        ],
        "radial": page_tables.radial_line(design, shown),
        "milling": milling_chapter(milling, shown) if milling is not None else None,
        "mesh": page_tables.mesh_rows(mesh, shown) if mesh is not None else [],
        "energy_unit": shown.label("specific energy"),
        "defaults": list(defaults),
        "idle": list(idle),
        "missing": list(missing),
        "remarks": list(remarks),
        "cautions": safety.cautions(design, shown),
        "deference": safety.DEFERENCE,
        "version": version,
        "stamp": stamp,
    }
    return _template().render(content)


def units_of(design: Design, system: str) -> Units:
    """The units in which a page shows a design."""
    return figures.units_for(design, system)


def _answer(design: Design, units: Units) -> dict[str, Any]:
    return {
        "meets": design.meets_duty,
        "verdict": answer.verdict(design, units),
        "service": page_tables.service_line(design, units),
        "numbers": answer.key_numbers(design, units),
        "limits": answer.what_limits(design, units),
        "distrust": answer.distrust(design, units),
    }


def _tables(design: Design, units: Units) -> dict[str, dict[str, Any]]:
    """Tables of the design with heads and cells as text."""
    made = {
        "duty": page_tables.duty_table(design),
        "stations": tables.station_table(design),
        "schedule": tables.schedule_table(design, 13),
    }
    return {name: {"heads": table.heads(units), "rows": table.texts(units)} for name, table in made.items()}


def _control(design: Design, units: Units) -> dict[str, Any]:
    """Lines and tables of part flow and other sites."""
    return {
        "lines": [control_tables.plant_line(design, units), control_tables.peak_line(design, units)],
        "heads": control_tables.control_heads(design, units),
        "rows": control_tables.control_rows(design, units),
        "site_heads": control_tables.site_heads(design, units),
        "site_rows": control_tables.site_rows(design, units),
    }


def _drawn(
    design: Design,
    units: str,
    milling: Survey | None,
    machine: MachineCheck | None,
    ready: Mapping[str, str] | None,
) -> dict[str, dict[str, Any]]:
    """Figures as SVG elements with captions. The text of a figure is ours or numbers: nothing of the user's is in it."""
    rise = tables.rise_word(design)
    return {
        name: {"svg": Markup(svg), "caption": CAPTIONS[name].format(rise=rise)}
        for name, svg in (ready if ready is not None else figures.all_drawings(design, units, milling, machine)).items()
    }


@cache
def _template() -> Template:
    source = resources.files("aerodesign.report").joinpath("page.html").read_text(encoding="utf-8")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return environment.from_string(source)
