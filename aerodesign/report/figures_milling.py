"""Figure of the milling checks: the largest balls along the passages, and what cutter reaches each point of a blade."""

from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, MultipleLocator

from aerodesign.milling.survey import Survey
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, boxed, new_figure, styled


@styled
def milling_view(survey: Survey, units: Units) -> Figure:
    """Diameter of the largest ball on the hub along each passage; over both sides of a blade that of the largest ball that touches there."""
    figure = new_figure(9.6, 3.9)
    balls, *sides = figure.subplots(1, 3, width_ratios=[1.25, 1, 1])
    _along(balls, survey, units)

    levels = np.asarray(units.value(np.unique(np.asarray(survey.shop.cutters, float)), "length"))
    colors = mpl.colormaps["viridis"](np.linspace(0.04, 0.98, len(levels) + 1))
    scale = ListedColormap(colors[1:-1] if len(levels) > 1 else colors[:1]).with_extremes(
        under=colors[0], over=colors[-1]
    )
    norm = BoundaryNorm(levels if len(levels) > 1 else [levels[0], 2 * levels[0]], scale.N)
    for axes, one in zip(sides, survey.maps, strict=True):
        diameter = np.clip(units.value(2 * one.radius, "length"), None, 4 * levels[-1])
        axes.contourf(
            100 * one.length, 100 * one.height, diameter.T, levels=norm.boundaries, cmap=scale, norm=norm, extend="both"
        )
        axes.set_title(one.name)
        axes.set_xlabel("along the blade, %")
        axes.xaxis.set_major_locator(MultipleLocator(50))
        axes.yaxis.set_major_locator(MultipleLocator(25))
        axes.set_ylim(0, 100)
        axes.grid(visible=False)
    sides[0].set_ylabel("height over the fillet, %")
    bar = figure.colorbar(ScalarMappable(norm, scale), ax=sides, extend="both", spacing="uniform", pad=0.02)
    bar.ax.yaxis.set_major_locator(FixedLocator(list(norm.boundaries)))
    bar.ax.set_yticklabels([f"{level:.3g}" for level in norm.boundaries])
    bar.set_label(f"largest cutter that may touch, {units.label('length')}")
    return figure


def _along(axes: Axes, survey: Survey, units: Units) -> None:
    """Curves of the largest ball, with the chosen cutter and the next one."""
    least = units.value(survey.largest_ball, "length")
    for ball, color in zip(survey.balls, (BLUE, ORANGE, GREEN), strict=False):
        axes.plot(100 * ball.along, units.value(2 * ball.radius, "length"), color=color, label=ball.name)
    worst = survey.tightest
    axes.plot(100 * worst.along[worst.least], least, "o", color=INK, markersize=5)
    top = 3.2 * least
    # labels stand away from the tightest place
    side = dict[str, Any](x=99, ha="right") if worst.along[worst.least] < 0.5 else dict[str, Any](x=1, ha="left")
    for size, name, style in (
        (survey.cutter, "cutter", (0, (6, 2))),
        (survey.next_cutter, "next larger", (0, (1, 2))),
    ):
        if size:
            wide = units.value(size + 2 * float(survey.shop.stock), "length")
            top = max(top, 1.4 * wide)
            axes.axhline(wide, color=GREY, linestyle=style, linewidth=1.2)
            text = f"{name} {units.value(size, 'length'):.3g} {units.label('length')}"
            boxed(axes, y=wide, text=text, va="bottom", fontsize=8, color=GREY, **side)
    axes.set_ylim(0, top)
    axes.set_xlim(0, 100)
    axes.set_title("largest ball on the hub")
    axes.set_xlabel("meridional length of the hub, %")
    axes.set_ylabel(f"diameter, {units.label('length')}")
    axes.legend(fontsize=8, loc="upper left")
