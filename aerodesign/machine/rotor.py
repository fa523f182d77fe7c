r"""A rotor as beam elements with discs on springs: critical speeds, whirl, response to unbalance, deflection.

Shaft, discs and supports are alike in all directions, so that whirl is circular and one complex plane, :math:`u = x + iy`, holds both
directions. A node has a deflection and a slope. Elements after Timoshenko with rotary inertia and gyroscopic terms; matrices in the
form of Nelson (1980, from memory). Space first, designs last: elements ``(n, *designs)``.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.quantities import (
    Density,
    Force,
    Inertia,
    Length,
    Mass,
    Ratio,
    Speed,
    Stiffness,
    Stress,
    Torque,
    Unbalance,
    Values,
)

Array = NDArray[Any]

SHEAR_SHAPE = 0.886
"""Shear coefficient of a solid circle at Poisson's ratio 0.3, 6 (1 + nu) / (7 + 6 nu): Cowper (1966, from memory)."""


@dataclass(frozen=True, eq=False)
class Rotor:
    """Matrices of a rotor, shape (*designs, 2 n, 2 n) for n nodes; ``z`` are the nodes' places, (n, *designs)."""

    z: Values
    mass: Array
    gyroscopic: Array
    stiffness: Array

    @property
    def synchronous(self) -> Array:
        """What takes the mass's place where the whirl goes round with the shaft: mass less gyroscopic matrix."""
        return self.mass - self.gyroscopic


def rotor(
    *,
    length: Length,
    diameter: Length,
    modulus: Stress,
    density: Density,
    poisson: Ratio = 0.3,
    mass: Mass = 0.0,
    polar: Inertia = 0.0,
    diametral: Inertia = 0.0,
    support: Stiffness = 0.0,
    diameter_mass: Length | None = None,
) -> Rotor:
    """A rotor of n elements of ``length`` and ``diameter``, both (n, *designs); what sits on the n + 1 nodes in the others.

    ``mass``, ``polar`` and ``diametral`` moments of inertia of discs and ``support`` stiffnesses are (n + 1, *designs).
    ``diameter_mass`` is the diameter that counts for the shaft's mass where it carries what stiffens nothing.
    """
    length, diameter = np.broadcast_arrays(np.asarray(length, float), np.asarray(diameter, float))
    heavy = diameter if diameter_mass is None else np.asarray(diameter_mass, float)
    designs = np.broadcast_shapes(
        *(np.shape(x)[1:] for x in (length, diameter, heavy, mass, polar, diametral, support)),
        *(np.shape(x) for x in (modulus, density)),
    )
    count = len(length)
    M, G, K = (np.zeros((*designs, 2 * count + 2, 2 * count + 2)) for _ in range(3))
    for i in range(count):
        here = (..., slice(2 * i, 2 * i + 4), slice(2 * i, 2 * i + 4))
        m, g, k = _element(length[i], diameter[i], heavy[i], modulus, density, poisson)
        M[here] += m
        G[here] += g
        K[here] += k
    for i in range(count + 1):
        M[..., 2 * i, 2 * i] += _entry(mass, i)
        M[..., 2 * i + 1, 2 * i + 1] += _entry(diametral, i)
        G[..., 2 * i + 1, 2 * i + 1] += _entry(polar, i)
        K[..., 2 * i, 2 * i] += _entry(support, i)
    z = np.concatenate([np.zeros_like(length[:1]), np.cumsum(length, axis=0)])
    return Rotor(z=z, mass=M, gyroscopic=G, stiffness=K)


def _entry(values: Values, i: int) -> Values:
    return np.asarray(values)[i] if np.ndim(values) else values


def _element(
    length: Values, diameter: Values, heavy: Values, modulus: Values, density: Values, poisson: Values
) -> tuple[Array, Array, Array]:
    """Mass, gyroscopic and stiffness matrix of one element, (*designs, 4, 4); unknowns u1, slope1, u2, slope2."""
    area, second = np.pi * diameter**2 / 4, np.pi * diameter**4 / 64
    s = 24 * (1 + poisson) * second / (SHEAR_SHAPE * area * length**2)  # 12 E I over shape G A l^2
    length, s, heavy = np.broadcast_arrays(length, s, heavy)
    line, turn = density * np.pi * heavy**2 / 4, density * np.pi * heavy**4 / 64

    k = _symmetric(12, 6 * length, -12, 6 * length, (4 + s) * length**2, -6 * length, (2 - s) * length**2,
                   12, -6 * length, (4 + s) * length**2, like=length)  # fmt: skip
    a, c = 13 / 35 + 7 * s / 10 + s**2 / 3, 9 / 70 + 3 * s / 10 + s**2 / 6
    b, d = (11 / 210 + 11 * s / 120 + s**2 / 24) * length, (13 / 420 + 3 * s / 40 + s**2 / 24) * length
    e, f = (1 / 105 + s / 60 + s**2 / 120) * length**2, (1 / 140 + s / 60 + s**2 / 120) * length**2
    m = _symmetric(a, b, c, -d, e, d, -f, a, -b, e, like=length)
    a, b = 6 / 5 + 0 * s, (1 / 10 - s / 2) * length
    c, d = (2 / 15 + s / 6 + s**2 / 3) * length**2, (1 / 30 + s / 6 - s**2 / 6) * length**2
    r = _symmetric(a, b, -a, b, c, -b, -d, a, -b, c, like=length)

    r = r * (turn / (length * (1 + s) ** 2))[..., None, None]
    m = m * (line * length / (1 + s) ** 2)[..., None, None] + r
    return m, 2 * r, k * (modulus * second / (length**3 * (1 + s)))[..., None, None]


def _symmetric(*upper: Values, like: Values) -> Array:
    """A symmetric 4 x 4 matrix per design from its upper triangle, row by row."""
    a, b, c, d, e, f, g, h, i, j = (np.broadcast_to(x, np.shape(like)) for x in upper)
    rows = ((a, b, c, d), (b, e, f, g), (c, f, h, i), (d, g, i, j))
    return np.moveaxis(np.array(rows, float), (0, 1), (-2, -1))


def _turned(matrix: Array) -> Array:
    return np.swapaxes(matrix, -1, -2)


def critical_speeds(rotor: Rotor, count: int = 3) -> Speed:
    r"""The lowest critical speeds, (count, *designs): where whirl forward meets the shaft's speed; infinite where there is none.

    :math:`\det(K - \Omega^2 (M - G)) = 0`; K is positive definite, so that all :math:`1/\Omega^2` are real. A disc with more
    polar than diametral inertia has no critical speed of its own in tilting: its :math:`1/\Omega^2` is negative.
    """
    half = np.linalg.inv(np.linalg.cholesky(rotor.stiffness))
    inverse = np.linalg.eigvalsh(half @ rotor.synchronous @ _turned(half))[..., ::-1][..., :count]
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(inverse > 0, 1 / np.sqrt(inverse), np.inf)
    return np.moveaxis(found, -1, 0)


def mode_shapes(rotor: Rotor, count: int = 3) -> Values:
    """Deflections of the nodes at the lowest critical speeds, (count, nodes, *designs), the largest of each 1."""
    half = np.linalg.inv(np.linalg.cholesky(rotor.stiffness))
    _, vectors = np.linalg.eigh(half @ rotor.synchronous @ _turned(half))
    shapes = (_turned(half) @ vectors)[..., ::2, ::-1][..., :count]
    peak = np.take_along_axis(shapes, np.abs(shapes).argmax(axis=-2, keepdims=True), axis=-2)
    return np.moveaxis(shapes / peak, (-1, -2), (0, 1))


def whirl(rotor: Rotor, speed: Speed, count: int = 3) -> tuple[Speed, Speed]:
    r"""Whirl speeds of the free rotor turning at ``speed``: backward and forward, each (count, *speeds, *designs).

    :math:`(K + \omega\Omega G - \omega^2 M)\,\phi = 0` as a symmetric problem of twice the size, whose positive values whirl forward.
    """
    speed = np.asarray(speed, float)
    M, G, K = (
        np.broadcast_to(x, np.broadcast_shapes(x.shape, (*speed.shape, 1, 1)))
        for x in (rotor.mass, rotor.gyroscopic, rotor.stiffness)
    )
    half = np.linalg.inv(np.linalg.cholesky(M))
    spin = speed[..., None, None] * (half @ G @ _turned(half))
    link = half @ np.linalg.cholesky(K)
    found = np.linalg.eigvalsh(np.block([[spin, link], [_turned(link), np.zeros_like(link)]]))
    size = K.shape[-1]
    backward, forward = -found[..., :size][..., ::-1], found[..., size:]
    return np.moveaxis(backward[..., :count], -1, 0), np.moveaxis(forward[..., :count], -1, 0)


def unbalance_response(rotor: Rotor, *, speed: Speed, unbalance: Unbalance, node: int, loss: Ratio) -> Length:
    r"""Radius of the whirl of each node, (nodes, *speeds, *designs), by an unbalance at one of them.

    :math:`(K(1 + i\eta) - \Omega^2(M - G))\,q = \Omega^2 U`, with all damping in one loss factor.
    """
    speed = np.asarray(speed, float)
    matrix = rotor.stiffness * (1 + 1j * loss) - speed[..., None, None] ** 2 * rotor.synchronous
    force = np.zeros((*matrix.shape[:-1], 1))
    force[..., 2 * node, 0] = speed**2 * unbalance
    return np.moveaxis(np.abs(np.linalg.solve(matrix, force)[..., ::2, 0]), -1, 0)


def deflection(rotor: Rotor, force: Force) -> Length:
    """Static deflection of the nodes, (nodes, *designs), by a force on each, (nodes, *designs)."""
    force = np.moveaxis(np.asarray(force, float), 0, -1)
    load = np.zeros((*np.broadcast_shapes(force.shape[:-1], rotor.stiffness.shape[:-2]), rotor.stiffness.shape[-1], 1))
    load[..., ::2, 0] = force
    return np.moveaxis(np.linalg.solve(rotor.stiffness, load)[..., ::2, 0], -1, 0)


def separation(critical: Speed, *, slowest: Speed, fastest: Speed) -> Ratio:
    """Distance of the nearest critical speed, (count, *designs), from the range of running speeds, relative to its end; 0 inside."""
    away = np.maximum(critical / fastest - 1, 1 - critical / slowest)
    return np.maximum(np.min(away, axis=0), 0)[()]


def shaft_stress(*, moment: Torque, torque: Torque, diameter: Length) -> Stress:
    r"""Von Mises' stress on the surface of a round shaft that is bent and twisted; notches are not counted.

    .. math:: \sigma = \sqrt{\sigma_b^2 + 3\tau^2}, \quad \sigma_b = \frac{32 M}{\pi d^3}, \quad \tau = \frac{16 T}{\pi d^3}
    """
    bending, twist = 32 * np.abs(moment) / (np.pi * diameter**3), 16 * torque / (np.pi * diameter**3)
    return np.sqrt(bending**2 + 3 * twist**2)
