"""Output folders that are either whole or as they were: everything is made beside, then put in place by renaming."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from aerodesign.core.errors import AerodesignError

MARK = "design.json"
"""The file by which a folder is known as a result of ours, which may be replaced."""


@contextmanager
def whole_folder(target: Path, mark: str = MARK) -> Iterator[Path]:
    """A new folder to fill, which takes the place of ``target`` when the block ends well; else nothing changes.

    ``mark`` is the file by which an earlier result is known.

    Raises AerodesignError where ``target`` exists and is not a result folder of this tool, or cannot be made.
    """
    if target.exists() and not ((target / mark).is_file() or (target.is_dir() and not any(target.iterdir()))):
        raise AerodesignError(f"{target}: exists and is not a result of aerodesign; name another folder with --out")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as cause:
        raise AerodesignError(f"{target}: cannot be made: {cause.strerror}; name another folder with --out") from cause
    try:
        work.chmod(0o755)
        yield work
        _swap(work, target)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _swap(new: Path, target: Path) -> None:
    """Put ``new`` where ``target`` is. Two renames: between them the old result stands under its spare name."""
    if not target.exists():
        os.rename(new, target)
        return
    spare = target.with_name(f".{target.name}-old-{os.getpid()}")
    os.rename(target, spare)
    try:
        os.rename(new, target)
    except OSError:
        os.rename(spare, target)
        raise
    shutil.rmtree(spare, ignore_errors=True)
