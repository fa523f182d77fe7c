"""The command line of ``family``: what may be typed, and the answer."""

from pathlib import Path
from typing import Any

import click

from aerodesign import terminal
from aerodesign.cli_options import case_argument, quiet_option, units_option


@click.command()
@case_argument
@click.option("--flows", required=True, help='Least and most flow at the inlet flange, as "600 m3/h, 6000 m3/h".')
@click.option(
    "--drop",
    type=click.FloatRange(0.5, 20),
    default=4.0,
    show_default=True,
    help="Points of efficiency that a frame may lose at its ends.",
)
@click.option(
    "--overlap",
    type=click.FloatRange(0, 50),
    default=5.0,
    show_default=True,
    help="Percent of flow by which frames reach into each other at least.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the files; CASE-family by default.")
@units_option
@click.option("--json", "as_json", is_flag=True, help="Print the frames as one JSON document, nothing else.")
@quiet_option
def family(drop: float, overlap: float, as_json: bool, quiet: bool, **wish: Any) -> None:
    """Scale the machine of CASE to the fewest similar frames that cover a range of flows at its pressure."""
    from aerodesign.report.family import FamilyWish, family_case

    told = family_case(FamilyWish(drop=drop / 100, overlap=overlap / 100, **wish))
    if as_json:
        terminal.print_json(told.record)
    elif not quiet:
        terminal.print_lines(told.lines)
