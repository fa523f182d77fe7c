"""The performance map: the meanline broadcast over speed and flow, with choke and a stall band."""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import Operation, operate
from aerodesign.aero.stage import PASSAGES
from aerodesign.core.correlation import supply
from aerodesign.core.quantities import Angle, Pressure, Speed, Values, VolumeFlow
from aerodesign.correlations.stall import inducer_incidence

COARSE = 48
"""Points of the pass that finds where a line ends; their distance is about a quarter of the lowest flow."""

PARTS, ROUNDS = 8, 2
"""The end is then sought among eighths of that distance, and among eighths of these: two calls where halving took six."""


@dataclass(frozen=True)
class Map:
    """Speed lines: ``speed`` of shape (n, 1), everything in ``operation`` of shape (n, m), low flow first.

    ``stall`` holds, per criterion, the flow below which it expects trouble on each line, shape (n,), nan where a line never meets
    it; the band lies between the least and the largest. ``limit`` names what ends each line at high flow.
    """

    speed: Speed
    operation: Operation
    stall: dict[str, VolumeFlow]
    limit: tuple[str, ...]

    @property
    def stall_band(self) -> tuple[VolumeFlow, VolumeFlow]:
        """Least and largest stall flow of each line over the criteria."""
        flows = np.array(list(self.stall.values()))
        flows = np.where(np.isfinite(flows), flows, np.nanmin(self.operation.flow))
        return flows.min(axis=0), flows.max(axis=0)

    def lines(self, chosen: slice) -> "Map":
        """A map of some of the speed lines."""
        return Map(
            speed=self.speed[chosen],
            operation=self.operation[chosen],
            stall={name: flow[chosen] for name, flow in self.stall.items()},
            limit=self.limit[chosen],
        )

    @property
    def end_flow(self) -> VolumeFlow:
        """Largest flow of each line: choke or free delivery."""
        return self.operation.flow[:, -1]


def performance_map(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    speeds: Speed,
    models: Models,
    flows: int = 41,
    design_flow: VolumeFlow,
    design_speed: Speed,
) -> Map:
    """Speed lines from deep in the stall region to choke or free delivery, whichever comes first.

    A coarse pass finds where each line ends; the fine one is spread evenly from a quarter of the design flow (in proportion to
    the speed) to there.
    """
    speed = np.asarray(speeds, dtype=float)[:, None]
    low = 0.25 * design_flow * speed / design_speed

    def run(flow: VolumeFlow) -> Operation:
        return operate(blower, site, service=service, basis=basis, flow=flow, speed=speed, models=models)

    coarse = low * np.linspace(1, 12, COARSE)
    first = run(coarse)
    usable = first.stage.solved & (first.pressure_rise > 0) & (first.pressure_rise < 1e7)
    # The line ends before the first unusable point beyond its best one: points at low flow may fail to solve.
    best = np.argmax(np.where(usable, first.pressure_rise, -np.inf), axis=1)[:, None]
    index = np.arange(COARSE)[None, :]
    broken = ~usable & (index > best)
    last = np.where(broken.any(axis=1), broken.argmax(axis=1), COARSE) - 1
    at_end = np.take_along_axis(coarse, last[:, None], axis=1)

    step = coarse[:, 1:2] - coarse[:, :1]
    for _ in range(ROUNDS):
        step = step / PARTS
        trial = run(at_end + step * np.arange(1, PARTS))
        good = np.logical_and.accumulate(trial.stage.solved & (trial.pressure_rise > 0), axis=1)
        at_end = at_end + step * good.sum(axis=1, keepdims=True)

    operation = run(low + (at_end - low) * np.linspace(0, 1, flows))
    return Map(speed=speed, operation=operation, stall=stall_flows(operation, models), limit=_line_ends(operation))


def stall_flows(operation: Operation, models: Models) -> dict[str, VolumeFlow]:
    """Flow at which each criterion is met, per line; nan where it is not met on the line."""
    stage = operation.stage
    allowed = supply(inducer_incidence, {"beta1s_blade": stage.blower.impeller.beta1s_blade})
    return stall_criteria(
        flow=operation.flow,
        pressure_rise=operation.pressure_rise,
        diffuser_margin=stage.stall_margin,
        inducer_margin=allowed - stage.incidence_shroud,
    )


def stall_criteria(
    *, flow: VolumeFlow, pressure_rise: Pressure, diffuser_margin: Angle, inducer_margin: Angle
) -> dict[str, VolumeFlow]:
    """Flow at which each criterion is met on lines of shape (n, m), low flow first; nan where it is not met."""
    return {
        "peak of the pressure characteristic": _peak(flow, pressure_rise),
        "critical angle of the vaneless diffuser": _last_crossing(flow, diffuser_margin),
        "incidence at the inducer tip": _last_crossing(flow, inducer_margin),
    }


def _peak(flow: VolumeFlow, rise: Pressure) -> VolumeFlow:
    """Flow of the highest rise on each line, by a parabola through the highest point and its neighbours."""
    top = np.clip(np.argmax(rise, axis=1), 1, rise.shape[1] - 2)[:, None]
    y0, y1, y2 = (np.take_along_axis(rise, top + k, axis=1) for k in (-1, 0, 1))
    curvature = np.minimum(y0 - 2 * y1 + y2, -1e-9)
    shift = np.clip((y0 - y2) / (2 * curvature), -1, 1)
    spacing = flow[:, 1:2] - flow[:, :1]
    return (np.take_along_axis(flow, top, axis=1) + shift * spacing)[:, 0]


def _last_crossing(flow: VolumeFlow, margin: Values) -> VolumeFlow:
    """Highest flow at which a margin that grows with flow is still negative, interpolated; nan where it never is."""
    negative = margin < 0
    count = margin.shape[1]
    last = count - 1 - np.argmax(negative[:, ::-1], axis=1)
    k = np.clip(last, 0, count - 2)[:, None]
    m0, m1 = (np.take_along_axis(margin, k + i, axis=1) for i in (0, 1))
    f0, f1 = (np.take_along_axis(flow, k + i, axis=1) for i in (0, 1))
    crossing = (f0 + (f1 - f0) * np.clip(-m0 / np.where(m1 == m0, 1, m1 - m0), 0, 1))[:, 0]
    return np.where(negative.any(axis=1), crossing, np.nan)


def _line_ends(operation: Operation) -> tuple[str, ...]:
    """What ends each line: the passage nearest to choke where its margin is below 2 %, else free delivery."""
    stage = operation.stage
    flows = np.stack(
        [np.broadcast_to(getattr(stage, f"choke_{name}"), stage.mass_flow.shape)[:, -1] for name in PASSAGES]
    )
    names = np.array([f"choke of {words}" for words in PASSAGES.values()])[np.argmin(flows, axis=0)]
    near = flows.min(axis=0) < 1.02 * stage.mass_flow[:, -1]
    return tuple(np.where(near, names, "free delivery").tolist())
