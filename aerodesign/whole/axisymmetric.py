r"""Stress of the wheel's body as a body of revolution, which may bend: a disc with the hub on one side does.

Nine-node elements in the section, on a grid of radii by shares of the thickness from front to back; displacements (radial, axial).
The solution is the sum of one that grows with the square of the speed and one of the heat. One wheel at a time.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from aerodesign.core.quantities import Density, Length, Ratio, Speed, Stress, TemperatureDifference, Values

Array = NDArray[Any]

GAUSS, WEIGHTS = np.polynomial.legendre.leggauss(3)
NUMBERS = [(i, j) for i in range(3) for j in range(3)]
CELLS_ACROSS = 5


@dataclass(frozen=True, eq=False)
class Field:
    """Displacement (radii, shares, 2) at the nodes, and stresses radial, axial, hoop, shear at the points of integration, (4, cells, 9)."""

    displacement: Array
    stress: Array

    def times(self, factor: float, other: "Field") -> "Field":
        """So many times the field, and another."""
        return Field(factor * self.displacement + other.displacement, factor * self.stress + other.stress)

    @property
    def none(self) -> "Field":
        """No displacement and no stress, on the same nodes and points."""
        return Field(0 * self.displacement, 0 * self.stress)

    @cached_property
    def equivalent(self) -> Array:
        """Von Mises' stress, (cells, 9)."""
        radial, axial, hoop, shear = self.stress
        squares = (radial - axial) ** 2 + (axial - hoop) ** 2 + (hoop - radial) ** 2
        return np.asarray(np.sqrt(squares / 2 + 3 * shear**2))


@dataclass(frozen=True, eq=False)
class Section:
    """A solved section: nodes ``r``, ``z`` (radii, shares from front to back), the points of integration (cells, 9), and the two fields."""

    r: Array
    z: Array
    point_r: Array
    point_z: Array
    spin: Field
    heat: Field

    def at(self, speed: Speed, *, heat: bool = True) -> Field:
        """Displacement and stress at a speed, with the heat's share or without."""
        return self.spin.times(float(speed) ** 2, self.heat if heat else self.heat.none)


def solve_section(
    *,
    nodes: Length,
    front: Length,
    back: Length,
    density: Density,
    modulus: Stress,
    poisson: Ratio,
    hung: Values = 0.0,
    expansion: Values = 0.0,
    warmth: TemperatureDifference = 0.0,
    across: int = CELLS_ACROSS,
) -> Section:
    """The body of revolution between ``front`` and ``back`` (z) over an odd number of radii ``nodes``, held axially at the bore's back edge.

    ``hung`` is mass times radius (kg m), all round, that hangs on the front face at each radius and stiffens nothing; ``warmth`` by
    radius. A body whose first radius is 0 is solid there.
    """
    share = np.linspace(0, 1, 2 * across + 1)
    r = np.repeat(np.asarray(nodes, float)[:, None], len(share), axis=1)
    z = front[:, None] + (back - front)[:, None] * share
    warm = np.repeat(np.broadcast_to(warmth, np.shape(nodes))[:, None], len(share), axis=1)

    number = np.arange(r.size).reshape(r.shape)
    m, n = (r.shape[0] - 1) // 2, across
    cells = np.array([[number[2 * a + i, 2 * b + j] for i, j in NUMBERS] for a in range(m) for b in range(n)])
    elastic = _elasticity(modulus, poisson)
    free_strain = expansion * np.array([1.0, 1.0, 1.0, 0.0])

    K = np.zeros((len(cells), 18, 18))
    loads = np.zeros((2, len(cells), 18))
    points = []
    for share_of_cell, shape, local in _points():
        radius, strain, weight = _at_point(r.ravel()[cells], z.ravel()[cells], shape, local)
        weight = weight * share_of_cell
        stressed = elastic @ strain
        K += np.swapaxes(strain, 1, 2) @ stressed * weight[:, None, None]
        loads[0, :, 0::2] += density * (weight * radius)[:, None] * shape
        hot = warm.ravel()[cells] @ shape
        loads[1] += (hot * weight)[:, None] * (np.swapaxes(strain, 1, 2) @ (elastic @ free_strain))
        points.append((radius, z.ravel()[cells] @ shape, strain, hot))

    unknowns = np.stack([2 * cells, 2 * cells + 1], axis=-1).reshape(len(cells), 18)
    size = 2 * r.size
    force = np.stack([np.bincount(unknowns.ravel(), load.ravel(), size) for load in loads], axis=1)
    force[2 * number[:, 0], 0] += np.broadcast_to(hung, np.shape(nodes)) / (2 * np.pi)
    held = [2 * number[0, -1] + 1, *(2 * number[0] if nodes[0] <= 0 else [])]
    u = _solved(K, unknowns, force, held)

    fields = []
    for k, factor in ((0, 0.0), (1, 1.0)):
        inside = u[:, k][unknowns]
        stress = [
            (np.einsum("eai,ei->ea", strain, inside) - factor * hot[:, None] * free_strain) @ elastic
            for _, _, strain, hot in points
        ]
        fields.append(Field(u[:, k].reshape(*r.shape, 2), np.moveaxis(np.array(stress), (0, 1, 2), (2, 1, 0))))
    place = [np.stack([point[i] for point in points], axis=1) for i in (0, 1)]
    return Section(r, z, place[0], place[1], fields[0], fields[1])


def _elasticity(modulus: float, poisson: float) -> Array:
    """Stress by strain, in the order radial, axial, hoop, shear."""
    lame = modulus / ((1 + poisson) * (1 - 2 * poisson))
    matrix = np.zeros((4, 4))
    matrix[:3, :3] = lame * (poisson * np.ones((3, 3)) + (1 - 2 * poisson) * np.eye(3))
    matrix[3, 3] = modulus / (2 * (1 + poisson))
    return matrix


def _points() -> list[tuple[float, Array, Array]]:
    """Weight, shape functions (9,) and their local slopes (9, 2) at the nine points of integration."""
    found = []
    for x, wx in zip(GAUSS, WEIGHTS, strict=True):
        for y, wy in zip(GAUSS, WEIGHTS, strict=True):
            (fx, dx), (fy, dy) = _quadratic(x), _quadratic(y)
            shape = np.array([fx[i] * fy[j] for i, j in NUMBERS])
            local = np.array([[dx[i] * fy[j], fx[i] * dy[j]] for i, j in NUMBERS])
            found.append((float(wx * wy), shape, local))
    return found


def _quadratic(x: float) -> tuple[Array, Array]:
    """The three quadratic shapes on -1, 0, 1 and their slopes."""
    return np.array([x * (x - 1) / 2, 1 - x**2, x * (x + 1) / 2]), np.array([x - 0.5, -2 * x, x + 0.5])


def _at_point(R: Array, Z: Array, shape: Array, local: Array) -> tuple[Array, Array, Array]:
    """Radius, strain by displacement (cells, 4, 18) and radius times area (of local weight 1) of all cells at one point."""
    jacobian = np.stack([R @ local, Z @ local], axis=-1)  # local direction, then r or z
    slopes = np.einsum("eij,kj->eki", np.linalg.inv(jacobian), local)
    radius = R @ shape
    strain = np.zeros((len(R), 4, 18))
    strain[:, 0, 0::2] = strain[:, 3, 1::2] = slopes[..., 0]
    strain[:, 1, 1::2] = strain[:, 3, 0::2] = slopes[..., 1]
    strain[:, 2, 0::2] = shape / radius[:, None]
    return radius, strain, np.abs(np.linalg.det(jacobian)) * radius


def _solved(K: Array, unknowns: Array, force: Array, held: list[int]) -> Array:
    """Displacements of all unknowns for all right-hand sides; ``held`` ones stay where they are."""
    size = len(force)
    rows, columns = np.repeat(unknowns, 18, axis=1).ravel(), np.tile(unknowns, (1, 18)).ravel()
    matrix = coo_array((K.ravel(), (rows, columns)), shape=(size, size)).tocsc()
    free = np.setdiff1d(np.arange(size), held)
    u = np.zeros_like(force)
    u[free] = splu(matrix[free][:, free].tocsc()).solve(force[free])
    return u
