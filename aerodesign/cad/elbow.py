"""The bend behind the exit cone, in the plane of the spiral (millimetres)."""

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.tube import Tube
from aerodesign.geometry.discharge import BEND

Array = NDArray[np.float64]


def elbow(end: Tube, turn: float, *, flange: float | None = None, key: str = "elbow") -> Tube:
    """The tube led round by ``turn``, positive in the direction of rotation; as it is where that is nothing.

    ``flange`` is the radius within, where the tube is the outside of another one.
    """
    if turn == 0:
        return end
    about = np.array([0.0, 0.0, np.sign(turn)])
    return end.bend(key, abs(turn), BEND * (flange or end.radius), about)


def elbow_volume(radius: float, turn: float, *, flange: float | None = None) -> float:
    """Volume within, by Pappus' theorem."""
    return float(np.pi * radius**2 * BEND * (flange or radius) * abs(turn))


def elbow_points(end: Tube, turn: float, *, flange: float | None = None) -> Array:
    """Points (n, 3) on its skin."""
    towards, around = np.array([np.sign(turn) or 1.0, 0, 0]), np.linspace(0, 2 * np.pi, 73)
    length = BEND * (flange or end.radius)
    along = np.linspace(0, abs(turn), 31)
    arm = np.multiply.outer(np.cos(along), towards) + np.multiply.outer(np.sin(along), end.axis)
    reach = length + end.radius * np.cos(around)
    rings = end.centre - length * towards + arm[:, None] * reach[None, :, None]
    rings[..., 2] += end.radius * np.sin(around)
    return np.asarray(rings.reshape(-1, 3))
