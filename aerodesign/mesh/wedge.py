"""Passages between upright or hand-made blades, given as a sheet: plain columns from blade to blade, the leading edge a wedge.

Lines of constant station and layer run in the direction of rotation.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import RejectedMesh
from aerodesign.mesh.blocks import Layout
from aerodesign.mesh.hexahedra import Points
from aerodesign.mesh.mesh import Mesh, mesh_from_nodes
from aerodesign.mesh.sheet import Sheet, Stations
from aerodesign.mesh.size import Size
from aerodesign.mesh.spacing import smooth_step, two_sided_tanh

RELAX = 0.2  # of r2: distance from an edge over which the clustering to the blade fades
FREE_CELL = 0.85  # first cell away from blades, in mean cells: slightly clustered
WAKE_CELL = 2.6  # cells across the wake, in first cells at the wall: more would be finer than the passage beside it
WAKE_CELLS = (2, 8)
WAKE_STEP = 1.4  # first passage cell beside a wake, far behind the blade, in cells of the wake


def mesh_from_sheet(
    sheet: Sheet,
    along: Stations,
    *,
    size: Size,
    blades: int,
    splitters: bool,
    r2: float,
    splitter_position: float = 0.5,
) -> Mesh:
    """Mesh between two neighbouring copies of a sheet, ``2 pi / blades`` apart, with splitters at a part of that or not."""
    pitch, wall = 2 * np.pi / blades, size.wall * r2
    places = pitch * np.array([0.0, splitter_position, 1.0] if splitters else [0.0, 1.0])
    across = (round(0.55 * size.across) + 1,) * 2 if splitters else (size.across,)
    wake = _wake_cells(sheet, along.trailing, wall)
    layout = Layout(
        cores=across,
        leading=(along.splitter, along.leading) if splitters else (along.leading,),
        trailing=along.trailing,
        stations=len(sheet.z) - 1,
        layers=size.layers,
        gap=max(wake, 1),
        wake=wake > 0,
    )

    theta = _angles(sheet, layout, places, wall=wall, relax=RELAX * r2)
    r, z = (np.broadcast_to(values[:, None, :], theta.shape) for values in (sheet.r, sheet.z))
    return mesh_from_nodes(np.stack([z, r, theta]), layout, pitch=pitch)


def _wake_cells(sheet: Sheet, trailing: int, wall: float) -> int:
    width = float(np.max(2 * sheet.half[trailing] * sheet.r[trailing]))
    return int(np.clip(round(width / (WAKE_CELL * wall)), *WAKE_CELLS)) if width > 0 else 0


def _angles(sheet: Sheet, layout: Layout, places: Points, *, wall: float, relax: float) -> NDArray[np.float64]:
    """Theta of every node of the structure, (stations + 1, columns + 1, layers + 1); ``places`` are the angles of the blades."""
    splits = len(layout.cores)
    halves = [sheet.half, sheet.splitter_half][:splits]
    theta = np.empty((layout.stations + 1, layout.columns, layout.layers + 1))
    for passage, cells in enumerate(layout.cores):
        after = (passage + 1) % splits  # the blade that closes this passage: a splitter first, if any, then a full one
        left = sheet.theta + places[passage] + halves[passage]
        right = sheet.theta + places[passage + 1] - halves[after]
        _refuse_filled(right - left, places[-1])

        width = (right - left) * sheet.r * sheet.cos_beta
        first, last = (
            _first_cell(sheet, width, half, begin=begin, layout=layout, cells=cells, wall=wall, relax=relax)
            for begin, half in ((layout.begins(passage), halves[passage]), (layout.leading[passage], halves[after]))
        )
        share = two_sided_tanh(cells, first=first, last=last)
        start, stop = layout.core(passage)
        theta[:, start : stop + 1] = (left + (right - left) * share).swapaxes(0, 1)

        across = np.linspace(0, 1, layout.gap + 1)[:, None, None]
        low, high = layout.gaps(passage)
        theta[:, low : high + 1] = (right + 2 * halves[after] * across).swapaxes(0, 1)
    return theta


def _first_cell(
    sheet: Sheet, width: Points, half: Points, *, begin: int, layout: Layout, cells: int, wall: float, relax: float
) -> NDArray[np.float64]:
    """First cell beside a blade as a part of the passage.

    Thin along the blade; ahead of it this fades to nearly even cells, behind it to the size of the wake's cells.
    """
    m, end = sheet.m, layout.trailing
    ahead, behind = m[begin] - m, m - m[end]
    fade = smooth_step(np.maximum(ahead, behind) / relax)
    thin = np.minimum(wall / width, 0.999 / cells)

    even = FREE_CELL / cells
    wake = 2 * half * sheet.r * sheet.cos_beta / layout.gap
    beside_wake = np.minimum(WAKE_STEP * wake / width, even) if layout.wake else even
    free = np.where(behind > 0, beside_wake, even)
    return np.asarray(thin ** (1 - fade) * free**fade)


def _refuse_filled(opening: Points, pitch: float) -> None:
    if opening.min() <= 0:
        station, layer = np.unravel_index(opening.argmin(), opening.shape)
        raise RejectedMesh(
            f"passage mesh: no passage left between blades at station {station}, layer {layer}"
            f" (opening {opening.min() / pitch:.0%} of the pitch, must be positive): take fewer or thinner blades"
        )
