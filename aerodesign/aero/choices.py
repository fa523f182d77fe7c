"""The designer's choices and the limits: every field has a default, and the report lists which were left at it."""

from aerodesign.core.quantities import Angle, Count, Frequency, Length, Ratio, Speed, Temperature, Velocity
from aerodesign.core.record import Record, record

FREE = float("nan")
"""A choice left to the sizing search."""


@record
class Limits(Record):
    """What the design must not pass. ``FREE`` (nan) means that no limit was given."""

    diameter: Length = FREE
    speed: Speed = FREE
    casing: Length = FREE
    power_level: Ratio = FREE
    material: str = "aluminium 7075-T6"
    wheel_temperature: Temperature = FREE


@record
class Drive(Record):
    """How the wheel is driven: ``direct`` (a pole pair's synchronous speed less slip), ``belt``, ``gear`` or ``inverter``.

    ``frequency`` is the supply's. ``poles`` of the motor, free for the search over 2, 4 and 6 when nan.
    """

    kind: str = "inverter"
    frequency: Frequency = 50.0
    poles: Count = FREE
    slip: Ratio = 0.015


@record
class Choices(Record):
    """The designer's choices. ``FREE`` (nan) leaves a number to the search over the meanline."""

    speed: Speed = FREE
    backsweep: Angle = 0.6981317007977318
    blades: Count = FREE
    splitters: bool = False
    hub_ratio: Ratio = 0.35
    incidence: Angle = 0.0
    covered: bool = False
    clearance: Length = FREE
    thickness_hub: Length = FREE
    thickness_shroud: Length = FREE
    fillet: Length = FREE
    bore: Length = FREE
    roughness: Length = 3.2e-6
    flow_coefficient_exit: Ratio = FREE
    diffuser_ratio: Ratio = FREE
    pinch: Ratio = 0.9
    volute_section: str = "circle"
    volute_area_factor: Ratio = 1.0
    inlet_velocity: Velocity = 25.0
    discharge_velocity: Velocity = 25.0
    cone_angle: Angle = 0.12217304763960307
    axial_length_ratio: Ratio = FREE
    mechanical_efficiency: Ratio = 0.97
    search_effort: Count = 1024
