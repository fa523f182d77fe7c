"""Where the flow breaks down at low flow. Criteria disagree by 14 to 20 % of flow: always a band, never a line."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source, correlation
from aerodesign.core.quantities import Angle, Length


@correlation(
    source=Source(
        "Y. Senoo, Y. Kinoshita",
        1977,
        "Influence of inlet flow conditions and geometries of centrifugal vaneless diffusers on critical flow angle for reverse flow",
        "J. Fluids Eng. 99; trend only, low confidence",
        from_memory=True,
    ),
    valid={"diffuser_width": (0.03, 0.3)},
    scatter=np.radians(2),
)
def senoo_kinoshita(*, b3: Length, r3: Length) -> Angle:
    """Critical flow angle at the vaneless diffuser's inlet, from meridional: 80 degrees at b3/r3 = 0.05 falling to 70 at 0.25."""
    return np.radians(np.clip(80 - (b3 / r3 - 0.05) * 50, 68, 81))


@correlation(source=PRACTICE, valid={}, phenomenon="inducer_stall")
def inducer_incidence(*, beta1s_blade: Angle) -> Angle:
    """Incidence at the inducer's tip at which it stalls: 12 degrees, whatever the blade angle."""
    return np.radians(12) + 0 * beta1s_blade
