"""How uncertain the results are: first order by central differences, or by samples as a check of the first order.

All variants of a test are one call of the reduction: they lie along a first axis before the points.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from aerodesign.core.record import Record
from aerodesign.rig.agreed import agreed_inlet, convert
from aerodesign.rig.contents import RigTest, Spread
from aerodesign.rig.meters import Metered
from aerodesign.rig.reduction import solve
from aerodesign.rig.results import Budget
from aerodesign.rig.spreads import FACTORS, spread_settings

COVERAGE = 1.96
"""Standard deviations in an uncertainty at 95 %."""

AGREED = "agreed."
"""Stands before the name of a result at agreed conditions."""


def all_results(test: RigTest, values: Mapping[str, Any]) -> dict[str, Any]:
    """Every result by name, those at agreed conditions as ``agreed.flow``, for given values of readings and sizes."""
    solution = solve(test, values)
    found = dict(solution.results.items())
    if test.agreed is not None:
        converted = convert(test, values, solution, test.agreed, agreed_inlet(test.agreed))
        found |= {AGREED + name: value for name, value in converted.items()}
    return found


def budget(test: RigTest, meter: Metered) -> Budget:
    """The budget of all results by central differences; ``meter`` is the flow as it was found from the readings."""
    values, spreads = test.values(), uncertainties(test, meter)
    names = tuple(spreads)
    count, shape = len(names), test.readings.shape[-1:] or ()
    unit = np.eye(count)
    varied = _varied(values, spreads, np.concatenate([unit, -unit]), shape)
    results = all_results(test, varied)

    # Where a bound cut a step short, as a humidity at 100 %, the change counts for the whole step.
    cut = np.ones((count, *shape))
    for i, name in enumerate(names):
        if name != "traverse":
            step, asked = varied[name][i] - varied[name][count + i], 2 * spreads[name]
            cut[i] = np.where(step > 0, asked / np.where(step > 0, step, 1.0), 0.0)
    effects = {}
    for name, result in results.items():
        both = np.broadcast_to(result, (2 * count, *shape))
        effects[name] = (both[:count] - both[count:]) / 2 * cut
    return Budget(contributors=names, effects=effects)


def sampled(test: RigTest, meter: Metered, *, samples: int = 2000, seed: int = 1) -> dict[str, Any]:
    """Uncertainty of every result at 95 %, from samples of normally distributed errors: slower, but of any order."""
    spreads, shape = uncertainties(test, meter), test.readings.shape[-1:] or ()
    errors = np.random.default_rng(seed).standard_normal((samples, len(spreads))) / COVERAGE
    results = all_results(test, _varied(test.values(), spreads, errors, shape))
    return {
        name: COVERAGE * np.std(np.broadcast_to(value, (samples, *shape)), axis=0) for name, value in results.items()
    }


def uncertainties(test: RigTest, meter: Metered) -> dict[str, Any]:
    """Uncertainty (95 %, SI units) of every reading and size that enters the results and is uncertain, by name."""
    values = test.values()
    standard = dict(zip(FACTORS, (meter.coefficient_spread, meter.expansibility_spread), strict=True))
    found = standard | {name: _absolute(spread, values[name]) for name, spread in test.spreads.items()}
    return {name: spread for name, spread in found.items() if np.any(np.greater(spread, 0))}


def _absolute(spread: Spread, value: Any) -> Any:
    size = np.max(np.abs(value)) if spread.of_largest else np.abs(value)
    return spread.value * (size if spread.relative else 1.0) + 0 * value


def _varied(
    values: Mapping[str, Any], spreads: Mapping[str, Any], steps: Any, shape: tuple[int, ...]
) -> dict[str, Any]:
    """The values with each contributor off by ``steps[:, contributor]`` uncertainties, ``(variants, points)``."""
    known, varied = spread_settings(), dict(values)
    for i, (name, spread) in enumerate(spreads.items()):
        by = steps[:, i].reshape(-1, *[1] * len(shape))
        if name == "traverse":
            varied[name] = values[name][:, None] + by * np.broadcast_to(spread, values[name].shape)[:, None]
        else:
            varied[name] = np.clip(values[name] + by * spread, *known[name].span)
    for name in values:
        if name not in spreads and name == "traverse" and np.ndim(values[name]):
            varied[name] = values[name][:, None]
    return varied


def gathered(kind: type[Record], effects: Budget, before: str = "") -> Any:
    """The uncertainties of a record's results as such a record."""
    names = [name for name in kind.__dataclass_fields__]  # type: ignore[attr-defined]
    return kind(**{name: effects.uncertainty(before + name) for name in names})
