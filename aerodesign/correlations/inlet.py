"""The way in: bell or pipe from the inlet flange to the eye."""

from aerodesign.core.correlation import PRACTICE, correlation
from aerodesign.core.quantities import SpecificEnergy, Velocity


@correlation(source=PRACTICE, valid={})
def bell(*, cm1: Velocity) -> SpecificEnergy:
    """A twentieth of the kinetic energy in the eye: a rounded bell or a short conical reducer, clean pipe before it."""
    return 0.05 * cm1**2 / 2


@correlation(source=PRACTICE, valid={})
def elbow(*, cm1: Velocity) -> SpecificEnergy:
    """A quarter of the kinetic energy in the eye: a bend or an inlet box right before it."""
    return 0.25 * cm1**2 / 2
