"""What a good stage reaches: a yardstick beside the sum of the predicted losses, which shares no equation with them."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Ratio


@correlation(
    source=Source(
        "C. J. Robinson, M. V. Casey, I. Woods",
        2011,
        "An integrated approach to the aero-mechanical optimisation of turbo compressors",
        from_memory=True,
    ),
    valid={"flow_coefficient": (0.01, 0.15)},
    scatter=0.02,
)
def robinson_casey_woods(*, flow_coefficient: Ratio) -> Ratio:
    r"""Polytropic efficiency, total to total, of a good large stage at its design point, below a tip-speed Mach number of 0.8.

    With the flow coefficient :math:`\phi = V/(U_2D_2^2)` and :math:`d = 0.08 - \phi`: :math:`0.86\,(1 - 27d^2 - 5000d^4)` below 0.08,
    :math:`0.86\,(1 - 10d^2)` above. A small wheel, a wide tip clearance or rough walls lie below it. The title is uncertain too.
    """
    d = 0.08 - flow_coefficient
    return 0.86 * (1 - np.where(d > 0, 27 * d**2 + 5000 * d**4, 10 * d**2)[()])
