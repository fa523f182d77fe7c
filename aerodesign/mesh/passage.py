"""The mesh of one periodic passage: from the inlet pipe through the blades and the vaneless diffuser to r3.

Hexahedra in structured blocks (:mod:`~aerodesign.mesh.blocks` draws them): a ring round each blade that follows its rounded
nose, a passage between two rings, a wake behind each blunt or rounded trailing edge. Both sides of the period carry the same
nodes, a pitch apart. The tip clearance is open when asked for; root fillets are left out.
"""

import zlib

import numpy as np

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import Length
from aerodesign.form import BladeForm
from aerodesign.mesh.mesh import Mesh as Mesh
from aerodesign.mesh.mesh import mesh_from_nodes
from aerodesign.mesh.size import SIZES, Size
from aerodesign.mesh.spans import lay_nodes
from aerodesign.mesh.wedge import mesh_from_sheet as mesh_from_sheet

GENERATOR = 2
"""Raised when the same settings make another mesh: 1 had wedges for leading edges."""
LOWEST, HIGHEST = 1e-6, 0.01
"""Of r2: heights of first cells that can be asked for."""


def passage_mesh(
    impeller: Impeller,
    diffuser: Diffuser,
    size: str | Size = "look",
    *,
    form: BladeForm | None = None,
    first: Length | None = None,
    clearance: bool = False,
) -> Mesh:
    """Mesh of one passage of an impeller with its vaneless diffuser.

    ``size`` is "look", "design" or "study", or counts of cells. ``first`` is the height of the first cell at every wall, else the size's
    own; :mod:`~aerodesign.mesh.wall` gives it for a wanted y+. With ``clearance`` the gap over the tips of a semi-open wheel
    is meshed, else it is closed. Raises :class:`RejectedMesh` where blades leave no passage or a cell is folded, and
    whatever :class:`~aerodesign.geometry.blade.Blading` raises.
    """
    _refuse_wrong(impeller, diffuser, clearance=clearance)
    counts = size if isinstance(size, Size) else _counts(size)
    height = counts.wall * float(impeller.r2) if first is None else float(first)
    if not LOWEST * impeller.r2 <= height <= HIGHEST * impeller.r2:
        raise AerodesignError(
            f"passage mesh: first cells of {1e3 * height:.3g} mm are not possible; allowed are {1e3 * LOWEST * impeller.r2:.2g} mm"
            f" to {1e3 * HIGHEST * impeller.r2:.2g} mm"
        )
    nodes, layout = lay_nodes(impeller, diffuser, form, size=counts, first=height, clearance=clearance)
    asked = f"{counts}, {'' if first is None else f'{height:.6g}'}, {clearance}"
    made = f"{GENERATOR}-{zlib.crc32(asked.encode()):08x}"
    return mesh_from_nodes(nodes, layout, pitch=2 * np.pi / int(impeller.blades), made=made)


def _counts(size: str) -> Size:
    if size not in SIZES:
        raise AerodesignError(f'passage mesh: size must be one of {", ".join(SIZES)}, got "{size}"')
    return SIZES[size]


def _refuse_wrong(impeller: Impeller, diffuser: Diffuser, *, clearance: bool) -> None:
    if impeller.shape != () or diffuser.shape != ():
        raise AerodesignError(
            f"passage mesh: needs a single impeller and diffuser, got sets of {impeller.shape} and {diffuser.shape}:"
            " pick one, impeller[i]"
        )
    if impeller.splitters not in (0, impeller.blades):
        raise AerodesignError(
            f"passage mesh: splitters = {impeller.splitters:g} must be 0 or as many as blades = {impeller.blades:g}"
        )
    if not diffuser.r3 > impeller.r2:
        raise AerodesignError(
            f"passage mesh: r3 = {diffuser.r3:.4g} m must be beyond r2 = {impeller.r2:.4g} m; lengthen the diffuser"
        )
    if clearance and (bool(impeller.covered) or not impeller.clearance > 0):
        raise AerodesignError(
            "passage mesh: a clearance over the tips was asked for, but the wheel is covered or its clearance is 0: leave it closed"
        )
