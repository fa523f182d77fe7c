"""The workshop that cuts the wheel: cutters, machine and rates."""

from aerodesign.core.record import Record, record


@record
class Shop(Record):
    """What the shop has and what its hours cost; table ``[shop]`` of a case file."""
