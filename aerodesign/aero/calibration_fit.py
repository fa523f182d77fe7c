"""The fit under a calibration: a tested machine's misfits for many sets of coefficients at once, and damped passes over them."""

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.coefficients import Coefficient, moved
from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.testpoints import QUANTITIES, TestPoints, predicted

PASSES = 40
"""Most passes of a fit; most end after four to eight, the slow ones follow a bent valley of two coefficients that work alike."""

STEP = 0.05
"""Half width of the central difference, in prior deviations: wide enough to drown what the meanline's passes leave open."""

ENOUGH = 1e-3
"""A next step smaller than this, in prior deviations, ends a fit."""

DAMPING = np.array([0.0, 0.01, 0.1, 1.0, 10.0, 100.0])
"""Levenberg's dampings tried at once in each pass; the best is taken, or none."""

LENGTHS = np.array([1.0, 0.5, 0.25])
"""Parts of each step tried too."""


class TestedMachine:
    """Test points beside the meanline of the machine, for any number of sets of coefficients at once."""

    def __init__(
        self,
        blower: Blower,
        site: Site,
        service: str,
        basis: str,
        points: TestPoints,
        models: Models,
        chosen: tuple[Coefficient, ...],
    ) -> None:
        self.blower, self.site, self.service, self.basis = blower, site, service, basis
        self.models, self.chosen, self.points = models, chosen, points
        self.flow, self.speed = points.column("flow"), points.column("speed")
        self.seen = np.array([points.column(name) for name in QUANTITIES])
        self.deviation = np.array([points.deviation(name) for name in QUANTITIES])
        self.counted = np.array([points.counted()[name] for name in QUANTITIES])
        self.usable = np.full(self.flow.shape, True)
        self.leave_out_unsolved(np.zeros(len(chosen)))

    def leave_out_unsolved(self, moves: NDArray[np.float64]) -> None:
        """From now on, use no point that the meanline cannot solve with these moves."""
        said = self.run(moves)
        self.usable = self.usable & said["solved"] & np.isfinite(said["pressure_rise"])

    def run(self, moves: NDArray[np.float64], flow_ratio: float = 1.0) -> dict[str, Any]:
        """Predictions of shape ``(..., points)`` for moves of shape ``(..., coefficients)``."""
        # A point, or a step of the fit, that makes no sense comes back unsolved; it needs no warning beside.
        with np.errstate(all="ignore"):
            factors, offsets = moved(self.models, self.chosen, np.moveaxis(moves, -1, 0)[..., None])
            operation = operate(
                self.blower,
                self.site,
                service=self.service,
                basis=self.basis,
                flow=self.flow * flow_ratio,
                speed=self.speed,
                models=replace(self.models, factors=factors, offsets=offsets),
            )
            stage = operation.stage
            known = {"solved": stage.solved, "flow_coefficient": stage.flow_coefficient + 0 * self.flow}
            return known | predicted(operation, self.basis)

    def weights(self, moves: NDArray[np.float64]) -> NDArray[np.float64]:
        """One over the uncertainty of each reading's misfit, that of the flow carried along the slope; 0 for readings not counted."""
        wide = 0.005
        above, below = self.run(moves, 1 + wide), self.run(moves, 1 - wide)
        change = np.array([(above[name] - below[name]) / (2 * wide) for name in QUANTITIES])
        relative = self.points.deviation("flow") / np.where(self.flow > 0, self.flow, 1.0)
        deviation = np.hypot(self.deviation, np.nan_to_num(change) * relative)
        known = self.counted & self.usable & (deviation > 0)
        return np.where(known, 1 / np.where(known, deviation, 1.0), 0.0)

    def misfits(self, moves: NDArray[np.float64], weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Weighted misfits of the counted readings, shape ``(..., readings)``; nan where the meanline gives none."""
        said = self.run(moves)
        return np.concatenate(
            [
                (said[name] - self.seen[k])[..., weights[k] > 0] * weights[k][weights[k] > 0]
                for k, name in enumerate(QUANTITIES)
            ],
            axis=-1,
        )


def fit(
    test: TestedMachine, weights: NDArray[np.float64], moves: NDArray[np.float64], passes: int = PASSES
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Gauss-Newton passes with Levenberg's damping: the moves, their covariance, and the step that would come next.

    Each pass runs the meanline twice: on all points times all perturbed coefficients, then on all points times all trials.
    """
    unit = np.eye(len(moves))
    shifts = np.concatenate([unit, -unit, 0 * unit[:1]]) * STEP
    for number in range(passes + 1):
        above, below, here = np.split(test.misfits(moves + shifts, weights), [len(moves), 2 * len(moves)])
        slopes = np.nan_to_num((above - below) / (2 * STEP))
        normal = slopes @ slopes.T + unit
        covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
        gradient = slopes @ np.nan_to_num(here[0]) + moves
        next_step = float(np.max(np.abs(covariance @ gradient)))
        if next_step < ENOUGH or number == passes:
            break
        steps = [np.linalg.solve(normal + d * np.diag(np.diag(normal)), -gradient) for d in DAMPING]
        trials = moves + np.concatenate([0 * unit[:1], *(length * np.array(steps) for length in LENGTHS)])
        costs = np.sum(test.misfits(trials, weights) ** 2, axis=-1) + np.sum(trials**2, axis=-1)
        moves = trials[int(np.argmin(np.where(np.isfinite(costs), costs, np.inf)))]
    return moves, covariance, next_step


def excess_scatter(misfits: NDArray[np.float64], covariance: NDArray[np.float64]) -> float:
    """How many times their uncertainty the readings scatter about the fit, at least 1.

    The fit used up one reading for each coefficient that it freed from its prior.
    """
    freedom = np.isfinite(misfits).sum() - (len(covariance) - np.trace(covariance))
    return float(np.sqrt(max(1.0, np.nansum(misfits**2) / max(freedom, 1.0))))
