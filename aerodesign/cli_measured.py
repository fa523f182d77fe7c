"""The command line of what was measured: a test reduced, a machine calibrated to it, predictions held against it."""

from pathlib import Path

import click

from aerodesign import terminal
from aerodesign.cli_options import case_argument, units_option


@click.command()
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
        terminal.print_lines(calibration_lines(fitted))
        raise AerodesignError(
            f"{test}: the fit did not settle, nothing was written; is this a test of the machine in {case}?"
        )
    path = calibration_path(name or test.stem, case.parent)
    write_calibration(path, fitted, name or test.stem, stamp(content))
    if as_json:
        keys = ("name", "value", "deviation", "determined")
        terminal.print_json(
            {"file": str(path), "fitted": [{key: to_plain(getattr(one, key)) for key in keys} for one in fitted.fitted]}
        )
        return
    for column in points.unread:
        terminal.say(f"{test}: column {column} was not used")
    terminal.print_lines(calibration_lines(fitted))
    click.echo(f'written to {path}; a case uses it by [models] calibration = "{name or test.stem}"')


@click.command()
@click.argument("test", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="CSV file for all results.")
@click.option("--points", type=click.Path(path_type=Path), help="CSV file of points that 'aerodesign calibrate' reads.")
@units_option
def reduce(test: Path, out: Path | None, points: Path | None, units: str) -> None:
    """Turn the rig readings of TEST (a CSV file) into flow, rise, power and efficiency with their uncertainty."""
    import aerodesign
    from aerodesign.report.deliver import write_csv
    from aerodesign.rig import points_text, read_test, reduce_test, reduced_lines, reduced_rows

    reduced = reduce_test(read_test(test))
    terminal.print_lines(reduced_lines(reduced, units=units))
    mark = f"aerodesign {aerodesign.__version__}, reduced from {test.name}"
    if out:
        write_csv(out, reduced_rows(reduced, units=units), mark)
        click.echo(f"written to {out}")
    if points:
        points.write_text(points_text(reduced, stamp=mark), encoding="utf-8")
        click.echo(f"written to {points}")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default="cases")
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the page; FOLDER/validation by default.")
def validate(folder: Path, out: Path | None) -> None:
    """Hold every measured-*.toml in FOLDER against the prediction, and write the page of hits and misses."""
    from aerodesign.report.validation import validate as hold

    terminal.print_lines(hold(folder, out or folder / "validation"))
