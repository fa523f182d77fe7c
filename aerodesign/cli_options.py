"""Arguments and options that commands share."""

import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

case_argument = click.argument("case", type=click.Path(path_type=Path))
out_option = click.option("--out", type=click.Path(path_type=Path), help="Folder for the result, else CASE-result.")
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
first_cell_option = click.option(
    "--first-cell", default="", help='First cell at walls: a height as "0.1 mm", or "y+ 30".'
)


def size_option(more: str = "") -> Callable[..., Any]:
    """Which of the meshes, named by what they are for; ``more`` goes on with the help."""
    return click.option(
        "--size",
        type=click.Choice(["look", "design", "study"]),
        default="look",
        show_default=True,
        help=f"Mesh: about 20 000, 60 000 or 150 000 cells between two blades{more}.",
    )


@dataclass(frozen=True)
class Order:
    """What a command that writes a folder was asked for, as typed."""

    case: Path
    out: Path | None
    units: str
    as_json: bool
    quiet: bool
    without: tuple[str, ...]

    @property
    def folder(self) -> Path:
        """Where the result goes."""
        return self.out or Path(f"{self.case.stem}-result")


def takes_order(command: Callable[[Order], None]) -> Callable[..., None]:
    """CASE and the options of a command that writes a folder, handed over as one :class:`Order`."""

    @functools.wraps(command)
    def ordered(**typed: Any) -> None:
        command(Order(**typed))

    made: Callable[..., None] = ordered
    for part in (without_option, quiet_option, json_option, units_option, out_option, case_argument):
        made = part(made)
    return made
