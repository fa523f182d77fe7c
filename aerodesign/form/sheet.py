"""The data sheet that goes to a customer."""

from typing import Annotated

from aerodesign.core.bounds import OneOf
from aerodesign.core.record import Record, record

PAPERS = {"A4": (8.2677, 11.6929), "Letter": (8.5, 11.0)}
"""Width and height in inches."""


@record
class SheetForm(Record):
    """Choices for the data sheet; table ``[sheet]`` of a case file. ``maker`` and ``customer`` are printed at its head."""

    paper: Annotated[str, OneOf(PAPERS)] = "A4"
    maker: str = ""
    customer: str = ""
