"""How fine a passage mesh is."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Size:
    """Counts of cells, and the thickness of the first cell at a wall as a part of r2.

    ``inlet``, ``blade`` and ``diffuser`` count along the flow, ``across`` from blade to blade, ``layers`` from hub to
    shroud. Behind blunt trailing edges, and with splitters, some are added.
    """

    inlet: int
    blade: int
    diffuser: int
    across: int
    layers: int
    wall: float


SIZES = {
    "look": Size(inlet=12, blade=34, diffuser=28, across=17, layers=16, wall=1 / 450),
    "design": Size(inlet=20, blade=50, diffuser=30, across=24, layers=24, wall=1 / 750),
    "study": Size(inlet=28, blade=70, diffuser=40, across=33, layers=32, wall=1 / 1050),
}
"""For a look about 20 000 cells, for a design 60 000, for a study 150 000; without splitters."""
