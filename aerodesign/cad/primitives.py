"""Planes, cylinders, cones and circles placed anywhere (millimetres)."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from aerodesign.cad.kernel import occ
from aerodesign.cad.surfaces import point

STRAIGHT = 1e-6
"""Half angle in rad below which a cone is built as a cylinder."""


def frame(origin: ArrayLike, axis: ArrayLike, x: ArrayLike) -> Any:
    """A right-handed frame: its main axis, and the direction from which angles about it are counted."""
    return occ.gp.gp_Ax3(point(origin), _direction(axis), _direction(x))


def plane(frame_: Any) -> Any:
    """The plane through the origin of a frame across its axis; parameters are coordinates along x and y."""
    return occ.Geom.Geom_Plane(frame_)


def cylinder(frame_: Any, radius: float) -> Any:
    """A cylinder about the axis of a frame; parameters are the angle and the distance along the axis."""
    return occ.Geom.Geom_CylindricalSurface(frame_, float(radius))


def cone(frame_: Any, *, radius: float, end_radius: float, length: float) -> tuple[Any, float]:
    """A cone about the axis of a frame and its slant length; parameters are the angle and the slant distance."""
    half_angle = float(np.arctan2(end_radius - radius, length))
    if abs(half_angle) < STRAIGHT:
        return cylinder(frame_, radius), float(length)
    surface = occ.Geom.Geom_ConicalSurface(frame_, half_angle, float(radius))
    return surface, float(length / np.cos(half_angle))


def circle_in(frame_: Any, radius: float) -> Any:
    """The circle about the axis of a frame in the plane of its origin; the parameter is the angle."""
    return occ.Geom.Geom_Circle(frame_.Ax2(), float(radius))


def _direction(vector: ArrayLike) -> Any:
    x, y, z = (float(c) for c in np.asarray(vector, float))
    return occ.gp.gp_Dir(x, y, z)
