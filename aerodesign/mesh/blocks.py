"""Structured blocks between blades: which nodes make which cell, and which faces make which named patch.

One period is a row of cell columns in the direction of rotation: a passage from a blade's pressure side to the next
blade's suction side, then a gap. The gap holds the wake of that next blade from its blunt trailing edge on; upstream of
the leading edge it is closed. With splitters the row is passage, gap of the splitter, passage, gap of the next blade.
"""

import itertools
from dataclasses import dataclass

import numpy as np

from aerodesign.mesh.hexahedra import FACES, Indices


@dataclass(frozen=True)
class Layout:
    """Counts of cells of one period.

    ``passages`` lists the cells across each passage (one, or two with a splitter between), ``leading`` the station at
    which the blade behind each passage begins (the full blade's last), ``trailing`` the station at which all end.
    ``wake`` is the number of cells across the wake; 0 for blades without thickness. ``stations`` and ``layers`` count
    the cells along the flow and from hub to shroud.
    """

    passages: tuple[int, ...]
    leading: tuple[int, ...]
    trailing: int
    stations: int
    layers: int
    wake: int

    @property
    def gap(self) -> int:
        """Columns set aside for each wake."""
        return max(self.wake, 1)

    @property
    def starts(self) -> tuple[int, ...]:
        """First cell column of each passage, and one past the last column."""
        return tuple(itertools.accumulate((n + self.gap for n in self.passages), initial=0))

    @property
    def columns(self) -> int:
        """Cell columns of the period, gaps included."""
        return self.starts[-1]

    def ends(self, passage: int) -> tuple[int, int]:
        """Node columns of a passage's walls: pressure side of the blade before it, suction side of the one after it."""
        start = self.starts[passage]
        return start, start + self.passages[passage]

    def begins(self, passage: int) -> int:
        """Station at which the blade before a passage begins."""
        return self.leading[passage - 1]


@dataclass(frozen=True)
class Blocks:
    """The topology of one period: cells, patches and where each sits in the structure.

    ``hexes`` (n, 8) and ``patches`` {name: (m, 4)} hold indices into the nodes that ``kept`` picks from the structured
    array of shape (stations + 1, columns + 1, layers + 1), flattened. ``owners`` holds the cell behind each face of a
    patch, ``ijk`` (n, 3) the station, column and layer of each cell.
    """

    hexes: Indices
    ijk: Indices
    patches: dict[str, Indices]
    owners: dict[str, Indices]
    kept: Indices


def build_blocks(layout: Layout) -> Blocks:
    """Cells and patches of one period; faces of ``periodic_low`` and ``periodic_high`` correspond one by one."""
    nodes = _nodes(layout)
    present = _present(layout)

    i, j, k = np.nonzero(present)
    hexes = np.stack(
        [nodes[i + a, j + b, k + c] for b in (0, 1) for a, c in ((0, 0), (1, 0), (1, 1), (0, 1))],
        axis=1,
    )
    cell = np.full(present.shape, -1)
    cell[present] = np.arange(len(hexes))

    kept, numbers = np.unique(hexes, return_inverse=True)
    hexes = numbers.reshape(hexes.shape)

    owners, patches = {}, {}
    for name, parts in _walls(layout, cell).items():
        inside = [(block[block >= 0].ravel(), side) for block, side in parts]
        if sum(len(cells) for cells, _ in inside) == 0:
            continue
        owners[name] = np.concatenate([cells for cells, _ in inside])
        patches[name] = np.concatenate([hexes[cells][:, FACES[side]] for cells, side in inside])
    return Blocks(hexes=hexes, ijk=np.stack([i, j, k], axis=1), patches=patches, owners=owners, kept=kept)


def _nodes(layout: Layout) -> Indices:
    """Number of each node; both sides of a gap are one node where the gap is closed and there is no blade."""
    shape = (layout.stations + 1, layout.columns + 1, layout.layers + 1)
    nodes = np.arange(np.prod(shape)).reshape(shape)
    for passage, leading in enumerate(layout.leading):
        left = layout.ends(passage)[1]
        right = left + layout.gap
        nodes[: leading + 1, right] = nodes[: leading + 1, left]
        if layout.wake == 0:
            nodes[layout.trailing :, right] = nodes[layout.trailing :, left]
    return nodes


def _present(layout: Layout) -> np.ndarray:
    """True for each cell of the structure that is filled: all of a passage, a gap only behind a blunt edge."""
    present = np.ones((layout.stations, layout.columns, layout.layers), bool)
    for passage in range(len(layout.passages)):
        left = layout.ends(passage)[1]
        present[: layout.trailing if layout.wake else None, left : left + layout.gap] = False
    return present


def _walls(layout: Layout, cell: Indices) -> dict[str, list[tuple[Indices, str]]]:
    """Each patch as blocks of cells with the side on which the patch lies."""
    inlet, impeller, outlet = (
        slice(0, layout.leading[-1]),
        slice(layout.leading[-1], layout.trailing),
        slice(layout.trailing, None),
    )
    walls: dict[str, list[tuple[Indices, str]]] = {
        "inlet": [(cell[0], "i-")],
        "outlet": [(cell[-1], "i+")],
        "hub_inlet": [(cell[inlet, :, 0], "k-")],
        "hub": [(cell[impeller, :, 0], "k-")],
        "hub_diffuser": [(cell[outlet, :, 0], "k-")],
        "shroud_inlet": [(cell[inlet, :, -1], "k+")],
        "shroud": [(cell[impeller, :, -1], "k+")],
        "shroud_diffuser": [(cell[outlet, :, -1], "k+")],
    }
    last = len(layout.passages) - 1
    for passage, leading in enumerate(layout.leading):
        name = "blade" if passage == last else "splitter"
        left, right = layout.ends(passage)[1], layout.starts[passage + 1]
        along = slice(leading, layout.trailing)
        after = cell[along, 0 if passage == last else right]
        walls[f"{name}_pressure"] = [(after, "j-")]
        walls[f"{name}_suction"] = [(cell[along, left - 1], "j+")]
        walls[f"{name}_trailing_edge"] = [(cell[layout.trailing, left:right], "i-")] if layout.wake else []

    passage_end, period_end = layout.ends(last)[1] - 1, layout.columns - 1
    behind = period_end if layout.wake else passage_end
    walls["periodic_low"] = [(cell[inlet, 0], "j-"), (cell[outlet, 0], "j-")]
    walls["periodic_high"] = [(cell[inlet, passage_end], "j+"), (cell[outlet, behind], "j+")]
    return walls
