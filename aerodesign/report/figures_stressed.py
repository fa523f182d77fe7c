"""The picture of a wheel's stress: one sector, seen from the inlet's side and from the back."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray

from aerodesign.report.figures_base import boxed, new_figure, styled
from aerodesign.stress.wheel import Stressed

FACES = ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
VIEWS = (("from the inlet's side", -50.0), ("from the back", 135.0))


@styled
def stressed(done: Stressed) -> Figure:
    """Von Mises' stress on the skin of a sector, from two sides."""
    figure = new_figure(10.5, 5.6)
    axes = figure.subplots(1, 2)
    corners, values = skin(done.model.sector.hexes[:, :8], done.answer.mises)
    points = 1e3 * done.model.sector.points
    points = _turned(points)
    limit = values.max() / 1e6
    for one, (name, angle) in zip(axes, VIEWS, strict=True):
        drawn = _draw(one, points[corners], values / 1e6, angle, limit)
        one.set_title(f"One sector {name}")
    boxed(
        axes[0],
        0.02,
        0.02,
        f"highest {done.highest / 1e6:.0f} MPa at radius {1e3 * done.where[0]:.0f} mm",
        transform=axes[0].transAxes,
    )
    figure.colorbar(drawn, ax=axes, label="von Mises stress, MPa", shrink=0.85)
    return figure


def skin(hexes: NDArray[np.int64], mises: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Corners (n, 4) of the faces that belong to one element only, and the mean stress of their corners."""
    faces = hexes[:, np.array(FACES)].reshape(-1, 4)
    _, first, count = np.unique(np.sort(faces, axis=1), axis=0, return_index=True, return_counts=True)
    outer = faces[first[count == 1]]
    return outer, mises[outer].mean(axis=1)


def _turned(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The sector's middle turned to the front, so that both views meet it."""
    angle = np.arctan2(points[:, 1].mean(), points[:, 0].mean())
    c, s = np.cos(-angle), np.sin(-angle)
    x, y, z = points.T
    return np.stack([c * x - s * y, s * x + c * y, z], axis=1)


def _draw(
    axes: Axes, quads: NDArray[np.float64], values: NDArray[np.float64], angle: float, limit: float
) -> PolyCollection:
    """Faces from far to near, seen along a direction in the plane of axis and radius; the axis of rotation lies level."""
    a = np.radians(angle)
    towards = np.array([0.35, -0.25, np.sin(a)])
    towards /= np.linalg.norm(towards)
    right = np.cross([1.0, 0.0, 0.0], towards)
    right /= np.linalg.norm(right)
    up = np.cross(towards, right)
    flat = np.stack([quads @ right, quads @ up], axis=-1)
    order = np.argsort((quads @ towards).mean(axis=1))
    drawn = PolyCollection(list(flat[order]), array=values[order], cmap="viridis", edgecolors="face", linewidths=0.2)
    drawn.set_clim(0, limit)
    axes.add_collection(drawn)
    axes.autoscale_view()
    axes.set_aspect("equal")
    axes.set_xlabel("across the view, mm")
    axes.set_ylabel("up in the view, mm")
    return drawn
