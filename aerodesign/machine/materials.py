"""Wheel materials: the tip speed that a first scoping may assume, and what a stress analysis needs."""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.quantities import Stress, Temperature, Values

HANDBOOK = Source("handbooks of metals", None, "typical strengths at temperature", from_memory=True)


@dataclass(frozen=True)
class Material:
    """A wheel material. ``tip_speed`` is for a semi-open backswept wheel at up to ``temperature``, before any stress analysis.

    ``yields`` and ``ultimates`` (Pa) are typical strengths at ``heats`` (K), of thin sections and short times; a thick billet, a
    casting's worst spot or years at temperature have less. ``expansion`` in 1/K, ``conductivity`` in W/(m K).
    """

    name: str
    tip_speed: float
    density: float
    temperature: float
    modulus: float
    poisson: float
    expansion: float
    conductivity: float
    heats: tuple[float, ...]
    yields: tuple[float, ...]
    ultimates: tuple[float, ...]
    source: Source = PRACTICE
    strength_source: Source = HANDBOOK

    def yield_strength(self, T: Temperature) -> Stress:
        """Yield strength at a temperature, linear between the table's; nan beyond its last."""
        return _at(T, self.heats, self.yields)

    def ultimate_strength(self, T: Temperature) -> Stress:
        """Tensile strength at a temperature, linear between the table's; nan beyond its last."""
        return _at(T, self.heats, self.ultimates)


def _at(T: Temperature, heats: tuple[float, ...], strengths: tuple[float, ...]) -> Values:
    """Colder than the table's first the strength there holds, which is on the safe side; beyond its last none is known."""
    found = np.interp(T, heats, strengths)
    return np.where(np.asarray(T) > heats[-1], np.nan, found)[()]


def _material(
    name: str,
    tip_speed: float,
    density: float,
    temperature: float,
    elastic: tuple[float, float],
    thermal: tuple[float, float],
    strengths: dict[float, tuple[float, float]],
) -> Material:
    """A row of the table: modulus in GPa and Poisson's ratio; expansion in 1e-6/K and conductivity; yield and tensile in MPa by degC."""
    return Material(
        name,
        tip_speed,
        density,
        temperature,
        modulus=1e9 * elastic[0],
        poisson=elastic[1],
        expansion=1e-6 * thermal[0],
        conductivity=thermal[1],
        heats=tuple(273.15 + heat for heat in strengths),
        yields=tuple(1e6 * pair[0] for pair in strengths.values()),
        ultimates=tuple(1e6 * pair[1] for pair in strengths.values()),
    )


MATERIALS = {
    material.name: material
    for material in (
        _material("aluminium A356-T6 cast", 280.0, 2680.0, 393.0, (72.4, 0.33), (21.5, 151.0),
                  {20: (165, 228), 100: (155, 210), 150: (135, 160), 200: (60, 85)}),
        _material("aluminium 7075-T6", 400.0, 2810.0, 393.0, (71.7, 0.33), (23.4, 130.0),
                  {24: (503, 572), 100: (448, 483), 149: (186, 214), 204: (87, 110)}),
        _material("carbon steel fabricated", 180.0, 7850.0, 523.0, (205.0, 0.29), (12.0, 50.0),
                  {20: (250, 400), 100: (230, 400), 200: (210, 400), 250: (195, 400)}),
        _material("stainless 17-4PH", 420.0, 7800.0, 573.0, (197.0, 0.27), (10.8, 18.0),
                  {20: (1000, 1070), 204: (880, 930), 316: (820, 880)}),
        _material("titanium Ti-6Al-4V", 520.0, 4430.0, 573.0, (114.0, 0.33), (8.8, 6.7),
                  {20: (830, 900), 93: (730, 830), 204: (610, 720), 316: (530, 650)}),
        _material("glass-filled polymer", 120.0, 1500.0, 333.0, (6.0, 0.38), (30.0, 0.3),
                  {20: (65, 110), 60: (48, 80), 80: (40, 70)}),
    )
}  # fmt: skip
"""Tip speeds of common practice, no source; strengths from memory. Both only scope: the real melt's certificate decides."""
