"""A belt between motor and wheel: length, tensions, pull on the shafts, and the limits of its kind.

An open belt on two pulleys, by statics and Euler's rope; what a maker's belt bears is its catalogue's to say.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.quantities import Angle, Force, Frequency, Length, Power, Ratio, Speed, Values, Velocity
from aerodesign.core.record import Record, record


@dataclass(frozen=True)
class BeltKind:
    """What a kind of belt bears: speed in m/s, bends a second, least pulley in m, pull on its width in N/m.

    ``friction`` is that on the pulley with a wedge's action counted, ``surface_mass`` in kg/m2.
    """

    name: str
    speed: float
    bends: float
    pulley: float
    pull: float
    friction: float
    surface_mass: float


BELTS = {
    kind.name: kind
    for kind in (
        BeltKind("flat", 80.0, 100.0, 0.040, 20e3, 0.5, 2.0),
        BeltKind("ribbed", 50.0, 100.0, 0.045, 25e3, 1.2, 4.0),
        BeltKind("narrow V", 42.0, 60.0, 0.063, 60e3, 1.5, 9.0),
    )
}
"""Kinds of belt: common practice, no source."""

RESERVE = 1.3
"""Pull that a belt is set for, over that of its power: starts and wear; common practice, no source."""
LEAST_WRAP = np.radians(120.0)
"""Least wrap of the small pulley: common practice, no source."""
PART_OF_SPEED = 0.7
"""Speed of a belt whose pulley is not given, over the most that its kind bears."""


@record
class Belt(Record):
    """A belt at work. ``tight`` and ``slack`` are its pulls at work, ``pull`` the force on either shaft."""

    pulley: Length
    motor_pulley: Length
    centre: Length
    length: Length
    speed: Velocity
    wrap: Angle
    bends: Frequency
    width: Length
    tight: Force
    slack: Force
    pull: Force
    loss: Power


def belt_speed(*, pulley: Length, speed: Speed) -> Velocity:
    """Speed of a belt on a pulley."""
    return pulley / 2 * speed


def wheel_pulley(*, kind: str, speed: Speed, pulley: Length) -> Length:
    """The pulley on the wheel's shaft; where it is nan, the one that runs the belt at 0.7 of what its kind bears."""
    chosen = np.maximum(2 * PART_OF_SPEED * BELTS[kind].speed / speed, BELTS[kind].pulley)
    return np.where(np.isnan(pulley), chosen, pulley)[()]


def lean(*, small: Length, large: Length, centre: Length) -> Angle:
    """Angle between the straight parts of an open belt and the line of centres."""
    return np.arcsin((large - small) / (2 * centre))


def belt_length(*, small: Length, large: Length, centre: Length) -> Length:
    r"""Length of an open belt, :math:`2 c \cos\beta + D (\pi/2 + \beta) + d (\pi/2 - \beta)`."""
    beta = lean(small=small, large=large, centre=centre)
    return 2 * centre * np.cos(beta) + large * (np.pi / 2 + beta) + small * (np.pi / 2 - beta)


def tension_ratio(*, friction: Ratio, wrap: Angle) -> Ratio:
    r"""Pulls beyond the centrifugal one, tight over slack, at which a belt begins to slip: :math:`e^{\mu\theta}`, Euler."""
    return np.exp(friction * wrap)


def run_belt(
    *,
    kind: str,
    power: Power,
    speed: Speed,
    motor_speed: Speed,
    pulley: Length,
    centre: Length,
    width: Length,
    loss: Ratio,
) -> Belt:
    """A belt that carries a power to a wheel; what is nan is chosen: pulley, centre distance, width.

    The pulley then runs the belt at 0.7 of what it bears, but is no smaller than its kind allows; the centres are apart by the
    larger of 1.2 large pulleys and the sum of both; the width takes up the pull. Creep of the belt, about 1 %, is in the loss.
    """
    bears = BELTS[kind]
    d = wheel_pulley(kind=kind, speed=speed, pulley=pulley)
    driver = d * speed / motor_speed
    small, large = np.minimum(d, driver), np.maximum(d, driver)
    between = np.where(np.isnan(centre), np.maximum(1.2 * large, small + large), centre)
    beta = lean(small=small, large=large, centre=between)
    wrap, velocity = np.pi - 2 * beta, belt_speed(pulley=d, speed=speed)

    ratio = tension_ratio(friction=bears.friction, wrap=wrap)
    useful = RESERVE * power / velocity
    # The width carries the tight pull, of which the centrifugal part itself grows with the width.
    spun = bears.surface_mass * velocity**2
    needed = useful * ratio / (ratio - 1) / np.maximum(bears.pull - spun, 1e-9)
    across: Values = np.where(np.isnan(width), needed, width)
    tight = useful * ratio / (ratio - 1) + spun * across
    slack = tight - useful
    length = belt_length(small=small, large=large, centre=between)
    # The centrifugal part stays within the belt: the shafts do not feel it.
    a, b = tight - spun * across, slack - spun * across
    return Belt(
        pulley=d[()],
        motor_pulley=driver[()],
        centre=between[()],
        length=length[()],
        speed=velocity,
        wrap=wrap[()],
        bends=(2 * velocity / length)[()],
        width=across[()],
        tight=tight[()],
        slack=slack[()],
        pull=np.sqrt(a**2 + b**2 - 2 * a * b * np.cos(wrap))[()],
        loss=loss * power / (1 - loss),
    )
