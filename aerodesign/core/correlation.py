"""Correlations: functions of the literature that carry their source, range and scatter.

A correlation stays a plain function. The decorator adds an attribute ``card`` and enters it in the registry, which case
files, tests, the report and ``aerodesign sources`` walk.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, TypeVar

import numpy as np

Function = TypeVar("Function", bound=Callable[..., Any])


@dataclass(frozen=True)
class Source:
    """Where an equation comes from. ``from_memory`` says that nobody opened the source while writing the code."""

    author: str
    year: int | None
    title: str
    where: str = ""
    from_memory: bool = False

    def __str__(self) -> str:
        year = f" ({self.year})" if self.year else ""
        where = f", {self.where}" if self.where else ""
        return f"{self.author}{year}: {self.title}{where}" + (" [from memory]" if self.from_memory else "")


OWN = Source("aerodesign", None, "derived from conservation laws in the docstring")
PRACTICE = Source("common practice", None, "no source")


@dataclass(frozen=True)
class Card:
    """What is known about a correlation beside its equation."""

    name: str
    phenomenon: str
    source: Source
    valid: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    scatter: float | None = None
    purpose: str = ""


REGISTRY: dict[str, dict[str, Callable[..., Any]]] = {}


def correlation(
    *,
    source: Source,
    valid: Mapping[str, tuple[float, float]] | None = None,
    scatter: float | None = None,
    phenomenon: str = "",
) -> Callable[[Function], Function]:
    """Mark a function as a correlation of a phenomenon: the one given, else the one named by its module.

    Correlations of one phenomenon may take each other's place.

    ``valid`` maps an input to the source's own range in SI units; outside it nothing is clamped, a flag is set (see
    :func:`outside`). ``scatter`` is one standard deviation of the data about the equation, where a source gives one.
    """

    def mark(function: Function) -> Function:
        stands_for = phenomenon or function.__module__.rsplit(".", 1)[-1]
        purpose = (function.__doc__ or "").strip().splitlines()[0] if function.__doc__ else ""
        function.card = Card(function.__name__, stands_for, source, dict(valid or {}), scatter, purpose)  # type: ignore[attr-defined]
        REGISTRY.setdefault(stands_for, {})[function.__name__] = function
        return function

    return mark


def card(function: Callable[..., Any]) -> Card:
    """The card of a correlation. Raises AttributeError for a function that is none."""
    return function.card  # type: ignore[attr-defined]


def outside(function: Callable[..., Any], **inputs: Any) -> dict[str, Any]:
    """Which inputs lie outside the correlation's range: a mask per input that has a range and is given."""
    ranges = card(function).valid
    return {
        name: (np.less(inputs[name], low) | np.greater(inputs[name], high))[()]
        for name, (low, high) in ranges.items()
        if name in inputs
    }


def supply(function: Callable[..., Any], known: Mapping[str, Any]) -> Any:
    """Call a correlation with those of the known quantities that it asks for by name.

    This is how a stage is solved with any correlation: a new one may ask for any quantity of the vocabulary. Raises TypeError
    where it asks for a name that is not known.
    """
    return function(**{name: known[name] for name in _asked(function) if name in known})


def asks(function: Callable[..., Any], name: str) -> bool:
    """Whether a correlation asks for a quantity."""
    return name in _asked(function)


@cache
def _asked(function: Callable[..., Any]) -> tuple[str, ...]:
    return tuple(inspect.signature(function).parameters)
