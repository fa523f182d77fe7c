"""How fine a passage mesh is."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Size:
    """Counts of cells, and the height of the first cell at a wall as a part of r2.

    ``inlet``, ``blade`` and ``diffuser`` count along the flow, ``gap`` across a leading edge and a wake, ``tip`` in a clearance.
    ``across`` from blade to blade and ``layers`` from hub to shroud are least counts: there are more where neighbouring cells
    would differ by more than the ratio ``growth``. ``ring`` cells at the first height ``wall`` give the height of the ring that
    follows each blade's surface.
    """

    inlet: int
    blade: int
    diffuser: int
    across: int
    layers: int
    wall: float
    growth: float = 2.0
    ring: int = 3
    gap: int = 6
    tip: int = 4


EDGE_CELL = 0.5  # length of the cells at the blades' edges, in mean cells of the blade
OUTLET_CELL = 2.0  # length of the last cell, in mean cells of the diffuser
RING_GROWTH = 1.3
"""Ratio of neighbouring cells in the ring round a blade."""

SIZES = {
    "look": Size(inlet=12, blade=36, diffuser=24, across=14, layers=12, wall=1 / 450, growth=1.75),
    "design": Size(
        inlet=18, blade=54, diffuser=30, across=20, layers=18, wall=1 / 750, growth=1.4, ring=4, gap=8, tip=6
    ),
    "study": Size(
        inlet=26, blade=72, diffuser=40, across=26, layers=24, wall=1 / 1050, growth=1.3, ring=5, gap=10, tip=8
    ),
}
"""For a look about 20 000 cells, for a design 60 000, for a study 150 000; without splitters. A wheel with a radial inlet has two thirds of that."""


def ring_height(cells: int, first: float) -> float:
    """Height of a ring of cells that grow from the first one."""
    return float(first * (RING_GROWTH**cells - 1) / (RING_GROWTH - 1))


def ring_cells(height: float, first: float) -> int:
    """Cells that fill a ring's height from the first one on."""
    return max(2, round(float(np.log1p(height * (RING_GROWTH - 1) / first) / np.log(RING_GROWTH))))


def cells_between(width: float, first: float, *, growth: float, least: int) -> int:
    """Cells that fill a width from both walls, growing from the first one to the middle by a ratio."""
    half = np.log1p(width / 2 * (growth - 1) / first) / np.log(growth)
    return max(least, int(np.ceil(2 * half)))
