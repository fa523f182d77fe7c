"""The workshop that cuts the wheel: cutters, machine and rates. Every default is common practice, no source."""

from typing import Annotated

from aerodesign.core.bounds import Several, Within
from aerodesign.core.quantities import Angle, Length, Ratio, Time, Velocity, VolumeFlow
from aerodesign.core.record import Record, record


@record
class Shop(Record):
    """What the shop has and what its hours cost; table ``[shop]`` of a case file.

    ``cutters`` are the diameters of ball-nosed cutters on hand, ``reaches`` how far each stands out of its holder of diameter
    ``holder``; behind the ball they are cylinders, or cones that widen by the half angle ``taper`` on either side. ``stock`` is the
    gap kept between a cutter's side and a wall that it must not touch. ``tilt`` is the furthest
    that the cutter's axis can lean from the wheel's axis, seen from the inlet; ``table_radius`` the largest wheel that the machine
    swings. ``scallop`` is the height of the ridges allowed between passes, ``flank_error`` what the side of a cutter may leave on
    a twisted blade. ``removal_rate`` is that of roughing, ``feed`` that of finishing, ``idle`` the time for approach and
    retreat over that in the cut, ``setup`` the time a wheel takes beside the cutting. ``hourly_rate`` is money an hour in any
    currency.
    """

    cutters: Annotated[Length, Several(), Within("0.2 mm", "100 mm")] = (
        0.002, 0.003, 0.004, 0.005, 0.006, 0.008, 0.010, 0.012, 0.016, 0.020,
    )  # fmt: skip
    reaches: Annotated[Length, Several(), Within("0.5 mm", "1 m")] = (
        0.012, 0.022, 0.032, 0.042, 0.052, 0.070, 0.085, 0.100, 0.120, 0.140,
    )  # fmt: skip
    taper: Annotated[Angle, Within("0 deg", "15 deg")] = 0.0
    holder: Annotated[Length, Within("1 mm", "300 mm")] = 0.028
    stock: Annotated[Length, Within("0 mm", "5 mm")] = 0.0002
    tilt: Annotated[Angle, Within("0 deg", "180 deg")] = 1.9198621771937625
    table_radius: Annotated[Length, Within("10 mm", "5 m")] = 0.3
    scallop: Annotated[Length, Within("0.1 um", "1 mm")] = 10e-6
    flank_error: Annotated[Length, Within("1 um", "5 mm")] = 50e-6
    removal_rate: Annotated[VolumeFlow, Within("0.1 cm3/min", "10000 cm3/min")] = 1e-6
    feed: Annotated[Velocity, Within("1 mm/min", "50000 mm/min")] = 0.03
    idle: Annotated[Ratio, Within(0, 5)] = 0.3
    setup: Annotated[Time, Within("0 h", "100 h")] = 3600.0
    hourly_rate: Annotated[Ratio, Within(0, 1000000)] = 90.0
