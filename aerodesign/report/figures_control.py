"""Part flow and other sites: power by kind of control along the plant's curve, and the same machine on other days and in both services."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from aerodesign.aero.control import FLOWS
from aerodesign.aero.design import Design
from aerodesign.aero.operation import Operation
from aerodesign.report.control_tables import condition_names
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PURPLE, new_figure, styled
from aerodesign.report.tables import rise_word

Array = NDArray[Any]

LEAST = 0.4
"""Flow over the design flow at which the chart of control begins."""

KIND_LOOKS: dict[str, tuple[str, Any]] = {
    "speed": (GREEN, "-"),
    "pre-swirl vanes": (PURPLE, (0, (6, 1.5))),
    "inlet throttle": (ORANGE, (0, (5, 1.5, 1, 1.5))),
    "discharge throttle": (INK, (0, (3, 1.5))),
}
CONDITION_LOOKS: dict[str, tuple[str, Any, float]] = {
    "as given": (INK, "-", 2.4),
    "standard day": (GREY, (0, (1, 1)), 1.6),
    "higher site": (GREEN, (0, (6, 1.5)), 1.6),
    "hot day": (ORANGE, (0, (3, 1.5)), 1.6),
    "cold day": (BLUE, (0, (5, 1.5, 1, 1.5)), 1.6),
    "blocked filter": (PURPLE, (0, (8, 1.5, 1, 1.5, 1, 1.5)), 1.6),
}
SERVICE_LOOKS: dict[str, tuple[str, Any]] = {"pressure": (INK, "-"), "vacuum": (BLUE, (0, (5, 1.5)))}
"""Every curve has a line style beside its colour, so that print and eyes without colour tell them apart."""


@styled
def control(design: Design, units: Units) -> Figure:
    """What the plant asks, and below it the shaft power that each kind of control takes to follow it."""
    figure = new_figure(8.2, 6.6)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[1, 1.7])
    known = FLOWS >= LEAST - 1e-9
    curves = {kind: one[known] for kind, one in design.control.curves.items()}
    plant = curves["speed"]
    flow = units.value(plant.flow, "volume flow")

    line = design.site_curves.services[design.duty.service]
    own = units.value(np.asarray(line.flow), "volume flow")
    rise = units.value(_shown(line, line.pressure_rise)[0], "pressure rise")
    upper.plot(own, rise, color=INK, linewidth=1.6)
    upper.plot(flow, units.value(plant.wanted, "pressure rise"), color=BLUE, linestyle=(0, (5, 2)))
    points = design.points
    upper.plot(
        units.value(points.operation.flow, "volume flow"), units.value(points.wanted, "pressure rise"), color=ORANGE, marker="o",
        markeredgecolor="white", markersize=7.5, linestyle="none", zorder=7,
    )  # fmt: skip
    upper.set_ylabel(f"{rise_word(design)}, {units.label('pressure rise')}")

    for kind, one in curves.items():
        colour, dashes = KIND_LOOKS[kind]
        power = np.where(one.reached, units.value(one.shaft_power, "power"), np.nan)
        lower.plot(flow, power, color=colour, linewidth=1.1, linestyle=(0, (0.6, 1.6)))
        lower.plot(flow, np.where(one.in_stall_band, np.nan, power), color=colour, linestyle=dashes, linewidth=2)
    lower.set_ylabel(f"shaft power, {units.label('power')}")
    lower.set_xlabel(f"flow at the inlet flange ahead of a throttle (total state), {units.label('volume flow')}")
    lower.set_xlim(flow[0], flow[-1])
    for axes in (upper, lower):
        axes.set_ylim(bottom=0)
    _percent_axis(upper, flow[np.argmin(np.abs(FLOWS[known] - 1))])
    handles = [
        Line2D([], [], color=INK, label="machine at its design speed"),
        Line2D([], [], color=BLUE, linestyle=(0, (5, 2)), label="plant"),
        Line2D([], [], color=ORANGE, marker="o", markeredgecolor="white", linestyle="none", label="duty points"),
        *(
            Line2D([], [], color=colour, linestyle=dashes, linewidth=2, label=f"power by {kind}")
            for kind, (colour, dashes) in KIND_LOOKS.items()
        ),
        Line2D([], [], color=GREY, linewidth=1.1, linestyle=(0, (0.6, 1.6)), label="inside the stall band"),
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=4, columnspacing=1.2, handlelength=2.6)
    return figure


@styled
def sites(design: Design, units: Units) -> Figure:
    """Pressure and power at the design speed: on the left on other sites and days, on the right in both services."""
    figure = new_figure(9.4, 6.4)
    panels = figure.subplots(2, 2, sharex="col", sharey="row", height_ratios=[1.25, 1])
    found = design.site_curves
    names = condition_names(design, units)
    own = found.services[design.duty.service]
    for row, name in enumerate(found.names):
        colour, dashes, width = CONDITION_LOOKS[name]
        look: dict[str, Any] = dict(color=colour, linestyle=dashes, linewidth=width)
        _curve(panels[:, 0], design, units, own, row, look)
    for service, (colour, dashes) in SERVICE_LOOKS.items():
        _curve(
            panels[:, 1], design, units, found.services[service], 0, dict(color=colour, linestyle=dashes, linewidth=2)
        )

    point = design.points[design.design_index]
    panels[0, 0].plot(
        units.value(point.operation.flow, "volume flow"), units.value(point.wanted, "pressure rise"), color=ORANGE, marker="D",
        markeredgecolor="white", markersize=8, zorder=7,
    )  # fmt: skip
    panels[0, 0].set_title(f"{rise_word(design)} on other sites and days")
    panels[0, 1].set_title("both services on the site as given")
    panels[0, 0].set_ylabel(f"pressure rise or suction, {units.label('pressure rise')}")
    panels[1, 0].set_ylabel(f"shaft power, {units.label('power')}")
    for axes in panels[1]:
        axes.set_xlabel(f"flow at the inlet flange, {units.label('volume flow')}")
    for axes in panels.flat:
        axes.set_ylim(bottom=0)
        axes.set_xlim(left=0)
    handles = [
        Line2D([], [], color=colour, linestyle=dashes, linewidth=width, label=names[name])
        for name, (colour, dashes, width) in CONDITION_LOOKS.items()
    ]
    handles.append(
        Line2D([], [], color=ORANGE, marker="D", markeredgecolor="white", linestyle="none", label="design duty")
    )
    figure.legend(handles=handles, loc="outside lower left", ncols=3, columnspacing=1.2, handlelength=3.2)
    words = {"pressure": "pressure service, gauge pressure", "vacuum": "vacuum service, suction"}
    panels[1, 1].legend(
        handles=[Line2D([], [], color=c, linestyle=d, linewidth=2, label=words[s]) for s, (c, d) in SERVICE_LOOKS.items()],
        loc="lower right", handlelength=3.2,
    )  # fmt: skip
    return figure


def _curve(panels: Array, design: Design, units: Units, operation: Operation, row: int, look: dict[str, Any]) -> None:
    """Pressure and power of one condition."""
    flow = units.value(np.asarray(operation.flow), "volume flow")
    power = operation.stage.power / design.choices.mechanical_efficiency
    panels[0].plot(flow, units.value(_shown(operation, operation.pressure_rise)[row], "pressure rise"), **look)
    panels[1].plot(flow, units.value(_shown(operation, power)[row], "power"), **look)


def _shown(operation: Operation, values: Array) -> Array:
    """Values where the machine is solved and makes pressure, else nan."""
    values, solved = np.broadcast_arrays(values, operation.stage.solved)
    return np.where(solved & (operation.pressure_rise > 0), values, np.nan)


def _percent_axis(axes: Axes, design_flow: float) -> None:
    """A second scale on top, in percent of the design flow."""
    top = axes.secondary_xaxis(
        "top", functions=(lambda x: np.asarray(x) * (100 / design_flow), lambda p: np.asarray(p) * (design_flow / 100))
    )
    top.set_xlabel("percent of the design flow")
    top.spines["top"].set_visible(False)
