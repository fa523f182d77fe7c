"""Everything that is wrong with a test file, one line each: file, line, key or column, what was got, what to do."""

from collections.abc import Iterable
from typing import Any

from aerodesign.core.errors import CaseError
from aerodesign.core.texts import meant_or_allowed, one_line, shown_value

MOST = 40
"""Lines of complaints beyond which the rest is only counted: a wrong separator would repeat itself in every row."""


class Problems:
    """Collects what is wrong with one file, so that the user hears all of it at once."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.found: list[tuple[int, str]] = []

    def add(self, line: int, where: str, message: str, got: Any = None) -> None:
        """Note a problem at a line; ``where`` names the key or column, ``got`` is what stands there, None for nothing."""
        shown = "" if got is None else f" = {shown_value(got)}"
        self.found.append((line, f"{self.name}:{line} {one_line(where, 80)}{shown}: {one_line(message, 400)}"))

    def unknown(self, line: int, where: str, key: str, allowed: Iterable[str], got: Any = None) -> None:
        """Note a name that means nothing here, with the nearest that does."""
        self.add(line, where, f"unknown name; {meant_or_allowed(key, allowed)}", got)

    def stop(self) -> None:
        """Raise CaseError with the problems in the order of the file; nothing where there are none."""
        if not self.found:
            return
        texts = list(dict.fromkeys(text for _, text in sorted(self.found, key=lambda problem: problem[0])))
        if len(texts) > MOST:
            texts = [*texts[:MOST], f"{self.name}: and {len(texts) - MOST} problems more; mend these first"]
        raise CaseError("\n".join(texts))
