"""The head of a test file: comment lines that hold settings, ``# key = value`` and ``# [table]``, each on its own line."""

import re
import tomllib
from dataclasses import dataclass, field
from typing import Any

from aerodesign.core.texts import one_line
from aerodesign.rig.problems import Problems

_TABLE = re.compile(r"\[\s*([A-Za-z0-9_-]+)\s*\]\s*(?:#.*)?")
TOP = ""
"""Name of the table of the settings above any ``[table]``."""


@dataclass
class Table:
    """Raw settings of one table, each with its line."""

    line: int
    values: dict[str, Any] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)


def read_header(lines: list[str], problems: Problems) -> tuple[dict[str, Table], int]:
    """Tables by name, and how many lines the head has. A line ``##`` or a TOML comment behind ``#`` is a remark."""
    tables = {TOP: Table(1)}
    table = tables[TOP]
    for count, text in enumerate(lines):
        if text.strip() and not text.startswith("#"):
            return tables, count
        content = text[1:].strip()
        if not content or content.startswith("#"):
            continue
        line = count + 1
        opening = _TABLE.fullmatch(content)
        if opening:
            if opening[1] in tables:
                problems.add(
                    line, f"[{opening[1]}]", f"stands twice, first in line {tables[opening[1]].line}; join them"
                )
            table = tables.setdefault(opening[1], Table(line))
        else:
            _setting(content, line, table, problems)
    return tables, len(lines)


def _setting(content: str, line: int, table: Table, problems: Problems) -> None:
    try:
        pairs = tomllib.loads(content)
    except (ValueError, RecursionError) as cause:
        reason = one_line(str(cause).partition(" (at ")[0], 80)
        advice = 'write # key = "value" here, or ## before a remark'
        problems.add(line, content[:40], f"is no setting: {reason}; {advice}")
        return
    key, value = next(iter(pairs.items()))
    if not isinstance(value, str | int | float | bool):
        problems.add(
            line, key, 'must be one value: a number, true, false or a text in quotes; write tables as "# [table]"'
        )
    elif key in table.values:
        problems.add(line, key, f"stands twice, first in line {table.lines[key]}; keep one", value)
    else:
        table.values[key], table.lines[key] = value, line
