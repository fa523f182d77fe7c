"""The performance map: speed lines, efficiency islands, stall band, system curve, duty points; power over flow below."""

from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import NDArray

from aerodesign.aero.design import Design
from aerodesign.aero.system import fixed_part, wanted_rise
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREY, INK, ORANGE, new_figure, styled
from aerodesign.report.figures_islands import islands
from aerodesign.report.tables import efficiency, line_end, rise_word, shaft_power

Array = NDArray[Any]

ENDS = {"free delivery": ("o", "white"), "no solution beyond": ("x", GREY)}
"""Markers of what ends a line at high flow; every choke has a filled square."""
STALL = "#e8b4a0"
BAND: dict[str, Any] = dict(facecolor=GREY, alpha=0.16)
"""Look of the band about the design point's speed line."""
LABEL = (0.17, 0.05)
"""Width and height of a duty point's label, parts of the chart's."""
LINES = 11
"""Speed lines beyond which a chart is hard to read."""


@styled
def performance(design: Design, units: Units) -> Figure:
    """Pressure rise or suction over inlet flow with everything an operator asks of it, and shaft power over the same flow."""
    figure = new_figure(9.0, 9.0)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[2.4, 1])
    islands(
        upper,
        design.map.speed,
        units.value(design.map.operation.flow, "volume flow"),
        units.value(design.map.operation.pressure_rise, "pressure rise"),
        np.where(_solved(design), efficiency(design), np.nan),
    )
    design = _readable(design)
    flow = units.value(design.map.operation.flow, "volume flow")
    rise = units.value(design.map.operation.pressure_rise, "pressure rise")
    solved = _solved(design)

    _band(upper, design, units, flow, solved)
    _stall(upper, design, units, flow, rise, solved)
    _speed_lines(upper, design, units, flow, rise, solved)
    _system(upper, design, units, float(np.nanmax(flow)), float(np.nanmax(rise)))
    upper.set_xlim(0, 1.07 * np.nanmax(flow))
    upper.set_ylim(0, 1.06 * max(np.nanmax(rise), units.value(np.nanmax(design.bands.line.high), "pressure rise")))
    _duty(upper, design, units)
    upper.set_ylabel(f"{rise_word(design)}, {units.label('pressure rise')}")
    figure.legend(handles=_legend(design), loc="outside lower center", ncols=3, columnspacing=1.2, handlelength=1.6)

    _power(lower, design, units, flow, solved)
    lower.set_xlabel(f"flow at the inlet flange (total state), {units.label('volume flow')}")
    return figure


def _readable(design: Design) -> Design:
    """The design with no more speed lines than a chart can show, that nearest to the design point among them."""
    speeds = design.map.speed[:, 0]
    step = max((len(speeds) - 1) // (LINES - 1), 1)
    start = int(np.argmin(np.abs(speeds - design.speed))) % step
    return replace(design, map=design.map.lines(slice(start, None, step)))


def _solved(design: Design) -> Array:
    """Which points of the map are solved, in the shape of its flow."""
    return np.broadcast_to(design.map.operation.stage.solved, design.map.operation.flow.shape)


def _begins(solved: Array) -> Array:
    """Index of the point from which each line is solved without a gap, in its half of low flow."""
    half = ~solved[:, : solved.shape[1] // 2]
    return np.where(half.any(axis=1), half.shape[1] - np.argmax(half[:, ::-1], axis=1), 0)


def _stall(axes: Axes, design: Design, units: Units, flow: Array, rise: Array, solved: Array) -> None:
    """The band between the criteria, and the line of each of them, as far as the speed lines reach."""
    begin = np.take_along_axis(flow, _begins(solved)[:, None], axis=1)[:, 0]
    low, high = design.map.stall_band
    low, high = (np.maximum(units.value(np.asarray(v), "volume flow"), begin) for v in (low, high))
    sides = [np.stack([v, [np.interp(*row) for row in zip(v, flow, rise, strict=True)]], axis=1) for v in (low, high)]
    # along the last line and the first the band follows the line
    last, first = (
        np.stack([f[m], r[m]], axis=1)
        for f, r, m in ((flow[i], rise[i], (flow[i] > low[i]) & (flow[i] < high[i])) for i in (-1, 0))
    )
    axes.fill(
        *np.concatenate([sides[0], last, sides[1][::-1], first[::-1]]).T,
        facecolor=STALL,
        alpha=0.45,
        edgecolor="none",
        zorder=1,
    )
    for number, at in enumerate(design.map.stall.values(), start=1):
        v = units.value(np.asarray(at), "volume flow")
        v = np.where(v < begin, np.nan, v)
        y = np.array([np.interp(one, f, r) for one, f, r in zip(v, flow, rise, strict=True)])
        axes.plot(v, y, color="#a8452a", linewidth=1, linestyle=(0, (1, 1.5)), zorder=3)
        if np.isfinite(v[-1]):
            axes.annotate(
                str(number),
                (v[-1], y[-1]),
                xytext=(0, 7),
                textcoords="offset points",
                fontsize=9,
                color="#a8452a",
                ha="center",
            )


def _band(axes: Axes, design: Design, units: Units, flow: Array, solved: Array) -> None:
    """The 90 % interval of the pressure along the speed line of the design point, as far as that is drawn."""
    line, own = design.bands.line, int(np.argmin(np.abs(design.map.speed[:, 0] - design.speed)))
    drawn = units.value(line.flow, "volume flow") >= flow[own, _begins(solved)[own]]
    axes.fill_between(
        units.value(line.flow, "volume flow"),
        units.value(line.low, "pressure rise"),
        units.value(line.high, "pressure rise"),
        where=drawn,
        **BAND,
        linewidth=0,
        zorder=1.5,
    )


def _speed_lines(axes: Axes, design: Design, units: Units, flow: Array, rise: Array, solved: Array) -> None:
    speeds = units.value(design.map.speed[:, 0], "speed")
    nearest = int(np.argmin(np.abs(speeds - units.value(design.speed, "speed"))))
    begins = _begins(solved)
    for i, speed in enumerate(speeds):
        own = i == nearest
        y = np.where(solved[i], rise[i], np.nan)
        axes.plot(flow[i], y, color=INK if own else GREY, linewidth=2.2 if own else 1.0, zorder=4)
        marker, fill = ENDS.get(line_end(design, i), ("s", INK))
        axes.plot(
            flow[i, -1],
            rise[i, -1],
            marker=marker,
            color=INK,
            markerfacecolor=fill,
            markersize=4.5,
            zorder=5,
            clip_on=False,
        )
        axes.annotate(
            f"{speed:.0f}" + (" rpm" if own else ""),
            (flow[i, begins[i]], rise[i, begins[i]]),
            xytext=(-4, 0),
            textcoords="offset points",
            fontsize=9 if own else 8,
            color=INK if own else GREY,
            ha="right",
            va="center",
            fontweight="bold" if own else "normal",
        )


def _system(axes: Axes, design: Design, units: Units, flow_end: float, rise_end: float) -> None:
    """The plant's curve through the design duty point."""
    point = design.points[design.design_index]
    at = units.value(point.operation.flow, "volume flow")
    x = np.linspace(0, flow_end, 120)
    asked = wanted_rise(design.control.system, flow=x, design_flow=at, design_rise=point.wanted)
    y = units.value(asked, "pressure rise")
    axes.plot(x, np.where(y < 1.04 * rise_end, y, np.nan), color=BLUE, linestyle=(0, (5, 2)), linewidth=1.3, zorder=3)


def _duty(axes: Axes, design: Design, units: Units) -> None:
    points = design.points
    flow, wanted = units.value(points.operation.flow, "volume flow"), units.value(points.wanted, "pressure rise")
    speed = units.value(points.speed, "speed")
    for i in range(len(flow)):
        own = i == design.design_index
        axes.plot(
            flow[i],
            wanted[i],
            marker="D" if own else "o",
            color=ORANGE,
            markeredgecolor="white",
            markersize=9 if own else 7.5,
            zorder=7,
            linestyle="none",
        )
        word = f"{i + 1}" + ("" if points.met[i] else " not met")
        below = not own and _crowded(
            i, flow / np.ptp(axes.get_xlim()), wanted / np.ptp(axes.get_ylim()), design.design_index
        )
        axes.annotate(
            f"{word}: {speed[i]:.0f} rpm",
            (flow[i], wanted[i]),
            xytext=(10 if own else -10, -4 if below else 4),
            textcoords="offset points",
            fontsize=9,
            ha="left" if own else "right",
            va="top" if below else "bottom",
            color="#a34700",
            fontweight="bold",
            zorder=8,
            bbox=dict(boxstyle="round,pad=0.1", facecolor="white", edgecolor="none", alpha=0.8),
        )


def _crowded(i: int, across: Array, up: Array, design_index: int) -> bool:
    """Whether the label left of point i would touch that of a neighbour at more flow; places in parts of the chart's width and height."""
    near = (across > across[i]) & (across < across[i] + LABEL[0]) & (np.abs(up - up[i]) < LABEL[1])
    return bool(np.any(np.delete(near, design_index)))


def _legend(design: Design) -> list[Line2D | Patch]:
    def line(label: str, **look: object) -> Line2D:
        return Line2D([], [], label=label, **look)  # type: ignore[arg-type]

    handles: list[Line2D | Patch] = [
        line("speed line of the design point", color=INK, linewidth=2.2),
        Patch(**BAND, label="its 90 % band"),
        line("duty points, diamond: design", color=ORANGE, marker="D", linestyle="none"),
        line(f"isentropic efficiency, total to {design.duty.basis}", color="#2a788e", linewidth=1.1),
        line(f"plant, {_law(design)}", color=BLUE, linestyle=(0, (5, 2))),
        Patch(facecolor=STALL, alpha=0.45, label="stall band; its criteria:"),
    ]
    flow = design.map.operation.flow
    begin = np.take_along_axis(flow, _begins(_solved(design))[:, None], axis=1)[:, 0]
    for number, (name, at) in enumerate(design.map.stall.items(), start=1):
        place = "" if np.any(at >= begin) else " (off the map)" if np.any(np.isfinite(at)) else " (not met)"
        handles.append(line(f"{number}  {name}{place}", color="#a8452a", linewidth=1, linestyle=(0, (1, 1.5))))
    for end in dict.fromkeys(line_end(design, i) for i in range(len(design.map.limit))):
        marker, fill = ENDS.get(end, ("s", INK))
        handles.append(line(end, color=INK, marker=marker, markerfacecolor=fill, markersize=4.5, linestyle="none"))
    return handles


def _law(design: Design) -> str:
    """The law of the plant's curve in a few words."""
    asked = design.points[design.design_index].wanted
    share = fixed_part(design.control.system, design_rise=asked) / asked
    if share <= 0:
        return "square law"
    return "fixed pressure" if share >= 1 else f"{100 * share:.0f} % fixed, rest square law"


def _power(axes: Axes, design: Design, units: Units, flow: Array, solved: Array) -> None:
    power = np.where(solved, units.value(np.broadcast_to(shaft_power(design), flow.shape), "power"), np.nan)
    speeds = design.map.speed[:, 0]
    nearest = int(np.argmin(np.abs(speeds - design.speed)))
    for i in range(len(speeds)):
        own = i == nearest
        axes.plot(flow[i], power[i], color=INK if own else GREY, linewidth=2.2 if own else 1.0)
    points = design.points
    axes.plot(
        units.value(points.operation.flow, "volume flow"),
        units.value(points.shaft_power, "power"),
        color=ORANGE,
        marker="o",
        markeredgecolor="white",
        markersize=7.5,
        linestyle="none",
        zorder=7,
    )
    axes.set_ylim(0, 1.05 * np.nanmax(power))
    axes.set_ylabel(f"shaft power, {units.label('power')}")
