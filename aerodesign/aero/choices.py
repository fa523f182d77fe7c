"""The designer's choices and the limits: every field has a default, and the report lists which were left at it.

A field's type says its quantity and what a case file may put there; see :mod:`aerodesign.core.bounds`.
"""

from typing import Annotated

from aerodesign.aero.sections import Section
from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Angle, Count, Frequency, Length, Level, Ratio, Speed, Temperature, Velocity
from aerodesign.core.record import Record, record
from aerodesign.machine.drive import DRIVES
from aerodesign.machine.materials import MATERIALS

FREE = float("nan")
"""A choice left to the sizing search."""


@record
class Limits(Record):
    """What the design must not pass. ``FREE`` (nan) means that no limit was given."""

    diameter: Annotated[Length, Within("20 mm", "5 m")] = FREE
    speed: Annotated[Speed, Within("100 rpm", "200000 rpm")] = FREE
    casing: Annotated[Length, Within("50 mm", "20 m")] = FREE
    power_level: Annotated[Level, Within("40 dB", "150 dB")] = FREE
    material: Annotated[str, OneOf(MATERIALS)] = "aluminium 7075-T6"
    wheel_temperature: Annotated[Temperature, Within("250 K", "600 K")] = FREE


@record
class Drive(Record):
    """How the wheel is driven: ``direct`` (at a synchronous speed less slip), ``belt``, ``gear`` or ``inverter``.

    ``frequency`` is the supply's. ``poles`` of the motor, free for the search over 2, 4, 6 and 8 when nan.
    """

    kind: Annotated[str, OneOf(DRIVES)] = "inverter"
    frequency: Annotated[Frequency, Within("16 Hz", "400 Hz")] = 50.0
    poles: Annotated[Count, Within(2, 12)] = FREE
    slip: Annotated[Ratio, Within(0, 0.1)] = 0.015


@record
class Choices(Record):
    """The designer's choices. ``FREE`` (nan) leaves a number to the search over the meanline."""

    speed: Annotated[Speed, Within("100 rpm", "200000 rpm")] = FREE
    backsweep: Annotated[Angle, Within("-10 deg", "75 deg", free=True)] = 0.6981317007977318
    blades: Annotated[Count, Within(3, 40)] = FREE
    splitters: bool = False
    hub_ratio: Annotated[Ratio, Within(0.1, 0.8)] = 0.35
    incidence: Annotated[Angle, Within("-10 deg", "15 deg")] = 0.0
    covered: bool = False
    clearance: Annotated[Length, Within("0.02 mm", "10 mm")] = FREE
    thickness_hub: Annotated[Length, Within("0.2 mm", "30 mm")] = FREE
    thickness_shroud: Annotated[Length, Within("0.2 mm", "30 mm")] = FREE
    fillet: Annotated[Length, Within("0 mm", "30 mm")] = FREE
    bore: Annotated[Length, Within("0 mm", "500 mm")] = FREE
    roughness: Annotated[Length, Within("0.01 um", "1000 um")] = 3.2e-6
    flow_coefficient_exit: Annotated[Ratio, Within(0.05, 0.6)] = FREE
    diffuser_ratio: Annotated[Ratio, Within(1.02, 3.0)] = FREE
    pinch: Annotated[Ratio, Within(0.5, 1.2)] = 0.9
    volute_section: Annotated[str, OneOf(family.name for family in Section.__subclasses__())] = "circle"
    volute_width: Annotated[Ratio, Within(1, 20)] = 5.0
    volute_aspect: Annotated[Ratio, Within(0.6, 2)] = 1.5
    volute_side: Annotated[Ratio, Within(-1, 1)] = 0.0
    tongue_radius: Annotated[Length, Within("0.2 mm", "100 mm")] = FREE
    tongue_opening: Annotated[Ratio, Within(0.01, 0.3)] = 0.06
    volute_area_factor: Annotated[Ratio, Within(0.5, 2.0)] = 1.0
    inlet_velocity: Annotated[Velocity, Within("3 m/s", "100 m/s")] = 25.0
    discharge_velocity: Annotated[Velocity, Within("3 m/s", "100 m/s")] = 25.0
    cone_angle: Annotated[Angle, Within("1 deg", "30 deg")] = 0.12217304763960307
    axial_length_ratio: Annotated[Ratio, Within(0.1, 1.0)] = FREE
    mechanical_efficiency: Annotated[Ratio, Within(0.5, 1.0)] = 0.97
    search_effort: Annotated[Count, Within(16, 1000000)] = 1024
