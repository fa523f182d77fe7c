"""The plane disc of :mod:`aerodesign.machine.disc` against an axisymmetric solution of the wheel's real section, which may bend.

Nine-node elements of a body of revolution, written for this test alone: what the plane model leaves out is what the two differ by.
"""

import numpy as np
import pytest
from conftest import WHEEL
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body
from aerodesign.geometry.disc_profile import _sections, wheel_body
from aerodesign.machine.disc import rotating_disc

MODULUS, POISSON, DENSITY, SPEED = 71.7e9, 0.33, 2810.0, 1900.0
GAUSS, WEIGHT = np.polynomial.legendre.leggauss(3)
NUMBERS = [(i, j) for i in range(3) for j in range(3)]


def quadratic(x):
    """The three quadratic shapes on -1, 0, 1 and their slopes."""
    return np.array([x * (x - 1) / 2, 1 - x**2, x * (x + 1) / 2]), np.array([x - 0.5, -2 * x, x + 0.5])


def solve(r, z):
    """Displacements (points, 2) of the free body with nodes r, z of shape (2 m + 1, 2 n + 1), axially held at one node; hoop stress there."""
    m, n = (np.array(r.shape) - 1) // 2
    number = np.arange(r.size).reshape(r.shape)
    cells = np.array([[number[2 * a + i, 2 * b + j] for i, j in NUMBERS] for a in range(m) for b in range(n)])
    R, Z = r.ravel()[cells], z.ravel()[cells]
    factor = MODULUS / ((1 + POISSON) * (1 - 2 * POISSON))
    D = factor * (POISSON * np.ones((3, 3)) + (1 - 2 * POISSON) * np.eye(3))
    shear = MODULUS / (2 * (1 + POISSON))
    K, F = np.zeros((len(cells), 18, 18)), np.zeros((len(cells), 18))
    for x, wx in zip(GAUSS, WEIGHT, strict=True):
        for y, wy in zip(GAUSS, WEIGHT, strict=True):
            (fx, dx), (fy, dy) = quadratic(x), quadratic(y)
            shape = np.array([fx[i] * fy[j] for i, j in NUMBERS])
            local = np.array([[dx[i] * fy[j], fx[i] * dy[j]] for i, j in NUMBERS])
            jacobian = np.stack([R @ local, Z @ local], axis=-1)  # rows: local direction
            slopes = np.einsum("eij,kj->eki", np.linalg.inv(jacobian), local)
            radius = R @ shape
            B = np.zeros((len(cells), 4, 18))
            B[:, 0, 0::2], B[:, 1, 1::2] = slopes[..., 0], slopes[..., 1]
            B[:, 2, 0::2] = shape / radius[:, None]
            B[:, 3, 0::2], B[:, 3, 1::2] = slopes[..., 1], slopes[..., 0]
            full = np.zeros((4, 4))
            full[:3, :3], full[3, 3] = D, shear
            weight = wx * wy * np.abs(np.linalg.det(jacobian)) * radius
            K += np.einsum("eai,ab,ebj,e->eij", B, full, B, weight)
            F[:, 0::2] += DENSITY * SPEED**2 * (weight * radius)[:, None] * shape
    unknowns = np.stack([2 * cells, 2 * cells + 1], axis=-1).reshape(len(cells), 18)
    rows, columns = np.repeat(unknowns, 18, axis=1).ravel(), np.tile(unknowns, (1, 18)).ravel()
    size = 2 * r.size
    stiffness = coo_array((K.ravel(), (rows, columns)), shape=(size, size)).tocsr()
    force = np.bincount(unknowns.ravel(), F.ravel(), size)
    free = np.setdiff1d(np.arange(size), [2 * number[0, -1] + 1])
    u = np.zeros(size)
    u[free] = spsolve(stiffness[free][:, free], force[free])
    return u.reshape(*r.shape, 2)


def grid(nodes, front, back, across=8):
    """Nodes of a section between two curves over the radius."""
    share = np.linspace(0, 1, 2 * across + 1)
    r = np.repeat(nodes[:, None], len(share), axis=1)
    return r, front[:, None] + (back - front)[:, None] * share


def test_the_solution_itself_on_an_even_disc():
    # thin, so that plane stress holds: bore's hoop stress of the annular disc in closed form
    nodes = np.linspace(0.03, 0.15, 81)
    u = solve(*grid(nodes, 0 * nodes, 0 * nodes + 0.004, across=2))
    pull = DENSITY * SPEED**2
    closed = (3 + POISSON) / 4 * pull * (0.15**2 + (1 - POISSON) / (3 + POISSON) * 0.03**2)
    assert MODULUS * u[0, :, 0].mean() / 0.03 == pytest.approx(closed, rel=1e-3)


@pytest.fixture(scope="module")
def section():
    """The bare wheel's section as curves over the radius, and its plane solution."""
    blading = Blading(WHEEL)
    parts = body(WHEEL, blading.meridional, lead=0.05)
    found = wheel_body(WHEEL, blading, parts)
    t = np.linspace(parts.start, 1, 2001)
    from aerodesign.geometry.body import points

    outline = np.concatenate([parts.hub.at(t)[::-1]] + [points(curve, 401) for curve in parts.outline])
    nodes, (thickness, first, _) = _sections(outline)
    middle = first / thickness
    plane = rotating_disc(
        nodes=nodes, thickness=found.thickness, speed=SPEED, density=DENSITY, modulus=MODULUS, poisson=POISSON
    )
    return nodes, middle - thickness / 2, middle + thickness / 2, plane


def test_a_wheel_alike_on_both_sides_is_as_the_plane_model_says(section):
    nodes, front, back, plane = section
    half = (back - front) / 2
    u = solve(*grid(nodes, -half, half))
    assert u[-1, :, 0].mean() == pytest.approx(plane.growth[-1], rel=0.10)
    hoop = MODULUS * u[0, :, 0] / nodes[0]
    print("symmetric", hoop.mean() / plane.at_bore, hoop.max() / plane.at_bore, u[-1, :, 0].mean() / plane.growth[-1])


def test_the_real_wheel_bends(section):
    nodes, front, back, plane = section
    u = solve(*grid(nodes, front, back))
    hoop = MODULUS * u[0, :, 0] / nodes[0]
    print("real", hoop.mean() / plane.at_bore, hoop.max() / plane.at_bore, u[-1, :, 0].mean() / plane.growth[-1], u[-1, :, 1].mean())
