"""The loads of a rotor: weight, unbalance, belt; thrust from the pressures on the wheel and the gas's momentum; reactions of two bearings."""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import (
    Density,
    Force,
    Length,
    Mass,
    MassFlow,
    Pressure,
    Ratio,
    Speed,
    Unbalance,
    Values,
    Velocity,
)
from aerodesign.core.record import Record, record
from aerodesign.core.units import G

TEXTBOOKS = Source(
    "textbooks of pumps and compressors", None, "thrust from disc pressures and momentum", from_memory=True
)

CORE = 0.5
"""Speed of the gas core beside a disc in a narrow room over the disc's: between 0.4 and 0.5, common practice, no source."""

VANED = Source(
    "Stepanoff",
    1957,
    "Centrifugal and axial flow pumps: gas behind back vanes turns with (1 + t/s)/2 of the wheel",
    from_memory=True,
)

THROUGH_HOLES = 0.15
"""Part of the pressure over the inlet that is left inside the ring of balance holes: common practice, no source."""

THROUGH_LABYRINTH = 0.1
"""The same inside a labyrinth on the wheel's back that keeps the gas from the holes: common practice, no source."""


@record
class Thrust(Record):
    """Axial forces on the wheel, positive towards the inlet, and their sum ``total``."""

    back: Force
    front: Force
    momentum: Force
    total: Force


def disc_pressure(
    *, p_out: Pressure, r_out: Length, r: Length, density: Density, speed: Speed, core: Ratio = CORE
) -> Pressure:
    r"""Pressure beside a turning disc where the gas turns with a part of its speed; :math:`p_2 - \rho (k\omega)^2 (r_2^2 - r^2) / 2`."""
    return p_out - density * (core * speed) ** 2 * (r_out**2 - r**2) / 2


def ring_force(
    *, p_out: Pressure, r_out: Length, r_in: Length, density: Density, speed: Speed, core: Ratio = CORE
) -> Force:
    r"""Force of :func:`disc_pressure` on the ring between two radii: :math:`\pi(r_2^2 - r_i^2)` times its pressure at the mean of :math:`r^2`."""
    middle = np.sqrt((r_out**2 + r_in**2) / 2)
    mean = disc_pressure(p_out=p_out, r_out=r_out, r=middle, density=density, speed=speed, core=core)
    return np.pi * (r_out**2 - r_in**2) * mean


def thrust(
    *,
    p1: Pressure,
    p2: Pressure,
    ambient: Pressure,
    r1h: Length,
    r1s: Length,
    r2: Length,
    r_shaft: Length,
    r_holes: Length = 0.0,
    held: Ratio = THROUGH_HOLES,
    rho2: Density,
    speed: Speed,
    mass_flow: MassFlow,
    cm1: Velocity,
    covered: Values = False,
    through: Values = False,
    vanes: tuple[Length, Length] = (0.0, 0.0),
    vaned_core: Ratio = CORE,
) -> Thrust:
    """Thrust on a wheel on a shaft that ends in it, or goes ``through`` the eye, from the pressures at leading edge and exit.

    Back: :func:`disc_pressure` down to the shaft's seal of radius ``r_shaft``; within the shaft's section the ambient, on the nose p1; both
    leave out where the shaft goes through. Inside the radius ``r_holes`` of balance holes, or of a labyrinth outside of them (0: none),
    the part ``held`` of what it is over p1 is left. Front: of a covered wheel the same pressure down to the
    eye's seal at r1s; of a semi-open one pressure that grows with the square of the radius through the blades, on the hub from r1h.
    The eye's inside and the nose carry p1. Momentum: the gas comes in with cm1 and leaves without axial speed. Behind back
    ``vanes`` (radii of their feet and tips) the gas turns with ``vaned_core`` of the wheel's speed.
    """
    beside = dict(p_out=p2, r_out=r2, density=rho2, speed=speed)
    whole = ring_force(r_in=r_shaft, **beside)
    inside = np.clip(r_holes, r_shaft, r2)
    before = _ring_within(inside, r_shaft, **beside)
    eased = np.pi * (inside**2 - r_shaft**2) * p1
    back = whole + np.where(r_holes > r_shaft, (1 - held) * (eased - before), 0.0)
    # Within the holes' radius the vanes can take no more than their part of what the holes leave there.
    behind = dict(low=vanes[0], high=vanes[1], density=rho2, speed=speed, core=vaned_core)
    taken, beyond = (vane_relief(r_shaft=r, **behind) for r in (r_shaft, inside))
    back = back - beyond - np.where(r_holes > r_shaft, held, 1.0) * (taken - beyond)
    back = back + np.where(through, 0.0, np.pi * r_shaft**2 * ambient)

    passage = np.pi * (r2**2 - r1h**2) * (p1 + p2) / 2
    cover = ring_force(r_in=r1s, **beside) + np.pi * (r1s**2 - r1h**2) * p1
    nose = np.pi * (r1h**2 - np.where(through, r_shaft**2, 0.0)) * p1
    front = np.where(covered, cover, passage) + nose
    momentum = mass_flow * cm1
    return Thrust(back=back[()], front=front[()], momentum=momentum, total=(back - front - momentum)[()])


def vaned_core(*, height: Length, gap: Length) -> Ratio:
    r"""Speed of the gas core over that of vanes of a ``height`` that leave a ``gap`` to the wall: :math:`(1 + t/s)/2, s = t + gap`."""
    return (1 + height / (height + gap)) / 2


def vane_relief(
    *, low: Length, high: Length, r_shaft: Length, density: Density, speed: Speed, core: Ratio, plain: Ratio = CORE
) -> Force:
    r"""What vanes on the back between two radii take from the force beyond ``r_shaft``, the gas turning with ``core`` instead of ``plain`` there.

    .. math:: D = \rho\omega^2 (k_v^2 - k^2) / 2, \quad
        \Delta F = \frac{\pi D}{2} (r_h^2 - r_l^2)^2 + \pi D (r_h^2 - r_l^2)(r_l^2 - r_s^2)

    Where r_s lies among the vanes, the first term begins there and the second is nothing.
    """
    lower = density * speed**2 * (core**2 - plain**2) / 2
    vaned = np.clip(high**2 - np.maximum(low, r_shaft) ** 2, 0, None)
    within = np.clip(high**2 - low**2, 0, None) * np.clip(low**2 - r_shaft**2, 0, None)
    return (np.pi * lower * (vaned**2 / 2 + within))[()]


def _ring_within(outer: Length, inner: Length, **beside: Values) -> Force:
    """Force of the pressure beside the disc on an inner ring."""
    middle = np.sqrt((outer**2 + inner**2) / 2)
    return np.pi * (outer**2 - inner**2) * disc_pressure(r=middle, **beside)


def weight(*, mass: Mass) -> Force:
    """Weight of a mass."""
    return mass * G


def unbalance_force(*, unbalance: Unbalance, speed: Speed) -> Force:
    """Centrifugal force of an unbalance."""
    return unbalance * speed**2


def reactions(*, force: Force, z: Length, front: Length, rear: Length) -> tuple[Force, Force]:
    """Reactions of two bearings at ``front`` and ``rear`` to forces at ``z``, space first: moments and forces balance; signed."""
    at_rear = np.sum(np.asarray(force) * (z - front), axis=0) / (rear - front)
    return np.sum(force, axis=0) - at_rear, at_rear
