"""What is simulated of a machine: its passage with the vaneless diffuser, the outlet far enough from the wheel.

Wheels with an axial inlet come from the mesh room. Wheels whose blades begin on a cylinder (radial inlet, as measured fans have) have no
blade surfaces in the geometry room; their blades stand upright between walls that are surfaces of revolution, and are laid out here.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Blower, Diffuser, Impeller
from aerodesign.core.errors import RejectedMesh
from aerodesign.core.quantities import Length
from aerodesign.form import BladeForm
from aerodesign.geometry.span_line import thickness_law
from aerodesign.mesh.passage import Mesh, mesh_from_sheet, passage_mesh
from aerodesign.mesh.sheet import CAMBER_AHEAD, CAMBER_BEHIND, TAPER, Sheet, Stations, stations
from aerodesign.mesh.size import SIZES, Size
from aerodesign.mesh.spacing import smooth_step, two_sided_tanh
from aerodesign.mesh.spans import pinched

EYE = 0.8
"""Of r1: radius of the cylinder through which the gas comes to a radial wheel. The bend ahead of it is left out."""
OUTLET = 1.5
"""Of r2: least radius of the outlet behind a radial wheel; the even outflow that is imposed there must not reach the blades."""

Array = NDArray[np.float64]


def radial(impeller: Impeller) -> bool:
    """True for a wheel whose blades begin on a cylinder."""
    return bool(impeller.b1 > 0)


def simulated_diffuser(blower: Blower) -> Diffuser:
    """The vaneless diffuser that is simulated: the machine's; behind a radial wheel parallel walls as wide as its exit."""
    wheel, diffuser = blower.impeller, blower.diffuser
    if not radial(wheel):
        return diffuser
    return Diffuser(r3=max(float(diffuser.r3), OUTLET * float(wheel.r2)), b3=float(wheel.b2))


def has_clearance(impeller: Impeller) -> bool:
    """True for a wheel whose clearance over the tips can be simulated: semi-open, with an axial inlet."""
    return not bool(impeller.covered) and not radial(impeller) and float(impeller.clearance) > 0


def domain_mesh(
    blower: Blower,
    size: str | Size,
    *,
    form: BladeForm | None = None,
    first: Length | None = None,
    clearance: bool = False,
) -> Mesh:
    """Mesh of what is simulated, with first cells of a height other than the size's and an open clearance where asked.

    Raises RejectedMesh where it cannot be made.
    """
    wheel, diffuser = blower.impeller, simulated_diffuser(blower)
    if not radial(wheel):
        return passage_mesh(wheel, diffuser, size, form=form, first=first, clearance=clearance)
    if first is not None or clearance:
        raise RejectedMesh(
            "radial wheel: is meshed with the first cells of its size and closed tips only; leave both wishes out"
        )
    return radial_mesh(wheel, diffuser, size, form=form)


def radial_mesh(impeller: Impeller, diffuser: Diffuser, size: str | Size, *, form: BladeForm | None = None) -> Mesh:
    """Mesh of a wheel with a cylindrical leading edge: blades alike from hub to shroud, the angle linear in radius."""
    p, counts = impeller, SIZES[size] if isinstance(size, str) else size
    if bool(p.splitters) or not np.isclose(p.beta1h_blade, p.beta1s_blade):
        raise RejectedMesh(
            "radial wheel: is meshed without splitters and with one blade angle from hub to shroud: set splitters = 0, beta1h = beta1s"
        )
    r1, r2, r3 = float(p.r1s), float(p.r2), float(diffuser.r3)
    along = stations(p, size=counts, length=r2 - r1, inlet=(1 - EYE) * r1, diffuser=r3 - r2)
    up, blade, down = (
        EYE * r1 + (1 - EYE) * r1 * along.upstream[:-1],
        r1 + (r2 - r1) * along.x,
        r2 + (r3 - r2) * along.downstream[1:],
    )
    r = np.concatenate([up, blade, down])
    part = np.clip((r - r1) / (r2 - r1), 0, 1)
    slope, theta = _camber(r, -np.tan(p.beta1s_blade + part * (p.beta2_blade - p.beta1s_blade)), along, r1=r1, r2=r2)
    half = _half_thickness(p, form or BladeForm(), part) / (r * np.cos(np.arctan(slope)))
    half = np.where(r < r1, 0, np.where(r > r2, half[along.trailing], half))
    width = (p.b1 + part * (p.b2 - p.b1)) + (diffuser.b3 - p.b2) * pinched(r, r2=r2, r3=r3)

    wall = np.minimum(counts.wall * r2 / width, 0.999 / counts.layers)
    layers = two_sided_tanh(counts.layers, first=wall, last=wall).T
    across = np.ones_like(layers)
    sheet = Sheet(
        m=(r - r1)[:, None] * across,
        z=-width[:, None] * layers,
        r=r[:, None] * across,
        theta=theta[:, None] * across,
        half=half[:, None] * across,
        splitter_half=half[:, None] * across,
        cos_beta=(1 / np.hypot(1, slope))[:, None] * across,
    )
    return mesh_from_sheet(sheet, along, size=counts, blades=int(p.blades), splitters=False, r2=r2)


def _camber(r: Array, slope: Array, along: Stations, *, r1: float, r2: float) -> tuple[Array, Array]:
    """Slope r dtheta/dr and theta of the grid's lines: the blade's, fading away past both edges; theta = 0 at the exit."""
    fade = np.minimum(1 - smooth_step((r1 - r) / (CAMBER_AHEAD * r2)), 1 - smooth_step((r - r2) / (CAMBER_BEHIND * r2)))
    slope = slope * fade
    theta = np.concatenate([[0.0], np.cumsum(0.5 * (slope[1:] / r[1:] + slope[:-1] / r[:-1]) * np.diff(r))])
    return slope, theta - theta[along.trailing]


def _half_thickness(impeller: Impeller, form: BladeForm, part: Array) -> Array:
    """Half thickness over the blade, a wedge of parabolic sides for a nose as in the mesh room."""
    law = thickness_law(form.thickness_along)
    nose = np.clip(part / TAPER, 0, 1)
    return np.asarray(impeller.thickness / 2 * law(np.maximum(part, TAPER)) * (2 * nose - nose**2))
