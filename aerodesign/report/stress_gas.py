"""The gas's pressure on the blades of a sector, from a simulated flow of the same wheel."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator

from aerodesign.cfd.simulate import Task, simulate
from aerodesign.cfd.solved import Solved
from aerodesign.core.errors import AerodesignError
from aerodesign.stress.sector import Sector

Array = NDArray[Any]

BLADES = ("blade", "splitter")


def simulated_flow(task: Task) -> Solved:
    """The flow at the design point: the one that lies in the folder, else run now. Raises AerodesignError where it is not to be believed."""
    (point,) = simulate(task).points
    if point.solved is None or not point.accepted:
        failed = [gate.name for gate in point.judged.gates if not gate.passed] if point.judged else [point.problem]
        raise AerodesignError(
            f"{point.case}: no pressure to be believed ({', '.join(failed)}); leave out --flow-pressure"
        )
    return point.solved


def pushed_by(flow: Solved, sector: Sector) -> Array:
    """Pressure on each pushed face of a sector less that on the blade's other side at the same place in the meridional plane (faces,).

    The metal's faces lie between those of the flow's mesh: linear between these, and as the nearest beside their outermost.
    """
    at = meridional(sector.pushed_corners.mean(axis=1))
    found = np.empty(len(at))
    for number, name in enumerate(BLADES):
        mine = sector.pushed_blade == number
        if mine.any():
            pressure, suction = (_over(flow, f"{name}_{side}", at[mine]) for side in ("pressure", "suction"))
            found[mine] = pressure - suction
    return found


def meridional(points: Array) -> Array:
    """(z, r) of points (n, 3)."""
    return np.stack([points[:, 2], np.hypot(points[:, 0], points[:, 1])], axis=1)


def _over(flow: Solved, patch: str, at: Array) -> Array:
    known = meridional(flow.mesh.points[flow.mesh.patches[patch]].mean(axis=1))
    values = flow.pressure[flow.mesh.owners[patch]]
    between = LinearNDInterpolator(known, values)(at)
    return np.where(np.isfinite(between), between, NearestNDInterpolator(known, values)(at))
