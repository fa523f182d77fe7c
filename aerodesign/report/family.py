"""The command ``family`` but for its typing: a case and a range of flows to frames, with their table, picture and record."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.aero.family import DROP, OVERLAP, Family, family
from aerodesign.case import read_case
from aerodesign.core.errors import AerodesignError, UnitError
from aerodesign.core.plain import to_plain
from aerodesign.core.quantities import Length, Power, Ratio, Speed, VolumeFlow, quantities, quantity_of
from aerodesign.core.units import parse
from aerodesign.report.deliver import stamp, write_csv
from aerodesign.report.design_json import write_design
from aerodesign.report.display import Units
from aerodesign.report.figures_base import svg_text
from aerodesign.report.figures_family import family_figure
from aerodesign.report.folder import whole_folder
from aerodesign.report.simulate import machine_of

MARK = "family.json"
"""All numbers in SI; by this file a folder is known as a result that may be replaced."""

COLUMNS = (
    ("wheel", "diameter", Length),
    ("flow from", "least_flow", VolumeFlow),
    ("design", "design_flow", VolumeFlow),
    ("to", "most_flow", VolumeFlow),
    ("speed from", "least_speed", Speed),
    ("design", "speed", Speed),
    ("to", "most_speed", Speed),
    ("efficiency", "efficiency", Ratio),
    ("best", "best_efficiency", Ratio),
    ("shaft power", "shaft_power", Power),
    ("most", "most_power", Power),
)
"""Head, name in the record and quantity of each column of the table."""


@dataclass(frozen=True)
class FamilyWish:
    """What was asked on the command line."""

    case: Path
    flows: str
    drop: float = DROP
    overlap: float = OVERLAP
    units: str = "si"
    out: Path | None = None

    @property
    def folder(self) -> Path:
        """Where the files go."""
        return self.out or Path(f"{self.case.stem}-family")


@dataclass(frozen=True)
class FamilyTold:
    """What to tell: lines and plain data."""

    lines: list[str]
    record: dict[str, Any]


def family_case(wish: FamilyWish) -> FamilyTold:
    """Design or rate the machine of a case, scale it to a family, and write table, picture and record, whole or not at all."""
    least, most = flow_range(wish.flows)
    content = read_case(wish.case)
    design, mark = machine_of(content), stamp(content)
    found = family(design, least=least, most=most, drop=wish.drop, overlap=wish.overlap)
    units = Units(wish.units, design.duty.service, float(design.points.wanted[design.design_index]))
    record = family_record(found, title=content.title, stamp=mark)
    with whole_folder(wish.folder, MARK) as work:
        write_csv(work / "family.csv", family_rows(found, units), mark)
        picture = svg_text(family_figure(found, units), prefix="family")
        (work / "family.svg").write_text(f'<?xml version="1.0" encoding="utf-8"?>\n{picture}', encoding="utf-8")
        write_design(work / MARK, record)
        files = sorted(path.name for path in work.iterdir())
    lines = [*family_lines(found, design, units), "", f"written to {wish.folder}: {', '.join(files)}"]
    return FamilyTold(lines, record)


def flow_range(text: str) -> tuple[float, float]:
    """Two flows at the inlet flange with units, as "600 m3/h, 1 m3/s", in m3/s. Raises AerodesignError."""
    parts = text.split(",")
    if len(parts) != 2:
        raise AerodesignError(f'--flows "{text}": must be two flows, as "600 m3/h, 6000 m3/h"')
    try:
        least, most = (float(parse(part.strip(), quantity_of(VolumeFlow)).value) for part in parts)
    except UnitError as cause:
        raise AerodesignError(f'--flows "{text}": {cause}') from cause
    if not 0 < least < most:
        raise AerodesignError(f'--flows "{text}": must be above 0, the smaller one first')
    return least, most


def family_rows(found: Family, units: Units) -> list[list[str]]:
    """The table with its head: one row a frame, in the units asked."""
    head = [
        "frame",
        *(f"{name}, {units.label(_kind(hint))}" if units.label(_kind(hint)) else name for name, _, hint in COLUMNS),
    ]
    values = {name: value for name, value in found.frames.items()} | {"diameter": 2 * found.frames.r2}
    rows = [
        [str(number + 1), *(units.number(values[name][number], _kind(hint)) for _, name, hint in COLUMNS)]
        for number in range(len(found.frames.scale))
    ]
    return [head, *rows]


def family_lines(found: Family, design: Design, units: Units) -> list[str]:
    """The table for the terminal, and what it rests on."""
    rows = family_rows(found, units)
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    fast = np.flatnonzero(found.frames.too_fast) + 1
    lines = ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in rows]
    asked = "suction" if design.duty.service == "vacuum" else "pressure rise"
    lines += [
        "",
        f"{len(rows) - 1} similar frames hold {asked} {units.text(design.points.wanted[design.design_index], 'pressure rise')} from "
        f"{units.text(found.least, 'volume flow')} to {units.text(found.most, 'volume flow')} by their speed, each reaching "
        f"{100 * found.overlap:.0f} % into its neighbour, outside of every criterion of stall.",
        "Similar to the case's machine at one tip speed; roughness as given, clearance not below the case's. Shaft, bearings and stress of each",
        "frame are to be checked by a case of its own. Every number is a prediction along a mean streamline.",
    ]
    if fast.size:
        frames = ", ".join(map(str, fast))
        lines.append(f"note: frame {frames}: faster than a {design.drive.kind} usually turns; take another drive there")
    return lines


def family_record(found: Family, **told: str) -> dict[str, Any]:
    """All numbers in SI, as plain data."""
    units = {name: quantity.unit for name, quantity in quantities(type(found.frames)).items()}
    return told | {
        "least": found.least, "most": found.most, "overlap": float(found.overlap), "units": units, "frames": to_plain(found.frames),
    }  # fmt: skip


def _kind(hint: Any) -> str:
    quantity = quantity_of(hint)
    assert quantity is not None
    return "percent" if quantity.name == "ratio" else quantity.name
