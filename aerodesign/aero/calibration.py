r"""Fit a few coefficients of the meanline to tests of a known machine, and say what the tests could not determine.

With each coefficient counted in its prior deviations, :math:`z`, the most probable ones make the least of
:math:`\sum r_i(z)^2 + z^T z`: the readings' misfits over their uncertainties, and the distance from the correlations (Bayes'
rule for normal errors; the textbook form of Tikhonov and Gauss-Newton). The covariance left over is
:math:`(J^T J + I)^{-1}`; a coefficient that the readings do not touch keeps its prior.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.coefficients import UNCERTAIN_ELSEWHERE, CalibratedModels, Coefficient, coefficient, moved
from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.testpoints import QUANTITIES, TestPoints, predicted, rms_errors
from aerodesign.core.errors import CaseError

FITTED = ("slip", "blockage", "friction", "volute")
"""The coefficients fitted where nobody asks for others: work by the first two, losses by the last two."""

PASSES = 10
STEP = 0.05
"""Half width of the central difference, in prior deviations: wide enough to drown what the meanline's passes leave open."""

DAMPING = np.array([0.0, 0.1, 1.0, 10.0, 100.0])
"""Levenberg's dampings tried at once in each pass; the best is taken, or none."""

SETTLED = 1e-2
"""Largest next step of a fit that counts as solved, in prior deviations."""

OPEN = 0.8
"""A coefficient that keeps more than this part of its prior deviation is not determined by the test."""

ALIKE = 0.9
"""Correlation beyond which two coefficients cannot be told apart (common practice, no source)."""

FAR = 2.0
"""Prior deviations beyond which a coefficient asks for another explanation."""


@dataclass(frozen=True)
class Fitted:
    """One coefficient as the test left it: ``value`` is its offset or factor, ``deviation`` one standard deviation of it.

    ``pull`` is how many prior deviations it moved, ``left`` the part of its prior deviation that is still open.
    """

    name: str
    value: float
    deviation: float
    pull: float
    left: float

    @property
    def determined(self) -> bool:
        """True where the test narrowed the coefficient to 80 % of its prior deviation or less."""
        return self.left <= OPEN


@dataclass(frozen=True, eq=False)
class Calibration:
    """Coefficients fitted to a test, all counted in prior deviations: ``moves`` and their ``covariance``.

    ``before`` and ``after`` hold the root mean square error per measured quantity. ``points`` were used; ``unused`` numbers
    (from 0) those that the meanline could not solve. ``excess`` tells how many times their stated uncertainty the readings
    scatter about the fitted model, at least 1: the covariance is widened by it. ``tested`` is the range of flow coefficients
    ``Q / (u2 D2**2)`` of those points, outside which nobody has tested it; ``functions`` are the correlations fitted with.
    """

    coefficients: tuple[Coefficient, ...]
    moves: NDArray[np.float64]
    covariance: NDArray[np.float64]
    before: dict[str, float]
    after: dict[str, float]
    points: int
    excess: float
    tested: tuple[float, float]
    functions: dict[str, str]
    unused: tuple[int, ...] = ()
    solved: bool = True
    name: str = ""
    stamp: str = ""

    @cached_property
    def fitted(self) -> tuple[Fitted, ...]:
        """The coefficients one by one."""
        left = np.sqrt(np.diag(self.covariance))
        rows = []
        for one, move, part in zip(self.coefficients, self.moves, left, strict=True):
            value = one.scatter * move if one.absolute else np.exp(one.scatter * move)
            deviation = one.scatter * part * (1.0 if one.absolute else value)
            rows.append(Fitted(one.name, float(value), float(deviation), float(move), float(part)))
        return tuple(rows)

    @property
    def undetermined(self) -> tuple[str, ...]:
        """Names of the coefficients that the test could not determine."""
        return tuple(one.name for one in self.fitted if not one.determined)

    @property
    def correlation(self) -> NDArray[np.float64]:
        """Correlation of the coefficients' remaining errors."""
        left = np.sqrt(np.diag(self.covariance))
        return self.covariance / np.outer(left, left)

    @property
    def alike(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of coefficients that the test could not tell apart, with their correlation."""
        names, matrix = [one.name for one in self.coefficients], self.correlation
        pairs = [(i, j) for i in range(len(names)) for j in range(i) if abs(matrix[i, j]) > ALIKE]
        return tuple((names[j], names[i], float(matrix[i, j])) for i, j in pairs)

    def models(self, base: Models) -> CalibratedModels:
        """Models moved by the calibration, which know how sure it is.

        Raises CaseError where ``base`` has other correlations than the test was fitted with: the coefficients then mean
        nothing.
        """
        functions = base.functions()
        for phenomenon, name in self.functions.items():
            now = functions[phenomenon].__name__ if phenomenon in functions else "none"
            if now != name:
                raise CaseError(
                    f'calibration "{self.name}": was fitted with {phenomenon} = "{name}", now it is "{now}"; calibrate again'
                )
        factors, offsets = moved(base, self.coefficients, self.moves)
        return CalibratedModels(
            **functions, factors=factors, offsets=offsets, coefficients=self.coefficients, covariance=self.covariance
        )


def calibrate(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    points: TestPoints,
    models: Models,
    coefficients: tuple[str, ...] = FITTED,
) -> Calibration:
    """Fit coefficients to test points of a machine on its site. Without points the answer is the prior.

    Where the readings scatter more about the best fit than their uncertainty allows, the model is at fault (or the
    uncertainty): the fit is repeated with all uncertainties widened by that ratio (Birge, Phys. Rev. 40, 1932, from
    memory), so that neither covariance nor coefficients take misfit for knowledge. Raises CaseError for a coefficient that
    does not exist or moves the same phenomenon as another, and for a reading without uncertainty.
    """
    chosen = tuple(coefficient(name, models) for name in coefficients)
    _no_overlap(chosen)
    _no_certainty(points)
    test = _Test(blower, site, service, basis, points, models, chosen)
    nothing = np.zeros(len(chosen))
    moves, _, _ = _fit(test, test.weights(nothing), nothing)
    weights = test.weights(moves)
    moves, covariance, _ = _fit(test, weights, moves)
    excess = _excess(test.misfits(moves, weights), covariance)
    moves, covariance, next_step = _fit(test, weights / excess, moves)

    start, end = test.run(nothing), test.run(moves)
    used = test.usable & np.isfinite(end["pressure_rise"])
    return Calibration(
        coefficients=chosen,
        moves=moves,
        covariance=covariance,
        before=rms_errors(points, start, used),
        after=rms_errors(points, end, used),
        points=int(used.sum()),
        excess=excess,
        tested=_range(end["flow_coefficient"][used]),
        functions={p: f.__name__ for p, f in models.functions().items() if p not in UNCERTAIN_ELSEWHERE},
        unused=tuple(np.flatnonzero(~used).tolist()),
        solved=next_step < SETTLED,
    )


class _Test:
    """Test points beside the meanline of the machine, for any number of sets of coefficients at once."""

    def __init__(
        self, blower: Blower, site: Site, service: str, basis: str, points: TestPoints, models: Models, chosen: tuple[Coefficient, ...]
    ) -> None:
        self.blower, self.site, self.service, self.basis = blower, site, service, basis
        self.models, self.chosen, self.points = models, chosen, points
        self.flow, self.speed = points.column("flow"), points.column("speed")
        self.seen = np.array([points.column(name) for name in QUANTITIES])
        self.deviation = np.array([points.deviation(name) for name in QUANTITIES])
        self.counted = np.array([points.counted()[name] for name in QUANTITIES])
        start = self.run(np.zeros(len(chosen)))
        self.usable = start["solved"] & np.isfinite(start["pressure_rise"])

    def run(self, moves: NDArray[np.float64], flow_ratio: float = 1.0) -> dict[str, Any]:
        """Predictions of shape ``(..., points)`` for moves of shape ``(..., coefficients)``."""
        factors, offsets = moved(self.models, self.chosen, np.moveaxis(moves, -1, 0)[..., None])
        models = replace(self.models, factors=factors, offsets=offsets)
        flow = self.flow * flow_ratio
        # A point that makes no sense comes back unsolved; it needs no warning beside.
        with np.errstate(all="ignore"):
            operation = operate(
                self.blower, self.site, service=self.service, basis=self.basis, flow=flow, speed=self.speed, models=models
            )
            return predicted(operation, self.basis) | {
                "solved": operation.stage.solved, "flow_coefficient": operation.stage.flow_coefficient + 0 * self.flow
            }  # fmt: skip

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
            [(said[name] - self.seen[k])[..., weights[k] > 0] * weights[k][weights[k] > 0] for k, name in enumerate(QUANTITIES)], axis=-1
        )


def _fit(test: _Test, weights: NDArray[np.float64], moves: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Gauss-Newton passes with Levenberg's damping: the moves, their covariance, and the step that would come next.

    Each pass runs the meanline twice: on all points times all perturbed coefficients, then on all points times all dampings.
    """
    count = len(moves)
    unit = np.eye(count)
    shifts = np.concatenate([unit, -unit]) * STEP
    for number in range(PASSES + 1):
        both = test.misfits(moves + np.concatenate([shifts, np.zeros((1, count))]), weights)
        slopes = np.nan_to_num((both[:count] - both[count:-1]) / (2 * STEP))
        normal = slopes @ slopes.T + unit
        covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
        gradient = slopes @ np.nan_to_num(both[-1]) + moves
        if number == PASSES:
            break
        steps = np.array([np.linalg.solve(normal + d * np.diag(np.diag(normal)), -gradient) for d in DAMPING] + [0 * moves])
        trials = moves + steps
        costs = np.sum(test.misfits(trials, weights) ** 2, axis=-1) + np.sum(trials**2, axis=-1)
        best = int(np.argmin(np.where(np.isfinite(costs), costs, np.inf)))
        moves = trials[best]
    return moves, covariance, float(np.max(np.abs(covariance @ gradient)))


def _excess(misfits: NDArray[np.float64], covariance: NDArray[np.float64]) -> float:
    """How many times their uncertainty the readings scatter about the fit, at least 1.

    The fit used up one reading for each coefficient that it freed from its prior.
    """
    freedom = np.isfinite(misfits).sum() - (len(covariance) - np.trace(covariance))
    return float(np.sqrt(max(1.0, np.nansum(misfits**2) / max(freedom, 1.0))))


def _range(values: NDArray[np.float64]) -> tuple[float, float]:
    return (float(values.min()), float(values.max())) if values.size else (float("nan"), float("nan"))


def _no_overlap(chosen: tuple[Coefficient, ...]) -> None:
    if not chosen:
        raise CaseError("coefficients: none given; name at least one to fit")
    taken: dict[str, str] = {}
    for one in chosen:
        for phenomenon in one.phenomena:
            if phenomenon in taken:
                raise CaseError(f'coefficients "{taken[phenomenon]}" and "{one.name}" both move {phenomenon}; keep one of the two')
            taken[phenomenon] = one.name


def _no_certainty(points: TestPoints) -> None:
    for name in QUANTITIES:
        if np.any(points.column(f"{name}_uncertainty") <= 0):
            raise CaseError(f"{name}_uncertainty: must be positive; no reading is certain")
