"""A solved flow in the volute, read back: values in the cells, fluxes, and the ring of faces at the base circle."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.foam import Field
from aerodesign.cfd.polyhedra import Polyhedra, read_polyhedra
from aerodesign.cfd.solved import Surface, latest, read_fields
from aerodesign.cfd.volute_point import VolutePoint

Array = NDArray[np.float64]
BINS = 36
"""Sectors of the circle over which pressure is averaged."""


@dataclass(frozen=True, eq=False)
class VoluteSolved:
    """The latest state of a run on its mesh."""

    mesh: Polyhedra
    point: VolutePoint
    iteration: int
    velocity: Field
    pressure: Field
    temperature: Field
    flux: Field

    @cached_property
    def cells(self) -> dict[str, Array]:
        """Values in the cells by name, as :func:`at_rest` gives them."""
        return at_rest(
            self.point, self.mesh.cell_centre, self.velocity.cells, self.pressure.cells, self.temperature.cells
        )

    def boundary(self, patch: str) -> Surface:
        """The faces of a patch, the flux counted out of the domain."""
        which = self.mesh.patches[patch]
        owner, centre = self.mesh.owner[which], self.mesh.centre[which]
        values = {}
        for name, field in (("U", self.velocity), ("p", self.pressure), ("T", self.temperature)):
            value = field.patches.get(patch, field.cells[owner])  # without a value of its own a face has its cell's
            values[name] = np.broadcast_to(value, (len(owner), 3) if name == "U" else (len(owner),))
        return Surface(
            flux=np.broadcast_to(self.flux.patches[patch], owner.shape),
            area=self.mesh.area[which],
            centre=centre,
            layer=0 * owner,
            values=at_rest(self.point, centre, values["U"], values["p"], values["T"]),
        )

    @cached_property
    def base_circle(self) -> Surface:
        """The faces between the cells within the base circle and those beyond it, the flux counted outwards.

        They follow the cells, so what passes them is balanced to rounding; they lie within half a cell of the circle.
        """
        centre, inside = self.mesh.cell_centre, self.mesh.inside
        within = (np.hypot(centre[:, 0], centre[:, 1]) < self.point.r3) & (np.abs(centre[:, 2]) < self.point.b3)
        own, other = self.mesh.owner[:inside], self.mesh.neighbour
        crossing = np.flatnonzero(within[own] != within[other])
        sign = np.where(within[own[crossing]], 1.0, -1.0)
        face = self.mesh.centre[crossing]
        near, far = (np.linalg.norm(centre[c[crossing]] - face, axis=1) for c in (own, other))
        weight = far / (near + far)
        values = {name: weight * v[own[crossing]] + (1 - weight) * v[other[crossing]] for name, v in self.cells.items()}
        return Surface(
            flux=sign * self.flux.cells[crossing],
            area=sign[:, None] * self.mesh.area[crossing],
            centre=face,
            layer=0 * crossing,
            values=values,
        )


def at_rest(point: VolutePoint, at: Array, velocity: Array, p: Array, T: Array) -> dict[str, Array]:
    """Values at points: ``p``, ``T``, ``Tt``, ``pt``, ``rho``, ``c``, radial ``cr``, ``cu``, ``rcu``, ``cx``, ``cy``."""
    r = np.hypot(at[:, 0], at[:, 1])
    cx, cy, cz = velocity.T
    rcu = at[:, 0] * cy - at[:, 1] * cx
    square = cx**2 + cy**2 + cz**2
    warmed = 1 + square / (2 * point.cp * T)
    return dict(
        p=p, T=T, Tt=T * warmed, pt=p * warmed ** (point.cp / point.R), rho=p / (point.R * T), c=np.sqrt(square),
        cr=(at[:, 0] * cx + at[:, 1] * cy) / r, cu=rcu / r, rcu=rcu, cx=cx, cy=cy,
    )  # fmt: skip


def round_the_circle(surface: Surface, name: str) -> tuple[Array, Array]:
    """Middles of sectors from the tongue on with the rotation, and the mean over the faces' areas of a value in each."""
    angle = np.arctan2(surface.centre[:, 1], surface.centre[:, 0]) % (2 * np.pi)
    bin_ = np.minimum((angle * BINS / (2 * np.pi)).astype(int), BINS - 1)
    weight = np.linalg.norm(surface.area, axis=1)
    mean = np.bincount(bin_, weight * surface.values[name], BINS) / np.bincount(bin_, weight, BINS)
    return (np.arange(BINS) + 0.5) * 2 * np.pi / BINS, np.asarray(mean)


def read_volute(case: Path, point: VolutePoint) -> VoluteSolved:
    """Read mesh and latest state of a case. Raises CaseFileError where there is none, or they do not belong together."""
    last = latest(case)
    mesh = read_polyhedra(case / "constant" / "polyMesh")
    fields = read_fields(case / str(last), cells=len(mesh.volume), inside=mesh.inside)
    return VoluteSolved(mesh, point, last, fields["U"], fields["p"], fields["T"], fields["phi"])
