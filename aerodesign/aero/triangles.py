"""Velocity triangles."""

import numpy as np

from aerodesign.core.quantities import Angle, Ratio, SpecificEnergy, Values, Velocity
from aerodesign.core.record import Record, record


@record
class Triangle(Record):
    """A velocity triangle: blade speed ``u``, absolute ``cm`` (meridional, positive) and ``cu`` (with rotation)."""

    u: Velocity
    cm: Velocity
    cu: Velocity

    @property
    def c(self) -> Values:
        """Absolute velocity."""
        return np.sqrt(self.cm**2 + self.cu**2)

    @property
    def wu(self) -> Values:
        """Relative tangential velocity, positive against rotation."""
        return self.u - self.cu

    @property
    def w(self) -> Values:
        """Relative velocity."""
        return np.sqrt(self.cm**2 + self.wu**2)

    @property
    def alpha(self) -> Angle:
        """Absolute flow angle from meridional, positive with rotation."""
        return np.arctan(self.cu / self.cm)

    @property
    def beta(self) -> Angle:
        """Relative flow angle from meridional, positive against rotation."""
        return np.arctan(self.wu / self.cm)


def exit_triangle(*, u2: Velocity, cm2: Velocity, beta2_blade: Angle, slip: Values) -> Triangle:
    """Triangle behind the blades: ``cu2 = slip u2 - cm2 tan(beta2_blade)``."""
    return Triangle(u=u2, cm=cm2, cu=slip * u2 - cm2 * np.tan(beta2_blade))


def euler_work(*, inlet: Triangle, exit: Triangle) -> SpecificEnergy:
    """Work of the blades on the gas, ``u2 cu2 - u1 cu1`` (Euler)."""
    return exit.u * exit.cu - inlet.u * inlet.cu


def reaction(*, inlet: Triangle, exit: Triangle) -> Ratio:
    """Degree of reaction: the part of the work that raises the static enthalpy within the blades."""
    return 1 - (exit.c**2 - inlet.c**2) / 2 / euler_work(inlet=inlet, exit=exit)


def tip_speed(
    *,
    work: SpecificEnergy,
    slip: Ratio,
    beta2_blade: Angle,
    flow_coefficient_exit: Ratio,
    power_input_factor: Ratio = 1.0,
) -> Velocity:
    r"""Tip speed that a work asks without pre-swirl: :math:`U_2^2 = w / [\psi(\sigma - \phi_2\tan\beta_{2b})]`.

    ``flow_coefficient_exit`` is ``cm2 / u2`` (of no effect on radial blades); ``power_input_factor`` psi the work on
    the gas over that of the blades, above one by the disc's friction.
    """
    return np.sqrt(work / (power_input_factor * (slip - flow_coefficient_exit * np.tan(beta2_blade))))
