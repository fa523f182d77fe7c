"""What a simulation answers, in the meanline's own quantities, and the gates that it must pass to be believed."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from aerodesign.cfd.conditions import still_walls
from aerodesign.cfd.history import History, Waver, read_history, series
from aerodesign.cfd.solved import Solved, Surface
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import (
    Angle,
    Density,
    MassFlow,
    Pressure,
    Ratio,
    SpecificEnergy,
    Speed,
    Torque,
    Velocity,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import isentropic_work

STEADY = "torque steady"
MIXED = 1.03
"""Of r2: where the total pressure behind the wheel is read, the wakes no longer quite so sharp."""
AHEAD = 0.15
"""Of r2: distance ahead of the leading edge at which the inlet's total pressure is read."""


@record
class Answer(Record):
    """A solved point in the meanline's quantities. Losses are isentropic work, as the meanline books them.

    ``work`` follows from the torque on the turning walls; ``work_field`` from the angular momentum that the gas carries through
    the cylinder r2, with what still walls ahead of it took. ``exit_blockage`` is the part of the exit's area that were empty
    if all gas left with the mass-averaged meridional velocity; ``slip`` counts with that velocity.
    """

    mass_flow: MassFlow
    speed: Speed
    torque: Torque
    work: SpecificEnergy
    work_field: SpecificEnergy
    euler_work: SpecificEnergy
    pt1: Pressure
    pt2: Pressure
    p2: Pressure
    rho2: Density
    cm2_blocked: Velocity
    cu2: Velocity
    alpha2: Angle
    slip: Ratio
    exit_blockage: Ratio
    pt3: Pressure
    p3: Pressure
    loss_impeller: SpecificEnergy
    loss_diffuser: SpecificEnergy
    efficiency_impeller: Ratio
    efficiency: Ratio


@dataclass(frozen=True)
class Gate:
    """A condition for a result to be believed: what was found and what is allowed."""

    name: str
    found: float
    allowed: float
    text: str

    @property
    def passed(self) -> bool:
        """True where it was found and is allowed."""
        return bool(np.isfinite(self.found) and 0 <= self.found <= self.allowed)


@dataclass(frozen=True)
class Judged:
    """An answer with its gates. ``waver`` is the torque's where the run never came to rest and mean fields were judged."""

    answer: Answer
    gates: tuple[Gate, ...]
    iteration: int
    waver: Waver | None = None

    @property
    def accepted(self) -> bool:
        """True where every gate is passed."""
        return all(gate.passed for gate in self.gates)

    @property
    def wavers(self) -> bool:
        """True for a mean answer that passed every gate but the one that asks the torque to come to rest."""
        return self.waver is not None and all(gate.passed for gate in self.gates if gate.name != STEADY)


def station_mean(solved: Solved, name: str) -> np.ndarray:
    """Plain mean of a value over the cells of each station."""
    station = solved.mesh.ijk[:, 0]
    return np.asarray(np.bincount(station, solved.cells[name]) / np.bincount(station))


def judge(case: Path, solved: Solved, *, b2: float, beta2_blade: float, since: int | None = None) -> Judged:
    """Averages, work, losses and gates of a solved state. Raises AerodesignError where its histories are missing.

    ``since`` is the iteration from which a state of mean fields was averaged: moments are averaged from there on, too.
    """
    point, mesh = solved.point, solved.mesh
    history = read_history(case)
    if not history.iteration.size:
        raise AerodesignError(f"{case}: has no histories in postProcessing; run it anew with {case / 'run'}")

    waver = None if since is None else history.waver(history.torque, since)
    inlet, outlet = solved.boundary("inlet"), solved.boundary("outlet")
    exit_ = solved.surface(mesh.trailing_edge)
    z, r = station_mean(solved, "z"), station_mean(solved, "r")
    edge = z[mesh.leading_edge]
    before = solved.surface(max(1, int(np.sum(z[: mesh.leading_edge] < edge - AHEAD * point.r2))))
    behind = solved.surface(
        min(mesh.trailing_edge + int(np.sum(r[mesh.trailing_edge :] < MIXED * point.r2)), len(r) - 1)
    )

    flow = point.blades * float(outlet.flux.sum())
    torque = point.blades * (waver.mean if waver else float(history.torque[-1]))
    still = {name: point.blades * moment(case, name, since) for name in still_walls(mesh, point)}
    ahead = sum(value for name, value in still.items() if "diffuser" not in name)

    gained = exit_.mean("rcu") - inlet.mean("rcu")
    work, euler_work = torque * point.speed / flow, point.speed * gained
    blocked = _blocked(exit_)
    rho2, cu2 = exit_.mean("rho"), exit_.mean("rcu") / point.r2
    area = 2 * np.pi * point.r2 * b2
    pt1, pt2, pt3 = before.mean("pt"), behind.mean("pt"), outlet.mean("pt")
    head = {n: isentropic_work(gas=point.gas, Tt=point.Tt, pressure_ratio=pt / pt1) for n, pt in ((2, pt2), (3, pt3))}
    answer = Answer(
        mass_flow=flow,
        speed=point.speed,
        torque=torque,
        work=work,
        work_field=euler_work - ahead * point.speed / flow,
        euler_work=euler_work,
        pt1=pt1,
        pt2=pt2,
        p2=behind.mean("p"),
        rho2=rho2,
        cm2_blocked=blocked,
        cu2=cu2,
        alpha2=np.arctan(cu2 * rho2 * area / flow),
        slip=(cu2 + blocked * np.tan(beta2_blade)) / point.u2,
        exit_blockage=1 - flow / (rho2 * blocked * area),
        pt3=pt3,
        p3=outlet.mean("p"),
        loss_impeller=work - head[2],
        loss_diffuser=head[2] - head[3],
        efficiency_impeller=head[2] / work,
        efficiency=head[3] / work,
    )
    carried = point.blades * float(
        np.sum(outlet.flux * outlet.values["rcu"]) - np.sum(inlet.flux * inlet.values["rcu"])
    )
    momentum = abs(torque + sum(still.values()) - carried) / abs(torque)
    return Judged(answer, _gates(answer, history, inlet, outlet, momentum), solved.iteration, waver)


def moment(case: Path, name: str, since: int | None = None) -> float:
    """What a wall gives to the gas of one passage about the axis: the latest entry, or the mean since an iteration; 0 where none is."""
    table = series(case, f"moment_{name}", "moment.dat")
    if not table:
        return 0.0
    chosen = [row[2] for n, row in table.items() if n > (max(table) - 1 if since is None else since)]
    return -float(np.mean(chosen)) if chosen else 0.0


def _blocked(exit_: Surface) -> float:
    """Mass-averaged velocity through the exit's surface, normal to it."""
    size = np.linalg.norm(exit_.area, axis=1)
    through = exit_.flux / (exit_.values["rho"] * size)
    return float(np.sum(exit_.flux * through) / np.sum(exit_.flux))


def _gates(answer: Answer, history: History, inlet: Surface, outlet: Surface, momentum: float) -> tuple[Gate, ...]:
    balance = abs(float(inlet.flux.sum() / outlet.flux.sum()) - 1)
    works = abs(answer.work_field / answer.work - 1)
    return (
        Gate("mass balance", balance, 1e-4, "flow in against flow out"),
        Gate("angular momentum balance", momentum, 0.01, "moments of all walls against what the gas carries out"),
        Gate(STEADY, history.scatter(history.torque), 1e-3, "range over the last 50 iterations"),
        Gate("works agree", works, 0.01, "from torque against from the field"),
        Gate("efficiency below 1", float(answer.efficiency_impeller), 0.999, "impeller, total to total"),
    )
