"""A casing in two halves, parted in the plane of the spiral's middle: the one place where the kernel's boolean is used.

A plane through a symmetric body is what it does well; the gate judges the halves against volumes that it had no part in.
The joint's flanges, bolts and seal are the CAD room's.
"""

from dataclasses import replace

import numpy as np

from aerodesign.cad.casing import casing_and_halves
from aerodesign.cad.kernel import occ
from aerodesign.cad.shapes import parts
from aerodesign.cad.solid import Solid
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import CasingForm
from aerodesign.geometry.cavity import Wheelhouse

FAR = 1e5
"""Size in mm of the box that takes one half away."""


def casing_half(house: Wheelhouse, form: CasingForm, side: int) -> Solid:
    """The half on the inlet's side (-1) or the drive's side (1), in the volute's own frame.

    Raises RejectedSolid where the section stands to one side, or the kernel cannot part the casing.
    """
    section = house.blower.volute.section
    if getattr(section, "lean", 0.0) or getattr(section, "side", 0.0):
        raise RejectedSolid("casing: split = true needs a section in the middle of its slot; set volute_side = 0")
    whole, volumes = casing_and_halves(house, form)
    low, high = sorted((0.0, side * FAR))
    point = occ.gp.gp_Pnt
    box = occ.BRepPrimAPI.BRepPrimAPI_MakeBox(point(-FAR, -FAR, low), point(FAR, FAR, high)).Solid()
    found = parts(occ.BRepAlgoAPI.BRepAlgoAPI_Common(whole.shape, box).Shape(), "SOLID")
    if len(found) != 1:
        raise RejectedSolid(
            f"casing: parted in the plane of the spiral it gave {len(found)} solids on one side, not one"
        )
    assert whole.skin is not None
    skin = whole.skin[side * whole.skin[:, 2] >= 0]
    joint = whole.skin * np.array([1, 1, 0])
    skin = np.concatenate([skin, joint[np.abs(whole.skin[:, 2]) < np.max(np.abs(skin[:, 2]))]])
    bounds = np.array([skin.min(axis=0), skin.max(axis=0)])
    return replace(whole, shape=found[0], volume=volumes[side], bounds=bounds, skin=skin)
