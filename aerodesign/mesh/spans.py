"""From the grids of a few spans to the nodes of all layers: where the mesh's lines stand in space.

The geometry is asked at a few spans between hub and tip; a polynomial runs through them, node by node. A clearance adds
layers from the tips to the casing. Behind the blades all layers narrow with the diffuser.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.core.errors import RejectedMesh
from aerodesign.form import BladeForm
from aerodesign.form.blade import FULL_ROUND, ROUNDED
from aerodesign.geometry.blade import Blading
from aerodesign.mesh.blocks import Layout
from aerodesign.mesh.chart import Chart
from aerodesign.mesh.plane import ROUNDED_CELLS, STEP, Period, smooth_rows, span_nodes
from aerodesign.mesh.ring import ring_round
from aerodesign.mesh.size import EDGE_CELL, Size, cells_between, ring_cells, ring_height
from aerodesign.mesh.spacing import growing, smooth_step, two_sided_tanh

Grid = NDArray[np.float64]

SPANS = 0.5 * (1 - np.cos(np.linspace(0, np.pi, 6)))  # where the geometry is asked; a polynomial runs through them
INLET_LENGTH = 1.0  # of the inlet radius at the shroud
PINCH = 0.05  # of r2: length over which the diffuser narrows
CROWDED = 0.22
"""Of the narrowest opening between two blades: what a ring takes at most."""


def lay_nodes(
    impeller: Impeller, diffuser: Diffuser, form: BladeForm | None, *, size: Size, first: float, clearance: bool
) -> tuple[Grid, Layout]:
    """Nodes (z, r, theta) of one period, shape (3, stations + 1, columns, layers + 1), and its layout.

    ``first`` is the height of the first cell at every wall, in metres.
    """
    blading = Blading(impeller, _with_flat(form))
    lines = [blading.span(s) for s in SPANS]
    r2, r3, inlet = float(impeller.r2), float(diffuser.r3), INLET_LENGTH * float(impeller.r1s)
    charts = [Chart(line, inlet=inlet, r2=r2, r3=r3) for line in lines]
    pitch = 2 * np.pi / int(impeller.blades)
    starts = (float(impeller.splitter_start), 0.0) if impeller.splitters else (0.0,)
    places = (0.0, blading.splitter_turn, pitch) if impeller.splitters else (0.0, pitch)

    opening = _openings(charts, starts, places)
    thickness = min(ring_height(size.ring, size.wall * r2), CROWDED * float(opening.min()))
    ring = ring_cells(thickness, first)
    last = thickness * (1 - growing(ring, first / thickness)[-2])
    layout = _layout(
        size,
        starts=starts,
        ring=ring,
        core=cells_between(
            float(opening.max()) - 2 * thickness,
            STEP * last,
            growth=size.growth,
            least=max(4, round(size.across / (1.6 if len(starts) > 1 else 1)) - 2 * size.ring),
        ),
        layers=cells_between(float(impeller.r1s - impeller.r1h), first, growth=size.growth, least=size.layers),
        clearance=clearance,
    )

    length = float(np.mean([line.length for line in lines]))
    exit_cell = EDGE_CELL * length / size.blade
    if blading.rounded:
        shortest = min(float(blading.form.trailing_edge_ratio) * line.thickness / 2 for line in lines)
        exit_cell = min(exit_cell, shortest / ROUNDED_CELLS)
    spans = []
    for chart in charts:
        rings = tuple(ring_round(chart, start=start, thickness=thickness) for start in starts)
        period = Period(chart, rings, places, first, thickness, exit_cell)
        spans.append(span_nodes(period, layout, size))
    plane = np.stack(spans, axis=1)
    smooth_rows(plane, layout, pitch=pitch)
    at = [
        np.concatenate([c.zr(c.m_of(x)), theta[..., None]], axis=-1) for c, x, theta in zip(charts, *plane, strict=True)
    ]
    nodes = np.stack(at)
    if clearance:
        nodes = np.concatenate([nodes, _casing(blading, charts[-1], nodes[-1])[None]])
    nodes = _layers(nodes, layout, first=first)
    _narrow(nodes, layout, r2=r2, r3=r3, b3=float(diffuser.b3))
    return nodes, layout


def _with_flat(form: BladeForm | None) -> BladeForm | None:
    """The form with a flat at the exit in the place of a full round edge: rings of cells end on the cylinder r2, not round an edge."""
    if form is None or form.trailing_edge != FULL_ROUND:
        return form
    return form.but(trailing_edge=ROUNDED, trailing_edge_ratio=max(form.trailing_edge_ratio, 2.0))


def _layout(size: Size, *, starts: tuple[float, ...], ring: int, core: int, layers: int, clearance: bool) -> Layout:
    """Counts of cells. Stations along the blade are shared out between what lies ahead of a splitter's nose and behind it."""
    leading: tuple[int, ...] = (size.inlet,)
    trailing = size.inlet + size.blade
    if len(starts) > 1:
        ahead = max(8, round(starts[0] * size.blade))
        leading = (size.inlet + ahead, size.inlet)
        trailing = leading[0] + max(12, size.blade - ahead + 6)
    return Layout(
        cores=(core,) * len(starts),
        leading=leading,
        trailing=trailing,
        stations=trailing + size.diffuser,
        layers=layers + (size.tip if clearance else 0),
        gap=size.gap,
        ring=ring,
        tip=layers if clearance else -1,
    )


def _openings(charts: list[Chart], starts: tuple[float, ...], places: tuple[float, ...]) -> Grid:
    """Widths between two blades across the flow, from spans and places along them. Raises RejectedMesh where one is filled."""
    between, found = np.diff(places), []
    for chart in charts:
        x = np.linspace(0, 1, 41)
        points = chart.line.at(x)
        scale = points.r * np.cos(points.beta)
        full = chart.line.half_thickness_at(x)
        free = places[-1] * scale - 2 * full
        if len(starts) > 1:
            split = between.min() * scale - full - chart.line.half_thickness_at(x, start=starts[0])
            free = np.where(x < starts[0], free / 2, split)
        found.append(free)
    openings = np.array(found)
    span, place = np.unravel_index(int(np.argmin(openings)), openings.shape)
    if openings.min() <= 0:
        raise RejectedMesh(
            f"passage mesh: no passage left between blades at {x[place]:.0%} of their length, {charts[span].line.span:.0%} of their"
            f" height (opening {1e3 * openings.min():.2f} mm, must be positive): take fewer or thinner blades"
        )
    return openings


def _casing(blading: Blading, chart: Chart, tip: Grid) -> Grid:
    """The casing over the tips' nodes: beyond the blades it keeps its distance."""
    casing, line = blading.casing(), chart.line
    z, r, theta = np.moveaxis(tip, -1, 0)
    m = np.where(r >= chart.r2, line.length, np.nan_to_num(_length_at(chart, z, r)))
    t = line.t_at(np.clip(m, 0, line.length))
    away = casing.at(t) - line.contour.at(t)
    return np.stack([z + away[..., 0], r + away[..., 1], theta], axis=-1)


def _length_at(chart: Chart, z: Grid, r: Grid) -> Grid:
    """Meridional length of points on a chart's contour."""
    m = np.linspace(0, chart.length, 2000)
    line = chart.zr(m)
    way = line[:, 0] + line[:, 1]  # grows along the flow: the contour runs outwards and backwards
    return np.where(z <= line[0, 0], 0.0, np.interp(z + r, way, m))


def _layers(nodes: Grid, layout: Layout, *, first: float) -> Grid:
    """The grids of the spans at all layers, (3, stations + 1, columns, layers + 1), clustered to the walls station by station."""
    spans = len(SPANS)
    seen = nodes[:, :, layout.core(0)[0], :2]
    height = np.linalg.norm(seen[spans - 1] - seen[0], axis=-1)
    cells = layout.tops
    start = np.minimum(first / height, 0.999 / cells)
    end = start
    if layout.free:
        gap = np.linalg.norm(seen[spans] - seen[spans - 1], axis=-1)
        over = layout.layers - layout.tip
        end = np.minimum(gap / over / height, 0.999 / cells)
    weights = np.zeros((layout.stations + 1, layout.layers + 1, len(nodes)))
    weights[:, : cells + 1, :spans] = lagrange(two_sided_tanh(cells, first=start, last=end).T)
    if layout.free:
        share = np.linspace(0, 1, over + 1)
        weights[:, cells:, spans - 1], weights[:, cells:, spans] = 1 - share, share

    laid = np.einsum("iks,sijc->cijk", weights, nodes)
    for passage, begin in enumerate(layout.leading):  # round a nose all rows carry the layers of the first
        left, right = layout.gaps(passage)
        rows = slice(begin, begin + layout.ring + 1)
        laid[:, rows, left : right + 1] = np.einsum("ks,sijc->cijk", weights[begin], nodes[:, rows, left : right + 1])
    return laid


def _narrow(nodes: Grid, layout: Layout, *, r2: float, r3: float, b3: float) -> None:
    """Draw the layers behind the blades together to the diffuser's width, in place."""
    z, r = nodes[0, layout.trailing :], nodes[1, layout.trailing :]
    hub = z[..., :1]
    width = abs(float(z[0, layout.core(0)[0], -1] - z[0, layout.core(0)[0], 0]))
    z[:] = hub + (z - hub) * (1 + (b3 / width - 1) * pinched(r, r2=r2, r3=r3))


def pinched(r: Grid, *, r2: float, r3: float) -> Grid:
    """How far the diffuser has narrowed at a radius: 0 at ``r2``, 1 where it has its own width."""
    return smooth_step((r - r2) / min(PINCH * r2, 0.5 * (r3 - r2)))


def lagrange(span: Grid) -> Grid:
    """Weights (..., spans) of the values at ``SPANS`` in the polynomial through them; exact at each of them."""
    weights = np.ones((*span.shape, len(SPANS)))
    for n, own in enumerate(SPANS):
        for other in np.delete(SPANS, n):
            weights[..., n] *= (span - other) / (own - other)
    return weights
