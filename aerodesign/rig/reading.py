"""A test file from path or text to :class:`RigTest`; all that is wrong with it in one CaseError, a line each.

The file is a CSV table under comment lines that hold the settings::

    # title = "Blower of the raceways"
    # barometer = "98.6 kPa"
    #
    # [meter]
    # kind = "orifice"
    point, speed [rpm], outlet_pressure [kPa(g)], ...
    1, 14000, 21.3, ...

A reading that stays the same through the test may stand among the settings instead of in a column.
"""

from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.core.fields import WrongValueError, fields_of
from aerodesign.core.texts import file_text, shown_path
from aerodesign.core.units import Parsed
from aerodesign.rig.columns import Rows, read_rows
from aerodesign.rig.contents import Agreed, Meter, Planes, PowerBy, Readings, RigTest
from aerodesign.rig.header import TOP, Table, read_header
from aerodesign.rig.metering import upstream_pressure
from aerodesign.rig.needed import calls_for, contradictions, needs
from aerodesign.rig.problems import Problems
from aerodesign.rig.settings import read_setting
from aerodesign.rig.spreads import FACTORS, assumed, read_spreads

PARTS: dict[str, type] = {"meter": Meter, "planes": Planes, "power": PowerBy, "agreed": Agreed}
TABLES = (*PARTS, "uncertainty")
TEXTS = ("title", "notes")


def read_test(path: str | Path) -> RigTest:
    """Read and check a test file. Raises CaseError, with one line for each problem."""
    text = file_text(path, "a test file", "a CSV table in UTF-8 with one line for each steady point")
    return rig_test(text, name=shown_path(path))


def rig_test(text: str, name: str = "test") -> RigTest:
    """Read and check the text of a test file; ``name`` stands before the line number in messages.

    Raises CaseError, with one line for each problem.
    """
    problems = Problems(name)
    lines = [line.rstrip("\r") for line in text.split("\n")]
    tables, count = read_header(lines, problems)
    rows = read_rows(lines[count:], count + 1, problems)
    for key in tables:
        if key != TOP and key not in TABLES:
            problems.unknown(tables[key].line, f"[{key}]", key, TABLES)
    parts = {key: _part(key, kind, tables, problems) for key, kind in PARTS.items()}
    texts = _top(tables[TOP], rows, problems)
    spreads = read_spreads(tables.get("uncertainty", Table(1)), problems)
    problems.stop()

    meter, planes, power, agreed = parts["meter"], parts["planes"], parts["power"], parts["agreed"]
    places = {k: line for table in tables.values() for k, line in table.lines.items()}
    places |= dict.fromkeys(rows.columns, count + 1)
    given = set(rows.values) | {k for key in ("meter", "planes", "power") if key in tables for k in tables[key].values}
    for need in needs(meter, planes, power, agreed):
        if not given & set(need.one_of):
            problems.add(1, " or ".join(need.one_of), f"is missing; {need.reason} needs it")
    for key, complaint in contradictions(meter, planes, given):
        problems.add(places.get(key, 1), key, complaint)
    if agreed is not None and np.isnan(agreed.inlet_pressure) == np.isnan(agreed.inlet_density):
        problems.add(tables["agreed"].line, "[agreed]", "give one of inlet_pressure and inlet_density")
    problems.stop()

    used = calls_for(meter, planes, power, given)
    wanted = used | (set(FACTORS) if meter.kind not in ("mass meter", "volume meter") else set())
    guessed = sorted(wanted - set(spreads) - set(FACTORS))
    test = RigTest(
        title=texts.get("title", Path(name).stem),
        readings=Readings(**rows.values),
        meter=meter,
        planes=planes,
        power=power,
        agreed=agreed,
        spreads={n: spreads[n] for n in sorted(wanted & set(spreads))} | {n: assumed(n) for n in guessed},
        points=tuple(rows.points),
        used=frozenset(used),
        absolute=frozenset(rows.absolute),
        assumed=tuple(guessed),
        unused=tuple(sorted(set(rows.values) - used)),
        invented=texts.get("invented", False),
        notes=texts.get("notes", ""),
        path=name,
    )
    _possible(test, rows, places, problems)
    problems.stop()
    return test


def _part(key: str, kind: type, tables: dict[str, Table], problems: Problems) -> Any:
    """The record of a table; None for an optional one that is not there, or for one with a problem."""
    known = fields_of(kind)
    if key not in tables:
        if not any(setting.required for setting in known.values()):
            return kind()
        if key != "agreed":
            problems.add(1, f"[{key}]", f"is missing; write # [{key}] and its settings below it")
        return None
    table, values, before = tables[key], {}, len(problems.found)
    for name, raw in table.values.items():
        line, where = table.lines[name], f"{key}.{name}"
        if name not in known:
            problems.unknown(line, where, name, known, raw)
            continue
        try:
            value = read_setting(known[name], raw)
            values[name] = value.value if isinstance(value, Parsed) else value
        except WrongValueError as wrong:
            problems.add(line, where, str(wrong), raw)
    for name, setting in known.items():
        if setting.required and name not in table.values:
            problems.add(table.line, f"{key}.{name}", "is missing")
    return kind(**values) if len(problems.found) == before else None


def _top(table: Table, rows: Rows, problems: Problems) -> dict[str, Any]:
    """Texts and switches above the tables; readings that stand there join the columns."""
    known, found = fields_of(Readings), {}
    for key, raw in table.values.items():
        line = table.lines[key]
        if key in TEXTS or key == "invented":
            wanted = bool if key == "invented" else str
            if not isinstance(raw, wanted):
                problems.add(line, key, "must be true or false" if wanted is bool else "must be text in quotes", raw)
            found[key] = raw
        elif key not in known or key == "traverse":
            problems.unknown(line, key, key, [*TEXTS, "invented", *known], raw)
        elif key in rows.columns:
            problems.add(line, key, f"stands here and in column {rows.columns[key].number}; keep one", raw)
        else:
            try:
                value = read_setting(known[key], raw)
            except WrongValueError as wrong:
                problems.add(line, key, str(wrong), raw)
                continue
            if not isinstance(value, Parsed):
                raise AssertionError(f"{key} is a reading and therefore a number")
            rows.values[key] = np.full(len(rows.points), value.value)
            if value.reference == "absolute":
                rows.absolute.add(key)
    return found


def _possible(test: RigTest, rows: Rows, places: dict[str, int], problems: Problems) -> None:
    """Refuse readings that no gas can give: no pressure left, a meter at the speed of sound, a traverse of nothing."""
    readings, barometer = test.readings, np.asarray(test.readings.barometer)

    def complain(name: str, wrong: Any, message: str) -> None:
        for i in np.flatnonzero(wrong):
            column = rows.columns.get(name)
            line = rows.lines[i] if column else places.get(name, 1)
            problems.add(line, column.where if column else name, message)

    least = 5000.0
    for name in (
        "inlet_pressure",
        "inlet_total_pressure",
        "outlet_pressure",
        "outlet_total_pressure",
        "meter_pressure",
    ):
        if name in rows.values:
            absolute = getattr(readings, name) + (0 if name in test.absolute else barometer)
            complain(name, absolute < least, "leaves less than 50 mbar absolute; check the unit, and gauge or absolute")
    if "traverse" in rows.values:
        complain("traverse", np.max(readings.traverse, axis=0) < 1, "shows no flow at any place of the traverse")
    if "meter_difference" in rows.values:
        upstream = upstream_pressure(test, test.values())
        message = "takes more than 45 % of the upstream pressure: the throat is choked; check the unit"
        complain("meter_difference", readings.meter_difference > 0.45 * upstream, message)
