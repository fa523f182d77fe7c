"""Grease: its oil at temperature, the relubrication interval, and two rules for the temperature."""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Length, Ratio, Speed, Temperature, Time, Values
from aerodesign.core.record import Record, record

WARM = 343.15
"""70 degC, up to which the interval's formula holds."""

CATALOGUE_STEP, STRICT_STEP = 15.0, 15 / 1.8
"""Kelvins that halve the life: 15 K, and 15 degF."""

INTERVAL = Source(
    "technische-antriebselemente.de",
    None,
    "guide to relubrication intervals (formula); rule for temperature: see there",
)

CATALOGUE_RULE, STRICT_RULE = RULES = ("halving per 15 K", "halving per 15 degF")


@dataclass(frozen=True)
class Grease:
    """A kind of grease: viscosity of its oil in mm2/s at 40 and 100 degC, the highest lasting temperature (K), life over that of a lithium one."""

    name: str
    viscosity_40: float
    viscosity_100: float
    highest: float
    factor: float = 1.0


GREASES = {
    grease.name: grease
    for grease in (
        Grease("lithium, mineral oil", 100.0, 11.0, 383.15),
        Grease("high speed, ester oil", 25.0, 5.0, 383.15, 2.0),
        Grease("polyurea, mineral oil", 110.0, 12.0, 413.15, 1.5),
    )
}
"""Typical values of makers, from memory."""


@record
class GreaseLife(Record):
    """Relubrication interval by both temperature rules, with ``at_70`` the interval at 70 degC or below by the formula alone."""

    at_70: Time
    halving_per_15_K: Time
    halving_per_15_degF: Time

    def by(self, rule: str) -> Time:
        """The interval by one of :data:`RULES`."""
        return self.halving_per_15_K if rule == CATALOGUE_RULE else self.halving_per_15_degF


def catalogue_factor(*, T: Temperature) -> Ratio:
    """Halved for every 15 K above 70 degC, and doubled for 15 K below, once at most: the rule of bearing catalogues (maker's table, opened)."""
    return np.minimum(2.0 ** ((WARM - T) / CATALOGUE_STEP), 2.0)


def strict_factor(*, T: Temperature) -> Ratio:
    """Halved for every 15 degF above 70 degC, so that 45 degF take seven eighths of the life: common practice, no source.

    Below 70 degC nothing is credited, which keeps this rule the stricter one at every temperature.
    """
    return np.minimum(2.0 ** ((WARM - T) / STRICT_STEP), 1.0)


def grease_life(*, speed: Speed, bore: Length, T: Temperature, kind: Ratio = 10.0, share: Ratio = 1.0) -> GreaseLife:
    r"""Relubrication interval of a greased bearing with a horizontal shaft.

    .. math:: t_f = k_f\Big[\frac{14\cdot10^6}{n\sqrt d} - 4d\Big]\,\text{h}

    with n in rpm and the bore d in mm; ``kind`` k_f is 10 for deep groove ball bearings, 5 cylindrical, 1 spherical and tapered roller
    bearings; ``share`` is for the grease, surroundings and position. Zero beyond the speed where the formula ends, 3.5e6 / d^1.5 rpm.
    """
    d = 1e3 * bore
    hours = kind * np.maximum(14e6 / (speed * (30 / np.pi) * np.sqrt(d)) - 4 * d, 0)
    cold = 3600 * share * hours
    return GreaseLife(
        at_70=cold,
        halving_per_15_K=cold * catalogue_factor(T=T),
        halving_per_15_degF=cold * strict_factor(T=T),
    )


def oil_viscosity(*, grease: Grease, T: Temperature) -> Values:
    """Kinematic viscosity of the grease's oil in mm2/s: lg lg (v + 0.7) linear in lg T (Walther, as in ASTM D341, from memory)."""
    cold, hot = (np.log10(np.log10(v + 0.7)) for v in (grease.viscosity_40, grease.viscosity_100))
    slope = (hot - cold) / np.log10(373.15 / 313.15)
    return 10**10 ** (cold + slope * np.log10(np.asarray(T) / 313.15)) - 0.7


def wanted_viscosity(*, speed: Speed, mean_diameter: Length) -> Values:
    """Rated viscosity of ISO 281 in mm2/s (from memory): 45000 n^-0.83 dm^-0.5 below 1000 rpm, 4500 n^-0.5 dm^-0.5 above."""
    n, dm = speed * (30 / np.pi), 1e3 * mean_diameter
    return np.where(n < 1000, 45000 * n**-0.83, 4500 * n**-0.5)[()] * dm**-0.5
