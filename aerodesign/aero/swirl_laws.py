r"""What the blades do to the flow, in the one form that the velocity gradient needs: :math:`rc_u = A - r\,c_m\,\tau`.

A prescribed angular momentum has tau = 0, a prescribed blade angle tau = tan(beta) and ``A = omega r^2`` less the slip.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from aerodesign.aero.streamlines import Array, Channel, Course, from_spans
from aerodesign.core.quantities import Speed


class Coefficients(NamedTuple):
    """A, tau and the derivatives of A and of ``r tau`` along the streamlines; (stations, streamlines, *designs)."""

    A: Array
    tau: Array
    A_along: Array
    rtau_along: Array


class Loading(Protocol):
    """Anything that gives the coefficients for streamlines at ``eta`` with the meridional velocity cm."""

    def coefficients(self, channel: Channel, path: Course, eta: Array, cm: Array, speed: Speed) -> Coefficients:
        """Coefficients of the loading."""


@dataclass(frozen=True, eq=False)
class Swirl:
    """Angular momentum r cu on each streamline, (stations, streamlines, *designs) or what broadcasts to it.

    It should stay constant along each streamline where there are no blades. A prescribed angular momentum does not give way where c_m
    falls: far off design one taken from blade angles at a mean c_m can ask for reversed flow, where :class:`BladeAngles` does not.
    """

    rcu: Any

    def coefficients(self, channel: Channel, path: Course, eta: Array, cm: Array, speed: Speed) -> Coefficients:
        """``A`` is the angular momentum itself."""
        A, nothing = self.rcu + 0 * cm, 0 * cm
        return Coefficients(A, nothing, path.along(A), nothing)


@dataclass(frozen=True, eq=False)
class BladeAngles:
    """Blade angles beta (positive against rotation), (stations, 3, *designs) at hub, middle and shroud, tan(beta) a parabola between.

    ``shortfall`` is the angular momentum by which r cu falls short of ``r (u - cm tan(beta))``: the slip, grown in over the last
    part of the passage; it broadcasts to (stations, streamlines, *designs). Ahead of the blades r cu is ``rcu1``; behind them each
    streamline keeps that of the trailing station.
    """

    beta: Array
    shortfall: Any = 0.0
    rcu1: Any = 0.0

    def coefficients(self, channel: Channel, path: Course, eta: Array, cm: Array, speed: Speed) -> Coefficients:
        """Blades between leading and trailing station; angular momentum kept ahead and behind."""
        bladed, last = channel.bladed(eta), channel.trailing
        tau = from_spans(np.tan(self.beta), eta)
        A = speed * path.r**2 - self.shortfall
        A_along, rtau_along = bladed * path.along(A), bladed * path.along(path.r * tau)

        kept = (A - path.r * cm * tau)[last]
        A = np.where(bladed > 0, A, self.rcu1)
        A[last + 1 :] = kept
        return Coefficients(A, bladed * tau, A_along, rtau_along)
