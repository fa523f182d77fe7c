"""The form of the rotor: shaft, bearings, grease, balance, and how long they shall last."""

from typing import Annotated

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Force, Length, Mass, Ratio, Stiffness, Time
from aerodesign.core.record import record
from aerodesign.form.chosen import FREE, Chosen, Fault
from aerodesign.machine.balance import GRADES
from aerodesign.machine.bearing_table import BEARINGS, SERIES
from aerodesign.machine.bearings import SPEED_FACTORS
from aerodesign.machine.grease import GREASES, RULES, STRICT_RULE
from aerodesign.machine.vibration import CATEGORIES

OVERHUNG, BETWEEN = LAYOUTS = ("overhung", "between bearings")
ANY, BY_POWER = "any", "by power"
HOUR = 3600.0


@record
class RotorForm(Chosen):
    """Choices for the rotor; table ``[rotor]`` of a case file. What is free is proposed from the wheel.

    ``layout``: the wheel overhung or between the bearings. ``shaft_diameter`` at the bearing next to the wheel; ``overhang`` from the
    wheel's back to the middle of that bearing; ``span`` between the bearings. ``bearing`` names one, as "6206", of ``series``; ``balls``
    of steel or ceramic; where they or ``grease`` are "any", those are proposed that keep most of what is asked. ``preload`` is the axial
    force that springs put on both bearings.
    ``support_stiffness`` is that of housing and foot under each bearing.

    ``drive_mass`` is what the drive hangs on the shaft: the motor's rotor between the bearings, or a pulley or coupling behind them;
    ``belt_pull`` the force of a belt there. ``overspeed`` is the speed of the overspeed test over the fastest running speed.
    ``running_clearance`` is the gap that must be left at the blade tips when hot and fast. ``bearing_life`` (at 90 %
    reliability) and ``grease_interval`` are what the buyer wants at least.
    """

    layout: Annotated[str, OneOf(LAYOUTS)] = OVERHUNG
    shaft_diameter: Annotated[Length, Within("5 mm", "300 mm")] = FREE
    overhang: Annotated[Length, Within("5 mm", "2 m")] = FREE
    span: Annotated[Length, Within("20 mm", "5 m")] = FREE
    series: Annotated[str, OneOf((ANY, *SERIES))] = ANY
    bearing: Annotated[str, OneOf((ANY, *BEARINGS))] = ANY
    balls: Annotated[str, OneOf((ANY, *SPEED_FACTORS))] = ANY
    preload: Annotated[Force, Within("0 N", "100 kN")] = FREE
    support_stiffness: Annotated[Stiffness, Within("1 N/um", "100000 N/um")] = 2e8
    grease: Annotated[str, OneOf((ANY, *GREASES))] = ANY
    grease_rule: Annotated[str, OneOf(RULES)] = STRICT_RULE
    balance_grade: Annotated[str, OneOf(GRADES)] = "G2.5"
    mounting: Annotated[str, OneOf(("rigid", "flexible"))] = "rigid"
    category: Annotated[str, OneOf((BY_POWER, *CATEGORIES))] = BY_POWER
    drive_mass: Annotated[Mass, Within("0 kg", "2000 kg")] = FREE
    belt_pull: Annotated[Force, Within("0 N", "100 kN")] = FREE
    overspeed: Annotated[Ratio, Within(1, 1.5)] = 1.15
    running_clearance: Annotated[Length, Within("0 mm", "10 mm")] = FREE
    bearing_life: Annotated[Time, Within("100 h", "1000000 h")] = 40000 * HOUR
    grease_interval: Annotated[Time, Within("10 h", "100000 h")] = 2000 * HOUR

    def faults(self) -> list[Fault]:
        """A bearing smaller than its shaft; an overhang that the span cannot hold."""
        found = []
        known = BEARINGS.get(self.bearing)
        if known is not None and self.shaft_diameter > known.bore:
            found.append(
                Fault(
                    "bearing",
                    f"has a bore of {1e3 * known.bore:.4g} mm, smaller than the shaft_diameter of {1e3 * self.shaft_diameter:.4g} mm; "
                    "take a larger bearing or a thinner shaft",
                )
            )
        if self.layout == BETWEEN and self.overhang > self.span:
            found.append(
                Fault(
                    "overhang",
                    "must not exceed span where the wheel sits between the bearings; shorten it or take one of them out",
                )
            )
        return found
