"""Pictures of a simulated volute: pressure on the middle plane and the wall, total pressure, pressure round the wheel, losses, the run."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from aerodesign.aero.radial_force import STATIONS, pressure_round
from aerodesign.aero.spiral import TURN
from aerodesign.cfd.history import residual_history
from aerodesign.cfd.volute_beside import loss_parts
from aerodesign.cfd.volute_history import read_volute_history
from aerodesign.cfd.volute_settings import WALLS
from aerodesign.cfd.volute_simulate import SimulatedVolute
from aerodesign.cfd.volute_slice import slice_across, wall_from
from aerodesign.cfd.volute_solved import VoluteSolved, round_the_circle
from aerodesign.report.figures_base import BLUE, GREEN, GREY, ORANGE, PURPLE, boxed, new_figure, styled

FIELDS = (("p", BLUE), ("Ux", ORANGE), ("Uy", GREEN), ("k", PURPLE))
SHARP = 180
"""Dots an inch of the painted planes: as paths they would make a page of megabytes."""
OFF = 0.017
"""Of b3: how far the middle plane stands beside z = 0, where it would run along faces."""


@styled
def volute_flow(point: SimulatedVolute) -> Figure:
    """Six panels for one point that has an answer."""
    assert point.solved is not None
    solved = point.solved
    figure = new_figure(11.5, 14.0)
    figure.set_dpi(SHARP)
    axes = figure.subplots(3, 2)
    shapes, cells = slice_across(solved.mesh, OFF * solved.point.b3)
    p, pt = (1e-3 * solved.cells[name] for name in ("p", "pt"))
    painted(figure, axes[0, 0], solved, shapes, p[cells], "static pressure, kPa", "Static pressure on the middle plane")
    painted(figure, axes[0, 1], solved, shapes, pt[cells], "total pressure, kPa", "Total pressure on the middle plane")
    shapes, owners = wall_from(solved.mesh, WALLS)
    painted(
        figure,
        axes[1, 0],
        solved,
        shapes,
        p[owners],
        "static pressure, kPa",
        "Static pressure on the wall, from the drive's side",
    )
    around(axes[1, 1], point)
    losses(axes[2, 0], point)
    course(axes[2, 1], point)
    return figure


def painted(
    figure: Figure,
    axes: Axes,
    solved: VoluteSolved,
    shapes: list[np.ndarray],
    values: np.ndarray,
    label: str,
    title: str,
) -> None:
    """Polygons in the plane across the axis, coloured by a value; the few highest and lowest share the colours' ends."""
    low, high = np.percentile(values, (0.5, 99.5))
    shown = PolyCollection(
        [1e3 * s for s in shapes], array=values, cmap="viridis", edgecolors="face", linewidth=0.2, antialiased=False
    )
    shown.set_clim(low, high)
    shown.set_rasterized(True)
    axes.add_collection(shown)
    axes.autoscale_view()
    axes.set_aspect("equal")
    axes.grid(False)
    for radius in (solved.point.r2, solved.point.r3):
        axes.add_patch(Circle((0, 0), 1e3 * radius, fill=False, edgecolor="white", linewidth=0.8, linestyle="--"))
    figure.colorbar(shown, ax=axes, label=label, shrink=0.8)
    axes.set_title(title)
    axes.set_xlabel("x, mm")
    axes.set_ylabel("y, mm")


def around(axes: Axes, point: SimulatedVolute) -> None:
    """Static pressure round the base circle and the wheel's exit, less its mean."""
    assert point.solved is not None
    theta = np.linspace(0, TURN, STATIONS)
    for surface, label, colour, style in (
        (point.solved.base_circle, "base circle, simulated", BLUE, "-"),
        (point.solved.boundary("inlet"), "wheel's exit, simulated", ORANGE, "-."),
    ):
        angle, pressure = round_the_circle(surface, "p")
        axes.plot(np.degrees(angle), pressure - pressure.mean(), style, color=colour, label=label)
    axes.plot(np.degrees(theta), pressure_round(point.stage, theta), "--", color=GREY, label="base circle, meanline")
    axes.set_title("Static pressure round the wheel, less its mean")
    axes.set_xlabel("angle from the tongue with the rotation, deg")
    axes.set_ylabel("pressure, Pa")
    axes.set_xticks(range(0, 361, 60))
    axes.legend()


def losses(axes: Axes, point: SimulatedVolute) -> None:
    """Losses in J/kg: the meanline's parts on each other beside the simulation's two numbers."""
    assert point.judged is not None
    answer = point.judged.answer
    simulated = {"vaneless diffuser": float(answer.loss_diffuser), "volute": float(answer.loss_volute)}
    parts = {"vaneless diffuser": float(point.stage.losses["diffuser"])} | {
        name.replace("volute_", "volute, "): value for name, value in loss_parts(point.stage).items()
    }
    colours = dict(zip(parts, (GREY, BLUE, ORANGE, GREEN, PURPLE), strict=True)) | {"volute": BLUE}
    for x, values in ((0, simulated), (2.0, parts)):
        foot = 0.0
        for name, value in values.items():
            axes.bar(x, value, bottom=foot, width=0.5, color=colours[name], edgecolor="white")
            if value > 25:
                axes.text(x + 0.28, foot + value / 2, f"{name} {value:.0f}", va="center", fontsize=9)
            foot += value
    axes.set_xlim(-0.5, 3.4)
    axes.set_xticks([0, 2.0], ["simulated", "meanline"])
    axes.set_ylabel("loss, J/kg")
    axes.set_title("Losses from the wheel's exit to the flange")


def course(axes: Axes, point: SimulatedVolute) -> None:
    """Residuals of the run, and the fall of total pressure."""
    for name, colour in FIELDS:
        values = residual_history(point.case / "log.solver").get(name, [])
        axes.semilogy(np.arange(1, len(values) + 1), values, color=colour, linewidth=1, label=name)
    axes.set_title("The run: initial residuals; fall of total pressure on the right")
    axes.set_xlabel("iteration")
    axes.set_ylabel("initial residual")
    axes.legend(loc="upper right", ncols=4)
    history = read_volute_history(point.case)
    other = axes.twinx()
    late = history.iteration > min(60, history.last / 2)
    other.plot(history.iteration[late], (history.pt2 - history.pt5)[late], color="black", linewidth=1.4)
    other.set_ylabel("fall of total pressure, Pa")
    other.grid(False)
    boxed(axes, 0.02, 0.04, "black: fall of total pressure", transform=axes.transAxes)
