"""A book of steps: which function made a number, of which inputs, so that every number can be explained later."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from aerodesign.core.correlation import Source


@dataclass(frozen=True)
class Step:
    """One number: the function that made it, what it was given, the value, and the source where the function has no card.

    ``pointwise`` says that an array's last axis may be the duty points'.
    """

    name: str
    function: Callable[..., Any]
    inputs: dict[str, Any]
    value: Any
    source: Source | None = None
    pointwise: bool = True


@dataclass
class Book:
    """The steps of a calculation by name, in its order."""

    steps: dict[str, Step] = field(default_factory=dict)

    def note(
        self, name: str, function: Callable[..., Any], *, source: Source | None = None, pointwise: bool = True, **inputs: Any
    ) -> Any:  # fmt: skip
        """Call a function with its inputs, write the step down, and give the value."""
        value = function(**inputs)
        self.steps[name] = Step(name, function, inputs, value, source, pointwise)
        return value
