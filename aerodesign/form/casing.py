"""The form of the casing: inlet, walls, flanges, feet, hand and position."""

from typing import Annotated

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Length
from aerodesign.core.record import Record, record

FREE = float("nan")
"""A choice left to the rules of the parts."""

HANDS = ("counter-clockwise", "clockwise")
"""Directions of rotation, seen from the side of the drive."""

POSITIONS = ("UB", "TAU", "TH", "TAD", "DB", "BAD", "BH", "BAU")
"""Positions of the discharge in steps of 45 degrees in the direction of rotation, from straight up.

Up blast, top angular up, top horizontal, top angular down, down blast, bottom angular down, bottom horizontal, bottom
angular up: the trade's letters, as in AMCA 99-2406 (from memory).
"""


@record
class CasingForm(Record):
    """Choices for the casing; table ``[casing]`` of a case file.

    ``rotation`` is seen from the side of the drive, which is the side away from the inlet. ``inlet_length`` reaches from
    the inlet flange to the wheel.
    """

    rotation: Annotated[str, OneOf(HANDS)] = "counter-clockwise"
    position: Annotated[str, OneOf(POSITIONS)] = "UB"
    inlet: Annotated[str, OneOf(("pipe", "bell"))] = "pipe"
    inlet_length: Annotated[Length, Within("5 mm", "5 m")] = FREE
