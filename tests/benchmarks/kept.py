"""Lines of a long sweep in a file of the reader's choice, so that a run that was stopped goes on; without a file nothing is kept.

A file holds for the code that wrote it: after a change of the code name another one.
"""

import json
from pathlib import Path
from typing import Any


def kept(path: str | None) -> list[dict[str, Any]]:
    """The lines so far."""
    return [json.loads(line) for line in Path(path).read_text().splitlines()] if path and Path(path).is_file() else []


def keep(path: str | None, line: dict[str, Any]) -> dict[str, Any]:
    """Add a line, and give it back."""
    if path:
        with Path(path).open("a", encoding="utf-8") as file:
            file.write(json.dumps(line) + "\n")
    return line
