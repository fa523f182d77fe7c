"""Slip: how far the flow leaves the impeller short of the blade direction.

The slip factor is one minus slip velocity over ``u2``: ``cu2 = sigma u2 - cm2 tan(beta2_blade)``.
"""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Angle, Count, Length, Ratio


@correlation(
    source=Source(
        "F. J. Wiesner",
        1967,
        "A Review of Slip Factors for Centrifugal Impellers",
        "J. Eng. Power 89(4)",
        from_memory=True,
    ),
    valid={"blades_effective": (4, 40), "beta2_blade": (np.radians(-10), np.radians(75)), "radius_ratio": (0, 0.85)},
    scatter=0.02,
)
def wiesner(*, beta2_blade: Angle, blades_effective: Count, radius_ratio: Ratio) -> Ratio:
    r"""Slip factor :math:`1 - \sqrt{\cos\beta_{2b}} / Z^{0.7}`, reduced where r1/r2 passes the limit exp(-8.16 cos(beta)/Z).

    Half of the measurements on five impellers lie within 0.05 of it (abstract of J. Eng. Gas Turb. Power 143(2) 021013);
    the scatter of 0.02 is for backswept wheels of ordinary proportions (common practice, no source).
    """
    cosine = np.cos(beta2_blade)
    slip = 1 - np.sqrt(cosine) * np.exp(-0.7 * np.log(blades_effective))

    limit = np.exp(-8.16 * cosine / blades_effective)
    excess = np.maximum(radius_ratio - limit, 0) / (1 - limit)
    return slip * (1 - excess**3)


@correlation(
    source=Source(
        "J. D. Stanitz",
        1952,
        "Some Theoretical Aerodynamic Investigations of Impellers",
        "Trans. ASME 74",
        from_memory=True,
    ),
    valid={"blades_effective": (6, 40), "beta2_blade": (np.radians(-10), np.radians(45))},
    scatter=0.03,
)
def stanitz(*, blades_effective: Count) -> Ratio:
    r"""Slip factor :math:`1 - 0.63\pi / Z`; for blade angles up to about 45 degrees."""
    return 1 - 0.63 * np.pi / blades_effective


@correlation(
    source=Source("A. Stodola", 1927, "Steam and Gas Turbines", from_memory=True),
    valid={"blades_effective": (3, 40)},
    scatter=0.04,
)
def stodola(*, beta2_blade: Angle, blades_effective: Count) -> Ratio:
    r"""Slip factor :math:`1 - \pi\cos\beta_{2b} / Z` from the relative eddy between two blades; low for many blades."""
    return 1 - np.pi * np.cos(beta2_blade) / blades_effective


@correlation(
    source=Source(
        "X. Qiu, D. Japikse, J. Zhao, M. R. Anderson",
        2011,
        "Analysis and Validation of a Unified Slip Factor Model for Impellers at Design and Off-Design Conditions",
        "J. Turbomach. 133",
        from_memory=True,
    ),
    valid={"blades_effective": (4, 40), "exit_flow_coefficient": (0.05, 0.6)},
    scatter=0.03,
)
def qiu(
    *,
    beta2_blade: Angle,
    beta1_blade: Angle,
    blades_effective: Count,
    exit_flow_coefficient: Ratio,
    r2: Length,
    thickness: Length,
    meridional_length: Length,
) -> Ratio:
    r"""Slip factor that grows with flow where the blades unwind: :math:`1 - \frac{F\pi\cos\beta_{2b}}{Z} -
    \frac{F s_2\phi_2}{4\cos\beta_{2b}}\frac{d\beta_b}{dm}`.

    :math:`F = 1 - \sin\frac{\pi}{Z}\sin(\frac{\pi}{Z}+\beta_{2b})\cos\beta_{2b} - \frac{t}{s_2\cos\beta_{2b}}`,
    :math:`s_2 = 2\pi r_2/Z`. The turning of the blade is taken even from mean inlet to exit,
    the passage width constant near it (the source's third term is then nil).
    """
    pitch = 2 * np.pi * r2 / blades_effective
    cosine, half = np.cos(beta2_blade), np.pi / blades_effective
    solidity = 1 - np.sin(half) * np.sin(half + beta2_blade) * cosine - thickness / (pitch * cosine)
    turning = (beta2_blade - beta1_blade) / meridional_length
    return 1 - solidity * (np.pi * cosine / blades_effective + pitch * exit_flow_coefficient / (4 * cosine) * turning)
