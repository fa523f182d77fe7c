"""Measured cases held against the prediction: errors, bands, and what they amount to."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.uncertainty import Interval
from aerodesign.case import read_case
from aerodesign.case.comparison import Comparison, comparison_bands
from aerodesign.case.contents import Case
from aerodesign.case.run import Rated, rate_case
from aerodesign.core.errors import CaseError

Array = NDArray[Any]

JUDGED = ("pressure_rise", "work", "efficiency")
"""Quantities that errors are counted in; ratio of pressures and power say the same once more."""

NEAR = (0.80, 1.15)
"""Flows near the design flow, as parts of it."""


@dataclass(frozen=True)
class Held:
    """The measurements at one speed (or one table of them) beside their prediction, with a band at each point."""

    case: Case
    rated: Rated
    comparison: Comparison
    bands: dict[str, Interval]

    @property
    def quantities(self) -> list[str]:
        """The judged quantities that were measured here, or follow from what was."""
        return [name for name in JUDGED if name in self.comparison.columns]

    @property
    def flow_ratio(self) -> Array:
        """Flow over the design flow, both per speed."""
        design = self.rated.design
        return np.asarray(self.comparison.flow / self.comparison.speed / (design.flow / design.speed))

    @property
    def near_design(self) -> Array:
        """Which points lie near the design flow."""
        return (self.flow_ratio >= NEAR[0] - 1e-9) & (self.flow_ratio <= NEAR[1] + 1e-9)

    @property
    def at_design(self) -> Array:
        """The point nearest to the design flow, if it is near."""
        distance = np.abs(np.log(self.flow_ratio))
        return (distance == distance.min()) & self.near_design

    def error(self, name: str) -> Array:
        """Error of the prediction: relative, of an efficiency in parts of one (a hundredth is a point); nan where not solved."""
        seen, said = self.comparison.columns[name]
        error = said - seen if name == "efficiency" else self.comparison.errors(name)
        return np.where(self.comparison.solved, error, np.nan)

    def inside(self, name: str) -> Array:
        """Which measured values lie in the stated interval."""
        seen, band = self.comparison.columns[name][0], self.bands[name]
        return np.asarray((seen >= band.low) & (seen <= band.high))

    @property
    def asked(self) -> tuple[str, float, Array] | None:
        """A target set beforehand: its quantity, the largest error asked for, and the points that it is asked of."""
        measured = self.comparison.measured
        if not np.isfinite(measured.asked) or not self.quantities:
            return None
        flow = self.comparison.flow
        return self.quantities[0], float(measured.asked), (flow >= measured.asked_from) & (flow <= measured.asked_to)


@dataclass(frozen=True)
class Sum:
    """What the errors of one quantity amount to over some points; errors as of :meth:`Held.error`, sizes without sign."""

    points: int
    machines: int
    median: float
    most: float
    rms: float
    inside: float


def hold(path: Path) -> list[Held]:
    """Rate a case and put its measurements beside the prediction. Raises CaseError where it has none."""
    case = read_case(path)
    if not case.measured:
        raise CaseError(f"{path}: has no [[measured]] to hold a prediction against; add one or rename the file")
    rated = rate_case(case)
    design = rated.design
    return [
        Held(
            case=case,
            rated=rated,
            comparison=one,
            bands=comparison_bands(case, design.blower, one, models=design.models, estimated=design.estimated),
        )
        for one in rated.comparisons
    ]


def amount(held: Iterable[Held], name: str, among: str = "") -> Sum | None:
    """Median, 90 % quantile and root mean square of the errors of a quantity, and the share of points inside their band.

    ``among`` is "near_design", "at_design" or nothing for all points. None where nothing was measured there.
    """
    errors, inside, machines = [], [], set()
    for one in held:
        if name not in one.quantities:
            continue
        chosen = np.isfinite(one.error(name)) & (getattr(one, among) if among else True)
        errors.append(np.abs(one.error(name)[chosen]))
        inside.append(one.inside(name)[chosen])
        if chosen.any():
            machines.add(one.case.title)
    found = np.concatenate(errors) if errors else np.array([])
    if not found.size:
        return None
    return Sum(
        points=found.size,
        machines=len(machines),
        median=float(np.median(found)),
        most=float(np.quantile(found, 0.9)),
        rms=float(np.sqrt(np.mean(found**2))),
        inside=float(np.mean(np.concatenate(inside))),
    )
