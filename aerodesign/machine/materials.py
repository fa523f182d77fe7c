"""Wheel materials: the tip speed that a first scoping may assume."""

from dataclasses import dataclass

from aerodesign.core.correlation import PRACTICE, Source


@dataclass(frozen=True)
class Material:
    """A wheel material. ``tip_speed`` is for a semi-open backswept wheel at up to ``temperature``, before any stress analysis."""

    name: str
    tip_speed: float
    density: float
    temperature: float
    source: Source = PRACTICE


MATERIALS = {
    material.name: material
    for material in (
        Material("aluminium A356-T6 cast", 280.0, 2680.0, 393.0),
        Material("aluminium 7075-T6", 400.0, 2810.0, 393.0),
        Material("carbon steel fabricated", 180.0, 7850.0, 523.0),
        Material("stainless 17-4PH", 420.0, 7800.0, 573.0),
        Material("titanium Ti-6Al-4V", 520.0, 4430.0, 573.0),
        Material("glass-filled polymer", 120.0, 1500.0, 333.0),
    )
}
"""Tip speeds of common practice, no source: they stand in until a disc stress analysis is made, and do not replace it."""
