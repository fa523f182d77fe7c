"""What a simulated volute answers: its losses in the meanline's book, the pressure round the wheel, the radial force, the gates."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.cfd.answer import Gate
from aerodesign.cfd.history import series
from aerodesign.cfd.solved import Surface
from aerodesign.cfd.volute_history import VoluteHistory, read_volute_history
from aerodesign.cfd.volute_settings import WALLS
from aerodesign.cfd.volute_solved import VoluteSolved, round_the_circle
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import (
    Angle,
    Force,
    MassFlow,
    Pressure,
    Ratio,
    SpecificEnergy,
    Temperature,
    Velocity,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import isentropic_work

LOSS_SETTLED = 0.02
"""Part by which the loss may swing to either side of its mean."""
FORCE_SETTLED = 0.005
"""Of dynamic pressure, diameter and width behind the wheel: what the force may swing to either side."""

BALANCED_SWIRL = 0.02
"""Of the angular momentum that comes in: what may be missing. Cut cells of all shapes conserve it less well than the passage's."""


@record
class VoluteAnswer(Record):
    """A solved volute in the meanline's quantities; losses are what the fall of total pressure takes from isentropic work.

    ``pt5`` is from the mean fall over the last iterations. ``loss_coefficient`` and ``recovery`` are the falls of total and the
    rise of static pressure from base circle to flange over the dynamic pressure at the base circle. ``distortion2`` and
    ``distortion3`` are highest less lowest pressure round the wheel's exit and round the base circle over the dynamic pressure
    there. The force is that of the gas on the wheel, of pressure and of momentum; its direction counts from the tongue with the
    rotation.
    """

    mass_flow: MassFlow
    pt2: Pressure
    p2: Pressure
    pt3: Pressure
    p3: Pressure
    cu3: Velocity
    cm3: Velocity
    pt5: Pressure
    p5: Pressure
    Tt5: Temperature
    loss_diffuser: SpecificEnergy
    loss_volute: SpecificEnergy
    loss_coefficient: Ratio
    recovery: Ratio
    distortion2: Ratio
    distortion3: Ratio
    force_pressure: Force
    force_momentum: Force
    force: Force
    direction: Angle


@dataclass(frozen=True)
class VoluteJudged:
    """An answer with its gates."""

    answer: VoluteAnswer
    gates: tuple[Gate, ...]
    iteration: int

    @property
    def accepted(self) -> bool:
        """True where every gate is passed."""
        return all(gate.passed for gate in self.gates)


def judge_volute(case: Path, solved: VoluteSolved, stage: Stage) -> VoluteJudged:
    """Averages, losses, force and gates of a solved state of the volute of a ``stage``. Raises AerodesignError where its histories are missing."""
    point, history = solved.point, read_volute_history(case)
    if not history.iteration.size:
        raise AerodesignError(f"{case}: has no histories in postProcessing; run it anew with {case / 'run'}")
    inlet, base, outlet = solved.boundary("inlet"), solved.base_circle, solved.boundary("outlet")
    pt2, pt3, end = (surface.mean("pt") for surface in (inlet, base, outlet))
    pt5 = pt2 - (pt2 - end) * history.mean_over_last
    p2, p3, p5 = (_over_area(surface, "p") for surface in (inlet, base, outlet))
    pressure, momentum = rim_forces(inlet)
    force = pressure + momentum
    answer = VoluteAnswer(
        mass_flow=float(outlet.flux.sum()),
        pt2=pt2,
        p2=p2,
        pt3=pt3,
        p3=p3,
        cu3=base.mean("rcu") / point.r3,
        cm3=base.mean("cr"),
        pt5=pt5,
        p5=p5,
        Tt5=outlet.mean("Tt"),
        loss_diffuser=lost_work(stage, pt2, pt3),
        loss_volute=lost_work(stage, pt3, pt5),
        loss_coefficient=(pt3 - pt5) / (pt3 - p3),
        recovery=(p5 - p3) / (pt3 - p3),
        distortion2=np.ptp(round_the_circle(inlet, "p")[1]) / (pt2 - p2),
        distortion3=np.ptp(round_the_circle(base, "p")[1]) / (pt3 - p3),
        force_pressure=float(np.hypot(*pressure)),
        force_momentum=float(np.hypot(*momentum)),
        force=float(np.hypot(*force)),
        direction=float(np.arctan2(force[1], force[0])),
    )
    return VoluteJudged(answer, _gates(case, solved, answer, history), solved.iteration)


def lost_work(stage: Stage, before: Pressure, behind: Pressure) -> SpecificEnergy:
    """Isentropic work that a fall of total pressure behind the wheel takes away, as the meanline books it: from the inlet's state."""
    high, low = (isentropic_work(gas=stage.gas, Tt=stage.Tt0, pressure_ratio=pt / stage.pt0) for pt in (before, behind))
    return high - low


def rim_forces(inlet: Surface) -> tuple[np.ndarray, np.ndarray]:
    """Force (x, y) of the gas on the wheel through its exit cylinder: of pressure, and of the momentum that leaves through it."""
    even = _over_area(inlet, "p")
    pressure = np.sum((inlet.values["p"] - even)[:, None] * inlet.area[:, :2], axis=0)
    momentum = np.array([np.sum(inlet.flux * inlet.values[name]) for name in ("cx", "cy")])
    return pressure, momentum


def _over_area(surface: Surface, name: str) -> float:
    size = np.linalg.norm(surface.area, axis=1)
    return float(np.sum(size * surface.values[name]) / size.sum())


def swirl_balance(case: Path, solved: VoluteSolved) -> float:
    """Moment about the axis that walls and openings give to the gas, less what it gains, over what it brings."""
    point, gained, given = solved.point, 0.0, 0.0
    for name in solved.mesh.patches:
        surface = solved.boundary(name)
        push = -(surface.values["p"] - point.p5)[:, None] * surface.area  # of what lies outside on the gas
        given += float(np.sum(surface.centre[:, 0] * push[:, 1] - surface.centre[:, 1] * push[:, 0]))
        if name in WALLS:
            table = series(case, f"force_{name}", "moment.dat")
            given -= table[max(table)][8] if table else float("nan")  # friction about z
        else:
            gained += float(np.sum(surface.flux * surface.values["rcu"]))
    brought = point.mass_flow * point.r2 * point.cu2
    return abs(given - gained) / abs(brought)


def _gates(case: Path, solved: VoluteSolved, answer: VoluteAnswer, history: VoluteHistory) -> tuple[Gate, ...]:
    point = solved.point
    scale = point.dynamic * 2 * point.r2 * point.b2
    return (
        Gate("mass balance", history.imbalance, 1e-4, "flow in against flow out, mean of the last 100 iterations"),
        Gate("mass flow", abs(answer.mass_flow / point.mass_flow - 1), 1e-3, "simulated against asked"),
        Gate("angular momentum balance", swirl_balance(case, solved), BALANCED_SWIRL, "moments of walls and openings against the gas"),
        Gate("total temperature kept", abs(answer.Tt5 / point.Tt - 1), 1e-3, "no heat, no work"),
        Gate("loss settled", history.loss_swing, LOSS_SETTLED, "half the range over the last 100 iterations; the answer is their mean"),
        Gate("force settled", history.force_swing / scale, FORCE_SETTLED, "half its range over the dynamic pressure on the wheel's rim"),
    )  # fmt: skip
