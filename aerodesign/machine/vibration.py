"""What vibration is allowed: fan categories of ISO 14694, zones of ISO 10816-3 and ISO 20816-3."""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Length, Power, Speed, Values, Velocity

ISO_14694 = Source("ISO 14694", 2003, "Industrial fans: balance quality and vibration levels", from_memory=True)
ISO_10816 = Source(
    "ISO 10816-3",
    None,
    "limits as quoted in a fan maker's manual (B/C and C/D; A/B from memory); ISO 20816-3:2022 replaces it",
)


@dataclass(frozen=True)
class Category:
    """A category of ISO 14694: the balance grade that goes with it, and the r.m.s. velocity allowed at the maker's (m/s), rigid and flexible."""

    name: str
    grade: str
    rigid: float
    flexible: float


CATEGORIES = {
    category.name: category
    for category in (
        Category("BV-1", "G16", 9.0e-3, 11.2e-3),
        Category("BV-2", "G16", 3.5e-3, 5.6e-3),
        Category("BV-3", "G6.3", 2.8e-3, 3.5e-3),
        Category("BV-4", "G2.5", 1.8e-3, 2.8e-3),
        Category("BV-5", "G1", 1.4e-3, 1.8e-3),
    )
}

INDUSTRIAL_POWER = 298e3
"""Industrial fans up to 400 hp are of category BV-3, larger ones BV-4: AMCA 204 (opened in a copy)."""

ZONES = {("large", "rigid"): (2.3e-3, 4.5e-3, 7.1e-3), ("large", "flexible"): (3.5e-3, 7.1e-3, 11e-3),
         ("medium", "rigid"): (1.4e-3, 2.8e-3, 4.5e-3), ("medium", "flexible"): (2.3e-3, 4.5e-3, 7.1e-3)}  # fmt: skip
"""Ends of zones A, B and C, r.m.s. velocity in m/s: above 300 kW (group 1), and 15 to 300 kW (group 2)."""


def category_for(*, power: Power) -> str:
    """The category of an industrial fan of a motor power."""
    return "BV-3" if float(power) <= INDUSTRIAL_POWER else "BV-4"


def allowed_at_maker(*, category: str, mounting: str) -> Velocity:
    """R.m.s. velocity that ISO 14694 allows at the maker's works; ``mounting`` is "rigid" or "flexible"."""
    return float(getattr(CATEGORIES[category], mounting))


def zone(*, velocity: Velocity, power: Power, mounting: str) -> Values:
    """Zone 0 (A, as new) to 3 (D, dangerous) of an r.m.s. velocity."""
    large = np.asarray(power) > 300e3
    found: Values = 0
    for big, small in zip(ZONES["large", mounting], ZONES["medium", mounting], strict=True):
        found = found + (np.asarray(velocity) > np.where(large, big, small))
    return found


def rms_velocity(*, radius: Length, speed: Speed) -> Velocity:
    """R.m.s. velocity in one direction of a point that circles with a radius."""
    return radius * speed / np.sqrt(2)
