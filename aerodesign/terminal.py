"""The terminal's side of a command: one line for every failure, a bar for what takes its time, JSON where it is asked."""

import contextlib
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from typing import Any, NoReturn

import click

AFTER = ("duty points", "map", "control and site", "passage mesh", "tables", "figures", "data sheet", "solids", "page")
STEPS = {"design": ("sizing", *AFTER), "rate": ("rating", *AFTER), "draw": ("views", "solids", "sheet")}
"""Steps on the bar of a command that writes a folder, as those who take them call them."""


def run(command: click.Command) -> NoReturn:
    """Run a command and end the process with its status: one line for every failure, no traceback."""
    try:
        status = command.main(standalone_mode=False)
        sys.exit(status if isinstance(status, int) else 0)
    except (click.exceptions.Abort, KeyboardInterrupt):
        say("interrupted; earlier results are as they were")
        sys.exit(130)
    except click.ClickException as problem:
        problem.show()
        sys.exit(problem.exit_code)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as problem:
        sys.exit(_explain(problem))


def _explain(problem: Exception) -> int:
    """Print a failure in one line and return its exit status; a failure that is our fault leaves its trace in a file."""
    from aerodesign.core.errors import AerodesignError

    if isinstance(problem, AerodesignError):
        say(str(problem))
        return problem.exit_status
    with tempfile.NamedTemporaryFile("w", prefix="aerodesign-", suffix=".txt", delete=False, encoding="utf-8") as file:
        traceback.print_exception(problem, file=file)
    say(f"unexpected {type(problem).__name__}: {problem}; this is a defect, its trace is in {file.name}")
    return 1


def say(text: str) -> None:
    """A line on standard error, under the program's name."""
    click.echo(f"aerodesign: {text}", err=True)


def print_lines(lines: list[str]) -> None:
    """Lines on standard output."""
    click.echo("\n".join(lines))


def print_json(value: Any) -> None:
    """Plain data on standard output, as one JSON document."""
    import json

    click.echo(json.dumps(value, indent=1, allow_nan=False))


@contextlib.contextmanager
def progress(command: str, quiet: bool) -> Iterator[Callable[[str], None]]:
    """A bar on a terminal, nothing elsewhere; yields what takes the name of each step."""
    if quiet or not sys.stderr.isatty():
        yield lambda step: None
        return
    steps = STEPS[command]
    with click.progressbar(
        length=len(steps),
        file=sys.stderr,
        show_eta=False,
        show_percent=False,
        item_show_func=lambda step: step or "",
        width=24,
    ) as bar:
        yield lambda step: bar.update(1 if step in steps else 0, step)
