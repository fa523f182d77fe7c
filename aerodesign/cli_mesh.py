"""The command line of ``mesh``: what may be typed, and the answer."""

from pathlib import Path
from typing import Any

import click

from aerodesign import terminal
from aerodesign.cli_options import case_argument, first_cell_option, quiet_option, size_option


@click.command()
@case_argument
@click.option("--out", type=click.Path(path_type=Path), help="Folder of the files; CASE-mesh by default.")
@size_option()
@first_cell_option
@click.option("--clearance", is_flag=True, help="Open the gap over the blade tips of a semi-open wheel.")
@click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(["vtu", "cgns", "polymesh", "msh"]),
    default=("vtu",),
    show_default=True,
    help="May be given several times.",
)
@click.option("--json", "as_json", is_flag=True, help="Print quality and patches as one JSON document, nothing else.")
@quiet_option
def mesh(as_json: bool, quiet: bool, **wish: Any) -> None:
    """Mesh one passage of the machine of CASE for a flow solver, with a picture and measures of its quality."""
    from aerodesign.report.meshed import MeshWish, mesh_case

    told = mesh_case(MeshWish(**wish))
    if as_json:
        terminal.print_json(told.record)
    elif not quiet:
        terminal.print_lines(told.lines)
