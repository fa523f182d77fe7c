"""Figures of the flow inside the wheel: velocities on both sides of the blades, and from hub to shroud."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from aerodesign.geometry.wheel_flow import LEADING, TRAILING, WheelFlow
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREY, INK, ORANGE, SPANS, new_figure, styled


@styled
def inside_the_wheel(inside: WheelFlow, units: Units) -> Figure:
    """Relative velocity on suction and pressure side along hub, mean and shroud; meridional velocity across the channel."""
    figure = new_figure(9.6, 3.6)
    panels = figure.subplots(1, 4)
    surfaces = inside.surfaces
    top = 1.08 * float(units.value(np.max(surfaces.suction), "velocity"))
    for axes, column, name in zip(panels, range(3), SPANS, strict=False):
        along = 100 * surfaces.x[:, column] if np.ndim(surfaces.x) > 1 else 100 * surfaces.x
        for values, color, label in (
            (surfaces.suction, ORANGE, "suction side"),
            (surfaces.w, GREY, "mean"),
            (surfaces.pressure, BLUE, "pressure side"),
        ):
            axes.plot(along, units.value(values[:, column], "velocity"), color=color, label=label)
        axes.set_title(name)
        axes.set_ylim(min(0.0, float(units.value(np.min(surfaces.pressure), "velocity"))), top)
        axes.set_xlim(0, 100)
        axes.xaxis.set_major_locator(MultipleLocator(50))
        axes.set_xlabel("meridional length, %")
    panels[0].set_ylabel(f"relative velocity, {units.label('velocity')}")
    panels[0].legend(fontsize=8)

    across, flow = panels[3], inside.through
    middle = (LEADING + TRAILING) // 2
    for station, color, label in ((LEADING, BLUE, "leading edge"), (middle, GREY, "middle"), (TRAILING, INK, "exit")):
        height = 100 * np.linspace(0, 1, flow.cm.shape[1]) if np.ndim(flow.eta) == 0 else 100 * flow.eta[station]
        across.plot(units.value(flow.cm[station], "velocity"), height, color=color, label=label)
    across.set_title("hub to shroud")
    across.set_xlabel(f"meridional velocity, {units.label('velocity')}")
    across.set_ylabel("height from the hub, %")
    across.set_ylim(0, 100)
    across.set_xlim(left=0)
    across.legend(fontsize=8)
    return figure
