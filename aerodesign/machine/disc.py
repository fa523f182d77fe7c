r"""The rotating disc of any profile, with temperature and blades hung on it.

Plane stress in a disc of thickness h(r), even through the thickness: radial displacement u on nodes along the radius, linear
between them, from the principle of virtual work. Bending of a disc that is not alike on both sides is left out, and so is a shaft
shrunk into the bore. Space first, designs last: radii ``(n, *designs)``.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.quantities import Density, Length, Ratio, Speed, Stress, TemperatureDifference, Values


@dataclass(frozen=True, eq=False)
class Disc:
    """Stresses of a disc: ``radial`` and ``hoop`` at ``r``, midway between the nodes; ``growth``, the nodes' displacement.

    ``at_bore`` and ``at_rim`` are the hoop stresses at the edges, which carry no radial stress; in a solid disc ``at_bore`` is the
    stress next to the centre.
    """

    nodes: Values
    r: Values
    radial: Values
    hoop: Values
    growth: Values
    at_bore: Stress
    at_rim: Stress

    @property
    def equivalent(self) -> Stress:
        """Von Mises' stress at ``r``."""
        return np.sqrt(self.radial**2 - self.radial * self.hoop + self.hoop**2)

    @property
    def highest(self) -> Stress:
        """The highest equivalent stress of the disc, its edges included."""
        edges = np.maximum(np.abs(self.at_bore), np.abs(self.at_rim))
        return np.maximum(self.equivalent.max(axis=0), edges)[()]


def rotating_disc(
    *,
    nodes: Length,
    thickness: Length,
    speed: Speed,
    density: Density,
    modulus: Stress,
    poisson: Ratio,
    hung: Values = 0.0,
    expansion: Values = 0.0,
    warmth: TemperatureDifference = 0.0,
) -> Disc:
    r"""A disc of ``thickness`` at ``nodes``, both (n, *designs), turning freely; bore and rim without load.

    ``hung`` is mass times radius (kg m) all round that hangs on each node and stiffens nothing: blades. ``warmth`` is the
    temperature of each node over that at which nothing is strained, K. With :math:`\epsilon_r = u'`, :math:`\epsilon_\theta = u/r`

    .. math:: \int h\,(\sigma_r\,\delta\epsilon_r + \sigma_\theta\,\delta\epsilon_\theta)\,r\,dr = \int h\rho\omega^2 r^2\,\delta u\,dr
        + \sum \frac{\omega^2 m r}{2\pi}\,\delta u

    with one point of integration in each element, where the stresses are most exact. A disc whose first node lies on the axis is solid.
    """
    profile = (nodes, thickness, hung, warmth)
    shape = np.broadcast_shapes(
        *(np.shape(x)[1:] for x in profile), *(np.shape(x) for x in (speed, density, modulus, poisson, expansion))
    )
    nodes, thickness, hung, warmth = (_spread(x, len(nodes), shape) for x in profile)

    length = np.diff(nodes, axis=0)
    r, h, warm = ((x[1:] + x[:-1]) / 2 for x in (nodes, thickness, warmth))
    stiff = modulus / (1 - poisson**2)
    grow, share = (
        1 / length,
        1 / (2 * r),
    )  # strains by the displacement of an element's second node; of its first with -grow

    weight = stiff * h * r * length
    low = weight * (grow**2 - 2 * poisson * grow * share + share**2)
    high = weight * (grow**2 + 2 * poisson * grow * share + share**2)
    cross = weight * (share**2 - grow**2)
    pull = density * speed**2 * h * r**2 * length / 2
    heat = weight * (1 + poisson) * expansion * warm

    diagonal, force = np.zeros_like(nodes), speed**2 * hung / (2 * np.pi)
    diagonal[:-1] += low
    diagonal[1:] += high
    force[:-1] += pull + heat * (share - grow)
    force[1:] += pull + heat * (share + grow)
    solid = nodes[0] <= 0
    diagonal[0] = np.where(solid, 1.0, diagonal[0])
    force[0] = np.where(solid, 0.0, force[0])
    upper = cross.copy()
    upper[0] = np.where(solid, 0.0, upper[0])
    u = _tridiagonal(upper, diagonal, force)

    radial_strain = (u[1:] - u[:-1]) * grow - expansion * warm
    hoop_strain = (u[1:] + u[:-1]) * share - expansion * warm
    radial = stiff * (radial_strain + poisson * hoop_strain)
    hoop = stiff * (hoop_strain + poisson * radial_strain)
    bore = modulus * (u[0] / np.where(solid, 1, nodes[0]) - expansion * warmth[0])
    return Disc(
        nodes=nodes,
        r=r,
        radial=radial,
        hoop=hoop,
        growth=u,
        at_bore=np.where(solid, hoop[0], bore)[()],
        at_rim=(modulus * (u[-1] / nodes[-1] - expansion * warmth[-1]))[()],
    )


def _spread(values: Values, count: int, shape: tuple[int, ...]) -> Values:
    """Values along the radius, (count, *designs) or one number, for all designs."""
    values = np.asarray(values, float)
    inner = values.shape[1:]
    along = values.reshape(values.shape[:1] + (1,) * (len(shape) - len(inner)) + inner) if values.ndim else values
    return np.broadcast_to(along, (count, *shape))


def _tridiagonal(side: Values, diagonal: Values, right: Values) -> Values:
    """Solve a symmetric tridiagonal system along the first axis for all designs at once."""
    steps = len(diagonal)
    pivot, reduced = [diagonal[0]], [right[0]]
    for i in range(1, steps):
        factor = side[i - 1] / pivot[-1]
        pivot.append(diagonal[i] - factor * side[i - 1])
        reduced.append(right[i] - factor * reduced[-1])
    found = [reduced[-1] / pivot[-1]]
    for i in range(steps - 2, -1, -1):
        found.append((reduced[i] - side[i] * found[-1]) / pivot[i])
    return np.array(found[::-1])


def mean_hoop(*, nodes: Length, thickness: Length, speed: Speed, density: Density, hung: Values = 0.0) -> Stress:
    r"""Mean hoop stress of the disc's section: half the disc is held by its two cut faces.

    .. math:: \bar\sigma = \omega^2\,\Big(\rho\int h r^2\,dr + \sum\frac{m r}{2\pi}\Big) \Big/ \int h\,dr
    """
    nodes, thickness = np.asarray(nodes, float), np.asarray(thickness, float)
    length, r = np.diff(nodes, axis=0), (nodes[1:] + nodes[:-1]) / 2
    h = (thickness[1:] + thickness[:-1]) / 2
    area = np.sum(h * length, axis=0)
    load = density * np.sum(h * r**2 * length, axis=0) + np.sum(hung, axis=0) / (2 * np.pi)
    return (speed**2 * load / area)[()]
