"""The compressibility factor of fans, in the forms of two standards. Both say one thing, the polytropic efficiency.

With the temperature rise of the work, ``z`` is that rise over the inlet's total temperature, and
``flow * rise * Kp / power`` equals ``kappa ln(pressure ratio) / ln(1 + z)`` exactly.
"""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Density, MassFlow, Power, Pressure, Ratio, VolumeFlow

AMCA = Source(
    "AMCA and ISO", 2007, "ANSI/AMCA 210 and ISO 5801, compressibility factor and fan pressures", from_memory=True
)


def amca_factor(*, flow: VolumeFlow, rise: Pressure, power: Power, inlet_pressure: Pressure, kappa: Ratio) -> Ratio:
    r"""Kp of ANSI/AMCA 210 (from memory), :math:`\frac{\ln(1+x)}{x}\,\frac{z}{\ln(1+z)}`.

    ``flow`` at the total state of the inlet, ``rise`` and ``inlet_pressure`` total, ``power`` that of the gas,
    ``kappa = R/cp``.
    """
    x = rise / inlet_pressure
    z = kappa * power / (flow * inlet_pressure)
    return np.log1p(x) / x * (z / np.log1p(z))


def iso_factor(
    *, pressure_ratio: Ratio, mass_flow: MassFlow, rise: Pressure, power: Power, inlet_density: Density, kappa: Ratio
) -> Ratio:
    r"""Kp of ISO 5801 (from memory), :math:`Z_k \log r / \log(1 + Z_k(r - 1))`, :math:`Z_k = \kappa\rho_1 P/(q_m p_F)`."""
    Zk = kappa * inlet_density * power / (mass_flow * rise)
    return Zk * np.log10(pressure_ratio) / np.log10(1 + Zk * (pressure_ratio - 1))
