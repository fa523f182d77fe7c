"""Efficiencies of a compression between two total states, and how they follow from each other.

A perfect gas is compressed by a ratio of total pressures and warmed by a ratio of total temperatures. The isentropic
efficiency compares the work with that of an ideal compression by the whole ratio, the polytropic one with that of many
small ones, so that it does not depend on how far the gas is compressed. ``kappa`` is ``R / cp``. Textbook relations
(S. L. Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, 5th ed. 2005, ch. 2).
"""

import numpy as np

from aerodesign.core.quantities import Ratio
from aerodesign.gas.perfect import power


def isentropic_efficiency(*, pressure_ratio: Ratio, temperature_ratio: Ratio, kappa: Ratio) -> Ratio:
    r"""Isentropic efficiency :math:`(\Pi^\kappa - 1)/(\Theta - 1)` of a compression without heat loss."""
    return (power(pressure_ratio, kappa) - 1) / (temperature_ratio - 1)


def polytropic_efficiency(*, pressure_ratio: Ratio, temperature_ratio: Ratio, kappa: Ratio) -> Ratio:
    r"""Polytropic efficiency :math:`\kappa\ln\Pi/\ln\Theta` of a compression without heat loss."""
    return kappa * np.log(pressure_ratio) / np.log(temperature_ratio)


def temperature_ratio(*, pressure_ratio: Ratio, efficiency: Ratio, kappa: Ratio) -> Ratio:
    """Ratio of total temperatures across a compression of a given isentropic efficiency."""
    return 1 + (power(pressure_ratio, kappa) - 1) / efficiency


def pressure_ratio(*, temperature_ratio: Ratio, efficiency: Ratio, kappa: Ratio) -> Ratio:
    """Ratio of total pressures that a warming reaches at a given isentropic efficiency."""
    return power(1 + efficiency * (temperature_ratio - 1), 1 / kappa)


def polytropic_from_isentropic(*, efficiency: Ratio, pressure_ratio: Ratio, kappa: Ratio) -> Ratio:
    """Polytropic efficiency of a compression whose isentropic efficiency is known."""
    theta = temperature_ratio(pressure_ratio=pressure_ratio, efficiency=efficiency, kappa=kappa)
    return polytropic_efficiency(pressure_ratio=pressure_ratio, temperature_ratio=theta, kappa=kappa)


def isentropic_from_polytropic(*, efficiency: Ratio, pressure_ratio: Ratio, kappa: Ratio) -> Ratio:
    """Isentropic efficiency of a compression whose polytropic efficiency is known."""
    theta = power(pressure_ratio, kappa / efficiency)
    return isentropic_efficiency(pressure_ratio=pressure_ratio, temperature_ratio=theta, kappa=kappa)
