"""The mesh of one periodic passage: from the inlet pipe through the blades and the vaneless diffuser to r3.

Hexahedra in a structured grid: lines of constant station and layer run from blade to blade in the direction of
rotation, so that both sides of the period carry the same stations and match exactly. The tip clearance is closed and
root fillets are left out; the leading edge is a wedge.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.core.errors import AerodesignError, RejectedMesh
from aerodesign.core.record import Record, record
from aerodesign.form import BladeForm
from aerodesign.mesh.blocks import Layout, build_blocks
from aerodesign.mesh.hexahedra import Indices, Points, corner_jacobians
from aerodesign.mesh.quality import Quality, mesh_quality
from aerodesign.mesh.sheet import Sheet, Stations, blade_sheet
from aerodesign.mesh.size import SIZES, Size
from aerodesign.mesh.spacing import smooth_step, two_sided_tanh

RELAX = 0.2  # of r2: distance from an edge over which the clustering to the blade fades
FREE_CELL = 0.85  # first cell away from blades, in mean cells: slightly clustered
WAKE_CELL = 2.6  # cells across the wake, in first cells at the wall: more would be finer than the passage beside it
WAKE_CELLS = (2, 8)
WAKE_STEP = 1.4  # first passage cell beside a wake, far behind the blade, in cells of the wake


@record
class Mesh(Record):
    """A mesh of hexahedra for one blade passage, a sector of ``pitch`` about the z axis; rotation towards +theta.

    ``points`` (n, 3) in metres; ``hexes`` (cells, 8), numbered as VTK does; ``patches`` {name: (faces, 4)} the whole
    boundary, each face counter-clockwise from outside, ``owners`` {name: (faces,)} the cell behind each;
    face n of ``periodic_low``, turned by ``pitch``, is face n of ``periodic_high``, its nodes 0 1 2 3 there 0 3 2 1.
    ``ijk`` (cells, 3): station along the flow, column in the direction of rotation, layer from hub to shroud.
    ``leading_edge`` and ``trailing_edge`` are the stations i of the first cell behind these edges.
    """

    points: Points
    hexes: Indices
    patches: dict[str, Indices]
    owners: dict[str, Indices]
    ijk: Indices
    pitch: float
    leading_edge: int
    trailing_edge: int
    quality: Quality

    @property
    def shape(self) -> tuple[int, ...]:
        """A mesh belongs to a single design."""
        return ()


def passage_mesh(
    impeller: Impeller, diffuser: Diffuser, size: str | Size = "look", *, form: BladeForm | None = None
) -> Mesh:
    """Mesh of one passage of an impeller with its vaneless diffuser.

    ``size`` is "look", "design" or "study", or counts of cells. Raises :class:`RejectedMesh` where blades leave no
    passage or a cell is folded, and whatever :class:`~aerodesign.geometry.blade.Blading` raises.
    """
    if impeller.shape != () or diffuser.shape != ():
        raise AerodesignError(
            f"passage mesh: needs a single impeller and diffuser, got sets of {impeller.shape} and {diffuser.shape}:"
            " pick one, impeller[i]"
        )
    if impeller.splitters not in (0, impeller.blades):
        raise AerodesignError(
            f"passage mesh: splitters = {impeller.splitters:g} must be 0 or as many as blades = {impeller.blades:g}"
        )
    if not diffuser.r3 > impeller.r2:
        raise AerodesignError(
            f"passage mesh: r3 = {diffuser.r3:.4g} m must be beyond r2 = {impeller.r2:.4g} m; lengthen the diffuser"
        )
    counts = size if isinstance(size, Size) else _counts(size)
    form = form or BladeForm()
    sheet, along = blade_sheet(impeller, diffuser, form, size=counts)
    return mesh_from_sheet(
        sheet,
        along,
        size=counts,
        blades=int(impeller.blades),
        splitters=bool(impeller.splitters),
        r2=float(impeller.r2),
        splitter_position=form.splitter_position,
    )


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
    layout = Layout(
        passages=across,
        leading=(along.splitter, along.leading) if splitters else (along.leading,),
        trailing=along.trailing,
        stations=len(sheet.z) - 1,
        layers=size.layers,
        wake=_wake_cells(sheet, along.trailing, wall),
    )

    theta = _angles(sheet, layout, places, wall=wall, relax=RELAX * r2)
    r, z = sheet.r[:, None, :], np.broadcast_to(sheet.z[:, None, :], theta.shape)
    nodes = np.stack([r * np.cos(theta), r * np.sin(theta), z], axis=-1).reshape(-1, 3)

    blocks = build_blocks(layout)
    points = nodes[blocks.kept]
    _refuse_folded(points, blocks.hexes, blocks.ijk)
    return Mesh(
        points=points,
        hexes=blocks.hexes,
        patches=blocks.patches,
        owners=blocks.owners,
        ijk=blocks.ijk,
        pitch=pitch,
        leading_edge=along.leading,
        trailing_edge=along.trailing,
        quality=mesh_quality(points, blocks.hexes),
    )


def _counts(size: str) -> Size:
    if size not in SIZES:
        raise AerodesignError(f'passage mesh: size must be one of {", ".join(SIZES)}, got "{size}"')
    return SIZES[size]


def _wake_cells(sheet: Sheet, trailing: int, wall: float) -> int:
    width = float(np.max(2 * sheet.half[trailing] * sheet.r[trailing]))
    return int(np.clip(round(width / (WAKE_CELL * wall)), *WAKE_CELLS)) if width > 0 else 0


def _angles(sheet: Sheet, layout: Layout, places: Points, *, wall: float, relax: float) -> NDArray[np.float64]:
    """Theta of every node of the structure, (stations + 1, columns + 1, layers + 1); ``places`` are the angles of the blades."""
    splits = len(layout.passages)
    halves = [sheet.half, sheet.splitter_half][:splits]
    theta = np.empty((layout.stations + 1, layout.columns + 1, layout.layers + 1))
    for passage, cells in enumerate(layout.passages):
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
        start, stop = layout.ends(passage)
        theta[:, start : stop + 1] = (left + (right - left) * share).swapaxes(0, 1)

        across = np.linspace(0, 1, layout.gap + 1)[:, None, None]
        theta[:, stop : stop + layout.gap + 1] = (right + 2 * halves[after] * across).swapaxes(0, 1)
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


def _refuse_folded(points: Points, hexes: Indices, ijk: Indices) -> None:
    determinant, scaled = corner_jacobians(points, hexes)
    sound = (determinant > 0).all(axis=1)  # False for cells that are not numbers, too
    if not sound.all():
        worst = int(np.argmin(np.where(sound, np.inf, np.nan_to_num(scaled.min(axis=1), nan=-np.inf))))
        i, j, k = (int(n) for n in ijk[worst])
        raise RejectedMesh(
            f"passage mesh: {(~sound).sum()} of {len(hexes)} cells are folded; the worst, at station {i}, column {j},"
            f" layer {k}, has a scaled Jacobian of {scaled[worst].min():.3f}, must be positive:"
            " ease the blade angles or lengthen the impeller"
        )
