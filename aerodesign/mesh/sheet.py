"""A sheet midway through the blades, for passages that are laid out by hand: upright blades, channels with an exact answer.

A sheet is a grid of stations (along the flow) by layers (hub to shroud). It holds the meridional position, the camber
surface, continued past both edges of the blades, and the half thickness of full blades and splitters as angles.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Impeller
from aerodesign.mesh.chart import CAMBER_AHEAD as CAMBER_AHEAD
from aerodesign.mesh.chart import CAMBER_BEHIND as CAMBER_BEHIND
from aerodesign.mesh.size import EDGE_CELL, OUTLET_CELL, Size
from aerodesign.mesh.spacing import two_sided_tanh

Grid = NDArray[np.float64]

TAPER = 0.15  # of a blade's length: a wedge there instead of a round nose, which a grid of this kind cannot follow


@dataclass(frozen=True)
class Sheet:
    """Arrays of shape (stations + 1, layers + 1), metres and radians.

    ``m`` is the meridional length from the leading edge, ``half`` and ``splitter_half`` the angle from the camber
    surface to either side of a blade (constant in the wake), ``cos_beta`` the cosine of their angle to the meridional.
    """

    m: Grid
    z: Grid
    r: Grid
    theta: Grid
    half: Grid
    splitter_half: Grid
    cos_beta: Grid


@dataclass(frozen=True)
class Stations:
    """Where the stations lie: ``upstream`` 0..1 over the inlet, ``x`` 0..1 over the blades, ``downstream`` 0..1."""

    upstream: Grid
    x: Grid
    downstream: Grid
    leading: int
    splitter: int
    trailing: int


def stations(impeller: Impeller, *, size: Size, length: float, inlet: float, diffuser: float) -> Stations:
    """Stations along the flow, clustered at each edge; the arguments are lengths in metres."""
    edge = EDGE_CELL * length / size.blade
    if impeller.splitters:
        start = float(impeller.splitter_start)
        ahead = max(4, round(start * (size.blade + 4)))
        behind = max(8, size.blade + 4 - ahead)
        edges = edge / (length * start), edge / (length * (1 - start))
        before = two_sided_tanh(ahead, first=edges[0], last=edges[0])
        after = two_sided_tanh(behind, first=edges[1], last=edges[1])
        x, splitter = np.concatenate([start * before, start + (1 - start) * after[1:]]), size.inlet + ahead
    else:
        x, splitter = two_sided_tanh(size.blade, first=edge / length, last=edge / length), size.inlet

    return Stations(
        upstream=two_sided_tanh(size.inlet, first=min(6 * edge / inlet, 2 / size.inlet), last=edge / inlet),
        x=x,
        downstream=two_sided_tanh(
            size.diffuser, first=min(edge / diffuser, 1 / size.diffuser), last=OUTLET_CELL / size.diffuser
        ),
        leading=size.inlet,
        splitter=splitter,
        trailing=size.inlet + len(x) - 1,
    )
