"""The form of the casing: inlet, walls, flanges, feet, hand and position."""

from typing import Annotated

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Angle, Length
from aerodesign.core.record import Record, record
from aerodesign.machine.flanges import RATINGS

FREE = float("nan")
"""A choice left to the rules of the parts."""

HANDS = ("counter-clockwise", "clockwise")
"""Directions of rotation, seen from the side of the drive."""

OUTSIDES = ("block", "shell")

POSITIONS = ("UB", "TAU", "TH", "TAD", "DB", "BAD", "BH", "BAU")
"""Positions of the discharge in steps of 45 degrees in the direction of rotation, from straight up.

Up blast, top angular up, top horizontal, top angular down, down blast, bottom angular down, bottom horizontal, bottom
angular up: the trade's letters, as in AMCA 99-2406 (from memory).
"""


@record
class CasingForm(Record):
    """Choices for the casing; table ``[casing]`` of a case file.

    ``rotation`` is seen from the side of the drive, which is the side away from the inlet. ``inlet_length`` reaches from
    the inlet flange to the wheel. ``discharge_turn`` is the angle of a bend behind the exit cone, in the plane of the
    spiral, positive in the direction of rotation. ``outside`` is a "block" with plane sides, as cut from plate or solid, or a
    "shell" that follows the scroll and its duct at the wall's thickness, as cast; round a rectangle both are the block, whose
    sides are plane like the section's. ``wall`` is the least thickness of the casing's walls, ``running_gap``
    what it leaves round turning parts beside the blades, ``shaft_opening`` a diameter. ``flange`` is the size of the
    flanges at inlet and discharge, "tube" for plain ends. ``split`` parts the casing in the plane of the spiral's middle.
    ``mount`` asks for the room of feet, whose ``centre_height`` is that of the axis above the floor, or for that of the
    drive's flange.
    """

    rotation: Annotated[str, OneOf(HANDS)] = "counter-clockwise"
    position: Annotated[str, OneOf(POSITIONS)] = "UB"
    inlet: Annotated[str, OneOf(("pipe", "bell"))] = "pipe"
    inlet_length: Annotated[Length, Within("5 mm", "5 m")] = FREE
    discharge_turn: Annotated[Angle, Within("-90 deg", "90 deg")] = 0.0
    outside: Annotated[str, OneOf(OUTSIDES)] = "block"
    wall: Annotated[Length, Within("1 mm", "100 mm")] = FREE
    running_gap: Annotated[Length, Within("0.2 mm", "50 mm")] = FREE
    shaft_opening: Annotated[Length, Within("2 mm", "1 m")] = FREE
    flange: Annotated[str, OneOf((*RATINGS, "tube"))] = "PN6"
    split: bool = False
    mount: Annotated[str, OneOf(("none", "feet", "flange"))] = "none"
    centre_height: Annotated[Length, Within("10 mm", "10 m")] = FREE
