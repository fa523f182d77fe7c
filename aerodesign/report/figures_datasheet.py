"""The data sheet: one page that can be sent to a customer, and that says that its values are predictions."""

import textwrap
from datetime import UTC, datetime
from functools import cache
from os import environ
from pathlib import Path
from typing import Any, cast

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import findfont, get_font

from aerodesign.aero.design import Design
from aerodesign.core.texts import one_line
from aerodesign.form.sheet import PAPERS
from aerodesign.geometry.fit import Connection, fit
from aerodesign.machine.motor import size_name
from aerodesign.report.answer import power_word
from aerodesign.report.chapters import distance_text
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREY, INK, ORANGE, PALE, STYLE, styled
from aerodesign.report.safety import DEFERENCE
from aerodesign.report.tables import rise_word

MARGIN = 0.07
"""Margin of the page over its width."""
LINE = 0.0155
"""Height of a line over that of the page."""
PREDICTION = (
    "All values are PREDICTIONS of a preliminary design along a mean streamline. No machine was tested. They are no guarantee, no "
    "offer and no acceptance value; tolerances and tests are to be agreed in writing."
)
HAZARDS = (
    "Guard all rotating parts and openings; lock out before reaching in. A bursting wheel must be contained. Surfaces may burn. Wear ear "
    "protection. Casing and pipes are under pressure or vacuum. Electricity kills: licensed people only. Not for flammable, toxic or dusty "
    "gas unless agreed and built for it (spark-resistant construction, approved motor)."
)

Row = tuple[str, str]


@styled
def data_sheet(design: Design, units: Units, *, title: str, stamp: str = "") -> Figure:
    """The page as a figure: head, duty, curve, machine, drive, sound, connections, and the words."""
    form = design.form.sheet
    width, height = PAPERS[form.paper]
    figure = Figure(figsize=(width, height))
    _head(figure, form.maker, form.customer, title)
    if not design.meets_duty:
        _text(
            figure,
            1 - MARGIN,
            0.910,
            "DOES NOT MEET THE DUTY: not to be used",
            fontsize=10.5,
            color=ORANGE,
            weight="bold",
            ha="right",
        )

    top = 0.855
    left = _block(figure, "Duty", _duty(design, units), x=MARGIN, y=top)
    left = _block(figure, "Machine", _machine(design, units), x=MARGIN, y=left)
    right = _block(figure, "Drive", _drive(design, units), x=0.53, y=top)
    right = _block(figure, "Connections", _connections(design, units), x=0.53, y=right)
    right = _block(figure, "Sound, estimated", _sound(design, units), x=0.53, y=right)

    bottom = 0.175
    upper = min(left, right) - 0.02
    _curve(figure, design, units, bottom=bottom + 0.035, top=upper)
    _words(figure, stamp, bottom=bottom - 0.035, columns=132 if form.paper == "A4" else 136)
    return figure


def save_data_sheet(figure: Figure, path: str | Path, *, title: str, stamp: str = "") -> None:
    """Write a page as PDF: the same bytes for the same design; dated by SOURCE_DATE_EPOCH where that is set."""
    epoch = environ.get("SOURCE_DATE_EPOCH", "")
    dated = datetime.fromtimestamp(int(epoch), UTC) if epoch.isdigit() else None
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(cast(Any, STYLE))
        cast(Any, FigureCanvasPdf(figure)).print_pdf(
            str(path),
            metadata={
                "Title": title,
                "Subject": stamp,
                "Creator": "aerodesign",
                "Producer": None,
                "CreationDate": dated,
            },
        )


@cache
def _glyphs() -> frozenset[int]:
    return frozenset(get_font(findfont("DejaVu Sans")).get_charmap()) | {ord("\n")}


def _text(figure: Figure, x: float, y: float, text: str, **look: Any) -> None:
    """Text as it stands: a user's dollar signs are no mathematics; what the font lacks becomes a question mark."""
    text = "".join(one if ord(one) in _glyphs() else "?" for one in text)
    figure.text(x, y, text, **{"fontsize": 9, "color": INK, "va": "top", "parse_math": False, **look})


def _rule(figure: Figure, y: float) -> None:
    line = mpl.lines.Line2D((MARGIN, 1 - MARGIN), (y, y), color=INK, linewidth=0.8, transform=figure.transFigure)
    figure.add_artist(line)


def _head(figure: Figure, maker: str, customer: str, title: str) -> None:
    _text(figure, MARGIN, 0.962, one_line(maker, 60) or "Data sheet", fontsize=10, color=GREY)
    _text(
        figure,
        1 - MARGIN,
        0.962,
        f"for {one_line(customer, 50)}" if customer else "",
        fontsize=10,
        color=GREY,
        ha="right",
    )
    _text(figure, MARGIN, 0.940, one_line(title, 62), fontsize=15, weight="bold")
    _text(figure, MARGIN, 0.910, "Centrifugal blower: data sheet, predicted values", fontsize=10.5)
    _rule(figure, 0.885)


def _block(figure: Figure, head: str, rows: list[Row], *, x: float, y: float) -> float:
    """A head and rows of name and value below it; gives the height where the next may begin."""
    right = x + 0.40
    _text(figure, x, y, head, weight="bold", color=BLUE, fontsize=10)
    heights = y - LINE * np.arange(1, len(rows) + 1) - 0.003
    for at, (name, value) in zip(heights, rows, strict=True):
        _text(figure, x, at, name, color=GREY, fontsize=8.4)
        _text(figure, right, at, value, ha="right", fontsize=8.4)
    rules = [[(x, at - 0.0125), (right, at - 0.0125)] for at in heights]
    figure.add_artist(LineCollection(rules, colors=PALE, linewidths=0.8, transform=figure.transFigure))
    return float(heights[-1]) + 0.003 - 2.1 * LINE


def _duty(design: Design, units: Units) -> list[Row]:
    point, site = design.points[design.design_index], design.site
    count = len(design.points.flow)
    both = units.other
    return [
        ("gas", one_line(site.gas.name, 30)),
        ("site pressure, absolute", units.text(site.pressure, "pressure")),
        ("inlet temperature", units.text(site.temperature, "temperature")),
        (
            "flow at the inlet flange",
            f"{units.text(point.flow, 'volume flow')} ({both.text(point.flow, 'volume flow', 3)})",
        ),
        (
            f"{rise_word(design)}, {design.duty.basis}",
            f"{units.text(point.wanted, 'pressure rise')} ({both.text(point.wanted, 'pressure rise', 3)})",
        ),
        ("discharge temperature", units.text(point.discharge_temperature, "temperature")),
        ("duty points", f"{count}, met {int(np.sum(design.points.met))}"),
    ]


def _machine(design: Design, units: Units) -> list[Row]:
    wheel, point = design.blower.impeller, design.points[design.design_index]
    low, high = design.bands.efficiency
    band = f"90 % band {units.number(low, 'percent')} to {units.number(high, 'percent')}"
    splitters = f" + {wheel.splitters:.0f}" if wheel.splitters > 0 else ""
    return [
        ("wheel diameter", units.text(2 * wheel.r2, "length")),
        ("blades, wheel", f"{wheel.blades:.0f}{splitters}, {'covered' if wheel.covered else 'semi-open'}"),
        ("material assumed", design.limits_asked.material),
        ("speed", units.text(point.speed, "speed")),
        ("tip speed", units.text(point.speed * wheel.r2, "velocity", 3)),
        ("shaft power", f"{units.text(point.shaft_power, 'power')} ({units.other.text(point.shaft_power, 'power', 3)})"),
        ("isentropic efficiency", f"{units.text(point.efficiency, 'percent')} ({band})"),
    ]  # fmt: skip


def _drive(design: Design, units: Units) -> list[Row]:
    line, at = design.running.drive_line, design.design_index
    motor = (
        f"{line.standard} {size_name(power=line.rated, standard=line.standard)}, {line.grade}"
        if line.standard
        else f"about {units.text(line.rated, 'power', 3)}, on an inverter"
    )
    rows = [
        ("kind of drive", line.kind),
        ("motor", motor),
        ("motor speed", units.text(line.motor_speed, "speed")),
        ("supply", f"{line.voltage:.0f} V, {design.drive.frequency:.0f} Hz, about {line.current:.0f} A at full load"),
        *([(power_word(design).lower(), units.text(design.points.drive_power[at], "power"))] if line.standard else []),
        ("from the wire", units.text(line.wire_power[at], "power")),
        ("wire to air", units.text(line.wire_to_air[at], "percent")),
    ]
    return rows


def _connections(design: Design, units: Units) -> list[Row]:
    place = fit(design.blower, design.form.fit, design.form.casing)

    def words(one: Connection) -> str:
        return f"{units.text(one.bore, 'length')} bore, DN {one.nominal} {one.standard}"

    return [
        *((f"{one.name} flange", words(one)) for one in place.connections),
        (
            "across, tall (walls, flanges, feet)",
            f"{units.text(place.across, 'length', 3)}, {units.text(place.tall, 'length', 3)}",
        ),
    ]


def _sound(design: Design, units: Units) -> list[Row]:
    heard, at = design.running.sound, design.design_index
    levels = [float(level[at]) for level in heard.a_weighted.values()]
    end = next(float(level[at]) for level in heard.at_distance.values())
    where = "silenced" if any(design.form.noise.silencer) else "unsilenced"
    return [
        ("sound power, open end", f"{min(levels):.0f} to {max(levels):.0f} dB(A), within {heard.spread:.0f} dB"),
        (
            f"pressure at {distance_text(design, units)}, {where}",
            f"{end:.0f} dB(A), within {heard.spread:.0f} dB",
        ),
    ]


def _curve(figure: Figure, design: Design, units: Units, *, bottom: float, top: float) -> None:
    """Pressure and shaft power over the flow at the design speed, side by side, with the duty points."""
    chart, points = design.map, design.points
    line = int(np.argmin(np.abs(chart.speed[:, 0] - design.speed)))
    operation = chart.operation
    shape = np.shape(operation.flow)
    flow, rise, solved, power = (
        np.broadcast_to(values, shape)[line]
        for values in (
            operation.flow, operation.pressure_rise, operation.stage.solved, operation.stage.power / design.choices.mechanical_efficiency,
        )
    )  # fmt: skip
    good = solved & (rise > 0)
    low, high = design.bands.stall
    for place, values, kind, word, at in (
        (0.0, rise, "pressure rise", rise_word(design), points.wanted),
        (0.47, power, "power", "shaft power", points.shaft_power),
    ):
        axes: Axes = figure.add_axes((MARGIN + 0.055 + place, bottom, 0.335, top - bottom))
        x, y = units.value(flow, "volume flow"), units.value(values, kind)
        axes.axvspan(
            *units.value(np.array([low, high]), "volume flow"),
            color=PALE,
            alpha=0.7,
            linewidth=0,
            label="stall, 90 % band",
        )
        axes.plot(np.where(good, x, np.nan), y, color=INK, label=f"at {units.text(design.speed, 'speed')}")
        axes.plot(
            units.value(points.flow, "volume flow"), units.value(at, kind), color=ORANGE, marker="o", linestyle="none",
            markeredgecolor="white", markersize=7, label="duty",
        )  # fmt: skip
        axes.set_xlabel(f"flow at the inlet flange, {units.label('volume flow')}", fontsize=8.4)
        axes.set_ylabel(f"{word}, {units.label(kind)}", fontsize=8.4)
        axes.tick_params(labelsize=8)
        axes.locator_params(nbins=7)
        axes.set_ylim(0, 1.15 * float(np.max(np.where(good, y, 0))))
        axes.set_xlim(0, 1.05 * float(np.max(np.where(good, x, 0))))
        if kind != "power":  # the same lines in both
            axes.legend(loc="lower left", fontsize=7.6)


def _words(figure: Figure, stamp: str, *, bottom: float, columns: int) -> None:
    """What the reader must know, at the foot."""
    _rule(figure, bottom + 0.006)
    y = bottom - 0.002
    for text, weight in ((PREDICTION, "bold"), (HAZARDS, "normal"), (DEFERENCE, "normal")):
        lines = textwrap.wrap(text, columns if weight == "normal" else columns - 16)
        _text(figure, MARGIN, y, "\n".join(lines), fontsize=7.4, weight=weight, linespacing=1.25)
        y -= 0.0118 * len(lines) + 0.005
    _text(figure, MARGIN, 0.024, one_line(stamp, 110), fontsize=7, color=GREY)
