"""The form of the blades: what the meanline leaves open between the leading and the trailing edge."""

from aerodesign.core.record import Record, record


@record
class BladeForm(Record):
    """Choices for the blade surfaces; table ``[blade]`` of a case file."""
