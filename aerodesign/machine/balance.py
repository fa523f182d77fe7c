"""Permissible residual unbalance after ISO 21940-11."""

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Length, Mass, Speed, Unbalance, Velocity

ISO_21940 = Source("ISO 21940-11", 2016, "Balance quality of rigid rotors: e w = G", from_memory=True)

GRADES = {"G0.4": 0.4e-3, "G1": 1e-3, "G2.5": 2.5e-3, "G6.3": 6.3e-3, "G16": 16e-3}
"""Balance quality grade: eccentricity times speed, m/s."""


def permissible_eccentricity(*, grade: Velocity, speed: Speed) -> Length:
    """Permissible eccentricity of the centre of mass, G / omega."""
    return grade / speed


def permissible_unbalance(*, grade: Velocity, mass: Mass, speed: Speed) -> Unbalance:
    """Permissible residual unbalance of a rotor, G m / omega."""
    return grade * mass / speed
