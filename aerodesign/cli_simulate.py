"""The command line of ``simulate``: what may be typed, the line that tells how far the solver is, and the answer."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from aerodesign import terminal
from aerodesign.cli_options import first_cell_option, size_option

BAR = 24


@click.command()
@click.argument("cases", metavar="CASE...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder of cases and answers; CASE-simulation, of several cases simulations, by default.",
)
@click.option("--flows", default="1", show_default=True, help="Parts of the design flow, as 0.8,1,1.2.")
@size_option("; of the stress 1000, 4000 or 9000")
@first_cell_option
@click.option("--clearance", is_flag=True, help="Simulate the gap over the blade tips of a semi-open wheel too.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 64),
    default=1,
    show_default=True,
    help="Points, or of several cases machines, that run side by side.",
)
@click.option(
    "--volute", is_flag=True, help="Simulate the volute, from the wheel's exit to the flange, instead of the wheel."
)
@click.option(
    "--swirl",
    type=click.Choice(["meanline", "simulated"]),
    default="meanline",
    show_default=True,
    help="With --volute: the swirl that comes in, as predicted or of the wheel's simulation.",
)
@click.option(
    "--scheduler", default="", help="Address of a Dask scheduler whose workers, on any machine, run the points."
)
@click.option(
    "--stress",
    is_flag=True,
    help="The stress of the wheel in CalculiX, instead of the flow; --size counts, --flows does not.",
)
@click.option("--cold", is_flag=True, help="With --stress: rotation and gas alone, no heat.")
@click.option(
    "--flow-pressure",
    is_flag=True,
    help="With --stress: the gas pushes as in the simulated flow, run first where it is not there, not evenly.",
)
@click.option("--write-only", is_flag=True, help="Write the cases and run nothing; each has a script of its own.")
@click.option(
    "--table", type=click.Path(path_type=Path), help="CSV file to add a row for each point to, and its page .md."
)
@click.option(
    "--finer", is_flag=True, help="Of several cases: once more on the next finer mesh where only a balance failed."
)
@click.option("--json", "as_json", is_flag=True, help="Print the answers as one JSON document, nothing else.")
@click.option("--quiet", is_flag=True, help="Print nothing but warnings and errors.")
def simulate(
    cases: tuple[Path, ...],
    as_json: bool,
    quiet: bool,
    finer: bool,
    volute: bool,
    stress: bool,
    cold: bool,
    flow_pressure: bool,
    **wish: Any,
) -> None:
    """Simulate the flow through the wheel and diffuser of CASE, or its volute, with OpenFOAM, and set the answer beside the prediction.

    A run that was cut off goes on where it stopped when the same command is given again. Several cases go into one --table; what it
    holds already of this version of mesh and settings is not run again. With --stress, solve the stress of a sector of the wheel
    with CalculiX and set that beside the machine check.
    """
    if stress and volute:
        raise click.UsageError("--stress and --volute are two simulations; give one of them")
    if cold and not stress:
        raise click.UsageError("--cold is of --stress; give both")
    if flow_pressure and not stress:
        raise click.UsageError("--flow-pressure is of --stress; give both")
    if wish["swirl"] != "meanline" and not volute:
        raise click.UsageError("--swirl is of --volute; give both")
    if stress:
        asked = ["--finer"] * finer
        asked += [
            "--" + name.replace("_", "-") for name in ("first_cell", "clearance", "scheduler", "table") if wish[name]
        ]
        if asked:
            raise click.UsageError(f"--stress has no use for {', '.join(asked)}; leave it out")
        if flow_pressure and wish["write_only"]:
            raise click.UsageError(
                "--flow-pressure needs the flow to be run, --write-only runs nothing; give one of them"
            )
        _simulate_stress(cases, as_json=as_json, quiet=quiet, heat=not cold, flow_pressure=flow_pressure, **wish)
        return
    if len(cases) > 1 or finer:
        alone = [wish.pop(name) for name in ("write_only", "first_cell", "scheduler")]
        if any([as_json, volute, wish.pop("swirl") != "meanline", *alone]):
            raise click.UsageError(
                "several cases go into a --table; --json, --write-only, --first-cell, --volute, --swirl and --scheduler are for one case"
            )
        _simulate_many(cases, quiet=quiet, finer=finer, **wish)
        return
    (case,) = cases
    if volute and wish["swirl"] == "meanline" and (wish["first_cell"] or wish["clearance"]):
        raise click.UsageError("--first-cell and --clearance are of the wheel's mesh; the volute has its own mesher")
    from aerodesign.cfd.solver import SolverFailed
    from aerodesign.report.simulate import Wish, simulate_case
    from aerodesign.report.simulate_volute import simulate_volute_case

    do = simulate_volute_case if volute else simulate_case
    with _status(quiet or as_json) as progress:
        told = do(Wish(case, **wish), progress=progress)
    if as_json:
        terminal.print_json(told.record)
    elif not quiet:
        terminal.print_lines(told.lines)
    if not told.good:
        without = [f"{point['part']:g}" for point in told.record["points"] if not point["accepted"]]
        raise SolverFailed(
            f"{case}: no answer to be believed at flow {', '.join(without)} of design; the gates say why"
        )


def _simulate_stress(
    cases: tuple[Path, ...], *, as_json: bool, quiet: bool, heat: bool, flow_pressure: bool, **wish: Any
) -> None:
    """The stress of one case's wheel."""
    from aerodesign.report.simulate import Wish
    from aerodesign.report.stress import stress_case

    if len(cases) > 1:
        raise click.UsageError("--stress is for one case")
    found = stress_case(Wish(cases[0], **wish), heat=heat, flow_pressure=flow_pressure)
    if as_json:
        terminal.print_json(found.record)
    elif not quiet:
        terminal.print_lines(found.lines)


def _simulate_many(cases: tuple[Path, ...], *, quiet: bool, table: Path | None, out: Path | None, **wish: Any) -> None:
    """Several cases into one table, a line for each machine."""
    from aerodesign.report.simulate_many import Many, simulate_many

    if table is None:
        raise click.UsageError("several cases need a --table that their rows go to")
    many = Many(tuple(cases), table, out or Path("simulations"), **wish)
    count = simulate_many(many, say=(lambda line: None) if quiet else click.echo)
    if not quiet:
        click.echo(f"{table}: {', '.join(f'{number} {verdict}' for verdict, number in count.items()) or 'nothing'}")


@contextmanager
def _status(quiet: bool) -> Iterator[Callable[[str, Any], None]]:
    """One line on a terminal that is written over; nothing elsewhere."""
    if quiet or not sys.stderr.isatty():
        yield lambda name, look: None
        return
    yield lambda name, look: click.echo(f"\r\x1b[2K{_line(name, look)}", err=True, nl=False)
    click.echo("\r\x1b[2K", err=True, nl=False)


def _line(name: str, look: Any) -> str:
    """How far a run is: part of its iterations, torque and residuals."""
    full = min(BAR, BAR * look.iteration // max(look.iterations, 1))
    left = "  ".join(f"{field} {look.residuals[field]:.0e}" for field in ("p", "Ux", "k") if field in look.residuals)
    return f"{name} [{'#' * full}{'-' * (BAR - full)}] {look.iteration} of {look.iterations}, {look.watched}, {left}"
