"""Velocity triangles."""

import numpy as np

from aerodesign.core.quantities import Angle, Values, Velocity
from aerodesign.core.record import Record, record


@record
class Triangle(Record):
    """A velocity triangle: blade speed ``u``, absolute velocity's parts ``cm`` (meridional, positive) and ``cu`` (with rotation)."""

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
