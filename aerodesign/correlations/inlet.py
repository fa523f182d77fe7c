"""The way in: bell or pipe from the inlet flange to the eye, and to blades that begin at a cylinder the turn behind it."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, correlation
from aerodesign.core.quantities import Length, Ratio, SpecificEnergy, Velocity

TURN = 0.31
"""Loss of the turn from axial to radial on the eye's kinetic energy: that of a rounded elbow whose mean radius is one diameter
(D. C. Rennels, H. M. Hudson, Pipe Flow, 2012, as coded in the library fluids, at a Darcy factor of 0.018)."""


@correlation(source=PRACTICE, valid={})
def bell(*, cm1: Velocity, r1s: Length, b1: Length) -> SpecificEnergy:
    """A twentieth of the kinetic energy in the eye: a rounded bell or a short conical reducer, clean pipe before it.

    Where the blades begin at a cylinder (``b1``) the turn ahead of them is added.
    """
    return _in_the_eye(0.05, cm1=cm1, r1s=r1s, b1=b1)


@correlation(source=PRACTICE, valid={})
def elbow(*, cm1: Velocity, r1s: Length, b1: Length) -> SpecificEnergy:
    """A quarter of the kinetic energy in the eye: a bend or an inlet box right before it, and the turn as for a bell."""
    return _in_the_eye(0.25, cm1=cm1, r1s=r1s, b1=b1)


def _in_the_eye(loss: Ratio, *, cm1: Velocity, r1s: Length, b1: Length) -> SpecificEnergy:
    """A loss coefficient on the eye's kinetic energy; behind a turn, ``cm1`` is the radial velocity on the cylinder ``r1s``."""
    turned = np.greater(b1, 0)
    eye = cm1 * np.where(turned, 2 * b1 / r1s, 1)
    return (loss + np.where(turned, TURN, 0)) * eye**2 / 2
