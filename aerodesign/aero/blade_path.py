"""The way of the flow along the blades at hub, mean and shroud, as far as a meanline knows it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.stage import Stage

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BladePath:
    """Arrays along the blade, (stations, spans, *designs), from the leading edge to the exit; spans in any number, hub first.

    ``m`` meridional length from the leading edge, ``r`` radius, ``cm`` meridional velocity between the blades, ``beta`` blade angle
    (positive against rotation), ``thickness`` of the blade normal to its camber, ``blades`` that stand there, splitters counted
    (it may broadcast). Not a Record: its arrays run over space.
    """

    m: Array
    r: Array
    cm: Array
    beta: Array
    thickness: Any
    blades: Any

    @property
    def x(self) -> Array:
        """Part of the meridional length, 0 to 1."""
        return self.m / self.m[-1:]


def meanline_path(stage: Stage, *, stations: int = 17) -> BladePath:
    """Quarter ellipses for hub, mean and shroud (radial lines behind a cylindrical leading edge), and blade angles by cubics.

    The flow area per mass flow goes from the inlet's to the exit's by the same cubic, as the contours of the geometry do; between
    blades it is narrowed by their metal. At the exit ``cm`` is the stage's ``cm2_blocked``, with the boundary layers.
    """
    wheel, axes = stage.blower.impeller, len(stage.shape)
    turn = np.linspace(0, np.pi / 2, stations).reshape(-1, 1, *(1,) * axes)
    depth = np.where(wheel.b1 > 0, 0.0, wheel.axial_length)
    bare = np.where(wheel.b1 > 0, 0.0, wheel.b2)
    z2 = _spans(axes, depth, depth - bare / 2, depth - bare)
    r1 = _spans(axes, wheel.r1h, wheel.r1, wheel.r1s)
    z, r = z2 * np.sin(turn), wheel.r2 - (wheel.r2 - r1) * np.cos(turn)
    steps = np.sqrt((z[1:] - z[:-1]) ** 2 + (r[1:] - r[:-1]) ** 2)
    m = np.concatenate([0 * steps[:1], np.cumsum(steps, axis=0)])

    x = m / m[-1:]
    ramp = x * x * (3 - 2 * x)
    beta1 = _spans(axes, wheel.beta1h_blade, wheel.beta1_blade, wheel.beta1s_blade)
    beta = beta1 + (wheel.beta2_blade - beta1) * ramp
    thickness = _spans(axes, wheel.thickness_hub, wheel.thickness, wheel.thickness_shroud)
    blades = wheel.blades + wheel.splitters * (x >= wheel.splitter_start)

    opening = 1 - np.minimum(blades * thickness / (2 * np.pi * r * np.cos(beta)), 0.6)
    cm1 = _spans(axes, stage.hub.cm, stage.mean.cm, stage.shroud.cm)
    cm2 = stage.cm2_blocked * opening[-1:]
    cm = 1 / (opening * ((1 - ramp) / cm1 + ramp / cm2))
    return BladePath(m=m, r=r, cm=cm, beta=beta, thickness=thickness, blades=blades)


def _spans(axes: int, hub: Any, mean: Any, shroud: Any) -> Array:
    """Three values in a row, (1, 3, *designs), with as many axes of designs as the stage has."""
    row = np.stack(np.broadcast_arrays(hub, mean, shroud))
    return row.reshape(1, 3, *(1,) * (axes - row.ndim + 1), *row.shape[1:])
