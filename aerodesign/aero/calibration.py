r"""Fit a few coefficients of the meanline to tests of a known machine, and say what the tests could not determine.

With each coefficient counted in its prior deviations, :math:`z`, the most probable ones make the least of
:math:`\sum r_i(z)^2 + z^T z`: the readings' misfits over their uncertainties, and the distance from the correlations (Bayes'
rule for normal errors; the textbook form of Tikhonov and Gauss-Newton). The covariance left over is
:math:`(J^T J + I)^{-1}`; a coefficient that the readings do not touch keeps its prior.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.calibration_fit import TestedMachine, excess_scatter, fit
from aerodesign.aero.coefficients import UNCERTAIN_ELSEWHERE, CalibratedModels, Coefficient, coefficient, moved
from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.testpoints import QUANTITIES, TestPoints, rms_errors
from aerodesign.core.errors import CaseError

FITTED = ("slip", "blockage", "friction", "volute")
"""The coefficients fitted where nobody asks for others: work by the first two, losses by the last two."""

EARLY = 12
"""Passes of the fits that only prepare the last: its weights, its widening."""

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
    test = TestedMachine(blower, site, service, basis, points, models, chosen)
    nothing = np.zeros(len(chosen))
    moves, _, _ = fit(test, test.weights(nothing), nothing, EARLY)
    test.leave_out_unsolved(moves)
    weights = test.weights(moves)
    moves, covariance, _ = fit(test, weights, moves, EARLY)
    excess = excess_scatter(test.misfits(moves, weights), covariance)
    moves, covariance, next_step = fit(test, weights / excess, moves)

    start, end, used = test.run(nothing), test.run(moves), test.usable
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


def _range(values: NDArray[np.float64]) -> tuple[float, float]:
    return (float(values.min()), float(values.max())) if values.size else (float("nan"), float("nan"))


def _no_overlap(chosen: tuple[Coefficient, ...]) -> None:
    if not chosen:
        raise CaseError("coefficients: none given; name at least one to fit")
    taken: dict[str, str] = {}
    for one in chosen:
        for phenomenon in one.phenomena:
            if phenomenon in taken:
                raise CaseError(
                    f'coefficients "{taken[phenomenon]}" and "{one.name}" both move {phenomenon}; keep one of the two'
                )
            taken[phenomenon] = one.name


def _no_certainty(points: TestPoints) -> None:
    for name in QUANTITIES:
        if np.any(points.column(f"{name}_uncertainty") <= 0):
            raise CaseError(f"{name}_uncertainty: must be positive; no reading is certain")
