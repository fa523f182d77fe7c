"""The skin of the volute's gas as triangles with names, closed, for a mesher that starts from a surface.

It stands in the wheel's own frame: turning in +theta about +z, the middle of the slot at z = 0, metres. Hand and position
of the casing change nothing in the flow.
"""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Blower
from aerodesign.cad.export import Accepted, Made, Part, make
from aerodesign.cad.kernel import occ
from aerodesign.cad.shapes import faces
from aerodesign.cad.solid import Solid
from aerodesign.cad.tessellate import Triangles, tessellate_faces
from aerodesign.cad.volute import volute_solid
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import Form
from aerodesign.geometry.entry import diffuser_entry

SKIN = "volute.stl"
"""The file that :func:`make_volute_skin` writes."""
PATCHES = ("inlet", "outlet", "diffuser", "spiral", "discharge")
"""The wheel's exit cylinder; the flange; walls up to the base circle; the spiral's wall with the tongue; duct, cone and bend."""
DEFLECTION = 1e-4
NEAR = 1e-6
"""Metres within which a point counts as on a circle or a plane."""


def make_volute_skin(blower: Blower, form: Form, folder: Path, stamp: str) -> Made:
    """Build, judge and write the skin of the room from the wheel's exit to the flange, for the process of the solids."""

    def write(done: Accepted) -> None:
        skin, numbers = tessellate_faces(done.solid.shape, deflection=DEFLECTION)
        names = patches_of(skin, numbers, done.solid.shape, r2=float(blower.impeller.r2), r3=float(blower.diffuser.r3))
        write_named_stl(skin, names, folder / SKIN)

    return make({"volute": Part(lambda: _solid(blower, form))}, write)


def _solid(blower: Blower, form: Form) -> Solid:
    return volute_solid(
        blower.volute,
        blower.diffuser,
        r2=blower.impeller.r2,
        entry=diffuser_entry(blower),
        turn=form.casing.discharge_turn,
    )


def patches_of(skin: Triangles, numbers: NDArray[np.int64], shape: Any, *, r2: float, r3: float) -> NDArray[np.str_]:
    """The patch of each triangle, from where its face lies."""
    names = []
    for number, face in enumerate(faces(shape)):
        at = skin.points[skin.triangles[numbers == number]].reshape(-1, 3)
        r = np.hypot(at[:, 0], at[:, 1])
        if np.abs(r - r2).max() < NEAR:
            names.append("inlet")
        elif r.max() < r3 + NEAR:
            names.append("diffuser")
        elif _flat_and_upright(face):
            names.append("outlet")
        else:
            names.append("discharge" if at[:, 1].min() > -NEAR and at[:, 0].min() > -NEAR - r3 else "spiral")
    return np.array(names)[numbers]


def _flat_and_upright(face: Any) -> bool:
    """True for a plane across the flow, as the flange is; side walls are flat, but square to the axis."""
    surface = occ.BRepAdaptor.BRepAdaptor_Surface(face)
    if surface.GetType() != occ.GeomAbs.GeomAbs_SurfaceType.GeomAbs_Plane:
        return False
    return bool(abs(surface.Plane().Axis().Direction().Z()) < 0.5)


def write_named_stl(skin: Triangles, names: NDArray[np.str_], path: Path) -> Path:
    """Text STL in metres, one solid a patch. Raises :class:`RejectedSolid` where the skin is open or a patch is missing."""
    missing = [name for name in PATCHES if name not in names]
    if skin.open_edges or missing:
        raise RejectedSolid(f"{path.name}: {skin.open_edges} edges are open; patches not found: {missing or 'none'}")
    with path.open("w", encoding="ascii") as file:
        for name in PATCHES:
            corners = skin.points[skin.triangles[names == name]]
            normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
            rows = np.concatenate([normal[:, None], corners], axis=1).reshape(-1, 12)
            vertex = "   vertex %.9g %.9g %.9g\n"
            facet = f" facet normal %.6g %.6g %.6g\n  outer loop\n{3 * vertex}  endloop\n endfacet\n"
            file.write(f"solid {name}\n")
            file.write((facet * len(rows)) % tuple(rows.ravel().tolist()))
            file.write(f"endsolid {name}\n")
    return path
