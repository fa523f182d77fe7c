"""A full round trailing edge as grids of points, with root fillets that the rim cuts.

The blade stands a hair within r2, its fillet reaches beyond. Where the fillet's foot passes the rim, on either side, the grids of the
blade's sides end; from there, round the edge, the fillet ends on the cylinder r2 instead of on the wall.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.geometry.fillet import RollingBall
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.roots import NoBracket, solve

ROWS = 57
"""Stations round the edge."""
EARLIEST = 0.6
"""The place on a side (in sigma) from which its fillet's foot is sought beyond the rim."""
BARE_ENDS = np.array([-0.9, 0.9])
"""Where the sides of a blade without fillets end."""


@dataclass(frozen=True, eq=False)
class RoundExit:
    """Grids (rows, ACROSS, 3) from the pressure side's end to the suction side's, at ``u``: blade, and fillets from blade to rim or None.

    ``hub_track`` and ``tip_track`` are (theta, t) of the blade's own edge on the walls: its outline where there is no fillet.
    """

    u: Array
    blade: Array
    hub: Array | None
    tip: Array | None
    hub_track: Array
    tip_track: Array


def round_places() -> Array:
    """Stations from 0 to 1, closer at both ends, where a cubic is worst."""
    x = np.linspace(0, 1, ROWS)
    return np.asarray(0.4 * x + 0.3 * (1 - np.cos(np.pi * x)))


def over_the_rim(ball: RollingBall, r2: float) -> Array:
    """Sigma at which the foot of a fillet passes r2: on the suction side (negative), on the pressure side.

    Either may lie a little past the edge's end, on the other side. Raises :class:`NoBracket` where the foot stays on the wall.
    """

    def beyond(sigma: Array) -> Array:
        return np.asarray(np.hypot(*ball.arc(sigma, 1.0)[:, :2].T) - r2)

    trial = np.linspace(EARLIEST, 2 - EARLIEST, 801)
    miss = beyond(trial)
    top = int(np.argmax(miss))
    if miss[top] <= 0:
        raise NoBracket(f"a fillet of {1e3 * ball.radius:.3g} mm is too small for a full round trailing edge")
    ends = solve(beyond, trial[[-1, 0]], trial[[top, top]], tolerance=1e-11, what="the fillet at the rim")
    return ends - np.array([2.0, 0.0])


def trimmed(ball: RollingBall, sigma: Array, v: Array, r2: float) -> Array:
    """The fillet from the blade to the cylinder r2 (to the wall at both ends), shape (len(sigma), len(v), 3)."""
    inner = sigma[1:-1]

    def miss(w: Array) -> Array:
        return np.asarray(np.hypot(*ball.arc(inner, w)[:, :2].T) - r2)

    cut = solve(miss, np.zeros(len(inner)), np.ones(len(inner)), tolerance=1e-11, what="the fillet on the rim")
    share = np.r_[1.0, cut, 1.0]
    return np.stack([ball.arc(sigma, share * part) for part in v], axis=1)
