"""Figures of the flow at the design point: velocity triangles, the chart of specific speed and diameter, the losses."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from aerodesign.aero.design import Design
from aerodesign.aero.operation import inlet_state, required_work
from aerodesign.aero.triangles import Triangle
from aerodesign.core.correlation import card
from aerodesign.correlations.cordier import specific_diameter, specific_speed
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PALE, new_figure, styled
from aerodesign.report.losses import loss_book

REGIONS = (
    ("centrifugal compressors", 0.3, 0.9), ("centrifugal blowers", 0.5, 1.4), ("centrifugal fans", 0.9, 2.2), ("axial fans", 2.0, 6.0),
)  # fmt: skip
"""Rough ranges of specific speed: common practice, no source."""


@styled
def triangles(design: Design, units: Units) -> Figure:
    """Velocity triangles to one scale: hub, mean and shroud at the leading edge, and the exit behind the blades."""
    stage, wheel = design.stage, design.blower.impeller
    drawn = [
        ("1 hub", stage.hub, wheel.beta1h_blade),
        ("1 mean", stage.mean, wheel.beta1_blade),
        ("1 shroud", stage.shroud, wheel.beta1s_blade),
        ("2 exit, behind the blades", stage.exit, wheel.beta2_blade),
    ]
    figure = new_figure(9.0, 5.4)
    left, right, top = (float(max(values)) for values in zip(*((t.wu, t.cu, t.cm) for _, t, _ in drawn), strict=True))
    for axes, (name, triangle, blade) in zip(figure.subplots(2, 2).flat, drawn, strict=True):
        _triangle(axes, triangle, float(blade), units)
        axes.set_title(name, fontweight="bold")
        # one scale: every panel shows the same range of velocities
        axes.set_xlim(*units.value(np.array([-1.06 * left, max(1.06 * right, 0.4 * left)]), "velocity"))
        axes.set_ylim(*units.value(np.array([-0.75, 1.12]) * top, "velocity"))
        axes.set_aspect("equal", anchor="NW")
        axes.axis("off")
    return figure


def _triangle(axes: Axes, triangle: Triangle, blade: float, units: Units) -> None:
    """One triangle: meridional upwards, rotation to the right; c and w start from one point, u joins their tips."""
    u, cm, cu = (float(units.value(x, "velocity")) for x in (triangle.u, triangle.cm, triangle.cu))
    top = cm

    def arrow(start: tuple[float, float], end: tuple[float, float], colour: str) -> None:
        axes.annotate(
            "",
            end,
            start,
            arrowprops=dict(arrowstyle="-|>", color=colour, linewidth=2, shrinkA=0, shrinkB=0, mutation_scale=11),
        )

    arrow((0, 0), (cu, top), BLUE)
    arrow((0, 0), (cu - u, top), ORANGE)
    arrow((cu - u, top), (cu, top), INK)
    axes.plot([0, -top * np.tan(blade)], [0, top], color=GREY, linestyle=(0, (4, 2)), linewidth=1.1)
    axes.plot([0, 0], [0, top], color=PALE, linewidth=1, zorder=0)

    beside: dict[str, Any] = dict(textcoords="offset points", fontweight="bold", va="center")
    axes.annotate("c", (cu / 2, top / 2), xytext=(7, -3), color=BLUE, ha="left", **beside)
    axes.annotate("w", ((cu - u) / 2, top / 2), xytext=(-7, -5), color=ORANGE, ha="right", **beside)
    axes.annotate("u", (cu - u / 2, top), xytext=(0, 7), color=INK, ha="center", **beside)
    velocities = ",  ".join(
        f"{name} = {units.text(value, 'velocity', 3)}"
        for name, value in zip("ucw", (triangle.u, triangle.c, triangle.w), strict=True)
    )
    angles = f"α = {np.degrees(triangle.alpha):.1f}°,  β = {np.degrees(triangle.beta):.1f}°,  blade (dashed) {np.degrees(blade):.1f}°"
    axes.text(
        0.0,
        0.28,
        f"{velocities}\n{angles}",
        transform=axes.transAxes,
        fontsize=9.5,
        ha="left",
        va="top",
        linespacing=1.5,
    )


@styled
def cordier(design: Design, units: Units) -> Figure:
    """Specific diameter over specific speed with the line of good machines, its scatter, and where machines of a kind lie."""
    function = design.models.cordier
    low, high = card(function).valid["specific_speed"]
    scatter = card(function).scatter or 0.0
    figure = new_figure(6.4, 5.2)
    axes = figure.add_subplot()
    axes.set_xscale("log")
    axes.set_yscale("log")

    x = np.geomspace(low, high, 50)
    line = function(specific_speed=x)
    axes.fill_between(
        x,
        line * (1 - scatter),
        line * (1 + scatter),
        color=GREEN,
        alpha=0.2,
        linewidth=0,
        label=f"its scatter, one standard deviation ({100 * scatter:.0f} %)",
    )
    axes.plot(x, line, color=GREEN, label="good centrifugal blowers (common practice)")

    speeds, diameters = _points(design)
    others = [i for i in range(len(speeds)) if i != design.design_index]
    if others:
        axes.plot(
            speeds[others],
            diameters[others],
            "o",
            color=ORANGE,
            markerfacecolor="white",
            markersize=6,
            label="other duty points",
        )
    axes.plot(
        design.specific_speed,
        design.specific_diameter,
        "D",
        color=ORANGE,
        markersize=9,
        markeredgecolor="white",
        label=f"design point: {design.specific_speed:.2f}, {design.specific_diameter:.2f}",
    )

    axes.set_xlim(0.2, 6.5)
    axes.set_ylim(0.8, 16)
    for level, (name, start, end) in enumerate(REGIONS):
        y = 0.9 * 1.14 ** (len(REGIONS) - 1 - level)
        axes.plot([start, end], [y, y], color=GREY, linewidth=5, alpha=0.35, solid_capstyle="butt")
        left = start > 1
        axes.text(
            start * 0.96 if left else end * 1.05,
            y,
            name,
            fontsize=8.5,
            color=GREY,
            va="center",
            ha="right" if left else "left",
        )
    for axis, ticks in ((axes.xaxis, (0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 5)), (axes.yaxis, (1, 1.5, 2, 3, 4, 6, 8, 12))):
        axis.set_major_locator(FixedLocator(ticks))
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.set_xlabel("specific speed  ω √V / Δh$^{3/4}$")
    axes.set_ylabel("specific diameter  D Δh$^{1/4}$ / √V")
    axes.legend(loc="upper right")
    return figure


def _points(design: Design) -> tuple[np.ndarray, np.ndarray]:
    """Specific speed and diameter of all duty points with the work that each asks for."""
    work = np.atleast_1d(
        required_work(inlet_state(design.duty, design.site, inlet_velocity=design.choices.inlet_velocity))
    )
    flow = design.points.flow
    return (
        np.asarray(specific_speed(speed=design.points.speed, flow=flow, work=work)),
        np.asarray(specific_diameter(diameter=2 * design.blower.impeller.r2, flow=flow, work=work)),
    )


@styled
def losses(design: Design, units: Units) -> Figure:
    """From the work of the wheel down to the efficiency: each loss in points, in the order of the flow."""
    basis = design.duty.basis
    book = loss_book(design.stage, basis=basis)
    remaining = 100 * float(design.stage.efficiency_static if basis == "static" else design.stage.efficiency_total)
    figure = new_figure(7.4, 0.6 + 0.3 * (len(book) + 2))
    axes = figure.add_subplot()

    level = 100.0
    axes.barh(0, level, color=GREY, height=0.62)
    for row, loss in enumerate(book, start=1):
        points = 100 * loss.share
        axes.barh(row, points, left=level - points, color=ORANGE, height=0.62)
        axes.text(min(level, level - points) - 0.3, row, f"{points:.2f}", ha="right", va="center", fontsize=9)
        axes.plot([level - points] * 2, [row - 0.31, row + 1.31], color=GREY, linewidth=0.7)
        level -= points
    axes.barh(len(book) + 1, remaining, color=BLUE, height=0.62)
    axes.text(
        level + 0.3,
        len(book) + 1,
        f"{remaining:.1f}",
        ha="left",
        va="center",
        fontsize=9.5,
        fontweight="bold",
        color=BLUE,
    )

    start = 5 * np.floor((remaining - 6) / 5)
    axes.set_xlim(start, 100.5)
    axes.set_yticks(
        range(len(book) + 2),
        ["work taken by the gas", *(loss.name for loss in book), f"isentropic efficiency ({basis})"],
    )
    axes.invert_yaxis()
    axes.grid(axis="y", visible=False)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(
        f"percent of the work, {units.text(design.stage.work, 'specific energy')}; the axis begins at {start:.0f}"
    )
    return figure
