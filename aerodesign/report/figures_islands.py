"""Islands of efficiency on the performance map: contours that run smoothly from speed line to speed line."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from numpy.typing import NDArray

Array = NDArray[Any]

LEVELS = np.r_[0.20, 0.40, 0.60, 0.70, 0.75, np.arange(0.80, 1.0, 0.02)]


def islands(axes: Axes, speed: Array, flow: Array, rise: Array, efficiency: Array) -> None:
    """Contours of efficiency, labelled in percent, on the grid of a map: all (lines, points), efficiency nan where not solved."""
    flow, rise, values = _similar(flow / speed, flow, rise, efficiency)
    top = np.nanmax(values)
    levels = LEVELS[top - 0.004 > LEVELS]
    if not len(levels):
        return
    # the upper quarter of the colour map is too pale on white
    norm = Normalize(levels[0], levels[0] + (levels[-1] - levels[0]) / 0.75 + 1e-9)
    contours = axes.contour(
        flow, rise, np.ma.masked_invalid(values), levels=levels, cmap="viridis", norm=norm, linewidths=1.1, zorder=2
    )
    spots = _label_spots(values, flow, rise, levels)
    if spots:
        axes.clabel(contours, fmt=lambda level: f"{100 * level:.0f} %", fontsize=8, inline_spacing=2, manual=spots)


def _similar(coefficient: Array, *fields: Array) -> tuple[Array, ...]:
    """Fields of a map on a grid whose columns are equal flow over speed, so that contours run smoothly from line to line.

    Where a line has ended already, the efficiency (the last field) is nan.
    """
    common = np.linspace(coefficient.min(), coefficient.max(), 121)
    *places, values = (
        np.array([np.interp(common, x, y) for x, y in zip(coefficient, field, strict=True)]) for field in fields
    )
    ended = common > coefficient[:, -1:]
    return *places, np.where(ended, np.nan, values)


def _label_spots(values: Array, flow: Array, rise: Array, levels: Array) -> list[tuple[float, float]]:
    """Where the contours are labelled: beyond the best point, between two of the upper speed lines."""
    line = max(len(values) - 3, 1)
    spots = []
    for level in levels:
        ends = []
        for i in (line - 1, line):
            best = int(np.nanargmax(values[i]))
            if np.nanmin(values[i, best:]) < level < values[i, best]:
                # np.interp wants rising abscissae; efficiency falls with flow there
                branch = slice(None, best - 1 if best else None, -1)
                known = np.isfinite(values[i, branch])
                ends.append([np.interp(level, values[i, branch][known], x[i, branch][known]) for x in (flow, rise)])
        if len(ends) == 2:
            spots.append(tuple(np.mean(ends, axis=0)))
    return spots
