"""A reduced test in plain text for the terminal: a line per point, then what makes it uncertain and what must be known."""

from typing import Any

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import quantities
from aerodesign.rig import agreed, reynolds
from aerodesign.rig.compressibility import AMCA
from aerodesign.rig.meters import KINDS
from aerodesign.rig.results import Converted, Reduced, Results
from aerodesign.rig.rows import in_unit, unit_for

COLUMNS = {
    "flow": "flow",
    "rise_total": "total rise",
    "rise_static": "static rise",
    "pressure_ratio": "pressure ratio",
    "power": "shaft power",
    "efficiency": "efficiency",
    "efficiency_static": "static efficiency",
}
"""Results that stand in the terminal's table, with their heads; all others stand in the rows."""

HEADLINES = ("flow", "rise_total", "power", "efficiency")


def reduced_lines(reduced: Reduced, *, units: str = "si") -> list[str]:
    """The reduced test in lines, uncertainties at 95 % behind each number; ``units`` as in :func:`reduced_rows`."""
    test = reduced.test
    lines = [
        f"{test.title}: {_counted(len(test.points), 'point')}, flow by {test.meter.kind} at the {test.meter.at}, power by {test.power.by}"
    ]
    if test.invented:
        lines.append("the data are invented")
    lines += [
        "as tested (each number with its uncertainty at 95 %):",
        *_table(Results, reduced, reduced.uncertainty, test.points, units),
    ]
    if reduced.agreed is not None and reduced.agreed_uncertainty is not None:
        lines += [f"at agreed conditions ({_agreed(reduced)}):"]
        lines += _table(Converted, reduced.agreed, reduced.agreed_uncertainty, test.points, units)
    lines += [f"most uncertain in {COLUMNS[name]}: {_contributors(reduced, name)}" for name in HEADLINES]
    lines += _comparison(reduced)
    if test.assumed:
        lines.append(f"uncertainty assumed (common practice, no source) of: {', '.join(test.assumed)}")
    if test.unused:
        lines.append(f"read but not used: {', '.join(test.unused)}")
    for flag in reduced.flags:
        where = _points(flag.active, test.points)
        lines.append(f"{'NOT TO BE USED' if flag.grave else 'note'}: {flag.message} ({where}); {flag.advice}")
    return [*lines, *(f"source: {source}" for source in sources(reduced))]


def sources(reduced: Reduced) -> list[Source]:
    """The sources that the reduction of this test rests on."""
    test = reduced.test
    found = [KINDS[test.meter.kind].source] if test.meter.kind in KINDS else []
    found.append(AMCA)
    if test.agreed is not None:
        found += [
            agreed.LIMITS,
            *{"ackeret": [reynolds.ACKERET], "ptc10": [reynolds.PTC10]}.get(test.agreed.reynolds, []),
        ]
    return found


def _table(kind: type, values: Any, spreads: Any, points: tuple[str, ...], units: str) -> list[str]:
    known = quantities(kind)
    heads, cells = ["point"], [list(points)]
    for name, head in COLUMNS.items():
        quantity = known[name]
        percent = name.startswith("efficiency")
        unit = "%" if percent else unit_for(name, quantity, units)
        heads.append(f"{head}, {unit}" if unit else head)
        numbers = np.broadcast_to(in_unit(getattr(values, name), unit, name), (len(points),))
        errors = np.broadcast_to(in_unit(getattr(spreads, name), unit, name, difference=True), (len(points),))
        cells.append([_with_error(value, error) for value, error in zip(numbers, errors, strict=True)])
    widths = [max(map(len, [head, *column])) for head, column in zip(heads, cells, strict=True)]
    rows = [heads, *zip(*cells, strict=True)]
    return ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in rows]


def _with_error(value: float, error: float) -> str:
    """A number to the second digit of its uncertainty: 21.34 +-0.12."""
    if not np.isfinite(value):
        return "-"
    if not np.isfinite(error) or error <= 0:
        return f"{value:.5g}"
    decimals = min(max(1 - int(np.floor(np.log10(error))), 0), 6)
    return f"{value:.{decimals}f} +-{error:.{decimals}f}"


def _contributors(reduced: Reduced, name: str) -> str:
    shares = [
        (who.replace("_", " "), f"{100 * part:.0f} % of the variance" if np.isfinite(part) else "beyond all bounds")
        for who, part in reduced.budget.largest(name)
    ]
    return ", ".join(f"{who} ({share})" for who, share in shares) or "nothing is uncertain"


def _comparison(reduced: Reduced) -> list[str]:
    """What the temperature rise alone would say, and how much less sure it would be."""
    spread = 100 * np.asarray(reduced.uncertainty.efficiency_by_temperature)
    apart = 100 * np.asarray(reduced.efficiency_by_temperature - reduced.efficiency)
    known = np.isfinite(spread) & np.isfinite(apart)
    if reduced.test.power.by == "temperature rise" or not np.any(known):
        return []
    spread, apart = spread[known], apart[known]
    return [
        f"by temperature rise the efficiency would be uncertain by {spread.min():.1f} to {spread.max():.1f} points; it lies "
        f"{apart.min():+.1f} to {apart.max():+.1f} points from that by {reduced.test.power.by}"
    ]


def _agreed(reduced: Reduced) -> str:
    asked = reduced.test.agreed
    if asked is None:
        return ""
    density = (
        f"{asked.inlet_density:.4g} kg/m3"
        if np.isnan(asked.inlet_pressure)
        else f"{asked.inlet_pressure / 1e3:.5g} kPa"
    )
    follows = (
        "efficiency as tested"
        if asked.reynolds == "none"
        else f"efficiency by Reynolds number after {asked.reynolds} (from memory)"
    )
    return f"{asked.speed * 30 / np.pi:.0f} rpm, inlet {density} and {asked.inlet_temperature - 273.15:.1f} degC; {follows}"


def _points(active: Any, points: tuple[str, ...]) -> str:
    marked = [name for name, on in zip(points, np.broadcast_to(active, (len(points),)), strict=True) if on]
    if len(marked) == len(points):
        return "all points" if len(points) > 1 else "the point"
    shown = ", ".join(marked[:6]) + (" and more" if len(marked) > 6 else "")
    return f"point{'s' if len(marked) > 1 else ''} {shown}"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' if count != 1 else ''}"
