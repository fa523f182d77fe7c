"""Texts that come from a user: of a file, made to fit a line of a message, and the known words nearest to them."""

import difflib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from aerodesign.core.errors import CaseError

LARGEST = 1_000_000
"""Bytes of a file that a user names beyond which it is surely something else, a log of raw samples perhaps."""


def file_text(path: str | Path, kind: str, form: str) -> str:
    """The text of a file of some kind ("a case file") and form ("a short TOML text"). Raises CaseError in one line."""
    file, name = Path(path), shown_path(path)
    try:
        if file.is_dir():
            raise CaseError(f"{name}: is a folder; name {kind} in it")
        if file.exists() and not file.is_file():
            raise CaseError(f"{name}: is not a file; name {kind}")
        if file.is_file() and file.stat().st_size > LARGEST:
            raise CaseError(f"{name}: is larger than {LARGEST} bytes; {kind} is {form}")
        return file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as cause:
        raise CaseError(f"{name}: no such file; give the path of {kind}") from cause
    except UnicodeDecodeError as cause:
        raise CaseError(f"{name}: is not UTF-8 text; {kind} is {form}") from cause
    except (OSError, ValueError) as cause:
        raise CaseError(f"{name}: cannot be read: {one_line(str(cause), 120)}") from cause


def printed(text: str) -> str:
    """Text with a space for each character that cannot stand in a line."""
    return "".join(c if c.isprintable() else " " for c in text)


def one_line(text: str, most: int) -> str:
    """Text with everything that cannot stand in a line taken out, cut to a length."""
    printable = printed(text[: most + 1])
    return printable if len(text) <= most else printable[: most - 3] + "..."


def shown_path(path: str | Path) -> str:
    """A path as messages name it."""
    return one_line(str(path), 200)


def shown_value(value: Any) -> str:
    """A value as a file writes it, cut to fit a line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(one_line(value, 60), ensure_ascii=False)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"an array of {len(value)}"
    return one_line(str(value), 60)


def nearest(word: str, known: Iterable[str], *, most: int = 2, likeness: float = 0.6) -> list[str]:
    """The known words that are most like a word, the nearest first."""
    return difflib.get_close_matches(word, known, n=most, cutoff=likeness)


def did_you_mean(words: Iterable[str]) -> str:
    """The question after what may have been meant, each word once; empty for no words."""
    meant = " or ".join(dict.fromkeys(words))
    return f"did you mean {meant}?" if meant else ""


def meant_or_allowed(word: str, allowed: Iterable[str]) -> str:
    """What to write instead of a word that means nothing here: the nearest that do, else all that do."""
    allowed = list(allowed)
    return did_you_mean(nearest(word, allowed)) or f"allowed here: {', '.join(allowed)}"


def one_of(word: str, allowed: Iterable[str]) -> str:
    """What a word that stands where one of a few must stand has to be, with the nearest of them."""
    allowed = list(allowed)
    asked = did_you_mean(nearest(word, allowed, most=1))
    return f"must be one of {', '.join(allowed)}" + (f"; {asked}" if asked else "")
