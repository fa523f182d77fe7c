"""A solved flow, read back: values in the cells, the flux through every face, and averages over the stations' surfaces."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.foam import CaseFileError, Field, read_field
from aerodesign.cfd.point import FlowPoint
from aerodesign.mesh.hexahedra import SharedFaces, area_vectors, shared_faces
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.quality import cell_centres

Array = NDArray[np.float64]
NEEDED = ("U", "p", "T", "phi")


@dataclass(frozen=True, eq=False)
class Surface:
    """Faces across the flow: flux of mass downstream (n,), areas and centres (n, 3), layers, and values by name."""

    flux: Array
    area: Array
    centre: Array
    layer: NDArray[np.int64]
    values: dict[str, Array]

    def mean(self, name: str) -> float:
        """Average of a value, weighted with the flux of mass."""
        return float(np.sum(self.flux * self.values[name]) / np.sum(self.flux))

    def over_layers(self, name: str) -> Array:
        """The same for each layer from hub to shroud."""
        count = int(self.layer.max()) + 1
        weighted, flux = (np.bincount(self.layer, w, count) for w in (self.flux * self.values[name], self.flux))
        return np.asarray(weighted / flux)


@dataclass(frozen=True, eq=False)
class Solved:
    """The latest state of a run on its mesh."""

    mesh: Mesh
    point: FlowPoint
    iteration: int
    velocity: Field
    pressure: Array
    temperature: Array
    flux: Field

    @cached_property
    def faces(self) -> SharedFaces:
        """Faces between cells, in the order of the flux."""
        return shared_faces(self.mesh.hexes)

    @cached_property
    def centres(self) -> Array:
        """Centres of the cells."""
        return cell_centres(self.mesh.points, self.mesh.hexes)

    @cached_property
    def cells(self) -> dict[str, Array]:
        """Values in the cells by name: as :func:`quantities` gives them."""
        return quantities(self.point, self.centres, self.velocity.cells, self.pressure, self.temperature)

    def surface(self, station: int) -> Surface:
        """The faces between the cells of a station and of the one ahead of it."""
        own, other = self.faces.owner, self.faces.neighbour
        i = self.mesh.ijk[:, 0]
        ahead = np.flatnonzero(
            (np.minimum(i[own], i[other]) == station - 1) & (np.maximum(i[own], i[other]) == station)
        )
        sign = np.sign(i[other[ahead]] - i[own[ahead]])
        quads = self.faces.quads[ahead]
        centre = self.mesh.points[quads].mean(axis=1)
        near, far = (np.linalg.norm(self.centres[c[ahead]] - centre, axis=1) for c in (own, other))
        weight = far / (near + far)
        values = {name: weight * v[own[ahead]] + (1 - weight) * v[other[ahead]] for name, v in self.cells.items()}
        return Surface(
            flux=self.flux.cells[ahead] * sign,
            area=area_vectors(self.mesh.points, quads) * sign[:, None],
            centre=centre,
            layer=self.mesh.ijk[own[ahead], 2],
            values=values,
        )

    def boundary(self, patch: str) -> Surface:
        """The faces of the inlet or the outlet, the flux counted downstream."""
        quads, owner = self.mesh.patches[patch], self.mesh.owners[patch]
        sign = -1.0 if patch == "inlet" else 1.0
        centre = self.mesh.points[quads].mean(axis=1)
        velocity = np.broadcast_to(self.velocity.patches[patch], centre.shape)
        return Surface(
            flux=sign * self.flux.patches[patch],
            area=sign * area_vectors(self.mesh.points, quads),
            centre=centre,
            layer=self.mesh.ijk[owner, 2],
            values=quantities(self.point, centre, velocity, self.pressure[owner], self.temperature[owner]),
        )


def quantities(point: FlowPoint, at: Array, velocity: Array, p: Array, T: Array) -> dict[str, Array]:
    """Values at points: ``p``, ``T``, ``pt``, ``rho``, meridional ``cm`` (its size), tangential ``cu``, ``rcu``, relative Mach."""
    r = np.hypot(at[:, 0], at[:, 1])
    rcu = at[:, 0] * velocity[:, 1] - at[:, 1] * velocity[:, 0]
    cu = rcu / r
    radial = (at[:, 0] * velocity[:, 0] + at[:, 1] * velocity[:, 1]) / r
    cm = np.hypot(radial, velocity[:, 2])
    pt = p * (1 + (cm**2 + cu**2) / (2 * point.cp * T)) ** (point.cp / point.R)
    w = np.hypot(cm, cu - point.speed * r)
    sound = np.sqrt(point.gas.gamma * point.R * T)
    return dict(p=p, T=T, pt=pt, rho=p / (point.R * T), cm=cm, cu=cu, rcu=rcu, mach=w / sound, r=r, z=at[:, 2])


def states(case: Path) -> list[int]:
    """Iterations of which a whole state lies on disc, the start (0) not counted."""
    found = [int(path.name) for path in case.glob("*") if path.name.isdigit() and int(path.name) > 0]
    return sorted(n for n in found if all((case / str(n) / name).is_file() for name in NEEDED))


def averaged(case: Path) -> bool:
    """True where the latest state holds the mean fields of a run's end."""
    known = states(case)
    return bool(known) and all((case / str(known[-1]) / f"{name}Mean").is_file() for name in NEEDED)


def latest(case: Path) -> int:
    """Iteration of the latest state. Raises CaseFileError where there is none."""
    known = states(case)
    if not known:
        raise CaseFileError(f"{case}: holds no solved state yet; start it with {case / 'run'}")
    return known[-1]


def read_fields(state: Path, *, cells: int, inside: int, mean: bool = False) -> dict[str, Field]:
    """The fields :data:`NEEDED` of a state, or their means, on a mesh with so many cells and faces between two of them.

    Raises CaseFileError where a file is broken or of another mesh.
    """
    fields = {name: read_field(state / (f"{name}Mean" if mean else name)) for name in NEEDED}
    for name, field in fields.items():
        asked = inside if name == "phi" else cells
        if field.cells.ndim and len(field.cells) != asked:
            raise CaseFileError(
                f"{state / name}: has {len(field.cells)} values where the mesh asks for {asked}; "
                "was the case edited? Simulate into another folder"
            )
    return fields


def read_solved(
    case: Path, mesh: Mesh, point: FlowPoint, *, iteration: int | None = None, mean: bool = False
) -> Solved:
    """Read the latest state of a case, or that of an iteration; with ``mean`` the fields averaged over the run's end.

    Raises CaseFileError where there is none, a file is broken, or the state is not on this mesh.
    """
    last = latest(case) if iteration is None else iteration
    cells = len(mesh.hexes)
    boundary = sum(len(quads) for quads in mesh.patches.values())
    fields = read_fields(case / str(last), cells=cells, inside=(6 * cells - boundary) // 2, mean=mean)
    return Solved(
        mesh=mesh,
        point=point,
        iteration=last,
        velocity=fields["U"],
        pressure=np.broadcast_to(fields["p"].cells, (cells,)),
        temperature=np.broadcast_to(fields["T"].cells, (cells,)),
        flux=fields["phi"],
    )
