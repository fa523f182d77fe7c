"""Radial force on the impeller from a volute off its design flow."""

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import Force, Length, Pressure, Ratio


@correlation(
    source=Source(
        "A. J. Stepanoff",
        1957,
        "Centrifugal and Axial Flow Pumps",
        "Wiley; for single volutes of pumps",
        from_memory=True,
    ),
    valid={"flow_ratio": (0, 1.2)},
    scatter=0.3,
)
def stepanoff(*, flow_ratio: Ratio, rise_total: Pressure, r2: Length, b2: Length) -> Force:
    r"""Force :math:`0.36\,|1-(V/V_d)^2|\,\Delta p_t\,D_2b_2` at a flow over the volute's design flow, ``flow_ratio``.

    The width should include the discs where the pressure acts on their rims.
    """
    return 0.36 * abs(1 - flow_ratio**2) * rise_total * 2 * r2 * b2
