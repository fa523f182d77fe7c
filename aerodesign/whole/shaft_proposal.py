"""Which bearings, balls and grease to propose: what is left open is tried, and the choice that keeps most of the limits is taken."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.limit import Limit
from aerodesign.form.rotor import ANY, RotorForm
from aerodesign.machine.bearing_table import Bearing
from aerodesign.machine.bearings import SPEED_FACTORS
from aerodesign.machine.grease import CATALOGUE_STEP, GREASES
from aerodesign.whole.shaft import ShaftCheck
from aerodesign.whole.shaft_layout import candidates
from aerodesign.whole.shaft_limits import SEPARATION

SHORTLIST = 6
"""Bearings for which all balls and greases are tried: these act on speed limit, stiffness and warmth, and change the order little."""

HOPELESS = 1000.0
"""A limit missed by more than this factor counts no more."""

WORTH = 0.1
"""Shortfalls closer together than this (a tenth of a logarithm, 10 %) are alike: then the plainer and smaller bearing goes ahead."""


@dataclass(frozen=True, eq=False)
class Tried:
    """A choice that was tried: ``form`` with nothing open, its check, and how far it misses what is asked, see :func:`shortfall`."""

    form: RotorForm
    check: ShaftCheck
    shortfall: float

    @property
    def missed(self) -> list[str]:
        """Names of the limits that are passed over."""
        return [limit.name for limit in _limits(self.check) if not limit.passed]


def propose(form: RotorForm, impeller: Impeller, check: Callable[[RotorForm, Bearing], ShaftCheck]) -> list[Tried]:
    """All that was tried, the best first; ``check`` checks a shaft for a form with nothing open and a bearing.

    First every bearing with the plainest balls and grease, then the best of them with all that may be chosen. What runs near a critical
    speed comes last, whatever else it keeps.
    """
    balls = list(SPEED_FACTORS) if form.balls == ANY else [form.balls]
    greases = list(GREASES) if form.grease == ANY else [form.grease]

    def one(bearing: Bearing, of: str, grease: str) -> Tried:
        closed = form.but(bearing=bearing.name, series=bearing.series, balls=of, grease=grease)
        found = check(closed, bearing)
        return Tried(closed, found, shortfall(_limits(found)))

    def rank(tried: Tried) -> tuple[bool, float, int, int, float]:
        of, grease = balls.index(tried.form.balls), greases.index(tried.form.grease)
        near = bool(tried.check.separation < SEPARATION)
        return (near, round(tried.shortfall / WORTH), of, grease, tried.check.bearing.outside)

    plain = sorted((one(bearing, balls[0], greases[0]) for bearing in candidates(form, impeller)), key=rank)
    others = list(product(balls, greases))[1:]
    more = [one(tried.check.bearing, *other) for tried in plain[:SHORTLIST] for other in others]
    return sorted([*plain, *more], key=rank)


def shortfall(limits: list[Limit]) -> float:
    """By how much limits are missed, in sum: the logarithm of each factor, ln 2 for every 15 K of a temperature.

    Each counts by its weight.
    """
    return float(sum(limit.weight * _missing(limit) for limit in limits if not limit.passed))


def _missing(limit: Limit) -> float:
    value, low, high = float(limit.value), limit.low, limit.high
    if limit.quantity == "temperature":
        return float(np.log(2) * max(low - value, value - high) / CATALOGUE_STEP)
    factor = low / max(value, low / HOPELESS) if value < low else value / high
    return float(np.log(min(factor, HOPELESS)))


def _limits(check: ShaftCheck) -> list[Limit]:
    return [limit for group in check.limits.values() for limit in group]
