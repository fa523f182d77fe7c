"""Many operating points, in blocks that fit the processor's cache.

A million points through :func:`aerodesign.aero.meanline.solve` at once stream every intermediate array through the main
memory; in blocks of some thousand points they stay near the processor.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero import meanline
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import Angle, MassFlow, Pressure, Speed, Temperature
from aerodesign.core.record import Record, is_number
from aerodesign.gas.perfect import Gas

BLOCK = 8192

Kept = dict[str, NDArray[Any]]


def solve_blocks(
    blower: Blower,
    *,
    gas: Gas,
    pt0: Pressure,
    Tt0: Temperature,
    mass_flow: MassFlow,
    speed: Speed,
    alpha1: Angle = 0.0,
    models: Models = meanline.DEFAULT,
    keep: tuple[str, ...] = ("efficiency_total", "rise_total", "work"),
    block: int = BLOCK,
) -> Kept:
    """Solve any number of operating points, ``block`` at a time, and keep some outputs.

    All arguments broadcast as those of :func:`aerodesign.aero.meanline.solve`. ``keep`` names fields or properties of
    :class:`aerodesign.aero.stage.Stage` that hold a number per point, or a loss as ``"losses.friction"``. Returns an
    array of the broadcast shape for each, and always ``solved``. Raises AerodesignError for a name that a stage does
    not have.
    """
    given = dict(
        blower=blower, gas=gas, pt0=pt0, Tt0=Tt0, mass_flow=mass_flow, speed=speed, alpha1=alpha1, models=models
    )
    shape = np.broadcast_shapes(*(np.shape(number) for number in _numbers(given)))
    count = int(np.prod(shape))

    names = dict.fromkeys((*keep, "solved"))
    kept: Kept = {}
    flat = _each(given, lambda number: _flat(number, shape))
    for start in range(0, count, block):
        part = slice(start, min(start + block, count))
        stage = meanline.solve(**_each(flat, partial(_some, part=part)))
        for name in names:
            values = _output(stage, name)
            kept.setdefault(name, np.empty(count, dtype=np.asarray(values).dtype))[part] = values
    return {name: values.reshape(shape) for name, values in kept.items()}


def _flat(number: Any, shape: tuple[int, ...]) -> Any:
    """A number in the order of the points; one that is the same for all stays alone, which saves copying."""
    if np.size(number) == 1:
        return np.reshape(number, ())[()]
    return np.ascontiguousarray(np.broadcast_to(number, shape)).reshape(-1)


def _some(number: Any, *, part: slice) -> Any:
    """Some of the points; what is the same for all stays."""
    return number[part] if np.ndim(number) else number


def _each(value: Any, change: Callable[[Any], Any]) -> Any:
    """The same structure of records, models and mappings with every number changed."""
    if is_number(value):
        return change(value)
    if isinstance(value, dict):
        return {name: _each(entry, change) for name, entry in value.items()}
    if isinstance(value, Record):
        return value.but(**{name: _each(entry, change) for name, entry in value.items()})
    if isinstance(value, Models):
        return replace(value, factors=_each(dict(value.factors), change), offsets=_each(dict(value.offsets), change))
    return value


def _numbers(given: dict[str, Any]) -> list[Any]:
    """All numbers in a structure of records, models and mappings."""
    found: list[Any] = []
    _each(given, lambda number: found.append(number) or number)  # type: ignore[func-returns-value]
    return found


def _output(stage: Any, name: str) -> Any:
    """A field or property of a stage, or one of its losses."""
    if name.startswith("losses."):
        name = name.removeprefix("losses.")
        if name in stage.losses:
            return stage.losses[name]
        raise AerodesignError(f'keep = "losses.{name}": no such loss; there are {", ".join(stage.losses)}')
    value = getattr(stage, name, None)
    if not is_number(value):
        raise AerodesignError(f'keep = "{name}": a stage holds no number of that name')
    return value
