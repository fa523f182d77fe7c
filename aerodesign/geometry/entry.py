"""The entry of the vaneless diffuser: how its walls lead from the wheel's gas room to their distance b3.

The gas leaves the wheel between the hub's wall and, over semi-open blades, the casing at the clearance above their
tips; a covered wheel between hub and cover. Both walls then run straight to the pinch. Our own choice, no source.
"""

import numpy as np

from aerodesign.aero.impeller import Blower, Diffuser, Impeller
from aerodesign.core.quantities import Length, Ratio
from aerodesign.core.record import Record, record

PINCHED = 0.15
"""Part of the diffuser's radial length over which its walls come together."""


@record
class Entry(Record):
    """Walls at ``r2``, axially from the middle of the slot (``front`` < 0 < ``back``), and the radius ``end`` from
    which they are parallel, b3 apart.
    """

    r2: Length
    front: Length
    back: Length
    end: Length

    def scaled(self, factor: Ratio) -> "Entry":
        """The same in another unit."""
        return Entry(**{name: value * factor for name, value in self.items()})


def middle(impeller: Impeller) -> Length:
    """Axial position of the middle of the diffuser and of the volute: that of the blades' trailing edge."""
    return impeller.axial_length - impeller.b2 / 2


def tip_gap(impeller: Impeller) -> Length:
    """Gas between blade tips and casing: the clearance of a semi-open wheel, none under a cover."""
    return np.where(impeller.covered, 0.0, impeller.clearance)[()]


def diffuser_entry(blower: Blower) -> Entry:
    """The entry that joins the wheel to the diffuser."""
    wheel, diffuser = blower.impeller, blower.diffuser
    half = wheel.b2 / 2
    return Entry(
        r2=wheel.r2,
        front=-half - tip_gap(wheel),
        back=half,
        end=wheel.r2 + PINCHED * (diffuser.r3 - wheel.r2),
    )


def straight_entry(r2: Length, diffuser: Diffuser) -> Entry:
    """Parallel walls from r2 on."""
    return Entry(r2=r2, front=-diffuser.b3 / 2, back=diffuser.b3 / 2, end=r2)
