"""Hub-to-shroud loading: the meridional bend makes one side of the passage faster, and mixing takes its toll."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Length, SpecificEnergy, Velocity


@correlation(
    source=Source("R. H. Aungier", 2000, "Centrifugal Compressors", "ASME Press, ch. 5", from_memory=True),
    valid={"bend": (0, 1.5)},
)
def aungier(
    *, w1: Velocity, w2: Velocity, inlet_height: Length, b1: Length, b2: Length, meridional_length: Length
) -> SpecificEnergy:
    r"""Loss :math:`\frac{1}{6}(\bar\kappa_m\bar b\bar W)^2/2` with the mean passage width, the mean of W1 and W2, and the curvature of a
    right-angled bend over the meridional length, :math:`\bar\kappa_m = \pi/(2L_m)`. Wide and short wheels pay for their shape here.
    Blades that begin at a cylinder (``b1``) have the bend before them, where :func:`~aerodesign.correlations.inlet.bell` books it.
    """
    bend = np.where(np.greater(b1, 0), 0, np.pi / 2 * (inlet_height + b2) / 2 / meridional_length)[()]
    return (bend * (w1 + w2) / 2) ** 2 / 12
