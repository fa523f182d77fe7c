"""What the tables of form have in common: each can say where its own choices contradict each other."""

from typing import NamedTuple

from aerodesign.core.record import Record, record

FREE = float("nan")
"""A choice left open: what is said beside it then holds."""


class Fault(NamedTuple):
    """A choice that cannot stand: the key, and what is wrong with it in words of the case file."""

    key: str
    complaint: str


@record
class Chosen(Record):
    """Base of the tables."""

    def faults(self) -> list[Fault]:
        """Choices that contradict each other whatever the machine; none where the table is sound."""
        return []
