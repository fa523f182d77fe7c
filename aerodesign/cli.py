"""The command line: parses, calls, prints. Engineering is elsewhere, and loaded only by the command that needs it."""

import contextlib
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click

CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}
STEPS = {
    "design": (
        "sizing",
        "duty points",
        "map",
        "control and site",
        "passage mesh",
        "tables",
        "figures",
        "solids",
        "page",
    ),
    "rate": ("rating", "duty points", "map", "control and site", "passage mesh", "tables", "figures", "solids", "page"),
}


@click.group(context_settings=CONTEXT)
@click.version_option(package_name="aerodesign", prog_name="aerodesign")
def cli() -> None:
    """Design a centrifugal blower: from a duty in a case file to a machine, its map, its solids and a page that explains them."""


def main() -> None:
    """Entry point of the command ``aerodesign``: one line for every failure, no traceback."""
    try:
        status = cli.main(standalone_mode=False)
        sys.exit(status if isinstance(status, int) else 0)
    except click.exceptions.Abort:
        _say("interrupted; earlier results are as they were")
        sys.exit(130)
    except click.ClickException as problem:
        problem.show()
        sys.exit(problem.exit_code)
    except KeyboardInterrupt:
        _say("interrupted; earlier results are as they were")
        sys.exit(130)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as problem:
        sys.exit(_explain(problem))


def _explain(problem: Exception) -> int:
    """Print a failure in one line and return its exit status; a failure that is our fault leaves its trace in a file."""
    from aerodesign.core.errors import AerodesignError

    if isinstance(problem, AerodesignError):
        _say(str(problem))
        return problem.exit_status
    with tempfile.NamedTemporaryFile("w", prefix="aerodesign-", suffix=".txt", delete=False, encoding="utf-8") as file:
        traceback.print_exception(problem, file=file)
    _say(f"unexpected {type(problem).__name__}: {problem}; this is a defect, its trace is in {file.name}")
    return 1


def _say(text: str) -> None:
    click.echo(f"aerodesign: {text}", err=True)


@contextlib.contextmanager
def _progress(command: str, quiet: bool) -> Iterator[Callable[[str], None]]:
    """A bar on a terminal, nothing elsewhere."""
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


case_argument = click.argument("case", type=click.Path(path_type=Path))
out_option = click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the result; CASE-result by default."
)
units_option = click.option(
    "--units", type=click.Choice(["si", "us"]), help="Units of page and figures.  [default: si]", default="si"
)
json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print the design record as one JSON document, nothing else."
)
quiet_option = click.option("--quiet", is_flag=True, help="Print nothing but warnings and errors.")
without_option = click.option(
    "--without", type=click.Choice(["solids", "mesh"]), multiple=True, help="Leave something out; may be given twice."
)


@cli.command()
@case_argument
@out_option
@units_option
@json_option
@quiet_option
@without_option
def design(case: Path, out: Path | None, units: str, as_json: bool, quiet: bool, without: tuple[str, ...]) -> None:
    """Size a blower for the duty in CASE and write its folder."""
    from aerodesign.case import read_case
    from aerodesign.case.run import design_case
    from aerodesign.report.deliver import deliver, solids_worker

    with contextlib.ExitStack() as stack:
        worker = stack.enter_context(solids_worker()) if "solids" not in without else None
        content = read_case(case)
        progress = stack.enter_context(_progress("design", quiet or as_json))
        made = design_case(content, progress=progress)
        done = deliver(
            made,
            content,
            out or _folder(case),
            units=units,
            solids="solids" not in without,
            mesh="mesh" not in without,
            worker=worker,
            progress=progress,
        )
    _report(made, done, as_json, quiet)


@cli.command()
@case_argument
@out_option
@units_option
@json_option
@quiet_option
@without_option
def rate(case: Path, out: Path | None, units: str, as_json: bool, quiet: bool, without: tuple[str, ...]) -> None:
    """Analyse the machine that CASE describes in [rate], or that a design.json holds, instead of sizing one."""
    from aerodesign.case import read_case
    from aerodesign.case.run import rate_case
    from aerodesign.report.deliver import deliver

    if case.suffix == ".json":
        _rate_record(case, as_json)
        return
    content = read_case(case)
    with _progress("rate", quiet or as_json) as progress:
        rated = rate_case(content, progress=progress)
        done = deliver(
            rated.design,
            content,
            out or _folder(case),
            units=units,
            solids="solids" not in without,
            mesh="mesh" not in without,
            progress=progress,
        )
    _report(rated.design, done, as_json, quiet)
    if not as_json and not quiet:
        from aerodesign.report.lines import comparison_lines

        for comparison in rated.comparisons:
            click.echo("\n".join(comparison_lines(comparison)))


def _rate_record(path: Path, as_json: bool) -> None:
    from aerodesign.report.design_json import design_record, read_design

    again = read_design(path)
    if as_json:
        _print_json(design_record(again, title=path.stem, stamp=""))
        return
    from aerodesign.report.lines import summary_lines

    click.echo("\n".join(summary_lines(again)))


@cli.command("map")
@case_argument
@click.option("--out", type=click.Path(path_type=Path), help="File for the table; standard output by default.")
def map_(case: Path, out: Path | None) -> None:
    """Print the performance map of the blower sized (or described) by CASE as CSV."""
    import csv

    from aerodesign.case import read_case
    from aerodesign.case.run import design_case, rate_case
    from aerodesign.report.deliver import stamp, write_csv
    from aerodesign.report.tables import map_rows

    content = read_case(case)
    made = rate_case(content).design if content.given is not None and content.duty is None else design_case(content)
    if out:
        write_csv(out, map_rows(made), stamp(content))
    else:
        csv.writer(sys.stdout, lineterminator="\n").writerows(map_rows(made))


@cli.command()
@case_argument
@click.option("--json", "as_json", is_flag=True, help="Print what was understood as JSON.")
def check(case: Path, as_json: bool) -> None:
    """Read CASE and say what is wrong with it, without computing anything."""
    from aerodesign.case import read_case

    content = read_case(case)
    if as_json:
        from aerodesign.core.plain import to_plain

        asked = {name: to_plain(getattr(content, name)) for name in ("duty", "site", "limits", "drive", "choices")}
        _print_json({"title": content.title, "service": content.service, "digest": content.digest, **asked})
        return
    points = content.duty.shape[0] if content.duty is not None else 0
    click.echo(
        f"{case}: good; {points} duty point{'s' if points != 1 else ''}, {len(content.defaults)} choices at their defaults"
    )


@cli.command()
@case_argument
@click.argument("test", type=click.Path(path_type=Path))
@click.option("--name", help="Name of the calibration; the test file's by default.")
@click.option("--json", "as_json", is_flag=True, help="Print the fitted coefficients as JSON.")
def calibrate(case: Path, test: Path, name: str | None, as_json: bool) -> None:
    """Fit a few coefficients to the points of TEST (a CSV file) on the machine of CASE, and write them beside CASE.

    A later case uses them by name: [models] calibration = "NAME".
    """
    from aerodesign.case import read_case
    from aerodesign.case.calibrate import calibrate_case
    from aerodesign.case.calibration_file import calibration_path, write_calibration
    from aerodesign.case.points_file import read_points
    from aerodesign.core.errors import AerodesignError
    from aerodesign.core.plain import to_plain
    from aerodesign.report.calibration_lines import calibration_lines
    from aerodesign.report.deliver import stamp

    content, points = read_case(case), read_points(test)
    fitted = calibrate_case(content, points)
    if not fitted.solved:
        click.echo("\n".join(calibration_lines(fitted)))
        raise AerodesignError(
            f"{test}: the fit did not settle, nothing was written; is this a test of the machine in {case}?"
        )
    path = calibration_path(name or test.stem, case.parent)
    write_calibration(path, fitted, name or test.stem, stamp(content))
    if as_json:
        keys = ("name", "value", "deviation", "determined")
        _print_json(
            {"file": str(path), "fitted": [{key: to_plain(getattr(one, key)) for key in keys} for one in fitted.fitted]}
        )
        return
    for column in points.unread:
        _say(f"{test}: column {column} was not used")
    click.echo("\n".join(calibration_lines(fitted)))
    click.echo(f'written to {path}; a case uses it by [models] calibration = "{name or test.stem}"')


@cli.command()
@click.argument("test", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="CSV file for all results.")
@click.option("--points", type=click.Path(path_type=Path), help="CSV file of points that 'aerodesign calibrate' reads.")
@units_option
def reduce(test: Path, out: Path | None, points: Path | None, units: str) -> None:
    """Turn the rig readings of TEST (a CSV file) into flow, rise, power and efficiency with their uncertainty."""
    from aerodesign.report.deliver import write_csv
    from aerodesign.rig import points_text, read_test, reduce_test, reduced_lines, reduced_rows

    reduced = reduce_test(read_test(test))
    click.echo("\n".join(reduced_lines(reduced, units=units)))
    mark = f"aerodesign {_version()}, reduced from {test.name}"
    if out:
        write_csv(out, reduced_rows(reduced, units=units), mark)
        click.echo(f"written to {out}")
    if points:
        points.write_text(points_text(reduced, stamp=mark), encoding="utf-8")
        click.echo(f"written to {points}")


def _version() -> str:
    import aerodesign

    return aerodesign.__version__


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path), default="cases")
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the page; FOLDER/validation by default.")
def validate(folder: Path, out: Path | None) -> None:
    """Hold every measured-*.toml in FOLDER against the prediction, and write the page of hits and misses."""
    from aerodesign.report.validation import validate as hold

    click.echo("\n".join(hold(folder, out or folder / "validation")))


@cli.command()
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def sources(as_json: bool) -> None:
    """List every correlation with its range, scatter and source."""
    from aerodesign.report.lines import source_lines, source_rows

    if as_json:
        _print_json(source_rows())
    else:
        click.echo("\n".join(source_lines()))


@cli.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Print the completion script of a shell; put its output where that shell looks for such scripts."""
    from click.shell_completion import get_completion_class

    kind = get_completion_class(shell)
    assert kind is not None, shell
    click.echo(kind(cli, {}, "aerodesign", "_AERODESIGN_COMPLETE").source())


def _folder(case: Path) -> Path:
    return Path(f"{case.stem}-result")


def _report(made: Any, done: Any, as_json: bool, quiet: bool) -> None:
    """The answer on standard output; what could not be made on standard error, a line for each."""
    for line in done.missing:
        _say(f"not made: {line}")
    if as_json:
        _print_json(done.record | {"folder": str(done.folder), "files": done.files, "missing": done.missing})
    elif not quiet:
        from aerodesign.report.lines import summary_lines

        click.echo("\n".join(summary_lines(made)))
        click.echo(f"written to {done.folder} in {done.seconds:.1f} s: {', '.join(done.files)}")


def _print_json(value: Any) -> None:
    import json

    click.echo(json.dumps(value, indent=1, allow_nan=False))


if __name__ == "__main__":
    main()
