"""The picture of a mesh: the passage unrolled, a nose and a trailing edge close up, its meridional lines, and how good its cells are."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from aerodesign.mesh.hexahedra import shared_faces
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.quality import cell_scaled_jacobians, face_quality
from aerodesign.report.figures_base import BLUE, GREEN, INK, ORANGE, new_figure, styled

CLOSE = 0.09
"""Of the pitch: half the side of a close view."""
LINE = 0.35


@styled
def mesh_picture(mesh: Mesh) -> Figure:
    """Six panels: at mid-height the unrolled passage, its nose and trailing edge; meridional lines; angles; growth and shape."""
    figure = new_figure(11.5, 12.5)
    axes = figure.subplots(3, 2)
    flat, pitch = unrolled(mesh)
    both = np.concatenate([flat, flat + np.array([0, pitch])])
    drawn(axes[0, 0], flat, "Blade to blade at mid-height, unrolled")
    meridional(axes[0, 1], mesh)
    for panel, name, title in (
        (axes[1, 0], "leading_edge", "Leading edge at mid-height"),
        (axes[1, 1], "trailing_edge", "Trailing edge at mid-height"),
    ):
        drawn(panel, both, title)
        close(panel, mesh, f"blade_{name}", flat, CLOSE * pitch)
    faces = face_quality(mesh.points, mesh.hexes, faces=shared_faces(mesh.hexes))
    angles(axes[2, 0], np.degrees(faces.non_orthogonality))
    shape(axes[2, 1], cell_scaled_jacobians(mesh.points, mesh.hexes), 1 / faces.growth)
    return figure


def unrolled(mesh: Mesh) -> tuple[np.ndarray, float]:
    """Corners of the cells of the middle layer, (n, 4, 2) in mm, and the pitch: a picture that keeps angles, as large as at the middle radius."""
    middle = mesh.ijk[:, 2] == int(mesh.ijk[:, 2].max()) // 2
    corners = mesh.points[mesh.hexes[middle]][:, (0, 1, 5, 4)]
    x, y, z = np.moveaxis(corners, -1, 0)
    r = np.hypot(x, y)

    station = mesh.ijk[middle, 0]
    count = np.bincount(station)
    line = np.stack([np.bincount(station, v.mean(axis=1)) / count for v in (z, r)])
    way = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=1)))])
    grows = line.sum(axis=0)  # z + r grows along the flow, from the axial inlet to the radial exit
    slope = (way[1] - way[0]) / (grows[1] - grows[0]), (way[-1] - way[-2]) / (grows[-1] - grows[-2])
    at = z + r
    along = np.interp(at, grows, way)
    along += np.minimum(at - grows[0], 0) * slope[0] + np.maximum(at - grows[-1], 0) * slope[1]

    turn = np.interp(along, way, np.concatenate([[0], np.cumsum(np.diff(way) * 2 / (line[1, 1:] + line[1, :-1]))]))
    theta = np.arctan2(y, x)
    theta = theta[:, :1] + (theta - theta[:, :1] + np.pi) % (2 * np.pi) - np.pi
    return 1e3 * float(np.median(r)) * np.stack([turn, theta], axis=-1), 1e3 * float(np.median(r)) * mesh.pitch


def drawn(axes: Axes, cells: np.ndarray, title: str) -> None:
    """Cells as outlines, one scale for both directions."""
    axes.add_collection(
        LineCollection(list(np.concatenate([cells, cells[:, :1]], axis=1)), colors=INK, linewidths=LINE)
    )
    axes.autoscale_view()
    axes.set_aspect("equal", adjustable="datalim")
    axes.grid(False)
    axes.set_title(title)
    axes.set_xlabel("along the flow, mm at the middle radius")
    axes.set_ylabel("in rotation, mm at the middle radius")


def close(axes: Axes, mesh: Mesh, patch: str, flat: np.ndarray, half: float) -> None:
    """Bring a patch of the blade to the middle of the panel."""
    middle = mesh.ijk[:, 2] == int(mesh.ijk[:, 2].max()) // 2
    inside = np.flatnonzero(middle)
    cells = np.isin(inside, mesh.owners.get(patch, mesh.owners["blade_suction"]))
    x, y = flat[cells].reshape(-1, 2).mean(axis=0)
    axes.set_aspect("equal", adjustable="box")
    axes.set_xlim(x - half, x + half)
    axes.set_ylim(y - half, y + half)


def meridional(axes: Axes, mesh: Mesh) -> None:
    """Lines of constant column along the pressure side, hub to shroud."""
    first = int(mesh.ijk[mesh.ijk[:, 0] == 0, 1].min())
    cells = mesh.hexes[mesh.ijk[:, 1] == first][:, (0, 1, 2, 3)]
    corners = mesh.points[cells]
    zr = 1e3 * np.stack([corners[..., 2], np.hypot(corners[..., 0], corners[..., 1])], axis=-1)
    axes.add_collection(LineCollection(list(np.concatenate([zr, zr[:, :1]], axis=1)), colors=INK, linewidths=LINE))
    axes.autoscale_view()
    axes.set_aspect("equal", adjustable="datalim")
    axes.grid(False)
    axes.set_title("Hub to shroud, on one column of cells")
    axes.set_xlabel("z, mm")
    axes.set_ylabel("r, mm")


def angles(axes: Axes, values: np.ndarray) -> None:
    """Parts of the faces by the angle between their normal and the line of the cells' centres."""
    axes.hist(values, bins=list(range(0, 92, 2)), weights=np.full(len(values), 100 / len(values)), color=BLUE)
    axes.axvline(70, color=ORANGE, linestyle="--", label="solvers call more than 70 deg severe")
    axes.axvline(values.max(), color=INK, linewidth=1, label=f"largest, {values.max():.0f} deg")
    axes.set_title("Non-orthogonality of the faces between cells")
    axes.set_xlabel("angle, deg")
    axes.set_ylabel("part of the faces, %")
    axes.legend(loc="upper center")


def shape(axes: Axes, jacobians: np.ndarray, sizes: np.ndarray) -> None:
    """Parts of the cells and faces that are worse than a value."""
    for values, label, colour in (
        (jacobians, "scaled Jacobian of cells", GREEN),
        (sizes, "smaller over larger neighbour", BLUE),
    ):
        ordered = np.sort(values)
        axes.semilogy(
            ordered,
            100 * np.arange(1, len(values) + 1) / len(values),
            color=colour,
            label=f"{label}, least {ordered[0]:.2f}",
        )
    axes.set_xlim(0, 1)
    axes.set_title("Part that is worse than a value; 1 is a cube among equals")
    axes.set_xlabel("scaled Jacobian; ratio of sizes")
    axes.set_ylabel("part, %")
    axes.legend()
