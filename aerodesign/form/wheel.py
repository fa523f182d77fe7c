"""The form of the wheel's body: back disc, bore, nose."""

from aerodesign.core.record import Record, record


@record
class WheelForm(Record):
    """Choices for the wheel without its blades; table ``[wheel]`` of a case file."""
