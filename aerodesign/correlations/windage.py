"""Windage: the torque that the gas beside the disc takes from it."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Count, Density, Length, MassFlow, Ratio, SpecificEnergy, Speed, Viscosity
from aerodesign.gas.perfect import power


def disc_torque_coefficient(*, reynolds: Ratio, gap_ratio: Ratio) -> Ratio:
    r"""Torque coefficient :math:`2M/(\rho\omega^2 a^5)` of both sides of an enclosed disc, the largest of four regimes.

    Merged or separate boundary layers, laminar or turbulent; Daily & Nece 1960 (laminar forms read, turbulent from memory).
    ``gap_ratio`` is the axial gap over the disc's radius.
    """
    tenth, sixth = power(gap_ratio, 0.1), power(gap_ratio, 1 / 6)
    root = np.sqrt(reynolds)
    merged_laminar = 2 * np.pi / (gap_ratio * reynolds)
    separate_laminar = 3.70 * tenth / root
    merged_turbulent = 0.080 / (sixth * np.sqrt(root))
    separate_turbulent = 0.102 * tenth / power(reynolds, 0.2)
    laminar = np.maximum(merged_laminar, separate_laminar)
    return np.maximum(laminar, np.maximum(merged_turbulent, separate_turbulent))


@correlation(
    source=Source(
        "J. W. Daily, R. E. Nece",
        1960,
        "Chamber dimension effects on induced flow and frictional resistance of enclosed rotating disks",
        "J. Basic Eng. 82",
        from_memory=True,
    ),
    valid={"disc_reynolds": (1e3, 1e7)},
    scatter=0.1,
)
def daily_nece(
    *,
    r2: Length,
    speed: Speed,
    rho2: Density,
    mu2: Viscosity,
    mass_flow: MassFlow,
    disc_sides: Count,
) -> SpecificEnergy:
    r"""Windage per unit mass flow, :math:`\frac{C_M}{2}\frac{n}{2}\rho\omega^3r_2^5/\dot m`, for n sides with a gap of 3 % of the radius.

    A semi-open wheel drags gas with one side (its back), a covered one with two. The gap is common practice, no source; the
    coefficient varies only as its tenth power.
    """
    coefficient = disc_torque_coefficient(reynolds=rho2 * speed * r2**2 / mu2, gap_ratio=0.03)
    return coefficient / 2 * disc_sides / 2 * rho2 * speed**3 * r2**5 / mass_flow
