"""The grid of one span on its chart: every node of a period, row by row.

Rings come first: they hold the true outline of the blades. Between two rings a row runs from blade to blade. Ahead of a
blade the row that meets its nose is carried upstream; on the way its bulge round the nose flattens and its columns draw
apart to even spacing. Behind the blades the columns do so too. Rows are shared out in ``eta``, the angle from the camber
line, in which columns that follow the camber are straight.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.mesh.blocks import Layout
from aerodesign.mesh.chart import Chart, Grid
from aerodesign.mesh.ring import Ring
from aerodesign.mesh.size import OUTLET_CELL, Size
from aerodesign.mesh.smooth import SWEEPS, smoothed
from aerodesign.mesh.spacing import growing, smooth_step, two_sided_tanh

Nodes = NDArray[np.integer[Any]]

RELAX = 0.2  # of r2: distance from an edge over which columns draw apart
FLATTEN = 4.0  # bulges: length over which a row's bulge round a nose fades
STEP = 1.2  # from a ring's last cell to the first beyond it
UPRIGHT = 0.7  # of the way from rows in the direction of rotation to rows normal to the blades, at mid-length
LEAD = 0.1  # of a blade's length: how far stations on the suction side run ahead for that at most, and fall behind on the other
THIN = 0.3  # of an even cell: the outermost cells of a wake at least
ROUNDED_CELLS = 5  # along a rounded trailing edge at least


@dataclass(frozen=True, eq=False)
class Period:
    """One period at one span: the rings of splitter (if any) and full blade, and the angles at which they stand.

    ``places`` holds the angle of the blade before each passage, and the pitch. ``first`` is the first cell's height,
    ``thickness`` the ring's; ``exit_cell`` the length of the cells at the blades' end, in metres.
    """

    chart: Chart
    rings: tuple[Ring, ...]
    places: tuple[float, ...]
    first: float
    thickness: float
    exit_cell: float


def span_nodes(period: Period, layout: Layout, size: Size) -> Grid:
    """Coordinates x and theta of every node, (2, stations + 1, columns); nodes that no cell has are not a number."""
    x, eta = np.full((2, layout.stations + 1, layout.columns), np.nan)
    grid = _Rows(period, layout, size, x, eta)
    grid.lay_rings()
    grid.lay_wake()
    grid.lay_passages()
    grid.lay_inlet()
    grid.lay_tips()
    return np.stack([x, eta + period.chart.camber(x)])


def smooth_rows(nodes: Grid, layout: Layout, *, pitch: float, sweeps: int = SWEEPS) -> None:
    """Smooth what lies ahead of and between the rings, in place; ``nodes`` is (2, spans, stations + 1, columns)."""
    columns = _between_rings(layout)
    free = np.zeros((layout.trailing + 1, layout.columns), bool)
    free[1 : layout.trailing] = True
    for passage, begin in enumerate(layout.leading):
        low, high = layout.core(passage)
        free[layout.begins(passage) :, low] = False
        free[begin:, high : layout.gaps(passage)[1]] = False
    rows = slice(0, layout.trailing + 1)
    moved = smoothed(nodes[..., rows, columns[:-1]], free[:, columns[:-1]], pitch=pitch, sweeps=sweeps)
    kept = np.isnan(nodes[..., rows, columns[:-1]])
    nodes[..., rows, columns[:-1]] = np.where(kept, np.nan, moved)
    begin = layout.leading[-1]
    nodes[0, ..., :begin, columns[-1]] = nodes[0, ..., :begin, columns[0]]
    nodes[1, ..., :begin, columns[-1]] = nodes[1, ..., :begin, columns[0]] + pitch


def _between_rings(layout: Layout) -> Nodes:
    """Node columns of a row ahead of the blades, each node once, the last a pitch from the first."""
    parts = []
    for passage in range(len(layout.cores)):
        (low, high), (left, right) = layout.core(passage), layout.gaps(passage)
        parts += [np.arange(low, high + 1), np.arange(left + 1, right)]
    return np.concatenate([*parts, [layout.gaps(len(layout.cores) - 1)[1]]])


class _Rows:
    """The rows of one span while they are being laid: ``x`` and ``eta`` are filled in."""

    def __init__(self, period: Period, layout: Layout, size: Size, x: Grid, eta: Grid) -> None:
        self.period, self.layout, self.size, self.x, self.eta = period, layout, size, x, eta
        self.chart, self.rings, self.places = period.chart, period.rings, period.places
        self.share = growing(layout.ring, period.first / period.thickness)
        self.last = period.thickness * (1 - self.share[-2])  # height of a ring's outermost cell

    def lay_rings(self) -> None:
        """The rings along both sides of every blade, and round its nose."""
        layout = self.layout
        for blade, begin in enumerate(layout.leading):
            ring, place = self.rings[blade], self.places[blade + 1]
            suction, pressure = (self._ways(blade, side) for side in (0, 1))
            rows = slice(begin, layout.trailing + 1)
            core, wall = layout.core(blade)[1], layout.walls(blade)[1]
            self._set((rows, slice(core, wall + 1)), *self._between(ring, suction, place, inwards=True))
            after = (blade + 1) % len(self.rings)
            back = self.places[after] if after == 0 else place
            wall, core = layout.walls(after)[0], layout.core(after)[0]
            self._set((rows, slice(wall, core + 1)), *self._between(ring, pressure, back))

            left, right = layout.gaps(blade)
            front = self._between(ring, np.linspace(*ring.corners, layout.gap + 1), place, inwards=True)
            nose = (slice(begin, begin + layout.ring + 1), slice(left, right + 1))
            self._set(nose, *(values.T for values in front))
            self._cut(ring, place, slice(left, right + 1))
        self.x[layout.trailing, : layout.starts[-1]] = self.chart.x_end

    def lay_passages(self) -> None:
        """The rows between the rings, within the blades' length."""
        layout = self.layout
        begin, split = layout.leading[-1], layout.leading[0]
        for passage in range(len(layout.cores)):
            self._lay_straight(slice(split, layout.trailing + 1), *layout.core(passage))
        if len(layout.cores) > 1:
            rows = np.arange(begin, split)
            low, high = layout.core(0)[0], layout.core(1)[1]
            ends = [(self.x[rows, j], self.eta[rows, j]) for j in (low, high)]
            columns = _between_rings(layout)
            columns = columns[columns <= high]
            self._carry(split, rows, columns, ends, self._clustered(*ends, cells=len(columns) - 1))

    def lay_inlet(self) -> None:
        """The rows ahead of the full blade, to the mouth of the pipe."""
        layout, chart = self.layout, self.chart
        begin = layout.leading[-1]
        columns = _between_rings(layout)
        x_edge, eta_edge = self.x[begin, columns[0]], self.eta[begin, columns[0]]
        x_start = float(chart.x_of(chart.m_start))
        length = (x_edge - x_start) * chart.r1
        line = two_sided_tanh(begin, first=2 / begin, last=min(STEP * self.last / length, 1 / begin))
        x = x_start + (x_edge - x_start) * line[:-1]
        ends = [(x, np.full(begin, eta)) for eta in (eta_edge, eta_edge + self.places[-1])]
        even = np.linspace(0, 1, len(columns))[None] + np.zeros((begin, 1))
        self._carry(begin, np.arange(begin), columns, ends, even)

    def lay_wake(self) -> None:
        """The rows behind the blades: on cylinders, the columns drawing apart to even spacing."""
        layout, chart = self.layout, self.chart
        end, count = layout.trailing, layout.stations - layout.trailing
        for passage in range(len(layout.cores)):
            self._lay_straight(slice(end, end + 1), *layout.core(passage))
        length = chart.m_end - chart.length
        way = two_sided_tanh(count, first=min(self.period.exit_cell / length, 1 / count), last=OUTLET_CELL / count)[1:]
        x = chart.x_of(chart.length + length * way)[:, None]

        columns = np.arange(layout.starts[-1])
        blocks = [(layout.walls(p), layout.gaps(p)) for p in range(len(layout.cores))]
        cells = np.ones(len(columns) - 1)
        cells[[walls[1] for walls, _ in blocks]] = 0  # the node columns on either side of a seam are one
        cells[[gaps[1] for _, gaps in blocks[:-1]]] = 0
        even = np.concatenate([[0], np.cumsum(cells)]) / cells.sum()

        fade = smooth_step(length * way / (RELAX * chart.r2))[:, None]
        eta = self.eta[end, columns]
        self.x[end + 1 :, columns] = x
        self.eta[end + 1 :, columns] = (1 - fade) * eta + fade * (eta[0] + self.places[-1] * even)

    def lay_tips(self) -> None:
        """The rows over the blades' tips, from the suction to the pressure side."""
        layout = self.layout
        if not layout.free:
            return
        share = np.linspace(0, 1, layout.gap + 1)
        for blade, begin in enumerate(layout.leading):
            over, suction = layout.tips(blade), layout.walls(blade)[1]
            last = blade == len(self.rings) - 1
            pressure = layout.walls(0 if last else blade + 1)[0]
            turn = self.places[-1] if last else 0.0
            rows = slice(begin + 1, layout.trailing)
            for values, shift in ((self.x, 0.0), (self.eta, turn)):
                left, right = values[rows, suction], values[rows, pressure] + shift
                values[rows, over[0] : over[1] + 1] = left[:, None] + (right - left)[:, None] * share

    def _cut(self, ring: Ring, place: float, columns: slice) -> None:
        """The row across the cut end of a blade, its outermost cells as thin as those beside them where that can be."""
        layout, chart = self.layout, self.chart
        _, eta = self._between(ring, np.array(ring.ends), place)
        low, high = eta[:, 0]
        width = (high - low) * chart.r2 * float(chart.cos_beta(chart.x_end))
        thin = np.clip(STEP * self.period.first / width, THIN / layout.gap, 1 / layout.gap)
        self.eta[layout.trailing, columns] = low + (high - low) * two_sided_tanh(layout.gap, first=thin, last=thin)

    def _ways(self, blade: int, side: int) -> Grid:
        """Ways of the stations along one side of a blade: the suction side's run ahead, so that rows cross the passage less askew.

        Not where rows cross the blades too, over their tips: these would be crossed the more askew.
        """
        ring = self.rings[blade]
        corner, end = ring.corners[side], ring.ends[side]
        part = (self._laid(blade, side) - corner) / (end - corner)
        ahead = 0.0 if self.layout.free else self._lead() * (1 if side == 0 else -1)
        return corner + (end - corner) * (part + 16 * ahead * part**2 * (1 - part) ** 2)

    def _lead(self) -> float:
        """How far stations run ahead or fall behind at mid-length, as a part of the blade's length: towards rows normal to the blades."""
        chart, ring = self.chart, self.rings[-1]
        middle = chart.x_end / 2
        cosine = float(chart.cos_beta(middle))
        width = self.places[-1] / len(self.rings) * float(chart.zr(chart.m_of(middle))[1])
        wanted = UPRIGHT * width * np.sqrt(1 - cosine**2) / 2 / (ring.ends[1] - ring.corners[1])
        return float(LEAD * np.tanh(wanted / LEAD))

    def _laid(self, blade: int, side: int) -> Grid:
        """The ways before that: close together at both edges, and beside a splitter's nose."""
        layout, ring = self.layout, self.rings[blade]
        split = layout.leading[0]
        corner, end = ring.corners[side], ring.ends[side]
        if layout.leading[blade] == split:
            return corner + (end - corner) * self._distribution(blade, layout.trailing - split)
        other = self.rings[0]
        middle = float(np.mean([other.outer(way)[0] for way in other.corners]))
        way = ring.way_at(middle, side)
        ahead = split - layout.leading[blade]
        cells = [self._front(n) / abs(way - corner) for n in (blade, 0)]
        first = two_sided_tanh(ahead, first=min(cells[0], 1 / ahead), last=min(cells[1], 1 / ahead))
        second = self._distribution(0, layout.trailing - split)
        return np.concatenate([corner + (way - corner) * first, way + (end - way) * second[1:]])

    def _distribution(self, blade: int, cells: int) -> Grid:
        """Parts of a blade's length from its nose to its end, both sides alike."""
        ring = self.rings[blade]
        length = float(np.mean([abs(end - corner) for end, corner in zip(ring.ends, ring.corners, strict=True)]))
        first, last = self._front(blade) / length, self.period.exit_cell / length
        return two_sided_tanh(cells, first=min(first, 1 / cells), last=min(last, 1 / cells))

    def _front(self, blade: int) -> float:
        """Length of a cell round the nose of a blade, on the ring's outer line."""
        low, high = self.rings[blade].corners
        return (high - low) / self.layout.gap

    def _between(self, ring: Ring, ways: Grid, place: float, *, inwards: bool = False) -> tuple[Grid, Grid]:
        """Coordinates x and eta of the ring's nodes, (ways, ring + 1), from the wall outwards or the other way round."""
        wall, outer = ring.wall(ways), ring.outer(ways)
        share = self.share[::-1] if inwards else self.share
        points = wall[:, None] + share[:, None] * (outer - wall)[:, None]
        return points[..., 0], points[..., 1] + place - self.chart.camber(points[..., 0])

    def _set(self, where: tuple[slice, slice], x: Grid, eta: Grid) -> None:
        self.x[where], self.eta[where] = x, eta

    def _lay_straight(self, rows: slice, low: int, high: int) -> None:
        """Rows from one ring to the next."""
        ends = [(self.x[rows, j], self.eta[rows, j]) for j in (low, high)]
        share = self._clustered(*ends, cells=high - low)
        for n, values in enumerate((self.x, self.eta)):
            start, stop = ends[0][n][:, None], ends[1][n][:, None]
            values[rows, low : high + 1] = start + (stop - start) * share

    def _clustered(self, low: tuple[Grid, Grid], high: tuple[Grid, Grid], *, cells: int) -> Grid:
        """Shares of rows between two rings (rows, cells + 1): the first cell follows on the ring's last."""
        x = (low[0] + high[0]) / 2
        radius = self.chart.zr(self.chart.m_of(x))[..., 1]
        width = (high[1] - low[1]) * radius * self.chart.cos_beta(x)
        first = np.minimum(STEP * self.last / width, 0.999 / cells)
        return np.asarray(two_sided_tanh(cells, first=first, last=first).T)

    def _carry(self, row: int, rows: Nodes, columns: Nodes, ends: list[tuple[Grid, Grid]], free: Grid) -> None:
        """Rows ahead of a nose, from the row that meets it: its bulge flattens, its shares go over to ``free``."""
        x, eta = self.x[row, columns], self.eta[row, columns]
        share = (eta - eta[0]) / (eta[-1] - eta[0])
        bulge = x - (x[0] + share * (x[-1] - x[0]))

        ahead = (x[0] + x[-1]) / 2 - (ends[0][0] + ends[1][0]) / 2
        radius = self.chart.zr(self.chart.m_of(ends[0][0]))[..., 1]
        fade = smooth_step(ahead * radius / (RELAX * self.chart.r2))[:, None]
        flat = smooth_step(ahead / (FLATTEN * max(np.abs(bulge).max(), 1e-9)))[:, None]
        mixed = (1 - fade) * share + fade * free
        for values, n, rest in ((self.x, 0, (1 - flat) * bulge), (self.eta, 1, 0.0)):
            start, stop = ends[0][n][:, None], ends[1][n][:, None]
            values[np.ix_(rows, columns)] = start + mixed * (stop - start) + rest
