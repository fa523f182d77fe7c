"""Sizing: the flow path that meets a duty exactly, with the best efficiency inside the limits.

The search is over the meanline itself, thousands of candidates at once: a spread of candidates, then closer and closer ones
about the best. Every candidate is first brought to the duty exactly: its tip speed, exit density and volute follow from the
flow that it has.
"""

from dataclasses import dataclass, replace

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.duty import Inlet
from aerodesign.aero.impeller import Blower
from aerodesign.aero.limits import check, penalty
from aerodesign.aero.models import Models
from aerodesign.aero.operation import inlet_density, required_work
from aerodesign.aero.proposal import Guess, Proposal, chosen_section, draw
from aerodesign.aero.sections import Section
from aerodesign.aero.stage import Stage
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import MassFlow, Pressure, Ratio, Values
from aerodesign.machine.drive import fastest_speed, supply_speeds

SEARCH_PASSES = 7
FINAL_PASSES = 24, 150
"""Passes that bring the winner to the duty; the longer run where the shorter has not settled."""

ROUNDS = 6
SEED = 20


@dataclass(frozen=True)
class Task:
    """What is to be sized: states at the flanges, mass flow, basis of the pressure, limits and choices."""

    inlet: Inlet
    mass_flow: MassFlow
    rise: Pressure
    service: str
    basis: str
    limits: Limits
    drive: Drive
    choices: Choices
    models: Models

    @property
    def section(self) -> Section:
        """The volute's section."""
        return chosen_section(self.choices)


@dataclass(frozen=True)
class Sized:
    """Result of the sizing: the flow path, the solved design point, the limits, and the bounds of the free numbers."""

    blower: Blower
    stage: Stage
    limits: list[Limit]
    proposal: Proposal
    evaluated: int
    met: bool
    bounds: dict[str, tuple[float, float]]

    @property
    def feasible(self) -> bool:
        """True where the duty is met to 1e-6 and every hard limit kept."""
        return self.met and all(bool(limit.passed) for limit in self.limits if limit.hard)


def meet_duty(proposal: Proposal, task: Task, *, passes: int) -> tuple[Blower, Stage]:
    """Bring proposals to the duty: tip speed from the pressure, exit width from the density, volute from the swirl.

    A secant on the logarithms of tip speed and work: work grows at least with the square of the tip speed, and with up to
    its tenth power in wide wheels, where a larger radius also narrows the exit and thins its blockage. Returns flow path and
    solved stage, broadcast over the proposals.
    """
    inlet, gas = task.inlet, task.inlet.gas
    wanted = required_work(inlet)
    guess = Guess(
        u2=np.sqrt(wanted / 0.5) + 0 * proposal.speed,
        rho2=1.1 * inlet_density(inlet) + 0 * proposal.speed,
        angular_integral=task.mass_flow / (1.15 * inlet_density(inlet)) / (0.5 * wanted / proposal.speed),
    )
    previous = None
    # Candidates that cannot be built overflow on their way; they come back unsolved.
    with np.errstate(all="ignore"):
        for _ in range(passes):
            blower = draw(
                proposal, guess, inlet=inlet, mass_flow=task.mass_flow, choices=task.choices, section=task.section
            )
            stage = meanline.solve(
                blower,
                gas=gas,
                pt0=inlet.pt0,
                Tt0=inlet.Tt0,
                mass_flow=task.mass_flow,
                speed=proposal.speed,
                models=task.models,
            )
            x, y = np.log(guess.u2), np.log(np.maximum(duty_ratio(stage, task), 0.05))
            slope = 2.5 if previous is None else _secant_slope(x, y, *previous)
            previous = x, y
            guess = Guess(
                u2=np.exp(
                    np.clip(x - np.clip(y / slope, -0.25, 0.25), *np.log(np.multiply((0.4, 6), np.sqrt(wanted))))
                ),
                rho2=stage.rho2,
                angular_integral=task.mass_flow
                / (stage.rho3 * np.maximum(blower.diffuser.r3 * stage.cu3, 1e-3 * wanted / proposal.speed)),
            )
    return blower, stage


def _secant_slope(x: Values, y: Values, x_before: Values, y_before: Values) -> Values:
    """Slope of log work against log tip speed from two passes, kept between 1.8 and 12."""
    step = x - x_before
    return np.clip(np.where(np.abs(step) > 1e-12, (y - y_before) / np.where(step == 0, 1, step), 2.5), 1.8, 12)


def duty_ratio(stage: Stage, task: Task) -> Values:
    """Isentropic work reached over that of the duty: one where the duty is met."""
    inlet, gas = task.inlet, task.inlet.gas
    reached = stage.p5 if task.basis == "static" else stage.pt5
    got = gas.cp * inlet.Tt0 * ((np.maximum(reached, 0.2 * inlet.pt0) / inlet.pt0) ** gas.kappa - 1)
    return got / required_work(inlet)


def size(task: Task, *, rounds: int = ROUNDS) -> Sized:
    """Search for the flow path of best efficiency that meets the duty inside the limits.

    Deterministic: the candidates are a Sobol sequence with a fixed seed. The result may be infeasible: see ``Sized.feasible``
    and :func:`aerodesign.aero.feasibility.explain`.
    """
    from scipy.stats import qmc  # costs half a second, which importing the package must not

    space = _Space.of(task)
    sampler = qmc.Sobol(d=space.dimensions, seed=SEED)
    count = int(task.choices.search_effort)

    best_cost, best = np.inf, np.full(space.dimensions, 0.5)
    width, evaluated = 1.0, 0
    for number in range(rounds):
        unit = sampler.random(count if number == 0 else count // 2)
        unit = np.clip(best + width * (unit - 0.5), 0, 1)
        if number > 0:
            unit[0] = best
        proposal = space.proposal(unit)
        cost = _cost(proposal, task)
        evaluated += len(cost)
        winner = int(np.argmin(cost))
        if cost[winner] < best_cost:
            best_cost, best = float(cost[winner]), unit[winner]
        width = width * 0.55
    bounds = {name: (float(low), float(high)) for name, (low, high) in space.bounds.items()}
    return _sized(space.proposal(best[None, :])[0], task, evaluated=evaluated, bounds=bounds)


def resize(sized: Sized, task: Task, *, throat_ratio: Ratio) -> Sized:
    """The same free numbers brought to the duty anew, with the task's models and a throat that was measured between the blades.

    Only where a limit is then passed the search is made anew.
    """
    again = _sized(sized.proposal, task, evaluated=sized.evaluated, bounds=sized.bounds)
    if not again.feasible:
        again = size(task)
    blower = again.blower.but(impeller=again.blower.impeller.but(throat_ratio=throat_ratio))
    stage = meanline.solve(
        blower,
        gas=task.inlet.gas,
        pt0=task.inlet.pt0,
        Tt0=task.inlet.Tt0,
        mass_flow=task.mass_flow,
        speed=again.stage.speed,
        models=task.models,
    )
    return replace(again, blower=blower, stage=stage, limits=limits_of(stage, task))


def _sized(proposal: Proposal, task: Task, *, evaluated: int, bounds: dict[str, tuple[float, float]]) -> Sized:
    for passes in FINAL_PASSES:
        blower, stage = meet_duty(proposal, task, passes=passes)
        missed = abs(float(duty_ratio(stage, task)) - 1)
        if missed < 1e-9:
            break
    met = bool(stage.solved) and missed < 1e-6
    return Sized(
        blower=blower,
        stage=stage,
        limits=limits_of(stage, task),
        proposal=proposal,
        evaluated=evaluated,
        met=met,
        bounds=bounds,
    )


def limits_of(stage: Stage, task: Task) -> list[Limit]:
    """The limits of a stage for the task."""
    return check(stage, limits=task.limits, drive=task.drive, choices=task.choices, rise=task.rise)


def _cost(proposal: Proposal, task: Task) -> Values:
    """Efficiency lost plus penalties, per candidate; candidates that do not solve cost most."""
    _, stage = meet_duty(proposal, task, passes=SEARCH_PASSES)
    # What candidates that did not solve make of it is replaced below.
    with np.errstate(all="ignore"):
        efficiency = stage.efficiency_static if task.basis == "static" else stage.efficiency_total
        missed = np.maximum(np.abs(duty_ratio(stage, task) - 1) - 0.02, 0)
        cost = 1 - efficiency + penalty(limits_of(stage, task)) + 10 * missed
        return np.where(stage.solved & np.isfinite(cost), cost, 1e3)


@dataclass(frozen=True)
class _Space:
    """The box of free numbers; each is fixed where the case chooses it."""

    speeds: Values
    bounds: dict[str, tuple[float, float]]

    @classmethod
    def of(cls, task: Task) -> "_Space":
        choices, drive = task.choices, task.drive
        work, flow = required_work(task.inlet), task.mass_flow / inlet_density(task.inlet)
        per_specific_speed = work**0.75 / np.sqrt(flow)
        low, high = 0.25 * per_specific_speed, 1.5 * per_specific_speed
        fastest = np.nanmin(
            [fastest_speed(kind=drive.kind, frequency=drive.frequency, slip=drive.slip), task.limits.speed]
        )
        if np.isfinite(choices.speed):
            speeds = np.array([choices.speed])
        elif drive.kind == "direct":
            poles = (2, 4, 6, 8) if np.isnan(drive.poles) else (int(drive.poles),)
            speeds = supply_speeds(frequency=drive.frequency, slip=drive.slip, poles=poles)
        else:
            speeds = np.array([min(low, 0.98 * fastest), min(high, fastest)])
        wide = {
            "flow_coefficient_exit": (choices.flow_coefficient_exit, 0.18, 0.36),
            "blades": (choices.blades, 6.0, 11.0) if choices.splitters else (choices.blades, 9.0, 20.0),
            "backsweep": (choices.backsweep, np.radians(25), np.radians(55)),
            "diffuser_ratio": (choices.diffuser_ratio, 1.3, 1.6),
            "inducer_scale": (np.nan, 0.98, 1.12),
        }
        bounds = {name: (low, high) if np.isnan(fixed) else (fixed, fixed) for name, (fixed, low, high) in wide.items()}
        continuous = drive.kind != "direct" and not np.isfinite(choices.speed)
        return cls(speeds=speeds, bounds={"speed": tuple(speeds)} | bounds if continuous else bounds)

    @property
    def dimensions(self) -> int:
        return len(self.bounds) + ("speed" not in self.bounds)

    def proposal(self, unit: Values) -> Proposal:
        """Proposals for points of the unit cube, shape (n, dimensions)."""
        columns = dict(zip(self.bounds, unit.T, strict=False))
        values = {name: low + (high - low) * columns[name] for name, (low, high) in self.bounds.items()}
        if "speed" not in values:
            index = np.minimum((unit[:, -1] * len(self.speeds)).astype(int), len(self.speeds) - 1)
            values["speed"] = self.speeds[index]
        values["blades"] = np.round(values["blades"])
        return Proposal(**values)
