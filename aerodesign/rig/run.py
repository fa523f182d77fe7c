"""A test reduced: results, uncertainties, conversion and flags in one record."""

import numpy as np

from aerodesign.rig.agreed import agreed_inlet, convert
from aerodesign.rig.checks import flags_of
from aerodesign.rig.contents import RigTest
from aerodesign.rig.reduction import solve
from aerodesign.rig.results import Converted, Reduced, Results
from aerodesign.rig.uncertainty import AGREED, budget, gathered


def reduce_test(test: RigTest) -> Reduced:
    """Reduce a test to flow, pressure rise, power and efficiency, each with its uncertainty at 95 %.

    Readings that contradict each other give nan or impossible values and a grave flag, not an error.
    """
    values = test.values()
    # Such readings take roots and logarithms of negative numbers; their nan is the answer, and it is flagged.
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        solution = solve(test, values)
        converted = None
        if test.agreed is not None:
            converted = convert(test, values, solution, test.agreed, agreed_inlet(test.agreed))
        effects = budget(test, solution.meter)
        flags = flags_of(test, solution, converted, effects)
        return Reduced(
            **dict(solution.results.items()),
            uncertainty=gathered(Results, effects),
            agreed=converted,
            agreed_uncertainty=None if converted is None else gathered(Converted, effects, AGREED),
            coefficient=solution.meter.coefficient,
            expansibility=solution.meter.expansibility,
            meter_reynolds=solution.meter.reynolds,
            budget=effects,
            flags=flags,
            test=test,
        )
