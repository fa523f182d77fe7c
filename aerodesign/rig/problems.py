"""Everything that is wrong with a test file, one line each: file, line, key or column, what was got, what to do."""

import difflib
import json
from collections.abc import Iterable
from typing import Any

from aerodesign.core.errors import CaseError
from aerodesign.core.units import printed

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
        allowed = list(allowed)
        near = difflib.get_close_matches(key, allowed, n=2, cutoff=0.6)
        hint = f"did you mean {' or '.join(near)}?" if near else f"allowed here: {', '.join(allowed)}"
        self.add(line, where, f"unknown name; {hint}", got)

    def stop(self) -> None:
        """Raise CaseError with the problems in the order of the file; nothing where there are none."""
        if not self.found:
            return
        texts = list(dict.fromkeys(text for _, text in sorted(self.found, key=lambda problem: problem[0])))
        if len(texts) > MOST:
            texts = [*texts[:MOST], f"{self.name}: and {len(texts) - MOST} problems more; mend these first"]
        raise CaseError("\n".join(texts))


def shown_value(value: Any) -> str:
    """A value as the file writes it, cut to fit a line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(one_line(value, 60), ensure_ascii=False)
    return one_line(str(value), 60)


def one_line(text: str, most: int) -> str:
    """Text with everything that cannot stand in a line taken out, cut to a length."""
    printable = printed(text[: most + 1])
    return printable if len(text) <= most else printable[: most - 3] + "..."
