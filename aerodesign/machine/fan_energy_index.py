"""The fan energy index: the electrical power that a reference fan would take over that which this one takes.

AMCA 208 is written for fans; for a blower of tens of kilopascals the index is a yardstick, not a rating.
"""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Density, Power, Pressure, Ratio, VolumeFlow

SOURCE = Source(
    "ANSI/AMCA 208",
    2018,
    "Calculation of the fan energy index",
    "constants as quoted by Hong, Sun, Luo: Fan Energy Index, LBNL 2018",
)
FLOW, PRESSURE, EFFICIENCY = 0.118, 100.0, 0.66
"""Constants of the reference fan on the basis of total pressure: m3/s, Pa at 1.2 kg/m3, and its efficiency."""
MOTOR = (-0.003812, 0.025834, -0.072577, 0.125559, 0.850274)
LARGE, LARGE_EFFICIENCY = 185e3, 0.962
"""Polynomial in lg(P / kW) of the reference motor's efficiency below 185 kW, and its efficiency from there."""


def reference_shaft_power(*, flow: VolumeFlow, rise_total: Pressure, density: Density) -> Power:
    r"""Shaft power of the reference fan, :math:`(Q + Q_0)(p_t + p_0 \rho/1.2) / 0.66`."""
    return (flow + FLOW) * (rise_total + PRESSURE * density / 1.2) / EFFICIENCY


def transmission_efficiency(*, power: Power) -> Ratio:
    r"""Efficiency of the reference belt drive, :math:`0.96 (H / (H + 1.64))^{0.05}`, H in kW."""
    return 0.96 * (power / (power + 1640.0)) ** 0.05


def motor_efficiency(*, power: Power) -> Ratio:
    """Efficiency of the reference motor for a power at its shaft."""
    polynomial = np.polyval(MOTOR, np.log10(power / 1e3))
    return np.where(power < LARGE, polynomial, LARGE_EFFICIENCY)[()]


def reference_power(*, flow: VolumeFlow, rise_total: Pressure, density: Density) -> Power:
    """Electrical power of the reference fan with belt and motor, without a control."""
    shaft = reference_shaft_power(flow=flow, rise_total=rise_total, density=density)
    motor = shaft / transmission_efficiency(power=shaft)
    return motor / motor_efficiency(power=motor)


def fan_energy_index(*, flow: VolumeFlow, rise_total: Pressure, density: Density, power: Power) -> Ratio:
    """Electrical power of the reference fan over ``power``, that of the fan: above 1 is better than the reference."""
    return reference_power(flow=flow, rise_total=rise_total, density=density) / power
