"""Sizes of the casing that the designer left open, and how far its block reaches; proportions are common practice, no source."""

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.aero.proposal import default
from aerodesign.core.quantities import Length
from aerodesign.core.record import Record, record
from aerodesign.form import CasingForm
from aerodesign.geometry.discharge import discharge

LEAST_WALL, WALL = 0.004, 0.025
"""Wall in metres at the least, and over r2."""
LEAST_GAP, GAP = 0.002, 0.015
"""Gap beside turning parts in metres at the least, and over r2."""
SEAT = 0.8
"""Shaft behind a wheel without a bore, over the hub's radius at the inlet."""
SHOULDER = 1.35
"""Opening in the back wall over the shaft's seat: clear of the shoulder behind the wheel."""
FREE_HEIGHT = 0.2
"""Height of feet over the casing's reach below the axis, where no centre_height is given."""
LEAST_HEIGHT = 0.02
"""Least height of feet in metres."""
SIDES = 1.25
"""Wall beside the discharge duct over the wall: the round tube has room on the block's end."""


@record
class Sizes(Record):
    """``opening`` is the radius of the hole for the shaft, ``flange`` the thickness of the flanges."""

    wall: Length
    gap: Length
    opening: Length
    flange: Length


def casing_sizes(blower: Blower, form: CasingForm) -> Sizes:
    """What the designer chose, and the rules above for the rest."""
    wheel = blower.impeller
    wall = default(form.wall, np.maximum(LEAST_WALL, WALL * wheel.r2))
    seat = np.where(wheel.bore > 0, wheel.bore, SEAT * wheel.r1h)
    return Sizes(
        wall=wall,
        gap=default(form.running_gap, np.maximum(LEAST_GAP, GAP * wheel.r2)),
        opening=default(form.shaft_opening, SHOULDER * seat) / 2,
        flange=np.maximum(0.010, 2 * wall),
    )


def block_reach(blower: Blower, sizes: Sizes) -> Length:
    """How far the block reaches at most from the middle of the slot: over the widest section and the discharge tube."""
    volute, diffuser = blower.volute, blower.diffuser
    widest = np.max(np.abs(volute.section.outline(size=volute.size4, r3=diffuser.r3, b3=diffuser.b3).z), axis=0)
    lift = np.abs(discharge(volute, diffuser).lift)
    return np.maximum(widest, lift + volute.r5) + SIDES * sizes.wall
