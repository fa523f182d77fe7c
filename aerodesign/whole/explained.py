"""Every number of a design explained: of the flow, of the machine as it is run, of wheel, shaft and bearings."""

import inspect

from aerodesign.aero import explained as flow
from aerodesign.aero.design import Design
from aerodesign.aero.explained import Explanation, Steps
from aerodesign.core.errors import AerodesignError, CaseError
from aerodesign.core.texts import did_you_mean, nearest
from aerodesign.core.vocabulary import VOCABULARY
from aerodesign.whole.machine_check import machine_check


def explainable(design: Design) -> dict[str, str]:
    """Names that :func:`explain` knows, each with its meaning; without those of wheel and shaft where these cannot be checked."""
    try:
        steps = machine_check(design).steps
    except AerodesignError:
        steps = {}
    every = {**flow.steps_of(design), **steps}
    return {name: _meaning(name, every) for name in flow.explainable(design, steps)}


def explain(design: Design, name: str) -> Explanation:
    """How a number of the design point came about: its equation, inputs with values, source and range.

    Raises CaseError for a name that is none of :func:`explainable`. Wheel and shaft are checked only where the flow does not know the name.
    """
    names = flow.explainable(design)
    if name in names:
        return flow.explain(design, name)
    try:
        steps = machine_check(design).steps
    except AerodesignError as cause:
        hint = did_you_mean(nearest(name, names))
        raise CaseError(
            f'explain "{name}": the flow has no such quantity, and wheel and shaft cannot be checked: {"; ".join(filter(None, (str(cause), hint)))}'
        ) from cause
    return flow.explain(design, name, steps)


def _meaning(name: str, steps: Steps) -> str:
    """What the vocabulary says, or how the function that made a number begins."""
    if name in VOCABULARY:
        return VOCABULARY[name].meaning
    words = inspect.getdoc(steps[name].function) if name in steps else ""
    return (words or "").split("\n")[0]
