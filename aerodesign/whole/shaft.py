"""What the check of a shaft finds."""

from collections.abc import Mapping
from dataclasses import dataclass

from aerodesign.core.book import Step
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Force, Length, Speed, Stress, Unbalance, Values, Velocity
from aerodesign.machine.bearing_table import Bearing
from aerodesign.machine.bearing_temperature import Warmth
from aerodesign.machine.grease import GreaseLife
from aerodesign.machine.loads import Thrust
from aerodesign.whole.shaft_layout import Layout


@dataclass(frozen=True, eq=False)
class Whirling:
    """For the charts: whirl speeds (modes, speeds) and the radius of the wheel's whirl, at speeds."""

    speed: Values
    backward: Values
    forward: Values
    response_speed: Values
    response: Values


@dataclass(frozen=True, eq=False)
class ShaftCheck:
    """Shaft and bearings; arrays of bearings (front, rear) first, duty points last.

    ``thrust`` at the duty points; ``radial`` and ``axial`` the loads of the bearings, ``equivalent`` the load for the life;
    ``life`` the modified rating life at 90 %, ``basic`` without a_ISO; ``warmth`` of the bearings; ``grease`` by both rules.
    """

    bearing: Bearing
    parts: Layout
    stiffness: Values
    critical: Speed
    separation: Values
    whirling: Whirling
    thrust: Thrust
    radial: Force
    axial: Force
    equivalent: Force
    basic: Values
    life: Values
    film: Values
    warmth: Warmth
    grease: GreaseLife
    speed_factor: Values
    unbalance: Unbalance
    eccentricity: Length
    vibration: Velocity
    vibration_zone: str
    category: str
    sag: Length
    stress: Stress
    preload: Force
    belt_pull: Force
    limits: dict[str, list[Limit]]
    steps: Mapping[str, Step]
