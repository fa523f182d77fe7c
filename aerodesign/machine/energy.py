"""What a machine takes in a year, what that costs and emits, and when a price is paid back."""

import numpy as np

from aerodesign.core.quantities import Energy, Power, Ratio, Time, Values

KWH = 3.6e6
"""Joules in a kilowatt hour."""
YEAR = 365.25 * 86400.0


def yearly_energy(*, power: Power, hours: Time) -> Energy:
    """Energy over the hours at each duty point, the last axis; points without hours do not count."""
    return np.sum(np.where(hours > 0, power * hours, 0.0), axis=-1)[()]


def cost(*, energy: Energy, tariff: Ratio) -> Values:
    """Price of an energy at so much a kilowatt hour."""
    return energy / KWH * tariff


def payback(*, price: Values, saved: Values) -> Time:
    """Time until what is saved in a year has paid a price, without interest; infinite where nothing is saved."""
    return np.where(saved > 0, price / np.where(saved > 0, saved, 1.0) * YEAR, np.inf)[()]


def sensitivity(*, price: Values, saved: Values, hours: Values, tariff: Values) -> Time:
    """Payback for parts of the hours (rows) and of the tariff (columns): what is saved goes with both."""
    parts = np.multiply.outer(np.asarray(hours, float), np.asarray(tariff, float))
    return payback(price=price, saved=saved * parts)


def energy_text(energy: float) -> str:
    """An energy in kilowatt hours, from ten thousand of them in megawatt hours: what a bill says, in every system of units."""
    return f"{energy / KWH:.0f} kWh" if energy < 1e4 * KWH else f"{energy / KWH / 1e3:.1f} MWh"
