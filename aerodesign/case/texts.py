"""The text of a small file that a user names, or one line that says why there is none."""

from pathlib import Path

from aerodesign.core.errors import CaseError
from aerodesign.core.texts import one_line, shown_path

LARGEST = 1_000_000
"""Bytes beyond which a file is surely something else."""


def file_text(path: str | Path, kind: str) -> str:
    """The text of a file of some kind ("a calibration"). Raises CaseError in one line."""
    file, name = Path(path), shown_path(path)
    try:
        if file.exists() and not file.is_file():
            raise CaseError(f"{name}: is not a file; name {kind}")
        if file.is_file() and file.stat().st_size > LARGEST:
            raise CaseError(f"{name}: is larger than {LARGEST} bytes; {kind} is a short text")
        return file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as cause:
        raise CaseError(f"{name}: no such file; check the path of {kind}") from cause
    except UnicodeDecodeError as cause:
        raise CaseError(f"{name}: is not UTF-8 text; {kind} is plain text") from cause
    except (OSError, ValueError) as cause:
        raise CaseError(f"{name}: cannot be read: {one_line(str(cause), 120)}") from cause
