r"""Velocities on both sides of the blades from their loading, a quick look between the blades.

In an absolute flow without vorticity the circulation round a strip between two blades vanishes: the velocities of both sides differ by
the growth of r cu over the strip (Stanitz & Prian 1951, NACA TN 2421, from memory; derived again here),

.. math:: W = \bar W \pm \frac{\cos\beta}{2}\Big(\frac{2\pi}{Z} - \frac{t_u}{r}\Big)\frac{d(rc_u)}{dm}

with the tangential thickness t_u. The pressure difference that this makes, :math:`\rho\bar W\Delta W`, gives a torque of exactly the
mass flow times the growth of r cu.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from aerodesign.aero.blade_path import Array, BladePath, meanline_path
from aerodesign.aero.stage import Stage
from aerodesign.core.flags import Flag
from aerodesign.core.quantities import AngularMomentum, Speed

UNLOADED = (0.1, 0.6)
"""Least and largest part of the blade's length over which the exit is unloaded: our own choice, no source."""

ENTERED = (0.1, 0.4)
"""Likewise for the entry."""


LOADED = 1.35
"""Largest difference of both sides over their mean: Aungier (2000, from memory) keeps its mean over the blade below 0.9, and the
peak of a parabola is one and a half times its mean."""

DIFFUSED = 1.9
"""Largest suction-side velocity over that at the exit: the upper end of what is quoted for w1s/w2 (common practice, no source)."""

HURRIED = 2.0
"""Largest suction-side velocity over that at the leading edge: common practice, no source."""


class Momentum(NamedTuple):
    """Angular momentum r cu along the blade and its derivative with respect to x; (stations, spans, *designs)."""

    rcu: Array
    slope: Array


@dataclass(frozen=True, eq=False)
class SurfaceVelocities:
    """Relative velocities along the blade, mean and on both sides, (stations, spans, *designs); what they amount to, (spans, *designs).

    ``slowest`` is the least velocity on the pressure side over the mean one there, ``peak`` the largest on the suction side over that at
    the leading edge, ``diffusion`` the same over that at the exit, ``loading`` the largest difference of both sides over their mean.
    Not a Record: its arrays run over space.
    """

    x: Array
    rcu: Array
    w: Array
    suction: Array
    pressure: Array

    slowest: Any
    peak: Any
    diffusion: Any
    loading: Any

    @property
    def reversed_flow(self) -> Any:
        """True where the flow on the pressure side of any span turns back."""
        return np.any(self.slowest <= 0, axis=0)


def surface_velocities(stage: Stage, path: BladePath | None = None) -> SurfaceVelocities:
    """Surface velocities of a solved stage along its blades; broadcasts over the operating points.

    Without a ``path`` the simple one of :func:`aerodesign.aero.blade_path.meanline_path` serves; one from the blade geometry may stand
    in its place. The angular momentum follows :func:`angular_momentum` from the stage's inlet triangles to its exit with slip.
    """
    with np.errstate(all="ignore"):
        path = meanline_path(stage) if path is None else path
        rcu1 = stage.blower.impeller.r1 * stage.mean.cu
        rcu2 = stage.blower.impeller.r2 * stage.exit.cu
        return on_path(path, speed=stage.speed, rcu1=rcu1, rcu2=rcu2)


def on_path(path: BladePath, *, speed: Speed, rcu1: AngularMomentum, rcu2: AngularMomentum) -> SurfaceVelocities:
    """Surface velocities on any path, with the angular momentum given at both ends (per span, or the same for all)."""
    momentum = angular_momentum(path, speed=speed, rcu1=rcu1, rcu2=rcu2)
    wu = speed * path.r - momentum.rcu / path.r
    w = np.sqrt(path.cm**2 + wu**2)
    half = half_difference(path, w=w, rcu_along=momentum.slope / path.m[-1:])

    suction, pressure = w + half, w - half
    fastest = np.max(suction, axis=0)
    return SurfaceVelocities(
        x=path.x,
        rcu=momentum.rcu,
        w=w,
        suction=suction,
        pressure=pressure,
        slowest=np.min(pressure / w, axis=0),
        peak=fastest / w[0],
        diffusion=fastest / w[-1],
        loading=np.max(2 * half / w, axis=0),
    )


def judge(found: SurfaceVelocities) -> list[Flag]:
    """What the surface velocities warn of, the worst span of each design compared."""
    slowest, peak = np.min(found.slowest, axis=0), np.max(found.peak, axis=0)
    diffusion, loading = np.max(found.diffusion, axis=0), np.max(found.loading, axis=0)
    return [
        Flag(
            "pressure side reversed",
            slowest <= 0,
            "the flow on the blades' pressure side turns back",
            "more blades, a longer wheel, or a higher flow",
            slowest,
            0.0,
        ),
        Flag(
            "blade loading along the blade",
            loading > LOADED,
            "the blades carry more than the flow on their pressure side bears",
            "more blades or a longer wheel",
            loading,
            LOADED,
        ),
        Flag(
            "suction side peak",
            peak > HURRIED,
            "the flow on the suction side is much faster than at the leading edge",
            "less incidence, or a blade angle that changes later",
            peak,
            HURRIED,
        ),
        Flag(
            "suction side diffusion",
            diffusion > DIFFUSED,
            "the flow on the suction side slows down further than a boundary layer bears",
            "more blades, or a higher exit flow coefficient",
            diffusion,
            DIFFUSED,
        ),
    ]


def half_difference(path: BladePath, *, w: Array, rcu_along: Array) -> Array:
    """Half of the difference of velocity between suction and pressure side for a given d(r cu)/dm; w is the mean velocity."""
    pitch: Array = 2 * np.pi / path.blades - path.thickness / (np.cos(path.beta) * path.r)
    return path.cm / w / 2 * pitch * rcu_along


def angular_momentum(path: BladePath, *, speed: Speed, rcu1: AngularMomentum, rcu2: AngularMomentum) -> Momentum:
    r"""Angular momentum of a flow along the blades, :math:`r(u - c_m\tan\beta_b)`, eased in at the entry and out at the exit.

    At the entry the flow takes up the blade's direction over about the triangle ahead of the throat, ``s sin(beta) cos(beta)`` of the
    meridional length with the pitch s. At the exit it falls behind by the slip: a correction that grows with the square of the way
    makes good the whole shortfall and, if it begins a part ``2 shortfall / slope`` of the length before the exit, ends with no
    growth of r cu, so that the velocities of both sides meet there. So the slip itself says where the blade is unloaded; where this
    part would lie outside its bounds a cubic keeps both conditions. Our own choice, no source.
    """
    x = path.x
    guided = path.r * (speed * path.r - path.cm * np.tan(path.beta))
    slope = _slope(guided, x)

    pitch = 2 * np.pi * path.r[0] / np.broadcast_arrays(path.blades, path.r)[0][0]
    entry = np.clip(pitch * np.sin(2 * np.abs(path.beta[0])) / 2 / path.m[-1], *ENTERED)
    ahead = _eased(1 - x / entry, guided[0] - rcu1, -slope[0] * entry)

    short, rise = guided[-1] - rcu2, slope[-1]
    unloaded = np.where(rise > 0, 2 * short / np.where(rise > 0, rise, 1), UNLOADED[1])
    unloaded = np.clip(unloaded, *UNLOADED)
    behind = _eased(1 - (1 - x) / unloaded, short, rise * unloaded)
    return Momentum(
        rcu=guided - ahead.value - behind.value, slope=slope + ahead.slope / entry - behind.slope / unloaded
    )


class _Ease(NamedTuple):
    value: Array
    slope: Array


def _eased(y: Array, end: Array, end_slope: Array) -> _Ease:
    """A cubic of y with no value and slope up to y = 0, and a given value and slope at y = 1."""
    y = np.maximum(y, 0)
    square, cube = 3 * end - end_slope, end_slope - 2 * end
    return _Ease(y * y * (square + cube * y), y * (2 * square + 3 * cube * y))


def _slope(f: Array, x: Array) -> Array:
    """Derivative along axis 0, of second order everywhere."""
    step = x[1:] - x[:-1]
    secant = (f[1:] - f[:-1]) / step
    weight = step[:-1] / (step[:-1] + step[1:])
    inside = secant[:-1] + weight * (secant[1:] - secant[:-1])
    return np.concatenate([2 * secant[:1] - inside[:1], inside, 2 * secant[-1:] - inside[-1:]])
