"""The form of the casing: inlet, walls, flanges, feet, hand and position."""

from aerodesign.core.record import Record, record


@record
class CasingForm(Record):
    """Choices for the casing; table ``[casing]`` of a case file."""
