"""Tables of a design: rows of SI values with the kind of each column, for the page, for CSV files and for figures."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.aero.spiral import schedule
from aerodesign.report.display import KINDS, Units
from aerodesign.report.states import states


class Column(NamedTuple):
    """A column: its head and the kind of its numbers; None for words."""

    head: str
    kind: str | None = None


@dataclass(frozen=True)
class Table:
    """Rows of SI values under columns."""

    columns: tuple[Column, ...]
    rows: list[list[Any]]

    def plain(self) -> list[list[Any]]:
        """Heads that name the SI unit (``flow [m3/s]``), then the rows, numbers to nine digits: what a CSV file holds."""
        rows = [[f"{cell:.9g}" if isinstance(cell, float) else cell for cell in row] for row in self.rows]
        return [[_si_head(column) for column in self.columns], *rows]

    def heads(self, units: Units) -> list[str]:
        """Heads with the units in print."""
        return [c.head + (f", {units.label(c.kind)}" if c.kind and units.label(c.kind) else "") for c in self.columns]

    def texts(self, units: Units) -> list[list[str]]:
        """All cells as text in the units."""
        return [
            [units.number(cell, c.kind) if c.kind else str(cell) for c, cell in zip(self.columns, row, strict=True)]
            for row in self.rows
        ]


def map_table(design: Design) -> Table:
    """The performance map, a row per point, speed line after speed line from low flow to high."""
    chart, stage = design.map, design.map.operation.stage
    shape = np.shape(chart.operation.flow)
    low, high = (np.asarray(x)[:, None] for x in chart.stall_band)
    flow = chart.operation.flow
    ends = np.array([line_end(design, i) for i in range(shape[0])])[:, None]
    columns = {
        Column("speed", "speed"): chart.speed,
        Column("flow", "volume flow"): flow,
        Column("mass flow", "mass flow"): stage.mass_flow,
        Column(rise_word(design), "pressure rise"): chart.operation.pressure_rise,
        Column("shaft power", "power"): shaft_power(design),
        Column("efficiency", "ratio"): efficiency(design),
        Column("discharge temperature", "temperature"): stage.T5,
        Column("choke margin", "ratio"): stage.choke_margin,
        Column("solved"): np.where(stage.solved, "yes", "no"),
        Column("stall"): np.where(flow < low, "beyond all criteria", np.where(flow < high, "in the band", "clear")),
        Column("line ends at"): ends,
    }
    grid = np.broadcast_arrays(*(np.broadcast_to(values, shape) for values in columns.values()))
    return Table(tuple(columns), _rows(array.ravel() for array in grid))


def schedule_table(design: Design, stations: int = 25) -> Table:
    """The spiral's sections at equal angles from the tongue (0) to the throat (360 degrees)."""
    spiral = schedule(design.blower.volute, design.blower.diffuser, np.linspace(0, 2 * np.pi, stations))
    columns = {
        Column("angle from the tongue", "angle"): spiral.theta,
        Column("area", "area"): spiral.area,
        Column("area over centroid radius", "length"): spiral.area / spiral.centroid_radius,
        Column("integral of dA/r", "length"): spiral.angular_integral,
        Column("outer radius", "length"): spiral.outer_radius,
        Column("height", "length"): spiral.size,
        Column("centroid radius", "length"): spiral.centroid_radius,
    }
    return Table(tuple(columns), _rows(columns.values()))


def station_table(design: Design) -> Table:
    """States along the flow at the design point, inlet flange (0) to discharge flange (5)."""
    found = states(design.stage)
    columns = {
        Column("station"): [state.name for state in found],
        Column("static pressure", "pressure"): [state.p for state in found],
        Column("total pressure", "pressure"): [state.pt for state in found],
        Column("static temperature", "temperature"): [state.T for state in found],
        Column("total temperature", "temperature"): [state.Tt for state in found],
        Column("velocity c", "velocity"): [state.c for state in found],
        Column("angle α", "angle"): [state.alpha for state in found],
        Column("relative velocity w", "velocity"): [state.w for state in found],
        Column("Mach number of c", "ratio"): [state.mach for state in found],
        Column("Mach number of w", "ratio"): [state.mach_relative for state in found],
    }
    return Table(tuple(columns), _rows(columns.values()))


def map_rows(design: Design) -> list[list[Any]]:
    """:func:`map_table` as plain rows in SI units."""
    return map_table(design).plain()


def schedule_rows(design: Design) -> list[list[Any]]:
    """:func:`schedule_table` as plain rows in SI units, every five degrees."""
    return schedule_table(design, 73).plain()


def station_rows(design: Design) -> list[list[Any]]:
    """:func:`station_table` as plain rows in SI units."""
    return station_table(design).plain()


def rise_word(design: Design) -> str:
    """What the duty's pressure is called."""
    return "suction" if design.duty.service == "vacuum" else "pressure rise"


def shaft_power(design: Design) -> Any:
    """Shaft power over the map, bearings counted as in the duty points."""
    return design.map.operation.stage.power / design.choices.mechanical_efficiency


def efficiency(design: Design) -> Any:
    """Isentropic efficiency over the map, on the duty's basis."""
    stage = design.map.operation.stage
    return stage.efficiency_static if design.duty.basis == "static" else stage.efficiency_total


def line_end(design: Design, line: int) -> str:
    """What ends a speed line at high flow. A line that stops well above no pressure without a choke was not solved beyond."""
    rise = design.map.operation.pressure_rise[line]
    word = design.map.limit[line]
    return "no solution beyond" if word == "free delivery" and rise[-1] > 0.03 * np.max(rise) else word


def _rows(columns: Iterable[Any]) -> list[list[Any]]:
    return [
        [cell.item() if isinstance(cell, np.generic) else cell for cell in row] for row in zip(*columns, strict=True)
    ]


def _si_head(column: Column) -> str:
    name = {"pressure rise": "pressure", "percent": "ratio"}.get(column.kind or "", column.kind)
    unit = KINDS[name].unit if name else ""
    return f"{column.head} [{unit}]" if unit else column.head
