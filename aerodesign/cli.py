"""The command line: parses, calls, prints. Engineering is elsewhere, and loaded only by the command that needs it."""

import contextlib
import sys
from pathlib import Path
from typing import Any

import click

from aerodesign import terminal
from aerodesign.cli_family import family
from aerodesign.cli_measured import calibrate, reduce, validate
from aerodesign.cli_mesh import mesh
from aerodesign.cli_options import Order, case_argument, quiet_option, takes_order, units_option
from aerodesign.cli_simulate import simulate

CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


@click.group(context_settings=CONTEXT)
@click.version_option(package_name="aerodesign", prog_name="aerodesign")
def cli() -> None:
    """Design a centrifugal blower: from a duty in a case file to a machine, its map, its solids and a page that explains them."""


def main() -> None:
    """Entry point of the command ``aerodesign``: one line for every failure, no traceback."""
    terminal.run(cli)


for command in (family, mesh, simulate, calibrate, reduce, validate):
    cli.add_command(command)


@cli.command()
@takes_order
def design(order: Order) -> None:
    """Size a blower for the duty in CASE and write its folder."""
    from aerodesign.case.run import design_case
    from aerodesign.report.deliver import solids_worker

    with contextlib.ExitStack() as stack:
        worker = stack.enter_context(solids_worker()) if "solids" not in order.without else None
        content = _read(order.case)
        progress = stack.enter_context(terminal.progress("design", order.quiet or order.as_json))
        made = design_case(content, progress=progress)
        done = _deliver(made, content, order, worker=worker, progress=progress)
    _report(done, order)


@cli.command()
@takes_order
def rate(order: Order) -> None:
    """Analyse the machine that CASE describes in [rate], or that a design.json holds, instead of sizing one."""
    from aerodesign.case.run import rate_case

    if order.case.suffix == ".json":
        _rate_record(order.case, order.as_json)
        return
    content = _read(order.case, rated=True)
    with terminal.progress("rate", order.quiet or order.as_json) as progress:
        rated = rate_case(content, progress=progress)
        done = _deliver(rated.design, content, order, progress=progress)
    _report(done, order)
    if not order.as_json and not order.quiet:
        from aerodesign.report.lines import comparison_lines

        for comparison in rated.comparisons:
            terminal.print_lines(comparison_lines(comparison))


def _rate_record(path: Path, as_json: bool) -> None:
    from aerodesign.report.design_json import design_record, read_design

    again = read_design(path)
    if as_json:
        terminal.print_json(design_record(again, title=path.stem, stamp=""))
        return
    from aerodesign.report.lines import summary_lines

    terminal.print_lines(summary_lines(again))


@cli.command()
@case_argument
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the drawings; CASE-drawings by default.")
@click.option(
    "--step",
    "schema",
    type=click.Choice(["ap214", "ap242"]),
    default="ap214",
    help="Application protocol of the STEP files.  [default: ap214]",
)
@quiet_option
@click.option("--without", type=click.Choice(["solids"]), multiple=True, help="Leave the solids out.")
def draw(case: Path, out: Path | None, schema: str, quiet: bool, without: tuple[str, ...]) -> None:
    """Draw the machine of CASE, or of a design.json: sheet, DXF and SVG views, assembly, STL, GLB, inspection points."""
    from aerodesign.report.deliver import solids_worker, stamp
    from aerodesign.report.design_json import read_design, title_and_stamp
    from aerodesign.report.draw import deliver_drawings

    with contextlib.ExitStack() as stack:
        worker = stack.enter_context(solids_worker()) if "solids" not in without else None
        if case.suffix == ".json":
            made, (title, mark) = read_design(case), title_and_stamp(case)
        else:
            content = _read(case)
            made, title, mark = _sized_or_rated(content), content.title, stamp(content)
        progress = stack.enter_context(terminal.progress("draw", quiet))
        done = deliver_drawings(
            made,
            out or Path(f"{case.stem}-drawings"),
            title=title,
            stamp=mark,
            schema=schema,
            solids="solids" not in without,
            worker=worker,
            progress=progress,
        )
    for line in done.missing:
        terminal.say(f"not made: {line}")
    if not quiet:
        terminal.print_lines([*done.remarks, _written(done)])


def _read(case: Path, *, rated: bool | None = None) -> Any:
    """The content of a case file; settings in it that have no effect are told, a line for each, of its machine sized or ``rated``."""
    from aerodesign.case import read_case
    from aerodesign.case.idle import without_effect

    content = read_case(case)
    for line in without_effect(content, rated=rated):
        terminal.say(f"{case}: {line}")
    return content


def _sized_or_rated(content: Any) -> Any:
    """The design of a case: sized for its duty, or the machine that it describes where it has no duty."""
    from aerodesign.case.run import design_case, rate_case

    return rate_case(content).design if content.given is not None and content.duty is None else design_case(content)


@cli.command("map")
@case_argument
@click.option("--out", type=click.Path(path_type=Path), help="File for the table; standard output by default.")
def map_(case: Path, out: Path | None) -> None:
    """Print the performance map of the blower sized (or described) by CASE as CSV."""
    import csv

    from aerodesign.case import read_case
    from aerodesign.report.deliver import stamp, write_csv
    from aerodesign.report.tables import map_rows

    content = read_case(case)
    made = _sized_or_rated(content)
    if out:
        write_csv(out, map_rows(made), stamp(content))
    else:
        csv.writer(sys.stdout, lineterminator="\n").writerows(map_rows(made))


@cli.command()
@case_argument
@click.argument("quantity", required=False)
@units_option
def explain(case: Path, quantity: str | None, units: str) -> None:
    """Say how a QUANTITY of CASE came about: equation, inputs, source, range. Without one, list all that can be asked."""
    from aerodesign.report.explain_lines import explained_case

    terminal.print_lines(explained_case(case, quantity, units))


@cli.command()
@case_argument
@click.option("--json", "as_json", is_flag=True, help="Print what was understood as JSON.")
def check(case: Path, as_json: bool) -> None:
    """Read CASE and say what is wrong with it, without computing anything."""
    content = _read(case)
    if as_json:
        from aerodesign.core.plain import to_plain

        asked = {name: to_plain(getattr(content, name)) for name in ("duty", "site", "limits", "drive", "choices")}
        terminal.print_json({"title": content.title, "service": content.service, "digest": content.digest, **asked})
        return
    points = content.duty.shape[0] if content.duty is not None else 0
    click.echo(
        f"{case}: good; {points} duty point{'s' if points != 1 else ''}, {len(content.defaults)} choices at their defaults"
    )


@cli.command()
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def sources(as_json: bool) -> None:
    """List every correlation with its range, scatter and source."""
    from aerodesign.report.lines import source_lines, source_rows

    if as_json:
        terminal.print_json(source_rows())
    else:
        terminal.print_lines(source_lines())


@cli.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Print the completion script of a shell; put its output where that shell looks for such scripts."""
    from click.shell_completion import get_completion_class

    kind = get_completion_class(shell)
    assert kind is not None, shell
    click.echo(kind(cli, {}, "aerodesign", "_AERODESIGN_COMPLETE").source())


def _deliver(made: Any, content: Any, order: Order, **running: Any) -> Any:
    """The folder of a design as ordered; ``running`` are the bar and, where it was begun before, the solids' process."""
    from aerodesign.report.deliver import deliver

    return deliver(
        made,
        content,
        order.folder,
        units=order.units,
        solids="solids" not in order.without,
        mesh="mesh" not in order.without,
        **running,
    )


def _report(done: Any, order: Order) -> None:
    """The answer on standard output; what could not be made on standard error, a line for each."""
    for line in done.missing:
        terminal.say(f"not made: {line}")
    if order.as_json:
        terminal.print_json(done.record | {"folder": str(done.folder), "files": done.files, "missing": done.missing})
    elif not order.quiet:
        from aerodesign.report.lines import summary_lines
        from aerodesign.report.machine_chapter import machine_lines

        terminal.print_lines(summary_lines(done.design))
        terminal.print_lines(machine_lines(done.machine) if done.machine else [])
        click.echo(_written(done))


def _written(done: Any) -> str:
    return f"written to {done.folder} in {done.seconds:.1f} s: {', '.join(done.files)}"


if __name__ == "__main__":
    main()
