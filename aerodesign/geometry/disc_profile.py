"""A wheel as its rotor sees it: the disc's thickness by radius, what hangs on it, mass, centre of mass and moments of inertia."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Impeller
from aerodesign.core.quantities import Inertia, Length, Mass, Values
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import Body, points

Array = NDArray[Any]

NODES = 161
SPANS = np.linspace(0, 1, 5)
SIMPSON = np.array([1, 4, 2, 4, 1]) / 3


@dataclass(frozen=True, eq=False)
class WheelBody:
    """A wheel for stress and rotor, z along the flow from the leading edge.

    ``thickness`` at radii ``nodes`` is the metal's axial extent of the hub's body, ``face`` the z where it begins; ``hung`` is mass
    times radius of the blades by the node of the hub under them; ``cover`` is the thickness of a cover, at ``cover_nodes``. ``front``
    and ``back`` are the z of the body's ends. ``mass``, ``centre`` (z), ``polar`` and ``diametral`` moment of inertia (about the
    centre) count everything. What goes with the metal is for a density of 1 until :meth:`of` gives it another.
    """

    nodes: Length
    thickness: Length
    face: Length
    hung: Values
    cover_nodes: Length
    cover: Length
    front: Length
    back: Length
    mass: Mass
    centre: Length
    polar: Inertia
    diametral: Inertia

    def of(self, density: Values) -> "WheelBody":
        """The wheel with a density."""
        return WheelBody(
            nodes=self.nodes,
            thickness=self.thickness,
            face=self.face,
            hung=self.hung * density,
            cover_nodes=self.cover_nodes,
            cover=self.cover,
            front=self.front,
            back=self.back,
            mass=self.mass * density,
            centre=self.centre,
            polar=self.polar * density,
            diametral=self.diametral * density,
        )


def wheel_body(impeller: Impeller, blading: Blading, parts: Body) -> WheelBody:
    """The wheel of a blading and a body, of density 1."""
    t = np.linspace(parts.start, 1, 2001)
    hub = np.concatenate([parts.hub.at(t)[::-1]] + [points(curve, 401) for curve in parts.outline])
    nodes, moments = _sections(hub)
    mass = _revolved(nodes, moments)
    cover_nodes, cover = np.zeros(0), np.zeros(0)
    if parts.cover:
        shroud = np.concatenate([parts.shroud.at(t)[::-1]] + [points(curve, 401) for curve in parts.cover])
        cover_nodes, around = _sections(shroud)
        cover = around[0]
        mass = mass + _revolved(cover_nodes, around)

    volume, r, z, root = _blades(impeller, blading)
    hung = np.zeros(NODES)
    place = np.interp(root, nodes, np.arange(NODES))
    low = np.minimum(place.astype(int), NODES - 2)
    np.add.at(hung, low, volume * r * (low + 1 - place))
    np.add.at(hung, low + 1, volume * r * (place - low))
    mass = mass + np.array([np.sum(volume * f) for f in (1.0, z, z**2, r**2)])

    whole, first, second, polar = mass
    centre = first / whole
    return WheelBody(
        nodes=nodes,
        thickness=moments[0],
        face=moments[1] / moments[0] - moments[0] / 2,
        hung=hung,
        cover_nodes=cover_nodes,
        cover=cover,
        front=float(hub[:, 0].min()),
        back=float(hub[:, 0].max()),
        mass=float(whole),
        centre=float(centre),
        polar=float(polar),
        diametral=float(polar / 2 + second - whole * centre**2),
    )


def _sections(outline: Array) -> tuple[Array, Array]:
    """Radii of a closed outline (z, r) and the integrals of 1, z, z**2 along z through its metal there, (3, NODES).

    The radii stand half a step inside both ends, where the cut is clean.
    """
    z, r = outline.T
    z_next, r_next = np.roll(z, -1), np.roll(r, -1)
    low, high = r.min(), r.max()
    nodes = np.linspace(low, high, NODES)
    cut = np.clip(nodes, low + 1e-6 * (high - low), high - 1e-6 * (high - low))[:, None]
    crossing = (r <= cut) != (r_next <= cut)
    share = (cut - r) / np.where(r_next == r, 1, r_next - r)
    at = z + share * (z_next - z)
    # Going round, the metal lies always on the same side: up and down crossings bound it with opposite signs.
    sign = np.where(crossing, np.where(r_next > r, 1.0, -1.0), 0.0)
    moments = np.array([np.sum(sign * at**k / k, axis=1) for k in (1, 2, 3)])
    return nodes, moments * np.sign(moments[0].sum())


def _revolved(nodes: Array, moments: Array) -> Array:
    """Integrals of 1, z, z**2 and r**2 over the volume of a body of revolution."""
    count, first, second = moments
    return np.array([np.trapezoid(2 * np.pi * nodes * f, nodes) for f in (count, first, second, count * nodes**2)])


def _blades(impeller: Impeller, blading: Blading) -> tuple[Array, Array, Array, Array]:
    """Elements of all blades without fillets: volume, radius, z, and the radius of the hub under each."""
    lines = [blading.span(s) for s in SPANS]
    r, z, beta = (np.array([getattr(line, name) for line in lines]) for name in ("r", "z", "beta"))
    metal = 2 * np.array(
        [impeller.blades * line.half_thickness + impeller.splitters * line.splitter_half_thickness for line in lines]
    )
    # The thickness lies in the stream surface (m, r theta), so that the blade's lean across it does not count.
    r_along, r_across = (np.gradient(r, axis=axis) for axis in (1, 0))
    z_along, z_across = (np.gradient(z, axis=axis) for axis in (1, 0))
    area = np.abs(z_along * r_across - z_across * r_along) / np.cos(beta)
    weight = np.ones_like(r)
    weight[:, [0, -1]] *= 0.5
    volume = metal * area * weight * SIMPSON[:, None]
    root = np.broadcast_to(r[0], r.shape)
    return volume.ravel(), r.ravel(), z.ravel(), root.ravel()
