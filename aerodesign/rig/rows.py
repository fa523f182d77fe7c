"""A reduced test as rows for a CSV file: per point every result, its uncertainty beside it, then those at agreed conditions."""

from typing import Any

import numpy as np

from aerodesign.core.quantities import Quantity, quantities
from aerodesign.core.units import UNITS, unit_of
from aerodesign.rig.results import Converted, Reduced, Results


def reduced_rows(reduced: Reduced, *, units: str = "si") -> list[list[Any]]:
    """Rows: the heads ``flow [m3/h]``, ``flow uncertainty [m3/h]`` and so on, then a row per point.

    ``units`` is a system of :mod:`aerodesign.core.units`, or ``base`` for SI units without prefix (m3/s, Pa, W). Columns
    without any number are left out.
    """
    columns: list[tuple[str, list[Any]]] = [("point", list(reduced.test.points))]
    count = len(reduced.test.points)
    columns += _columns(Results, reduced, reduced.uncertainty, count, units, "")
    if reduced.agreed is not None and reduced.agreed_uncertainty is not None:
        columns += _columns(Converted, reduced.agreed, reduced.agreed_uncertainty, count, units, "agreed ")
    for name in ("coefficient", "expansibility", "meter_reynolds"):
        columns += _numbers(name, getattr(reduced, name), count, "")
    heads, cells = [head for head, _ in columns], [column for _, column in columns]
    return [heads, *map(list, zip(*cells, strict=True))]


def _columns(kind: type, values: Any, spreads: Any, count: int, units: str, before: str) -> list[tuple[str, list[Any]]]:
    found = []
    for name, quantity in quantities(kind).items():
        unit = unit_for(name, quantity, units)
        found += _numbers(before + name, in_unit(getattr(values, name), unit, name), count, unit)
        found += _numbers(
            f"{before}{name} uncertainty", in_unit(getattr(spreads, name), unit, name, difference=True), count, unit
        )
    return found


def _numbers(head: str, values: Any, count: int, unit: str) -> list[tuple[str, list[Any]]]:
    array = np.broadcast_to(np.asarray(values, dtype=float), (count,))
    if np.all(np.isnan(array)):
        return []
    return [(head + (f" [{unit}]" if unit else ""), [f"{value:.7g}" if np.isfinite(value) else "" for value in array])]


def unit_for(name: str, quantity: Quantity, units: str) -> str:
    """The unit of a result: that of the system, but kelvin (or its US size) for a temperature rise."""
    if units == "base":
        return quantity.unit
    if name == "temperature_rise":
        return "K" if units == "si" else "degF"
    return unit_of(quantity, units)


def in_unit(value: Any, unit: str, name: str, *, difference: bool = False) -> Any:
    """SI values as numbers of a unit; a temperature rise and any uncertainty as a difference."""
    if not unit:
        return value
    if difference or name == "temperature_rise":
        return value / UNITS[unit].factor
    return UNITS[unit].from_si(value)
