"""A family of frames: one machine in several sizes that together cover a range of flows at one pressure.

Similar machines at one tip speed make one pressure rise: at k times the size the flow is k^2 times as large, the speed 1/k.
What does not follow are Reynolds number, roughness, and in smaller frames the clearance, which a shop cannot shrink at will: the
meanline is solved anew for every size, speed and flow. A frame serves the flows at which its speed holds the pressure out of the
stall band and within a few points of its best efficiency; the frames stand so that each takes over before the last one ends.
"""

from dataclasses import dataclass
from typing import Any, get_type_hints

import numpy as np

from aerodesign.aero.control import follow
from aerodesign.aero.design import Design
from aerodesign.aero.impeller import Blower
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Length, Power, Ratio, Speed, Values, VolumeFlow, quantities
from aerodesign.core.record import Record, record
from aerodesign.machine.drive import fastest_speed

DROP, OVERLAP = 0.04, 0.05
"""Efficiency that a frame may lose at its ends, and the part of its least flow by which it reaches into its neighbour: our choice."""

FLOWS = np.linspace(0.4, 1.9, 151)
"""Flows that are tried with each size, over its design flow: the ends of a frame are known to a hundredth of that."""

STEPS = 12
"""Sizes tried for each doubling of the size; ends and efficiency in between follow a straight line over its logarithm."""

MOST_FRAMES = 30
"""A range of flows that takes more is refused."""


@record
class Frames(Record):
    """The frames of a family, smallest first. Flows are volume flows at the inlet flange, as in the duty.

    ``scale`` is the size over that of the machine that was scaled. The frame holds the pressure from ``least_flow`` to ``most_flow`` by its speed,
    between ``least_speed`` and ``most_speed``; ``speed``, ``efficiency`` and ``shaft_power`` are those at its ``design_flow``, ``most_power`` the
    power at ``most_flow``. ``best_efficiency`` is over its flows.
    """

    scale: Ratio
    r2: Length
    design_flow: VolumeFlow
    least_flow: VolumeFlow
    most_flow: VolumeFlow
    speed: Speed
    least_speed: Speed
    most_speed: Speed
    efficiency: Ratio
    best_efficiency: Ratio
    shaft_power: Power
    most_power: Power
    too_fast: Values


@dataclass(frozen=True)
class Family:
    """Frames that cover the flows ``least`` to ``most``, with their curves: flow, efficiency, and where each is used, shape (frames, flows).

    ``overlap`` is what is left between neighbours once the frames are spread evenly: at least what was asked.
    """

    frames: Frames
    least: VolumeFlow
    most: VolumeFlow
    overlap: Ratio
    flow: Values
    efficiency: Values
    used: Values


def scaled(blower: Blower, size: Ratio) -> Blower:
    """A similar machine; ``size`` broadcasts. Roughness stays, and blade tips come no nearer to the shroud in smaller ones."""
    made = _scaled(blower, np.asarray(size, float)[()])
    wheel = blower.impeller
    kept = made.impeller.but(roughness=wheel.roughness, clearance=wheel.clearance * np.maximum(size, 1.0))
    return made.but(impeller=kept)


def _scaled(whole: Any, size: Values) -> Any:
    """Every length and area of a record, by its type."""
    known = quantities(type(whole))
    powers = {name: known[name].exponents for name in known}
    changes: dict[str, Any] = {}
    for name in get_type_hints(type(whole)):
        value = getattr(whole, name)
        if isinstance(value, Record):
            changes[name] = _scaled(value, size)
        elif name in powers and powers[name][0] and not any(powers[name][1:]):
            changes[name] = value * size ** powers[name][0]
    return whole.but(**changes)


def family(
    design: Design, *, least: VolumeFlow, most: VolumeFlow, drop: Ratio = DROP, overlap: Ratio = OVERLAP
) -> Family:
    """The fewest frames, similar to a design, that cover the flows from ``least`` to ``most`` at its pressure, spread evenly.

    Every frame is held at the pressure by its speed. Raises CaseError where the drive has one speed only, where the range is empty
    or too long, and where the machine has no useful range or none longer than the overlap.
    """
    if design.drive.kind == "direct":
        raise CaseError(
            'drive: kind = "direct" turns every frame at the same speed, and similar frames need one each; take "belt", "gear" or "inverter"'
        )
    if not 0 < least < most:
        raise CaseError(f"family: flows from {least:.4g} to {most:.4g} m3/s hold no range; give the smaller one first")
    low_size, high_size = (np.sqrt(flow / design.flow) for flow in (least, most))
    count = int(np.ceil(STEPS * np.log2(high_size / low_size * 2.2))) + 1
    sizes = np.geomspace(low_size / 1.5, high_size * 1.47, count)
    tried = _frames(design, sizes, drop=drop)
    if not np.all(np.isfinite(tried.least_flow)):
        raise CaseError(
            "family: the machine holds its pressure at no flow out of the stall band; design another machine first"
        )

    chain = _chain(tried, least, most, 1 + overlap)
    low, high = 1 + overlap, float(np.min(tried.most_flow / tried.least_flow))
    for _ in range(40):  # the largest overlap that as many frames still bear
        middle = (low + high) / 2
        low, high = (middle, high) if len(_chain(tried, least, most, middle)) == len(chain) else (low, middle)
    chosen = np.array(_chain(tried, least, most, low))
    flow, efficiency, used, frames = _curves(design, chosen, drop=drop)
    return Family(frames, least, most, low - 1, flow, efficiency, used)


def _chain(tried: Frames, least: VolumeFlow, most: VolumeFlow, reach: Ratio) -> list[float]:
    """Sizes of frames, each beginning where the one before ends, less the overlap. Raises CaseError where that leads nowhere."""
    at = np.log(tried.scale)
    begins, ends = np.log(tried.least_flow), np.log(tried.most_flow)
    sizes: list[float] = []
    begin = np.log(least)
    while len(sizes) < MOST_FRAMES:
        size = np.interp(begin, begins, at)
        sizes.append(float(np.exp(size)))
        end = np.interp(size, at, ends)
        if end >= np.log(most) - 1e-9:
            return sizes
        if end - np.log(reach) <= begin + 1e-6:
            raise CaseError(
                "family: the range of one frame is no longer than the overlap; allow a larger drop or a smaller overlap"
            )
        begin = end - np.log(reach)
    raise CaseError(
        f"family: more than {MOST_FRAMES} frames would be needed; ask for a shorter range of flows or a larger drop"
    )


def _frames(design: Design, sizes: Ratio, *, drop: Ratio) -> Frames:
    return _curves(design, sizes, drop=drop)[3]


# Flows are tried at which nothing flows or the passage chokes: they come back unsolved.
@np.errstate(all="ignore")
def _curves(design: Design, sizes: Ratio, *, drop: Ratio) -> tuple[Values, Values, Values, Frames]:
    """Flow, efficiency and use of each size, shape (sizes, flows), and what they add up to."""
    duty = design.duty[design.design_index] if design.duty.shape else design.duty
    size = np.asarray(sizes)[:, None]
    part = size**2 * FLOWS
    blower = scaled(design.blower, size)
    fastest = fastest_speed(kind=design.drive.kind, frequency=design.drive.frequency, slip=design.drive.slip)
    held = follow(
        blower,
        design.site,
        duty.but(flow=duty.flow * part, mass_flow=duty.mass_flow * part, hours=0 * part),
        design_speed=design.speed / size,
        fastest=np.inf,
        mechanical_efficiency=design.choices.mechanical_efficiency,
        models=design.models,
    )["speed"]
    sound = held.reached & ~held.choked & ~held.in_stall_band
    best = np.max(np.where(sound, held.efficiency, -np.inf), axis=1, keepdims=True)
    used = _run_round(
        sound & (held.efficiency >= best - drop), np.argmax(np.where(sound, held.efficiency, -np.inf), axis=1)
    )
    some = used.any(axis=1)
    first, last = used.argmax(axis=1), used.shape[1] - 1 - used[:, ::-1].argmax(axis=1)
    at_design = int(np.argmin(np.abs(FLOWS - 1)))

    def at(values: Values, index: Values) -> Values:
        return np.where(
            some, np.take_along_axis(values, np.broadcast_to(index, some.shape)[:, None], axis=1)[:, 0], np.nan
        )

    flow = np.broadcast_to(duty.flow * part, used.shape)
    most_speed = np.max(np.where(used, held.speed, -np.inf), axis=1)
    frames = Frames(
        scale=size[:, 0],
        r2=blower.impeller.r2[:, 0],
        design_flow=at(flow, at_design),
        least_flow=at(flow, first),
        most_flow=at(flow, last),
        speed=at(held.speed, at_design),
        least_speed=np.min(np.where(used, held.speed, np.inf), axis=1),
        most_speed=most_speed,
        efficiency=at(held.efficiency, at_design),
        best_efficiency=best[:, 0],
        shaft_power=at(held.shaft_power, at_design),
        most_power=at(held.shaft_power, last),
        too_fast=most_speed > fastest,
    )
    return flow, np.where(held.reached, held.efficiency, np.nan), used, frames


def _run_round(good: Values, centre: Values) -> Values:
    """The unbroken run of true values round one place of each row, which is empty where that is false."""
    column = np.arange(good.shape[1])
    middle = np.asarray(centre)[:, None]
    broken_below = np.max(np.where(~good & (column <= middle), column, -1), axis=1, keepdims=True)
    broken_above = np.min(np.where(~good & (column >= middle), column, good.shape[1]), axis=1, keepdims=True)
    return good & (column > broken_below) & (column < broken_above)
