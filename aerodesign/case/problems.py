"""Everything that is wrong with a case, one line each: file, line, key, what was got, what is allowed, what to do."""

import difflib
import json
from collections.abc import Iterable
from typing import Any

from aerodesign.case.lines import Path, nearest_line
from aerodesign.core.errors import CaseError
from aerodesign.core.units import printed

ABSENT = object()
"""Stands for the value of a key that the file lacks."""


class Problems:
    """Collects what is wrong with one file, so that the user hears all of it at once."""

    def __init__(self, name: str, lines: dict[Path, int]) -> None:
        self.name, self.lines = name, lines
        self.found: list[tuple[int, str]] = []

    def add(self, path: Path, got: Any, message: str) -> None:
        """Note a problem with the value at a path; ``ABSENT`` for one that is not there."""
        line = nearest_line(self.lines, path)
        shown = dotted(path) + ("" if got is ABSENT else f" = {shown_value(got)}")
        self.found.append((line, f"{self.name}:{line} {shown}: {one_line(message, 400)}"))

    def unknown(self, path: Path, got: Any, allowed: Iterable[str]) -> None:
        """Note a key that means nothing here, with the nearest that does."""
        allowed = list(allowed)
        key = str(path[-1])
        near = difflib.get_close_matches(key, allowed, n=2, cutoff=0.6)
        hint = f"did you mean {' or '.join(near)}?" if near else f"allowed here: {', '.join(allowed)}"
        self.add(path, got, f"unknown key; {hint}")

    def stop(self) -> None:
        """Raise CaseError with all problems in the order of the file; nothing where there are none."""
        if self.found:
            unique = dict.fromkeys(text for _, text in sorted(self.found, key=lambda problem: problem[0]))
            raise CaseError("\n".join(unique))


def dotted(path: Path) -> str:
    """A path as a user reads it: ``duty[2].flow``, elements counted from 1."""
    text = ""
    for key in path:
        text += f"[{key + 1}]" if isinstance(key, int) else ("." if text else "") + one_line(key, 40)
    return text


def shown_value(value: Any) -> str:
    """A value as the file writes it, cut to fit a line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(one_line(value, 60), ensure_ascii=False)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"an array of {len(value)}"
    return one_line(str(value), 60)


def one_line(text: str, most: int) -> str:
    """Text with everything that cannot stand in a line taken out, cut to a length."""
    printable = printed(text[: most + 1])
    return printable if len(text) <= most else printable[: most - 3] + "..."
