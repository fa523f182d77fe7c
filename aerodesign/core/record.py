"""Records: frozen structs of arrays. Every field holds one value per design; all fields broadcast."""

import dataclasses
from typing import Any, Self, dataclass_transform

import numpy as np


class Record:
    """Base of all records; decorate each subclass with :func:`record`."""

    def but(self, **changes: Any) -> Self:
        """The same record with some fields changed: ``impeller.but(blades=15)``."""
        return dataclasses.replace(self, **changes)  # type: ignore[type-var]

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the set of designs: the broadcast shape of all fields; ``()`` for a single design."""
        return np.broadcast_shapes(*(np.shape(value) for value in leaves(self)))

    def __getitem__(self, index: Any) -> Self:
        """Some of the designs: ``designs[3]`` one, ``designs[mask]`` several. Numbers come back as numbers."""
        return _pick(self, index, self.shape)

    def items(self) -> list[tuple[str, Any]]:
        """Pairs of field name and value, in the order of definition."""
        return [(f.name, getattr(self, f.name)) for f in dataclasses.fields(self)]  # type: ignore[arg-type]


def is_number(value: Any) -> bool:
    """True for numbers, booleans and arrays of them: the values that hold one entry per design."""
    return isinstance(value, (bool, int, float, np.ndarray, np.generic))


def leaves(record: Record) -> list[Any]:
    """All numeric values of a record and of the records inside it."""
    found: list[Any] = []
    for _, value in record.items():
        if isinstance(value, Record):
            found += leaves(value)
        elif isinstance(value, dict):
            found += [v for v in value.values() if is_number(v)]
        elif is_number(value):
            found.append(value)
    return found


def _pick(record: Any, index: Any, shape: tuple[int, ...]) -> Any:
    def one(value: Any) -> Any:
        if isinstance(value, Record):
            return _pick(value, index, shape)
        if isinstance(value, dict):
            return {key: one(v) for key, v in value.items()}
        return np.broadcast_to(value, shape)[index] if is_number(value) else value

    return dataclasses.replace(record, **{name: one(value) for name, value in record.items()})


@dataclass_transform(frozen_default=True, kw_only_default=True, eq_default=False)
def record(cls: type) -> Any:
    """Class decorator for subclasses of :class:`Record`: a frozen, keyword-only dataclass without ``==``.

    Comparing two records field by field would give arrays, not a truth value, so ``==`` stays identity.
    """
    return dataclasses.dataclass(frozen=True, eq=False, kw_only=True)(cls)
