"""The rows of a test file: a line of column names with units, then a line per point, every cell a plain number."""

import csv
import re
from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.core.errors import UnitError
from aerodesign.core.fields import Field, WrongValueError, fields_of
from aerodesign.core.units import UNSPECIFIED, Parsed, Unit, unit_named
from aerodesign.rig.contents import Readings
from aerodesign.rig.problems import Problems
from aerodesign.rig.settings import check_reference, checked

POINT = "point"
_HEAD = re.compile(r"\s*([A-Za-z_0-9]+)\s*(?:\[\s*(.*?)\s*\])?\s*", re.DOTALL)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_TRAVERSE = re.compile(r"traverse_[0-9]{1,3}")
PLAIN = Unit("", "ratio", 1.0)


@dataclass(frozen=True)
class Column:
    """A column: its number from 1, its name as written, the reading that it holds and the unit."""

    number: int
    name: str
    setting: Field
    unit: Unit

    @property
    def where(self) -> str:
        """The column as messages name it."""
        return f"column {self.number} {self.name}" + (f" [{self.unit.name}]" if self.unit.name else "")


@dataclass
class Rows:
    """What the rows say: names of the points, values by column name (``traverse`` stacked), which are absolute."""

    points: list[str]
    lines: list[int]
    values: dict[str, Any]
    columns: dict[str, Column]
    absolute: set[str]


def read_rows(lines: list[str], first: int, problems: Problems) -> Rows:
    """Read the lines after the head; ``first`` is the number of the first of them in the file."""
    rows = Rows([], [], {}, {}, set())
    numbered = [(first + i, text) for i, text in enumerate(lines) if text.strip()]
    if not numbered:
        problems.add(first, "table", "is missing; write a line of columns as speed [rpm], then a line for each point")
        return rows
    head = _cells(*numbered[0], problems)
    columns = _columns(head, numbered[0][0], problems)
    if not numbered[1:]:
        problems.add(numbered[0][0], "table", "has no points; write a line for each below its columns")

    table: dict[str, list[float]] = {name: [] for name in columns}
    for line, text in numbered[1:]:
        if text.startswith("#"):
            problems.add(line, text[:40], "a setting or remark among the points; move it above the column names")
            continue
        cells = _cells(line, text, problems)
        if len(cells) != len(head):
            advice = "separate cells by commas and write decimal points"
            problems.add(line, "row", f"has {len(cells)} cells where the columns are {len(head)}; {advice}")
            continue
        rows.lines.append(line)
        names = [cell.strip() for cell, name in zip(cells, head, strict=True) if name.strip() == POINT]
        rows.points.append(names[0] if names and names[0] else str(len(rows.lines)))
        for name, column in columns.items():
            table[name].append(_number(cells[column.number - 1], column, line, problems))

    traversed = [name for name in columns if _TRAVERSE.fullmatch(name)]
    rows.values = {name: np.array(table[name]) for name in columns if name not in traversed}
    rows.columns = {name: column for name, column in columns.items() if name not in traversed}
    if traversed:
        rows.values["traverse"] = np.array([table[name] for name in traversed])
        rows.columns["traverse"] = columns[traversed[0]]
    rows.absolute = {name for name, column in rows.columns.items() if column.unit.reference == "absolute"}
    return rows


def _cells(line: int, text: str, problems: Problems) -> list[str]:
    try:
        return next(csv.reader([text], strict=True, skipinitialspace=True))
    except (csv.Error, StopIteration) as cause:
        problems.add(line, "row", f"cannot be split into cells: {cause}; close each quote and put commas between cells")
        return []


def _columns(head: list[str], line: int, problems: Problems) -> dict[str, Column]:
    known = fields_of(Readings)
    columns: dict[str, Column] = {}
    for number, cell in enumerate(head, start=1):
        match = _HEAD.fullmatch(cell)
        where = f"column {number}"
        if match is None:
            problems.add(
                line, where, 'must be a name with its unit as in "outlet_pressure [kPa(g)]"; separate by commas', cell
            )
            continue
        name, unit = match[1], match[2] or ""
        if name == POINT:
            continue
        reading = "traverse" if _TRAVERSE.fullmatch(name) else name
        if reading not in known or name == "traverse":
            problems.unknown(line, where, name, [POINT, *known, "traverse_1"], cell)
            continue
        if name in columns:
            problems.add(line, where, f"stands twice, first as column {columns[name].number}; keep one", cell)
            continue
        try:
            columns[name] = Column(number, name, known[reading], _unit(known[reading], unit))
        except WrongValueError as wrong:
            problems.add(line, where, str(wrong), cell)
    return columns


def _unit(setting: Field, name: str) -> Unit:
    quantity = setting.quantity
    if quantity is None:
        raise AssertionError(f"{setting.name} has no quantity")
    if not name and quantity.name == "ratio":
        return PLAIN
    try:
        unit = unit_named(name, quantity)
    except UnitError as cause:
        raise WrongValueError(
            str(cause) if name else f"needs its unit in brackets, as in {setting.name} [{quantity.unit}]"
        ) from cause
    if unit.quantity != quantity.name:
        raise WrongValueError(f"{unit.name} is a unit of {unit.quantity}; a {quantity.name} is asked")
    check_reference(setting, unit.reference, unit.name)
    return unit


def _number(cell: str, column: Column, line: int, problems: Problems) -> float:
    text = cell.strip()
    if not text:
        problems.add(
            line, column.where, "is empty; every point needs every reading, else take the row or the column out"
        )
        return float("nan")
    if not _NUMBER.fullmatch(text) or not abs(float(text)) < 1e30:
        problems.add(
            line, column.where, "must be a plain number with a decimal point; the unit stands in the head", cell
        )
        return float("nan")
    unit = column.unit
    value = Parsed(float(unit.to_si(float(text))), unit.quantity, unit.reference or UNSPECIFIED, unit.name)
    try:
        return checked(column.setting, value).value
    except WrongValueError as wrong:
        problems.add(line, column.where, str(wrong), cell)
        return float("nan")
