"""Hand and position: every part is built in one frame and put into its place in the machine at the end.

Parts are built for a wheel that turns in +theta about +z and a discharge along +y. The flow enters in +z, so the drive
stands at +z and sees the wheel turn counter-clockwise; +y is up. The other hand is the mirror image in the plane x = 0,
which leaves the discharge pointing up.
"""

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.solid import Solid
from aerodesign.core.quantities import Angle, Length
from aerodesign.form import CasingForm
from aerodesign.form.casing import POSITIONS

Array = NDArray[np.float64]


def turned_by(form: CasingForm) -> Angle:
    """Angle about +z that brings the discharge from straight up to its position, in the direction of rotation."""
    turn = POSITIONS.index(form.position) * np.pi / 4
    return -turn if form.rotation == "clockwise" else turn


def placed(solid: Solid, form: CasingForm, *, shift: Length = 0.0) -> Solid:
    """A solid moved along the axis by ``shift``, mirrored where the wheel turns clockwise, turned to the position.

    The bounds of a solid without ``skin`` points are those of a body about the axis: they only move.
    """
    shape = solid.shape
    if shift:
        move = occ.gp.gp_Trsf()
        move.SetTranslation(occ.gp.gp_Vec(0.0, 0.0, MM * float(shift)))
        shape = _moved(shape, move)
    if form.rotation == "clockwise":
        mirror = occ.gp.gp_Trsf()
        mirror.SetMirror(occ.gp.gp_Ax2(occ.gp.gp_Pnt(0.0, 0.0, 0.0), occ.gp.gp_Dir(1.0, 0.0, 0.0)))
        shape = _moved(shape, mirror)
    angle = turned_by(form)
    if angle:
        turn = occ.gp.gp_Trsf()
        turn.SetRotation(occ.gp.gp_Ax1(occ.gp.gp_Pnt(0.0, 0.0, 0.0), occ.gp.gp_Dir(0.0, 0.0, 1.0)), float(angle))
        shape = _moved(shape, turn)

    if solid.skin is None:
        return replace(solid, shape=shape, bounds=solid.bounds + np.array([0, 0, float(shift)]))
    skin = moved_points(solid.skin, form, shift=shift)
    return replace(solid, shape=shape, skin=skin, bounds=np.array([skin.min(axis=0), skin.max(axis=0)]))


def moved_points(points: Array, form: CasingForm, *, shift: Length = 0.0) -> Array:
    """Points (n, 3) moved as :func:`placed` moves a solid."""
    x, y, z = (points + np.array([0, 0, float(shift)])).T
    if form.rotation == "clockwise":
        x = -x
    c, s = np.cos(turned_by(form)), np.sin(turned_by(form))
    return np.stack([c * x - s * y, s * x + c * y, z], axis=1)


def _moved(shape: Any, move: Any) -> Any:
    """A copy of the shape, its geometry moved: a mirrored location would turn faces inside out for some readers."""
    return occ.BRepBuilderAPI.BRepBuilderAPI_Transform(shape, move, True).Shape()
