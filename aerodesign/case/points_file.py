"""Test points of a machine from CSV: flow, speed, pressure rise, power, efficiency, and their uncertainties.

::

    # basis = static
    # pressure_rise_uncertainty = 1 %
    flow [m3/h], speed [rpm], pressure_rise [kPa], power [kW], efficiency [%]
    1800, 14000, 20.4, 14.9, 71.5

A cell may be empty where nothing was read. Uncertainties are at 95 % (two standard deviations), in the unit of their
quantity or in per cent of the reading, of an efficiency in points; they stand in remarks for all points or in a column
``pressure_rise_uncertainty [Pa]`` point by point. Remarks of other words say nothing to the machine.
"""

import csv
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.testpoints import QUANTITIES, TestPoints, reading_scale
from aerodesign.case.fields import fields_of, read_value
from aerodesign.core.errors import CaseError
from aerodesign.core.fields import WrongValueError, parse_number
from aerodesign.core.texts import did_you_mean, file_text, nearest, one_line, shown_path, shown_value
from aerodesign.core.units import Parsed

COVERAGE = 2.0
"""Standard deviations in an uncertainty as test standards give it, at 95 %."""

MOST = 20
"""Problems told of one file; whoever has more has one cause for them."""

LIKE = 0.8
"""Likeness from which a word is a slip of one known here; less like ones are remarks and columns of the user's own."""

FIELDS = fields_of(TestPoints)
WORDS = {"basis": ("static", "total"), "power_at": ("gas", "shaft")}
"""Remarks with a meaning: what pressure rise and efficiency count to, and where the power was measured."""

_HEADING = re.compile(r"\s*([A-Za-z]\w*)\s*(?:\[([^\]]*)\])?\s*")
_REMARK = re.compile(r"#\s*([A-Za-z]\w*)\s*=\s*(.*?)\s*")


@dataclass(frozen=True)
class TestFile:
    """Test points as a file gives them. ``basis`` is empty where it does not say; ``power_at`` is "gas" or "shaft".

    ``unread`` names the columns that mean nothing here. ``speed`` in ``points`` is nan where the file has none.
    """

    points: TestPoints
    basis: str = ""
    power_at: str = "gas"
    unread: tuple[str, ...] = ()


def read_points(path: str | Path) -> TestFile:
    """Read test points from a CSV file. Raises CaseError, with one line for each problem."""
    return points_from_text(file_text(path, "a table of test points", "a short CSV text"), name=shown_path(path))


def points_from_text(text: str, name: str = "test") -> TestFile:
    """Read test points from CSV text; ``name`` stands before the line number in messages. Raises CaseError."""
    return _Reader(name).read(text)


@dataclass
class _Reader:
    """One pass over the lines: remarks, the heading, then rows; everything wrong is collected with its line."""

    name: str
    problems: list[str] = field(default_factory=list)
    remarks: dict[str, str] = field(default_factory=dict)
    spreads: dict[str, Parsed] = field(default_factory=dict)
    heading: list[tuple[str, str]] = field(default_factory=list)
    heading_line: int = 1
    unread: list[str] = field(default_factory=list)
    coverage: float = COVERAGE

    def read(self, text: str) -> TestFile:
        rows = []
        for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
            if line.lstrip().startswith("#"):
                self.remark(number, line)
            elif line.strip(" \t,"):
                cells = self.cells(number, line)
                if not self.heading:
                    self.head(number, cells)
                else:
                    rows.append(self.row(number, cells))
        if self.heading and not rows:
            self.wrong(self.heading_line, "no test points below the heading; give at least one")
        if not self.heading:
            self.wrong(1, "no heading; begin with a line as flow [m3/h], speed [rpm], pressure_rise [kPa]")
        self.stop()
        return TestFile(
            self.points(rows), self.remarks.get("basis", ""), self.remarks.get("power_at", "gas"), tuple(self.unread)
        )

    def wrong(self, line: int, message: str) -> None:
        self.problems.append(f"{self.name}:{line} {one_line(message, 400)}")

    def stop(self) -> None:
        if self.problems:
            more = len(self.problems) - MOST
            raise CaseError("\n".join(self.problems[:MOST]) + (f"\n{self.name}: and {more} more" if more > 0 else ""))

    def cells(self, number: int, line: str) -> list[str]:
        try:
            return [cell.strip() for cell in next(csv.reader([line], skipinitialspace=True, strict=True))]
        except (csv.Error, StopIteration) as cause:
            self.wrong(number, f"is no line of comma-separated values: {cause}")
            return []

    def remark(self, number: int, line: str) -> None:
        match = _REMARK.fullmatch(line.strip())
        if match is None:
            return
        key, value = match[1], match[2]
        known = [*WORDS, "coverage_factor", *(f"{name}_uncertainty" for name in ("flow", *QUANTITIES))]
        if key not in known:
            if near := nearest(key, known, most=1, likeness=LIKE):
                self.wrong(number, f"{key} = {shown_value(value)}: unknown key; {did_you_mean(near)}")
            return
        if key in WORDS:
            if value not in WORDS[key]:
                self.wrong(number, f"{key} = {shown_value(value)}: must be {' or '.join(WORDS[key])}")
            self.remarks[key] = value
        elif key == "coverage_factor":
            self.coverage = self.factor(number, key, value)
        else:
            self.spread(number, key, value)

    def factor(self, line: int, key: str, text: str) -> float:
        try:
            value = parse_number(text).value
        except WrongValueError as cause:
            self.wrong(line, f"{key} = {shown_value(text)}: {cause}")
            return COVERAGE
        if not 0.5 <= value <= 5:
            self.wrong(line, f"{key} = {shown_value(text)}: must lie between 0.5 and 5; 2 stands for 95 %")
            return COVERAGE
        return value

    def spread(self, line: int, key: str, text: str) -> None:
        try:
            self.spreads[key] = _spread(key, text)
        except WrongValueError as complaint:
            self.wrong(line, f"{key} = {shown_value(text)}: {complaint}")

    def head(self, number: int, cells: list[str]) -> None:
        self.heading_line = number
        for cell in cells:
            match = _HEADING.fullmatch(cell)
            column, unit = (match[1].lower(), (match[2] or "").strip()) if match else ("", "")
            if match is None:
                self.wrong(
                    number, f"{shown_value(cell)}: is no heading; write a name and its unit, as in pressure_rise [kPa]"
                )
            elif column not in FIELDS:
                if near := nearest(column, FIELDS, most=1, likeness=LIKE):
                    self.wrong(number, f"{shown_value(cell)}: unknown column; {did_you_mean(near)}")
                self.unread.append(column)
            elif column in [name for name, _ in self.heading]:
                self.wrong(number, f"{shown_value(cell)}: stands twice in the heading; keep one of the two")
            self.heading.append((column, unit))
        names = [name for name, _ in self.heading]
        if "flow" not in names:
            self.wrong(number, "no column flow; give it with its unit, as in flow [m3/h]")
        if not set(names) & set(QUANTITIES):
            self.wrong(number, f"nothing to compare; give at least one column of {', '.join(QUANTITIES)}")

    def row(self, number: int, cells: list[str]) -> dict[str, Any]:
        values: dict[str, Any] = {}
        if cells and len(cells) != len(self.heading):
            self.wrong(
                number,
                f"{len(cells)} cells below {len(self.heading)} headings; leave a cell empty where nothing was read",
            )
        for (column, unit), cell in zip(self.heading, cells, strict=False):
            if column == "flow" and not cell:
                self.wrong(number, "flow: is missing; a test point needs it")
            if column not in FIELDS or not cell:
                continue
            typed = f"{cell} {unit}" if unit else cell
            try:
                if column.endswith("_uncertainty"):
                    values[column] = _spread(column, typed)
                else:
                    values[column] = _reading(column, typed)
            except WrongValueError as complaint:
                self.wrong(number, f"{column} = {shown_value(cell)}: {complaint}")
        return values

    def points(self, rows: list[dict[str, Any]]) -> TestPoints:
        columns = {name: np.array([row.get(name, np.nan) for row in rows]) for name in ("flow", "speed", *QUANTITIES)}
        for name in ("flow", *QUANTITIES):
            key = f"{name}_uncertainty"
            stated = [row.get(key, self.spreads.get(key)) for row in rows]
            columns[key] = _deviations(name, columns[name], stated) / self.coverage
        return TestPoints(**columns)


def _reading(column: str, typed: str) -> float:
    value = read_value(FIELDS[column], typed)
    return float(value.value if isinstance(value, Parsed) else value)


def _spread(key: str, typed: str) -> Parsed:
    """An uncertainty: of the quantity, or (per cent) a part of the reading. Raises WrongValueError."""
    quantity = FIELDS[key].quantity
    assert quantity is not None, key
    parsed = parse_number(typed)
    if parsed.quantity not in (quantity.name, "ratio") or (not parsed.unit and quantity.name != "ratio"):
        raise WrongValueError(f"must be a {quantity.name} or a part of the reading in %")
    if not 0 < parsed.value < (0.5 if parsed.quantity == "ratio" else 1e30):
        raise WrongValueError("must be positive" + (" and less than 50 %" if parsed.quantity == "ratio" else ""))
    return parsed


def _deviations(name: str, values: NDArray[np.float64], stated: list[Parsed | None]) -> NDArray[np.float64]:
    """Stated uncertainties in SI units, nan where none is."""
    scale = np.ones(len(values)) if name == "efficiency" else reading_scale(values)
    parts = [
        np.nan if s is None else s.value * (one if s.quantity == "ratio" else 1.0)
        for s, one in zip(stated, scale, strict=True)
    ]
    return np.array(parts)
