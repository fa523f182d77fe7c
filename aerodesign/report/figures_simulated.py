"""Pictures of a simulated point: pressure on the blades, relative Mach number, meridional averages, the exit's profile, the run itself."""

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from aerodesign.cfd.history import read_history, residual_history
from aerodesign.cfd.simulate import Simulated
from aerodesign.cfd.solved import Solved
from aerodesign.report.figures_base import BLUE, GREEN, GREY, ORANGE, PURPLE, boxed, new_figure, styled

SPANS = (("hub", 0.08, BLUE), ("middle", 0.5, GREEN), ("shroud", 0.92, ORANGE))
FIELDS = (("p", BLUE), ("Ux", ORANGE), ("Uy", GREEN), ("k", PURPLE))


@styled
def simulated(point: Simulated) -> Figure:
    """Six panels for one point that has an answer."""
    assert point.solved is not None
    figure = new_figure(11.5, 10.5)
    axes = figure.subplots(3, 2)
    loading(axes[0, 0], point.solved)
    mach(figure, axes[0, 1], point.solved)
    meridional(figure, axes[1, 0], point.solved, "pt", "total pressure, kPa", 1e-3)
    meridional(figure, axes[1, 1], point.solved, "cm", "meridional velocity, m/s", 1.0)
    profile(axes[2, 0], point)
    course(axes[2, 1], point.case, float(point.stage.blower.impeller.blades))
    return figure


def loading(axes: Axes, solved: Solved) -> None:
    """Static pressure along both sides of the full blade, at three spans."""
    mesh, layers = solved.mesh, int(solved.mesh.ijk[:, 2].max()) + 1
    part = (mesh.ijk[:, 0] + 0.5 - mesh.leading_edge) / (mesh.trailing_edge - mesh.leading_edge)
    for name, span, colour in SPANS:
        layer = min(int(span * layers), layers - 1)
        for side, style in (("blade_pressure", "-"), ("blade_suction", "--")):
            cells = mesh.owners[side][mesh.ijk[mesh.owners[side], 2] == layer]
            order = np.argsort(part[cells])
            axes.plot(
                part[cells][order],
                solved.pressure[cells][order] / 1e3,
                style,
                color=colour,
                label=name if style == "-" else None,
            )
    axes.set_title("Pressure on the blade: full line pressure side, dashed suction side")
    axes.set_xlabel("stations of the mesh, 0 leading edge, 1 exit")
    axes.set_ylabel("static pressure, kPa")
    axes.legend()


def mach(figure: Figure, axes: Axes, solved: Solved) -> None:
    """Relative Mach number at mid-height, unrolled: the angle about the axis over the meridional way."""
    mesh = solved.mesh
    middle = mesh.ijk[:, 2] == (int(mesh.ijk[:, 2].max()) + 1) // 2
    corners = mesh.points[mesh.hexes[middle]][:, (0, 1, 5, 4)]
    z, r = solved.cells["z"], solved.cells["r"]
    count = np.bincount(mesh.ijk[middle, 0])
    line = np.stack([np.bincount(mesh.ijk[middle, 0], v[middle]) / count for v in (z, r)])
    way = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=1)))])
    at = line.sum(axis=0)  # z + r grows along the flow, from the axial inlet to the radial exit
    along = 1e3 * (
        np.interp(corners[..., 2] + np.hypot(corners[..., 0], corners[..., 1]), at, way) - way[mesh.leading_edge]
    )
    angle = np.arctan2(corners[..., 1], corners[..., 0])
    angle = np.degrees(angle[:, :1] + (angle - angle[:, :1] + np.pi) % (2 * np.pi) - np.pi)
    shapes = PolyCollection(
        list(np.stack([along, angle], axis=2)),
        array=solved.cells["mach"][middle],
        cmap="viridis",
        edgecolors="face",
        linewidth=0.1,
    )
    axes.add_collection(shapes)
    axes.autoscale_view()
    axes.grid(False)
    figure.colorbar(shapes, ax=axes, label="relative Mach number")
    axes.set_title("Relative Mach number at mid-height, unrolled")
    axes.set_xlabel("meridional way from the leading edge, mm")
    axes.set_ylabel("angle about the axis, deg")


def meridional(figure: Figure, axes: Axes, solved: Solved, name: str, label: str, scale: float) -> None:
    """A value averaged around the axis, weighted with the cells' volume of flow, in the meridional plane."""
    mesh = solved.mesh
    shape = (int(mesh.ijk[:, 0].max()) + 1, int(mesh.ijk[:, 2].max()) + 1)
    where = mesh.ijk[:, 0] * shape[1] + mesh.ijk[:, 2]
    weight = solved.cells["rho"] * np.maximum(solved.cells["cm"], 0) + 1e-9

    def mean(v: np.ndarray, w: np.ndarray) -> np.ndarray:
        return np.asarray((np.bincount(where, v * w) / np.bincount(where, w)).reshape(shape))

    even = np.ones(len(where))
    z, r = (1e3 * mean(solved.cells[axis], even) for axis in ("z", "r"))
    shown = axes.contourf(z, r, scale * mean(solved.cells[name], weight), levels=18, cmap="viridis")
    for station in (mesh.leading_edge, mesh.trailing_edge):
        axes.plot(z[station], r[station], color="white", linewidth=1)
    figure.colorbar(shown, ax=axes, label=label)
    axes.set_aspect("equal")
    axes.grid(False)
    axes.set_title(f"{label.split(',')[0].capitalize()}, averaged around the axis")
    axes.set_xlabel("z, mm")
    axes.set_ylabel("r, mm")


def profile(axes: Axes, point: Simulated) -> None:
    """Flow angle and meridional velocity behind the wheel from hub to shroud."""
    assert point.solved is not None
    solved = point.solved
    surface = solved.surface(min(solved.mesh.trailing_edge + 2, int(solved.mesh.ijk[:, 0].max())))
    cm, cu = surface.over_layers("cm"), surface.over_layers("cu")
    height = np.array([np.sum(np.linalg.norm(surface.area[surface.layer == k], axis=1)) for k in range(len(cm))])
    span = (np.cumsum(height) - height / 2) / height.sum()
    axes.plot(np.degrees(np.arctan2(cu, cm)), span, color=BLUE, label="simulated")
    axes.axvline(float(np.degrees(point.stage.alpha2)), color=GREY, linestyle="--", label="meanline")
    axes.set_title("Flow angle behind the wheel, from meridional")
    axes.set_xlabel("angle, deg")
    axes.set_ylabel("hub 0 to shroud 1")
    axes.set_ylim(0, 1)
    axes.legend()


def course(axes: Axes, case: Path, blades: float) -> None:
    """Residuals of the run, and the torque over its last value."""
    for name, colour in FIELDS:
        values = residual_history(case / "log.solver").get(name, [])
        axes.semilogy(np.arange(1, len(values) + 1), values, color=colour, linewidth=1, label=name)
    axes.set_title("The run: initial residuals; torque on the right")
    axes.set_xlabel("iteration")
    axes.set_ylabel("initial residual")
    axes.legend(loc="upper right", ncols=4)
    history = read_history(case)
    other = axes.twinx()
    other.plot(history.iteration, blades * history.torque, color="black", linewidth=1.4)
    other.set_ylabel("torque of the wheel, N m")
    other.grid(False)
    late = blades * history.torque[history.iteration > 30]
    if late.size:
        other.set_ylim(late.min() - 0.6 * np.ptp(late) - 1e-9, late.max() + 0.3 * np.ptp(late) + 1e-9)
    boxed(axes, 0.02, 0.04, "black: torque", transform=axes.transAxes)
