"""Part flow: what a machine takes to follow a plant by its speed, by a throttle before or behind it, or by pre-swirl vanes.

Every kind of control is one number that is turned until the machine makes the pressure that the plant asks. All kinds, flows
and trial settings go through the meanline together.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.first_root import first_root
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import flange_velocity, inlet_density, inlet_state
from aerodesign.aero.stage import Stage
from aerodesign.aero.system import System, wanted_rise
from aerodesign.core.correlation import supply
from aerodesign.core.quantities import Angle, Power, Pressure, Ratio, Speed, Time, Values, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.correlations.stall import inducer_incidence
from aerodesign.gas.perfect import isentropic_work

KINDS = ("speed", "pre-swirl vanes", "inlet throttle", "discharge throttle")
"""Kinds of control, each along the first axis of the trial settings."""

SPEEDS = (0.3, 1.3)
"""Wheel speeds that are tried, over the design speed; the drive's fastest one counts too."""

VANES = (np.radians(65.0), np.radians(-10.0))
"""Reach of the pre-swirl vanes, closed to open: common practice, no source. A surplus at the closed end is throttled."""

THROTTLE = 0.4
"""Least total pressure behind an inlet throttle over that before it: no stage here makes a pressure ratio of 2.5."""

TRIALS = 9
"""Settings between the ends of each kind among which the first that makes the pressure is looked for."""

PASSES = 7
"""Passes of false position between two trials; the pressure is then met to 1e-5 over a whole chart."""

MET = 1e-5
"""Relative miss of the absolute discharge pressure that counts as none: 1 Pa, as a stage may be solved to."""

MORE = 1.01
"""Flow, over that of a point, at which the slope of the pressure characteristic is looked up."""

CHOKING = 0.98
"""Part of the choking mass flow beyond which a point is marked: the last speed line of the map ends there too."""

FLOWS = np.linspace(0.25, 1.10, 35)
"""Flows at which a plant's curve is followed, over the design flow."""


@record
class Controlled(Record):
    """A machine that one kind of control holds at the flows and pressures that a plant asks.

    ``flow`` is the volume flow that the plant sees, at the total state before any throttle, and ``wanted`` its pressure rise or
    suction. ``pt0``, ``speed`` and ``alpha1`` are the machine's: behind an inlet throttle it breathes thinner gas.
    ``pressure_rise`` is the machine's own, from ``pt0`` to the discharge flange; what exceeds the plant's need is lost in a throttle.
    ``efficiency`` counts the gas from before to behind the throttles, on the work of the gas. ``shaft_power`` includes bearings.
    ``stall_margins`` are negative where a criterion of stall expects trouble.
    """

    flow: VolumeFlow
    wanted: Pressure
    pt0: Pressure
    pressure_rise: Pressure
    speed: Speed
    alpha1: Angle
    shaft_power: Power
    efficiency: Ratio
    reached: Values
    choked: Values
    stall_margins: dict[str, Values]

    @property
    def in_stall_band(self) -> Values:
        """True where at least one criterion expects trouble."""
        return np.logical_or.reduce([margin < 0 for margin in self.stall_margins.values()])


class Turndown(NamedTuple):
    """The least flow over the design flow that a control reaches from there without trouble, and what ends it; "" for nothing."""

    ratio: float
    limit: str


@dataclass(frozen=True)
class Control:
    """The kinds of control on one plant: along its curve, and at the duty points with what they take in a year.

    ``energy`` is that of the shaft in J over the hours of the duty points, nan where a point with hours is not reached.
    """

    system: System
    curves: dict[str, Controlled]
    points: dict[str, Controlled]
    energy: dict[str, Values]
    turndown: dict[str, Turndown]


# Settings are tried at which nothing flows or the passage chokes: they come back unsolved.
@np.errstate(all="ignore")
def follow(
    blower: Blower,
    site: Site,
    duty: Duty,
    *,
    design_speed: Speed,
    fastest: Speed,
    mechanical_efficiency: Ratio,
    models: Models,
) -> dict[str, Controlled]:
    """Hold the machine at a duty, or at many, by each kind of control; all numbers broadcast."""
    inlet = inlet_state(duty, site, inlet_velocity=flange_velocity(duty, site, blower.A0))
    shape = np.broadcast_shapes(
        *map(np.shape, (duty.mass_flow, inlet.pt0, inlet.Tt0, inlet.p5, design_speed, blower.A0))
    )
    ones = (1,) * len(shape)
    by = {kind: np.reshape([other == kind for other in KINDS], (len(KINDS), *ones)) for kind in KINDS}
    span = np.log(np.clip(fastest / design_speed, 1, SPEEDS[1]) / SPEEDS[0])

    def run(x: Values, part: Values = 1.0) -> Stage:
        """The stage at settings between 0, the least pressure, and 1; at a part of the flow."""
        return meanline.solve(
            blower,
            gas=inlet.gas,
            pt0=inlet.pt0 * np.where(by["inlet throttle"], THROTTLE ** (1 - x), 1),
            Tt0=inlet.Tt0,
            mass_flow=duty.mass_flow * part,
            speed=design_speed * np.where(by["speed"], SPEEDS[0] * np.exp(span * x), 1),
            alpha1=np.where(by["pre-swirl vanes"], VANES[0] + (VANES[1] - VANES[0]) * x, 0),
            models=models,
        )

    def surplus(x: Values) -> Values:
        stage = run(x)
        ratio = np.maximum(_made(stage, duty.basis) / inlet.p5, 0.1)
        # What does not solve makes no pressure; a finite number keeps false position going.
        return np.where(stage.solved, np.log(ratio), -1.0)

    setting = first_root(surplus, (len(KINDS), *shape), trials=TRIALS, passes=PASSES, tolerance=MET)
    stage = run(setting.x)
    margins = _stall_margins(stage, run(setting.x, MORE), duty.basis)
    made, reached = _made(stage, duty.basis), setting.reached & stage.solved
    delivered = np.where(reached, inlet.p5, made)
    found = Controlled(
        flow=duty.mass_flow / inlet_density(inlet),
        wanted=duty.pressure_rise,
        pt0=stage.pt0,
        pressure_rise=made - stage.pt0,
        speed=stage.speed,
        alpha1=stage.alpha1,
        shaft_power=stage.power / mechanical_efficiency,
        efficiency=isentropic_work(gas=inlet.gas, Tt=inlet.Tt0, pressure_ratio=delivered / inlet.pt0) / stage.work,
        reached=reached,
        choked=stage.mass_flow > CHOKING * stage.choke_flow,
        stall_margins=margins,
    )
    return {kind: found[number] for number, kind in enumerate(KINDS)}


def control(
    blower: Blower,
    site: Site,
    duty: Duty,
    system: System,
    *,
    design_index: int,
    design_speed: Speed,
    fastest: Speed,
    mechanical_efficiency: Ratio,
    models: Models,
) -> Control:
    """Each kind of control along a plant's curve through the design duty, and at the duty points as they are."""
    points = duty[np.arange(duty.mass_flow.size)] if duty.shape else duty[None]
    along = plant_duties(system, points[design_index], site, flows=FLOWS)
    names = ("flow", "mass_flow", "pressure_rise", "hours")
    both = points.but(**{name: np.concatenate([getattr(along, name), getattr(points, name)]) for name in names})
    found = follow(
        blower,
        site,
        both,
        design_speed=design_speed,
        fastest=fastest,
        mechanical_efficiency=mechanical_efficiency,
        models=models,
    )
    curves = {kind: one[: len(FLOWS)] for kind, one in found.items()}
    at_points = {kind: one[len(FLOWS) :] for kind, one in found.items()}
    return Control(
        system=system,
        curves=curves,
        points=at_points,
        energy={kind: yearly_energy(one, points.hours) for kind, one in at_points.items()},
        turndown={kind: turndown(one) for kind, one in curves.items()},
    )


def plant_duties(system: System, design_duty: Duty, site: Site, *, flows: Ratio) -> Duty:
    """What a plant asks at flows given over that of the design duty.

    In vacuum service the gas at the inlet flange thins with the suction, which is held below 95 % of the site's pressure.
    """
    rise = wanted_rise(
        system,
        flow=flows * design_duty.flow,
        design_flow=design_duty.flow,
        design_rise=design_duty.pressure_rise,
    )
    thinner: Values = 1.0
    if design_duty.service == "vacuum":
        rise = np.minimum(rise, 0.95 * site.pressure)
        thinner = (site.pressure - rise) / (site.pressure - design_duty.pressure_rise)
    return design_duty.but(
        flow=flows * design_duty.flow,
        mass_flow=flows * design_duty.mass_flow * thinner,
        pressure_rise=rise,
        hours=0 * flows,
    )


def yearly_energy(found: Controlled, hours: Time) -> Values:
    """Energy of the shaft in J over the hours at each point (the last axis); nan where a point with hours is not reached."""
    counts = hours > 0
    lacking = np.any(counts & ~found.reached, axis=-1)
    return np.where(lacking, np.nan, np.sum(np.where(counts, hours * found.shaft_power, 0), axis=-1))[()]


def turndown(found: Controlled) -> Turndown:
    """How far a control follows a plant's curve at :data:`FLOWS` down from the design flow."""
    names, margins = list(found.stall_margins), np.array(list(found.stall_margins.values()))
    least = margins.min(axis=0)
    down = slice(int(np.argmin(np.abs(FLOWS - 1))), None, -1)
    flows, least, reached = FLOWS[down], least[down], found.reached[down]
    worst = margins.argmin(axis=0)[down]

    ends = np.append(~reached | (least < 0), True)
    end = int(np.argmax(ends))
    inside = max(end - 1, 0)
    last = min(end, len(flows) - 1)
    fall = least[inside] - least[last]
    crossing = flows[inside] + (flows[last] - flows[inside]) * np.clip(
        least[inside] / np.where(fall > 0, fall, 1), 0, 1
    )
    stalls = bool(reached[last] & (least[last] < 0))
    ratio = float(np.where(ends[0], np.nan, np.where(stalls, crossing, flows[inside])))
    words = names[worst[last]] if stalls else "the pressure asked" if end < len(flows) else ""
    return Turndown(ratio, words)


def _made(stage: Stage, basis: str) -> Pressure:
    """The pressure at the discharge flange that counts."""
    return stage.p5 if basis == "static" else stage.pt5


def _stall_margins(stage: Stage, beyond: Stage, basis: str) -> dict[str, Values]:
    """Margins to the criteria of the map: falling pressure over flow (from a point a little beyond), and angles in rad."""
    allowed = supply(inducer_incidence, {"beta1s_blade": stage.blower.impeller.beta1s_blade})
    fall = np.log(_made(stage, basis) / _made(beyond, basis)) / np.log(MORE)
    return {
        "peak of the pressure characteristic": fall,
        "critical angle of the vaneless diffuser": stage.stall_margin,
        "incidence at the inducer tip": allowed - stage.incidence_shroud,
    }
