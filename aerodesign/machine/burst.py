"""The speed at which a wheel would come apart."""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Ratio, Speed, Stress

ROBINSON = Source(
    "Robinson", 1944, "Bursting tests of steam-turbine disk wheels, Trans. ASME 66: mean hoop stress", from_memory=True
)

BURST_FACTOR = 0.85
"""Part of the tensile strength that the mean hoop stress reaches at burst: 0.75 to 1 by ductility and notches, common practice, no source."""


def burst_speed(*, speed: Speed, mean_hoop: Stress, ultimate: Stress, factor: Ratio = BURST_FACTOR) -> Speed:
    """Speed at which the mean hoop stress, which is ``mean_hoop`` at ``speed``, reaches ``factor`` of the tensile strength."""
    return speed * np.sqrt(factor * ultimate / mean_hoop)


def yield_speed(*, speed: Speed, highest: Stress, strength: Stress) -> Speed:
    """Speed at which the highest stress, which is ``highest`` at ``speed``, reaches the yield strength; heat's share counted as if it grew."""
    return speed * np.sqrt(strength / highest)
