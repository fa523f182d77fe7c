"""Everything that is wrong with a case, one line each: file, line, key, what was got, what is allowed, what to do."""

from collections.abc import Iterable
from typing import Any

from aerodesign.case.lines import Path, nearest_line
from aerodesign.core.errors import CaseError
from aerodesign.core.texts import meant_or_allowed, one_line, shown_value

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
        self.add(path, got, f"unknown key; {meant_or_allowed(str(path[-1]), allowed)}")

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
