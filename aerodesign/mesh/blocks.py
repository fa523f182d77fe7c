"""Structured blocks round the blades: which nodes make which cell, and which faces make which named patch.

One period is a row of cell columns in the direction of rotation. With one blade a pitch it holds, from left to right::

    stations         ring | core           | ring   gap
    ahead            .    | core           | .      bow      before the blade, as wide as blade and rings together
    leading edge     ring | core           | ring   front    the ring goes round the nose: `ring` stations of the gap's columns
    blade            ring | core           | ring   (blade)
    behind           ring | core           | ring   wake     behind the blunt trailing edge

The left ring lies on the pressure side of the blade before the passage, the right one on the suction side of the next
blade, which the gap belongs to. With splitters the row is passage, gap of the splitter, passage, gap of the next blade. A
layout without ``ring`` has blades that begin as a line, and no bow. Where the tips of the blades stand free of the shroud
a block lies over each blade: columns of its own behind all others, in the layers above ``tip``.

Blocks have node columns of their own; where they touch, :func:`_nodes` gives both the same node.
"""

import itertools
from dataclasses import dataclass

import numpy as np

from aerodesign.mesh.hexahedra import FACES, Indices

TURNED = (4, 7, 3, 0)
"""The side "i-" of a ring's first cell, its corners in the order that fits the front's side "j+" a pitch further."""


@dataclass(frozen=True)
class Layout:
    """Counts of cells of one period.

    ``cores`` lists the cells across each passage between the rings (one passage, or two with a splitter between),
    ``leading`` the station at which the ring of the blade behind each passage begins (the full blade's last),
    ``trailing`` the station at which all blades end. ``stations`` and ``layers`` count the cells along the flow and
    from hub to shroud, ``ring`` those from a blade outwards, ``gap`` those across bow, front and wake. ``tip`` is the
    layer at which blades end, ``layers`` where there is no clearance. ``wake`` is False for blades that end as a line.
    """

    cores: tuple[int, ...]
    leading: tuple[int, ...]
    trailing: int
    stations: int
    layers: int
    gap: int
    ring: int = 0
    tip: int = -1
    wake: bool = True

    @property
    def free(self) -> bool:
        """True where a clearance lies over the tips."""
        return 0 <= self.tip < self.layers

    @property
    def tops(self) -> int:
        """Layers that the blades reach through."""
        return self.tip if self.free else self.layers

    @property
    def starts(self) -> tuple[int, ...]:
        """First node column of each passage, and one past the last gap's."""
        each = (n + 2 * self.ring + self.gap + 2 for n in self.cores)
        return tuple(itertools.accumulate(each, initial=0))

    @property
    def columns(self) -> int:
        """Node columns of the period."""
        return self.starts[-1] + (len(self.cores) * (self.gap + 1) if self.free else 0)

    def core(self, passage: int) -> tuple[int, int]:
        """Node columns at which a passage's core begins and ends."""
        start = self.starts[passage] + self.ring
        return start, start + self.cores[passage]

    def walls(self, passage: int) -> tuple[int, int]:
        """Node columns on the pressure side of the blade before a passage and on the suction side of the one behind it."""
        start, end = self.core(passage)
        return start - self.ring, end + self.ring

    def gaps(self, passage: int) -> tuple[int, int]:
        """Node columns of the left and right side of the gap behind a passage."""
        left = self.walls(passage)[1] + 1
        return left, left + self.gap

    def tips(self, passage: int) -> tuple[int, int]:
        """Node columns over the blade behind a passage, from its suction to its pressure side."""
        left = self.starts[-1] + passage * (self.gap + 1)
        return left, left + self.gap

    def begins(self, passage: int) -> int:
        """Station at which the ring of the blade before a passage begins."""
        return self.leading[passage - 1]


@dataclass(frozen=True)
class Blocks:
    """The topology of one period: cells, patches and where each sits in the structure.

    ``hexes`` (n, 8) and ``patches`` {name: (m, 4)} hold indices into the nodes that ``kept`` picks from the structured
    array of shape (stations + 1, columns, layers + 1), flattened. ``owners`` holds the cell behind each face of a
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

    ijk = np.argwhere(present).astype(np.int32)
    i, j, k = ijk.T
    hexes = np.empty((len(i), 8), np.int32)
    for place, (b, a, c) in enumerate((b, a, c) for b in (0, 1) for a, c in ((0, 0), (1, 0), (1, 1), (0, 1))):
        hexes[:, place] = nodes[i + a, j + b, k + c]
    cell = np.full(present.shape, -1, np.int32)
    cell[present] = np.arange(len(hexes), dtype=np.int32)

    used = np.zeros(nodes.size, bool)
    used[hexes] = True
    numbers = np.cumsum(used, dtype=np.int32) - 1
    hexes = numbers[hexes]

    owners, patches = {}, {}
    for name, parts in _walls(layout, cell).items():
        inside = [(block[block >= 0].ravel(), FACES.get(side, TURNED)) for block, side in parts]
        if sum(len(cells) for cells, _ in inside) == 0:
            continue
        owners[name] = np.concatenate([cells for cells, _ in inside])
        patches[name] = np.concatenate([hexes[cells][:, side] for cells, side in inside])
    return Blocks(hexes=hexes, ijk=ijk, patches=patches, owners=owners, kept=np.flatnonzero(used))


def _nodes(layout: Layout) -> Indices:
    """Number of each node; nodes of two blocks that touch are one."""
    shape = (layout.stations + 1, layout.columns, layout.layers + 1)
    nodes = np.arange(np.prod(shape), dtype=np.int32).reshape(shape)
    ring, end, top = layout.ring, layout.trailing, layout.tops
    last = len(layout.cores) - 1
    for passage, begin in enumerate(layout.leading):
        ahead, behind = slice(0, begin + 1), slice(end, None)
        (left, right), (core, wall) = layout.gaps(passage), (layout.core(passage)[1], layout.walls(passage)[1])
        nodes[ahead, left] = nodes[ahead, core]
        nodes[begin : begin + ring + 1, left] = nodes[begin, core : wall + 1]
        nodes[behind, left] = nodes[behind, wall]
        if passage < last:
            core, wall = layout.core(passage + 1)[0], layout.walls(passage + 1)[0]
            if not ring:
                nodes[ahead, core] = nodes[ahead, left]
            if not layout.wake:
                nodes[behind, wall] = nodes[behind, left]
            nodes[ahead, right] = nodes[ahead, core]
            nodes[begin : begin + ring + 1, right] = nodes[begin, wall : core + 1][::-1]
            nodes[behind, right] = nodes[behind, wall]
        if layout.free:
            over, first = layout.tips(passage), layout.walls(passage)[1]
            along = slice(begin, end + 1)
            nodes[along, over[0], top:] = nodes[along, first, top:]
            if passage < last:
                nodes[along, over[1], top:] = nodes[along, layout.walls(passage + 1)[0], top:]
            nodes[begin, over[0] : over[1] + 1, top:] = nodes[begin + ring, left : right + 1, top:]
            nodes[end, over[0] : over[1] + 1, top:] = nodes[end, left : right + 1, top:]
    return nodes


def _present(layout: Layout) -> np.ndarray:
    """True for each cell of the structure that is filled."""
    present = np.zeros((layout.stations, layout.columns, layout.layers), bool)
    for passage, begin in enumerate(layout.leading):
        (low, high), (pressure, suction) = layout.core(passage), layout.walls(passage)
        left, right = layout.gaps(passage)
        present[:, low:high] = True
        present[layout.begins(passage) :, pressure:low] = True
        present[begin:, high:suction] = True
        if layout.ring:
            present[: begin + layout.ring, left:right] = True
        if layout.wake:
            present[layout.trailing :, left:right] = True
        if layout.free:
            over = layout.tips(passage)
            present[begin : layout.trailing, over[0] : over[1], layout.tip :] = True
    return present


def _walls(layout: Layout, cell: Indices) -> dict[str, list[tuple[Indices, str]]]:
    """Each patch as blocks of cells with the side on which the patch lies."""
    begin, end, top = layout.leading[-1], layout.trailing, layout.tops
    inlet, impeller, outlet = slice(0, begin), slice(begin, end), slice(end, None)
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
    last = len(layout.cores) - 1
    for passage, leading in enumerate(layout.leading):
        name = "blade" if passage == last else "splitter"
        left, right = layout.gaps(passage)
        pressure = layout.walls(0 if passage == last else passage + 1)[0]
        along = slice(leading, end)
        walls[f"{name}_pressure"] = [(cell[along, pressure, :top], "j-")]
        walls[f"{name}_suction"] = [(cell[along, layout.walls(passage)[1] - 1, :top], "j+")]
        if layout.ring:
            walls[f"{name}_leading_edge"] = [(cell[leading + layout.ring - 1, left:right, :top], "i+")]
        walls[f"{name}_trailing_edge"] = [(cell[end, left:right, :top], "i-")] if layout.wake else []
        if layout.free:
            over = layout.tips(passage)
            walls[f"{name}_tip"] = [(cell[along, over[0] : over[1], layout.tip], "k-")]

    first, (left, right), core = layout.walls(0)[0], layout.gaps(last), layout.core(last)[1]
    low, high = [(cell[inlet, layout.core(0)[0]], "j-")], [(cell[inlet, right - 1 if layout.ring else core - 1], "j+")]
    if layout.ring:
        low += [(cell[begin, first : layout.core(0)[0]][::-1], "turned")]
        high += [(cell[begin : begin + layout.ring, right - 1], "j+")]
    if layout.free:
        low += [(cell[impeller, first, top:], "j-")]
        high += [(cell[impeller, layout.tips(last)[1] - 1, top:], "j+")]
    low += [(cell[outlet, first], "j-")]
    high += [(cell[outlet, right - 1 if layout.wake else layout.walls(last)[1] - 1], "j+")]
    walls["periodic_low"], walls["periodic_high"] = low, high
    return walls
