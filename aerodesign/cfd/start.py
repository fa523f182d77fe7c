"""Fields to start from: velocity, temperature and pressure in every cell as the meanline sees them.

The answer does not depend on the start (runs from rest end alike); a near one spares the solver its worst transients.
"""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.foam import read_field
from aerodesign.cfd.point import FlowPoint
from aerodesign.cfd.solved import Solved
from aerodesign.core.quantities import Pressure, Temperature, Values, Velocity
from aerodesign.core.record import Record, record
from aerodesign.mesh.hexahedra import FACES, area_vectors
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.quality import cell_centres

TURN_IN = 4.0  # the gas follows the blades from a quarter of their length on ...
DEVIATION = 0.15  # ... and falls short of them by this part at the exit
COLDEST = 0.75  # of the inlet's total temperature: near choke the guess would go below
RECOVERED = 0.9  # of the work that shows as pressure

Array = NDArray[np.float64]


@record
class StartFields(Record):
    """Values in the cells: velocity (n, 3), static temperature and pressure (n,), and the two of the frame.

    ``turning`` (n, 3) is the velocity of the rotating frame; ``base`` is the temperature that gas of the inlet's rothalpy has
    where it rests in that frame. ``k`` and ``omega`` are the turbulence's, nan where it starts with one value for all.
    """

    velocity: Velocity
    temperature: Temperature
    pressure: Pressure
    turning: Velocity
    base: Temperature
    k: Values = float("nan")
    omega: Values = float("nan")


def frame(centres: Array, point: FlowPoint) -> tuple[Array, Array]:
    """Velocity of the rotating frame at points, and the temperature there of gas that rests in it."""
    turning = point.speed * np.stack([-centres[:, 1], centres[:, 0], 0 * centres[:, 0]], axis=1)
    base = point.Tt + np.sum(turning**2, axis=1) / (2 * point.cp)
    return turning, np.asarray(base)


def start_fields(mesh: Mesh, point: FlowPoint) -> StartFields:
    """The meanline's fields for a point: one-dimensional along the passage, the swirl along the blades."""
    centres = cell_centres(mesh.points, mesh.hexes)
    r = np.hypot(centres[:, 0], centres[:, 1])
    outward, round_ = (np.stack(v, axis=1) / r[:, None] for v in (
        (centres[:, 0], centres[:, 1], 0 * r), (-centres[:, 1], centres[:, 0], 0 * r)))  # fmt: skip

    station = mesh.ijk[:, 0]
    along, slope = _direction(mesh, outward, round_)
    part = np.clip((station - mesh.leading_edge) / (mesh.trailing_edge - mesh.leading_edge), 0, 1)
    rho = point.rho1 + (point.rho2 - point.rho1) * part

    faces = area_vectors(mesh.points, mesh.hexes[:, FACES["i+"]])
    area = point.blades * np.bincount(station, np.einsum("ij,ij->i", faces, along))[station]
    cm = point.mass_flow / (rho * area)

    bound = (point.speed * r + cm * slope) * np.minimum(1, TURN_IN * part) * (1 - DEVIATION * part)
    free = point.cu2 * point.r2 / r
    cu = np.where(station < mesh.leading_edge, 0, np.where(station < mesh.trailing_edge, bound, free))
    velocity = cm[:, None] * along + cu[:, None] * round_

    turning, base = frame(centres, point)
    temperature = np.maximum(base - np.sum((velocity - turning) ** 2, axis=1) / (2 * point.cp), COLDEST * point.Tt)
    total = np.maximum(point.Tt + point.speed * r * cu / point.cp, COLDEST * point.Tt)
    reached = 1 + RECOVERED * (total / point.Tt - 1)
    pressure = point.pt * (reached * np.minimum(temperature / total, 1)) ** (point.cp / point.R)
    return StartFields(velocity=velocity, temperature=temperature, pressure=pressure, turning=turning, base=base)


def continued(solved: Solved, point: FlowPoint, *, case: Path) -> StartFields:
    """The fields of a solved neighbour on the same mesh, to start another point from."""
    turning, base = frame(solved.centres, point)
    turbulence = {name: read_field(case / str(solved.iteration) / name).cells for name in ("k", "omega")}
    return StartFields(
        velocity=solved.velocity.cells,
        temperature=np.array(solved.temperature),
        pressure=np.array(solved.pressure),
        turning=turning,
        base=base,
        **turbulence,
    )


def _direction(mesh: Mesh, outward: Array, round_: Array) -> tuple[Array, Array]:
    """Meridional unit vector of each cell, and the tangential slope of its grid line."""
    corners = mesh.points[mesh.hexes]
    line = corners[:, FACES["i+"]].mean(axis=1) - corners[:, FACES["i-"]].mean(axis=1)
    radial, tangential = (np.einsum("ij,ij->i", line, v) for v in (outward, round_))
    length = np.hypot(radial, line[:, 2])
    along = (radial / length)[:, None] * outward
    along[:, 2] += line[:, 2] / length
    return along, np.asarray(tangential / length)
