"""The blades as the torque sees them: their area projected on the meridional plane, and how far out it lies."""

from itertools import pairwise

import numpy as np

from aerodesign.core.quantities import Area, Length
from aerodesign.geometry.blade import Blading

STRIPS = 8
STATIONS = 81


def projected_area(blading: Blading) -> tuple[Area, Length]:
    r"""Area of all blades in the meridional plane, splitters from their start on, and its mean radius :math:`\int r\,dA / A`.

    An even pressure across the blades makes the torque pressure times area times radius, however they are curved. Midpoint rule over
    :data:`STRIPS` from hub to tip.
    """
    p = blading.impeller
    area = moment = 0.0
    for low, high in pairwise(np.linspace(0, 1, STRIPS + 1)):
        line = blading.span((low + high) / 2)
        for start, count in ((0.0, float(p.blades)), (float(p.splitter_start), float(p.splitters))):
            if count == 0:
                continue
            at = line.at(np.linspace(start, 1, STATIONS))
            across = blading.meridional.contour(high).at(at.t) - blading.meridional.contour(low).at(at.t)
            along = line.contour.tangent(at.t)
            width = np.abs(along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
            area += count * float(np.trapezoid(width, at.m))
            moment += count * float(np.trapezoid(width * at.r, at.m))
    return area, moment / area
