"""The place that the machine must fit: envelope and connections of the one that stands there now."""

from typing import Annotated

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Angle, Length
from aerodesign.core.record import Record, record
from aerodesign.form.chosen import FREE
from aerodesign.machine.asme_flanges import STANDARDS


@record
class FitForm(Record):
    """Envelope and connections to fit; table ``[fit]`` of a case file. What is left free is not asked.

    Seen from the side of the drive, across is horizontal, to the right. ``orientation`` turns the casing, with the rotation, further than its
    position (``casing.position``; "UB", the default, has the discharge straight up).
    ``shaft_height`` is that over the floor. ``discharge_offset`` and ``discharge_height`` place the middle of the existing
    discharge flange from the shaft, both measured across and up; ``discharge_bore`` and ``inlet_bore`` are clear diameters.
    ``room`` is what must stay free round the casing with its walls, flanges and feet. ``flanges`` names the standard of the flanges.
    """

    across: Annotated[Length, Within("50 mm", "20 m")] = FREE
    tall: Annotated[Length, Within("50 mm", "20 m")] = FREE
    shaft_height: Annotated[Length, Within("20 mm", "10 m")] = FREE
    orientation: Annotated[Angle, Within("-180 deg", "180 deg")] = 0.0
    discharge_offset: Annotated[Length, Within("-10 m", "10 m")] = FREE
    discharge_height: Annotated[Length, Within("-10 m", "10 m")] = FREE
    discharge_bore: Annotated[Length, Within("10 mm", "3 m")] = FREE
    inlet_bore: Annotated[Length, Within("10 mm", "3 m")] = FREE
    tolerance: Annotated[Length, Within("0.5 mm", "500 mm")] = 0.010
    room: Annotated[Length, Within("0 mm", "500 mm")] = 0.0
    flanges: Annotated[str, OneOf(STANDARDS)] = "PN6"
