"""A drawing sheet of the wheel, A3 in landscape: section, view from the inlet, table of the blade, tolerances, notes, title block."""

import os
import textwrap
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.figure import Figure

from aerodesign.aero.design import Design
from aerodesign.drawing.front import front_view
from aerodesign.drawing.meridional import meridional_view
from aerodesign.drawing.svg import INK as INKS
from aerodesign.drawing.view import LAYERS, View, fitted, hatched, marked, scale_text
from aerodesign.geometry.blade import Blading
from aerodesign.report.figures_base import INK, STYLE, styled
from aerodesign.report.sheet_words import GENERAL, blade_rows, notes, title_rows

WIDTH, HEIGHT = 420.0, 297.0
"""A3 (ISO 216), mm."""
LEFT, RIGHT, BOTTOM, TOP = 20.0, 410.0, 10.0, 287.0
"""Frame of the sheet (ISO 5457, from memory)."""
VIEWS = (25.0, 258.0, 118.0, 283.0)
"""Room of the views: left, right, bottom, top."""
GAP = 8.0
LETTERS = 2.2
BLADE = "camber line (z along the gas, θ with the rotation) and thickness t normal to it; mm and degrees"
POINT = 25.4 / 72
CAPITAL = 0.73
"""Height of a capital letter over the size of the font."""


@styled
def sheet(design: Design, blading: Blading, *, title: str, stamp: str, mass: float | None = None) -> Figure:
    """The sheet. ``mass`` in kg is that of the wheel's solid. Raises :class:`RejectedSolid` for a wheel that cannot be drawn."""
    figure = Figure(figsize=(WIDTH / 25.4, HEIGHT / 25.4))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, WIDTH)
    axes.set_ylim(0, HEIGHT)
    _line(axes, [(LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP), (LEFT, TOP), (LEFT, BOTTOM)], 0.7)

    scale, views = _views(design, blading)
    x = VIEWS[0]
    for view in views:
        size = np.ptp(view.box, axis=0) / scale
        middle = (VIEWS[2] + VIEWS[3]) / 2
        axis_at = np.clip(middle, VIEWS[2] - view.box[0, 1] / scale, VIEWS[3] - view.box[1, 1] / scale)
        _view(axes, view, scale, (x - view.box[0, 0] / scale, float(axis_at)))
        x += size[0] + GAP
    _table(axes, BLADE, blade_rows(blading), (262, 278), (9, *[17] * 8))
    _table(axes, "lengths without tolerance: ISO 2768-m (from memory)", GENERAL, (262, 196), (22, 22, 24))
    _notes(axes, notes(design, mass))
    _title(axes, title_rows(design, title, stamp, scale_text(scale), _date(), mass))
    return figure


def _views(design: Design, blading: Blading) -> tuple[float, list[View]]:
    """Section and front view in the largest scale at which both fit side by side."""

    def build(height: float) -> list[View]:
        return [
            meridional_view(design.blower, blading, height, form=design.form.wheel, gas_path=False),
            front_view(blading, height, mirrored=design.form.casing.rotation == "clockwise"),
        ]

    room = VIEWS[1] - VIEWS[0] - GAP, VIEWS[3] - VIEWS[2]
    return fitted(build, room, letters=LETTERS, least=2e3 * float(design.blower.impeller.r2))


def _view(axes: Axes, view: View, scale: float, at: tuple[float, float]) -> None:
    """A view with its origin ``at`` a point of the paper."""

    def paper(points: Any) -> np.ndarray[Any, Any]:
        return np.asarray(points, float) / scale + at

    for cut in view.cuts:
        for line in hatched(cut.outline, 0.9 * view.height):
            _line(axes, paper(line), LAYERS["hatch"].width, INKS["hatch"])
    for stroke in view.strokes:
        layer = LAYERS[stroke.layer]
        points = np.concatenate([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        _line(axes, paper(points), layer.width, INKS.get(stroke.layer, INK), layer.dashes)
    for dimension in view.dimensions:
        marks = marked(dimension, view.height)
        for line in marks.lines:
            _line(axes, paper(line), LAYERS["dimensions"].width)
        for head in marks.heads:
            axes.fill(*paper(head).T, facecolor=INK, edgecolor="none")
        _text(axes, marks.text, paper(marks.text_at), view.height / scale, "center", marks.turn)
    for note in view.notes:
        anchor = {"middle": "center"}.get(note.anchor, note.anchor)
        _text(axes, note.text, paper(note.at), note.size * view.height / scale, anchor, note.turn)


def _line(axes: Axes, points: Any, width: float, colour: str = INK, dashes: Sequence[float] = ()) -> None:
    """A line of a width in mm."""
    wide = width / POINT
    style: Any = (0, [d / POINT for d in dashes]) if dashes else "-"
    axes.plot(
        *np.asarray(points, float).T,
        color=colour,
        linewidth=wide,
        linestyle=style,
        solid_capstyle="butt",
        dash_capstyle="butt",
        scalex=False,
        scaley=False,
    )


def _text(axes: Axes, text: str, at: Any, height: float, anchor: str = "left", turn: float = 0.0, **look: Any) -> None:
    """Letters of a height in mm, on their baseline."""
    axes.text(
        float(at[0]),
        float(at[1]),
        text,
        fontsize=height / CAPITAL / POINT,
        ha=anchor,
        va="baseline",
        rotation=turn,
        rotation_mode="anchor",
        color=INK,
        **look,
    )


def _table(
    axes: Axes,
    head: str,
    rows: Sequence[Sequence[str]],
    at: tuple[float, float],
    widths: Sequence[float],
    row: float = 4.6,
) -> None:
    """Rows under a head, numbers to the right, ``at`` the upper left corner of the first row."""
    x, y = at
    edges = x + np.concatenate([[0], np.cumsum(widths)])
    _text(axes, head, (x, y + 1.5), 1.9, weight="bold")
    for number, cells in enumerate(rows):
        base = y - (number + 1) * row
        for cell, edge in zip(cells, edges[1:], strict=True):
            _text(axes, cell, (edge - 1.2, base + 1.2), 1.8, "right", weight="bold" if number == 0 else "normal")
    for number in (0, 1, len(rows)):
        _line(axes, [(edges[0], y - number * row), (edges[-1], y - number * row)], 0.25)
    for edge in edges:
        _line(axes, [(edge, y), (edge, y - len(rows) * row)], 0.13)


def _notes(axes: Axes, lines: Sequence[str]) -> None:
    y = 108.0
    _text(axes, "notes", (25, y), 2.4, weight="bold")
    for number, line in enumerate(lines, start=1):
        for part, piece in enumerate(textwrap.wrap(line, 145)):
            y -= 4.1
            if part == 0:
                _text(axes, f"{number}", (29, y), 1.9, "right")
            _text(axes, piece, (31, y), 1.9)
        y -= 0.9


def _title(axes: Axes, rows: Sequence[tuple[str, str]]) -> None:
    """The title block in the lower right corner with the sign of first-angle projection."""
    left, row = 250.0, 6.0
    top = BOTTOM + row * len(rows)
    for number, (name, value) in enumerate(rows):
        base = top - (number + 1) * row
        _text(axes, name, (left + 1.5, base + 1.9), 1.8)
        size, letters, weight = (2.6, 52, "bold") if number == 0 else (2.0, 78, "normal")
        # a longer text stands whole, in smaller letters
        _text(axes, value, (left + 22, base + 1.9), size * min(1.0, letters / max(len(value), 1)), weight=weight)
        _line(axes, [(left, base + row), (RIGHT - (26 if number == len(rows) - 1 else 0), base + row)], 0.25)
    for x in (left, left + 20):
        _line(axes, [(x, BOTTOM), (x, top)], 0.35)
    _first_angle(axes, RIGHT - 22, BOTTOM + row)


def _first_angle(axes: Axes, x: float, y: float) -> None:
    """A frustum with its small end to the left; what is seen from the left stands on the right."""
    _line(axes, [(x, y - 2), (x + 8, y - 4), (x + 8, y + 4), (x, y + 2), (x, y - 2)], 0.35)
    turn = np.linspace(0, 2 * np.pi, 61)
    for radius in (2.0, 4.0):
        _line(axes, np.stack([x + 14 + radius * np.cos(turn), y + radius * np.sin(turn)], axis=1), 0.35)
    for line in (
        [(x - 1, y), (x + 9, y)],
        [(x + 9.5, y), (x + 18.5, y)],
        [(x + 14, y - 4.5), (x + 14, y + 4.5)],
    ):
        _line(axes, line, 0.13, dashes=(2.0, 0.6, 0.4, 0.6))


def _moment() -> datetime:
    """SOURCE_DATE_EPOCH where set, else now."""
    return datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH") or datetime.now(UTC).timestamp()), UTC)


def _date() -> str:
    return f"{_moment():%Y-%m-%d}"


def save_pdf(figure: Figure, path: str | Path, *, title: str, stamp: str) -> Path:
    """Write a figure as PDF with its letters as text. Its date is SOURCE_DATE_EPOCH where set; all other bytes depend on the figure."""
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(cast(Any, STYLE | {"pdf.fonttype": 42}))
        cast(Any, FigureCanvasPdf(figure)).print_pdf(
            str(path), metadata={"Title": title, "Creator": stamp, "Producer": None, "CreationDate": _moment()}
        )
    return Path(path)
