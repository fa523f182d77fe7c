"""Two looks into a wheel with its real blades: hub to shroud, and blade to blade."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero import surface_velocity, throughflow
from aerodesign.aero.blade_path import BladePath, meanline_path
from aerodesign.aero.stage import Stage
from aerodesign.aero.streamlines import Channel
from aerodesign.aero.surface_velocity import SurfaceVelocities, surface_velocities
from aerodesign.aero.swirl_laws import Swirl
from aerodesign.aero.throughflow import Throughflow
from aerodesign.core.flags import Flag, raised
from aerodesign.geometry.blade import Blading

Array = NDArray[np.float64]

STATIONS, LEADING, TRAILING = 41, 10, 30
"""Quasi-orthogonals from the inlet pipe to the diffuser, and those at the blades' edges."""

SPANS = (0.0, 0.5, 1.0)


@dataclass(frozen=True)
class WheelFlow:
    """The flow inside a wheel at one operating point, and what it warns of."""

    through: Throughflow
    surfaces: SurfaceVelocities
    flags: list[Flag]


def wheel_channel(blading: Blading) -> tuple[Channel, Array, Array]:
    """Channel, blade angles and parts x of the blades' length of a wheel; the latter two (stations, 3)."""
    wheel = blading.impeller
    t = (np.arange(STATIONS) - LEADING) / (TRAILING - LEADING)
    hub, shroud = blading.meridional.hub.at(t), blading.meridional.shroud.at(t)

    columns = []
    for line in map(blading.span, SPANS):
        metal = 2 * (wheel.blades * line.half_thickness + wheel.splitters * line.splitter_half_thickness)
        blocked = metal / (2 * np.pi * line.r * np.cos(line.beta))
        columns.append(
            [np.interp(np.clip(t, 0, 1), line.t, values) for values in (blocked, line.theta, line.beta, line.x)]
        )
    blocked, lean, beta, x = np.moveaxis(np.array(columns), 0, -1)
    channel = Channel(
        hub_z=hub[:, 0],
        hub_r=hub[:, 1],
        shroud_z=shroud[:, 0],
        shroud_r=shroud[:, 1],
        leading=LEADING,
        trailing=TRAILING,
        blocked=blocked,
        lean=lean,
    )
    return channel, beta, x


def smooth_swirl(stage: Stage, x: Array, streamlines: int = 9) -> Swirl:
    """Angular momentum from nothing to the stage's exit value, growing like a smooth step on every streamline."""
    along = np.array([np.interp(np.linspace(0, 1, streamlines), SPANS, row) for row in x])
    return Swirl(stage.exit.cu * stage.blower.impeller.r2 * along**2 * (3 - 2 * along))


def blading_path(stage: Stage, blading: Blading, stations: int = 33) -> BladePath:
    """The path along the real blades of a wheel at hub, mean and tip."""
    simple = meanline_path(stage, stations=stations)
    at = [blading.span(s).at(np.linspace(0, 1, stations)) for s in SPANS]
    m, r, beta = (np.stack([getattr(points, name) for points in at], axis=1) for name in ("m", "r", "beta"))
    return BladePath(m=m, r=r, cm=simple.cm, beta=beta, thickness=simple.thickness, blades=simple.blades)


def wheel_flow(stage: Stage, blading: Blading) -> WheelFlow:
    """Both looks into the wheel of one solved operating point, about a twentieth of a second.

    Hub to shroud with a smooth growth of the angular momentum to the stage's exit value; blade to blade along the real blade angles,
    with the meanline's slip.
    """
    channel, _, x = wheel_channel(blading)
    through = throughflow.throughflow(
        channel,
        gas=stage.gas,
        pt0=stage.pt0,
        Tt0=stage.Tt0,
        mass_flow=stage.mass_flow,
        speed=stage.speed,
        loading=smooth_swirl(stage, x),
    )
    surfaces = surface_velocities(stage, blading_path(stage, blading))
    return WheelFlow(through, surfaces, raised(throughflow.judge(through) + surface_velocity.judge(surfaces)))
