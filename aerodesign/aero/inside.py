"""What a look between the real blades of a wheel tells the meanline."""

from collections.abc import Callable
from typing import TypeAlias

from aerodesign.aero.stage import Stage
from aerodesign.core.quantities import Ratio
from aerodesign.core.record import Record, record


@record
class Inside(Record):
    """``distortion`` is what the unevenness of the flow from hub to shroud adds to the exit blockage; ``throat_ratio`` the inducer's
    throat between the blade surfaces over the area that the blade angles at the leading edge promise.
    """

    distortion: Ratio = 0.0
    throat_ratio: Ratio = 1.0


Look: TypeAlias = Callable[[Stage], Inside]
"""A look at the wheel of a solved design point, see :func:`aerodesign.geometry.look.look_inside`."""
