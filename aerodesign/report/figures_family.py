"""The frames of a family over the flow: efficiency and speed, drawn where each frame is used."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter, ScalarFormatter

from aerodesign.aero.family import Family
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREY, INK, ORANGE, boxed, new_figure, styled


@styled
def family_figure(found: Family, units: Units) -> Figure:
    """Efficiency of every frame, dotted where another frame serves, and the span of its speed."""
    figure = new_figure(8.2, 6.0)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[1.5, 1])
    frames = found.frames
    flow, efficiency = units.value(found.flow, "volume flow"), units.value(found.efficiency, "percent")
    for number in range(len(frames.scale)):
        one = frames[number]
        colour = (BLUE, ORANGE)[number % 2]
        served = np.where(found.used[number], efficiency[number], np.nan)
        upper.plot(flow[number], efficiency[number], color=GREY, linewidth=0.8, linestyle=(0, (1, 1.5)))
        upper.plot(flow[number], served, color=colour, linewidth=2.4)
        at = float(units.value(one.design_flow, "volume flow"))
        upper.plot(
            at,
            float(units.value(one.efficiency, "percent")),
            color=colour,
            marker="o",
            markeredgecolor="white",
            markersize=7,
        )
        words = f"{number + 1}\n{units.text(2 * one.r2, 'length', 3)}"
        boxed(upper, at, float(units.value(one.best_efficiency, "percent")) + 0.35, words, ha="center", va="bottom")
        ends = units.value(np.array([one.least_flow, one.most_flow]), "volume flow")
        speeds = units.value(np.array([one.least_speed, one.speed, one.most_speed]), "speed")
        lower.fill_between(ends, speeds[0], speeds[2], color=colour, alpha=0.35, linewidth=0)
        lower.plot(at, speeds[1], color=colour, marker="o", markeredgecolor="white", markersize=7)
    best = float(units.value(np.max(frames.best_efficiency), "percent"))
    lowest = float(np.nanmin(np.where(found.used, efficiency, np.nan)))
    upper.set_ylim(lowest - 1.5, best + 0.35 * (best - lowest) + 1)
    for limit in units.value(np.array([found.least, found.most]), "volume flow"):
        for axes in (upper, lower):
            axes.axvline(limit, color=INK, linewidth=1)
    lower.set_xscale("log")
    lower.set_yscale("log")
    lower.set_xlim(float(np.min(flow[0])) * 1.3, float(np.max(flow[-1])) * 0.85)
    for axis in (lower.xaxis, lower.yaxis):
        low, high = axis.get_view_interval() if axis is lower.xaxis else lower.get_ylim()
        ticks = [part * 10.0**power for power in range(-3, 8) for part in (1, 2, 3, 5, 7)]
        axis.set_ticks([tick for tick in ticks if low <= tick <= high])
        axis.set_major_formatter(ScalarFormatter())
        axis.set_minor_formatter(NullFormatter())
    upper.set_title("Frames by number and wheel diameter, heavy where each serves")
    upper.set_ylabel(f"efficiency, {units.label('percent')}")
    lower.set_ylabel(f"speed, {units.label('speed')}")
    lower.set_xlabel(f"flow at the inlet flange, {units.label('volume flow')}")
    return figure
