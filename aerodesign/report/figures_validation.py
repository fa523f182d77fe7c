"""Pictures of the validation page: measured points on predicted curves with their band, and the error below."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PURPLE, boxed, new_figure, styled
from aerodesign.report.held import Held

COLOURS = (BLUE, GREEN, PURPLE)
LABELS = {"pressure_rise": "pressure rise, Pa", "work": "work, J/kg", "efficiency": "efficiency"}
CLIP = 0.30
"""Errors beyond this are drawn at the edge, with their number."""

CURVE = 3
"""Points from which a table of measurements is drawn as a curve."""


@styled
def validation(held: list[Held]) -> Figure:
    """All measurements of one machine: as curves over the flow where there are enough, else as ratios to the measured value."""
    curves = [one for one in held if one.comparison.flow.size >= CURVE]
    if not curves:
        return _ratios(held)
    names = list(dict.fromkeys(name for one in curves for name in one.quantities))
    figure = new_figure(5.6 * len(names) if len(names) > 1 else 7.4, 6.2)
    axes = figure.subplots(2, len(names), squeeze=False, height_ratios=[1.7, 1])
    for column, name in enumerate(names):
        for colour, one in zip(COLOURS, curves, strict=False):
            if name in one.quantities:
                _curve(axes[0, column], one, name, colour)
                _errors(axes[1, column], one, name, colour)
        axes[0, column].set_ylabel(LABELS[name])
        axes[0, column].set_xlabel("flow, m³/s")
        axes[0, column].set_xlim(left=0)
        axes[1, column].axhline(0, color=INK, linewidth=0.8)
        axes[1, column].set_ylim(-105 * CLIP, 105 * CLIP)
        axes[1, column].set_ylabel("error, points" if name == "efficiency" else "error, %")
        axes[1, column].set_xlabel("flow over design flow, both per speed")
    figure.legend(handles=_legend(curves), loc="outside lower center", ncols=3)
    return figure


def _curve(axes: Axes, one: Held, name: str, colour: str) -> None:
    flow, (seen, said), band = one.comparison.flow, one.comparison.columns[name], one.bands[name]
    order = np.argsort(flow)
    axes.fill_between(flow[order], band.low[order], band.high[order], color=colour, alpha=0.15, linewidth=0)
    axes.plot(flow[order], said[order], color=colour, linewidth=1.6)
    _dots(axes, flow, seen, one.inside(name), colour)


def _errors(axes: Axes, one: Held, name: str, colour: str) -> None:
    """The error, and the band about the prediction: a point is inside where its mirror image lies in it."""
    ratio, error = one.flow_ratio, 100 * one.error(name)
    edge = 100 * CLIP
    inside = one.inside(name)
    within = np.abs(error) <= edge
    _dots(axes, ratio[within], error[within], inside[within], colour)
    axes.axvspan(0.8, 1.15, color=GREY, alpha=0.08, linewidth=0)
    beyond = np.flatnonzero(np.isfinite(error) & ~within)
    for k in beyond:
        axes.plot(
            ratio[k],
            np.sign(error[k]) * edge,
            marker="^" if error[k] > 0 else "v",
            color=colour if inside[k] else ORANGE,
            markersize=5,
            linestyle="none",
        )
    if beyond.size:
        k = beyond[np.argmax(np.abs(error[beyond]))]
        boxed(axes, ratio[k], 0.8 * np.sign(error[k]) * edge, f"to {error[k]:+.0f}", ha="right", color=GREY)


def _dots(axes: Axes, x: np.ndarray, y: np.ndarray, inside: np.ndarray, colour: str) -> None:
    """Full dots where the band holds the measurement, crosses in another colour where it does not."""
    axes.plot(x[inside], y[inside], "o", color=colour, markersize=4.2, markeredgecolor="white", markeredgewidth=0.5)
    axes.plot(x[~inside], y[~inside], "X", color=ORANGE, markersize=6.5, markeredgecolor="white", markeredgewidth=0.5)


def _legend(held: list[Held]) -> list[Line2D | Patch]:
    handles: list[Line2D | Patch] = [
        Line2D([], [], color=colour, label=f"predicted, {_speed(one)}")
        for colour, one in zip(COLOURS, held, strict=False)
    ]
    return [
        *handles,
        Patch(facecolor=GREY, alpha=0.25, label="stated 90 % band"),
        Line2D([], [], color=GREY, marker="o", linestyle="none", markersize=4.2, label="measured, inside its band"),
        Line2D([], [], color=ORANGE, marker="X", linestyle="none", markersize=6.5, label="measured, outside"),
    ]


def _speed(one: Held) -> str:
    return f"{np.mean(one.comparison.speed) * 30 / np.pi:.0f} rpm"


def _ratios(held: list[Held]) -> Figure:
    """Predicted over measured with its band, a row for each quantity and point."""
    rows = [(one, name, k) for one in held for name in one.quantities for k in range(one.comparison.flow.size)]
    figure = new_figure(7.4, 1.3 + 0.34 * len(rows))
    axes = figure.subplots()
    for y, (one, name, k) in enumerate(rows):
        seen, said = (float(side[k]) for side in one.comparison.columns[name])
        band, inside = one.bands[name], bool(one.inside(name)[k])
        colour = BLUE if inside else ORANGE
        axes.plot([band.low[k] / seen, band.high[k] / seen], [y, y], color=colour, linewidth=7, alpha=0.3)
        axes.plot(said / seen, y, marker="o" if inside else "X", color=colour, markersize=6.5, linestyle="none")
    axes.axvline(1, color=INK, linewidth=1)
    plane = {"2": ", behind the wheel", "3": ", diffuser's end", "5": ""}
    axes.set_yticks(
        range(len(rows)),
        [f"{LABELS[name].split(',')[0]}{plane[one.comparison.measured.plane]}" for one, name, _ in rows],
    )
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xlabel("predicted over measured; bar: 90 % band; cross: a miss")
    return figure
