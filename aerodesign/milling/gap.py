"""The least distance in space between the faces of neighbouring blades, outside their fillets, and where it is."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from aerodesign.geometry.meridional import Array
from aerodesign.milling.sheets import ACROSS, ALONG, patch, turned
from aerodesign.milling.wheel import Blade, Passage, Wheel

ZOOMS, FINE = 4, 9
"""The search closes in so often on so many points a side: from a millimetre to below a micrometre."""


@dataclass(frozen=True)
class Gap:
    """Least distance between two faces; radius and place along the axis of its middle, height of the higher blade there."""

    name: str
    distance: float
    r: float
    z: float
    depth: float


def least_gaps(wheel: Wheel) -> list[Gap]:
    """The least gap of every pair of neighbours."""
    pairs = [passage for passage in wheel.passages if passage.start < passage.end]
    return [_least(passage) for passage in pairs]


def _least(passage: Passage) -> Gap:
    behind, ahead = passage.behind, passage.ahead
    one, other = turned(behind.pressure.face, behind.angle), turned(ahead.suction.face, ahead.angle)
    # a wider passage ahead of splitters counts as far as it goes
    rows = np.arange(len(one)) if passage.end == 1.0 else np.flatnonzero(behind.pressure.track[:, 1] <= passage.end)
    rows = rows if len(rows) > 1 else np.arange(2)
    distance, index = cKDTree(other.reshape(-1, 3)).query(one[rows].reshape(-1, 3))
    first = int(np.argmin(distance))
    i, j = rows[first // ACROSS], first % ACROSS
    k, m = divmod(int(index[first]), ACROSS)
    places = np.array([behind.pressure.u[i], behind.pressure.v[j], ahead.suction.u[k], ahead.suction.v[m]])
    p, q = _closest(behind, ahead, places)
    middle = (p + q) / 2
    return Gap(
        passage.name,
        float(np.linalg.norm(p - q)),
        float(np.hypot(middle[0], middle[1])),
        float(middle[2]),
        float(max(behind.pressure.height[i], ahead.suction.height[k])),
    )


def _closest(behind: Blade, ahead: Blade, places: Array) -> tuple[Array, Array]:
    """The two nearest points of two faces near given places (u, v, u, v): grids that close in on the best pair."""
    half = np.array([1.5 / (ALONG * 48), 1.5 / ACROSS, 1.5 / (ALONG * 48), 1.5 / ACROSS])
    p = q = np.zeros(3)
    for _ in range(ZOOMS):
        grid = [np.linspace(max(c - h, 0.0), min(c + h, 1.0), FINE) for c, h in zip(places, half, strict=True)]
        # one side of a blade ends at its nose, half way round the skin
        grid[0], grid[2] = np.unique(np.maximum(grid[0], 0.5)), np.unique(np.minimum(grid[2], 0.5))
        one = turned(patch(behind.skin, grid[0], grid[1]), behind.angle)
        other = turned(patch(ahead.skin, grid[2], grid[3]), ahead.angle)
        shape = one.shape[:2], other.shape[:2]
        distance = np.linalg.norm(one.reshape(-1, 1, 3) - other.reshape(1, -1, 3), axis=2)
        a, b = np.unravel_index(np.argmin(distance), distance.shape)
        (i, j), (k, m) = divmod(int(a), shape[0][1]), divmod(int(b), shape[1][1])
        places = np.array([grid[0][i], grid[1][j], grid[2][k], grid[3][m]])
        p, q = one[i, j], other[k, m]
        half = half / (FINE - 1) * 1.5
    return p, q
