"""Rolling bearings: equivalent load, rating life, speed factor, stiffness, preloaded pairs."""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Angle, Count, Force, Length, Ratio, Speed, Stiffness, Time, Values
from aerodesign.core.record import Record, record

ISO_281 = Source("ISO 281", 2007, "Rolling bearings: dynamic load ratings and rating life", from_memory=True)

PALMGREN = Source(
    "Palmgren", 1959, "Ball and roller bearing engineering: deflection of balls, friction", from_memory=True
)

RELIABILITY = (0.90, 0.95, 0.96, 0.97, 0.98, 0.99)
A1 = (1.0, 0.64, 0.55, 0.47, 0.37, 0.25)

RELATIVE_THRUST = (0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89)
DEEP_GROOVE_E = (0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44)
DEEP_GROOVE_Y = (2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00)
"""By f0 Fa / C0, of deep groove ball bearings with normal clearance."""

ANGULAR_X, ANGULAR_Y, ANGULAR_E = 0.35, 0.57, 1.14
"""Of single angular contact ball bearings with a contact angle of 40 deg."""

F0 = 13.0
"""Factor f0 of common deep groove bearings, 12 to 16."""

SPEED_FACTORS = {"steel": 0.5e6, "hybrid": 0.75e6}
"""Largest n dm (rpm mm) of greased bearings with balls of steel or ceramic, of usual precision: common practice, no source."""

LEAST_LOAD = 0.01
"""Load over C below which balls may skid: a catalogue's rule for ball bearings, from memory."""


@record
class Equivalent(Record):
    """Equivalent dynamic load of a bearing, with the factors that made it."""

    load: Force
    X: Ratio
    Y: Ratio
    e: Ratio


def equivalent_load(
    *, radial: Force, axial: Force, static: Force, contact: Angle = 0.0, f0: Ratio = F0, rotation: Ratio = 1.0
) -> Equivalent:
    """Equivalent load X V Fr + Y Fa of a single ball bearing after ISO 281, not less than V Fr.

    ``contact`` is 0 for a deep groove, else 40 deg (no other is in the table here); ``rotation`` the factor V of older editions, 1.2
    where the outer ring turns.
    """
    thrust = np.clip(f0 * axial / static, RELATIVE_THRUST[0], RELATIVE_THRUST[-1])
    deep = np.asarray(contact) == 0
    e = np.where(deep, np.interp(thrust, RELATIVE_THRUST, DEEP_GROOVE_E), ANGULAR_E)
    Y = np.where(deep, np.interp(thrust, RELATIVE_THRUST, DEEP_GROOVE_Y), ANGULAR_Y)
    X = np.where(deep, 0.56, ANGULAR_X)
    light = axial <= e * rotation * radial
    X, Y = np.where(light, 1.0, X), np.where(light, 0.0, Y)
    load = np.maximum(X * rotation * radial + Y * axial, rotation * radial)
    return Equivalent(load=load[()], X=X[()], Y=Y[()], e=e[()])


def rating_life(
    *, dynamic: Force, load: Force, reliability: Ratio = 0.9, a_iso: Values = 1.0, exponent: Ratio = 3.0
) -> Values:
    r"""Rating life in revolutions, :math:`a_1 a_{ISO} (C/P)^p\,10^6`; p is 3 for balls, 10/3 for rollers.

    ``a_iso`` is the hook for lubrication, cleanliness and fatigue limit: a number, or what a function of the temperature gave.
    """
    a1 = np.interp(reliability, RELIABILITY, A1)
    return a1 * a_iso * (dynamic / load) ** exponent * 1e6


def life_hours(*, revolutions: Values, speed: Speed) -> Time:
    """Time in which a shaft makes so many revolutions, s."""
    return revolutions * 2 * np.pi / speed


def rating_for_life(*, load: Force, life: Time, speed: Speed, exponent: Ratio = 3.0) -> Force:
    """Dynamic load rating that a load asks for a life."""
    return load * (life * speed / (2 * np.pi) / 1e6) ** (1 / exponent)


def film_factor(*, viscosity_ratio: Ratio) -> Ratio:
    """A cautious a_ISO from the viscosity ratio kappa alone: sqrt(kappa) up to 1, 0.1 at least. Common practice, no source."""
    return np.clip(np.sqrt(viscosity_ratio), 0.1, 1.0)


def speed_factor(*, speed: Speed, mean_diameter: Length) -> Values:
    """Speed factor n dm in rpm mm, the measure in which catalogues write limits."""
    return speed * (30 / np.pi) * mean_diameter * 1e3


def radial_stiffness(
    *, load: Force, ball: Length, balls: Count, contact: Angle = 0.0, hybrid: Values = False
) -> Stiffness:
    r"""Radial stiffness of a ball bearing without clearance under a radial load, by the deflection of its most loaded ball.

    .. math:: \delta = \frac{0.00044}{\cos\alpha}\Big(\frac{Q^2}{D_w}\Big)^{1/3}\,\text{mm}, \quad Q = \frac{5 F}{Z\cos\alpha}, \quad
        k = \frac{dF}{d\delta} = \frac32\frac F\delta

    with N and mm. Ceramic balls make it 1.2 times stiffer (common practice, no source).
    """
    most = 5 * load / (balls * np.cos(contact))
    deflection = 0.44e-6 / np.cos(contact) * (most**2 / (ball * 1e3)) ** (1 / 3)
    return 1.5 * load / deflection * np.where(hybrid, 1.2, 1.0)[()]


def in_series(*stiffnesses: Stiffness) -> Stiffness:
    """Stiffness of springs one behind the other."""
    return 1 / sum(1 / k for k in stiffnesses)


def pair_axial_loads(
    *, radial_front: Force, radial_rear: Force, thrust: Force, preload: Force, Y: Ratio = ANGULAR_Y
) -> tuple[Force, Force]:
    """Axial loads of two bearings set against each other, front and rear, under a thrust that the front one takes (negative: the rear).

    A bearing with a contact angle pushes its mate by Fr / (2 Y), the preload by itself; the larger of both closes the set, and the
    thrust adds to one side. After catalogues, from memory.
    """
    internal = np.maximum(preload, np.maximum(radial_front, radial_rear) / (2 * Y))
    return internal + np.maximum(thrust, 0), internal + np.maximum(-thrust, 0)


def preloaded_pair(*, thrust: Force, preload: Force) -> tuple[Force, Force]:
    r"""Axial loads of two alike bearings preloaded stiffly against each other: the loaded one, and the other.

    With :math:`\delta\propto F^{2/3}` the approach of one is the retreat of the other: :math:`F_1^{2/3} + F_2^{2/3} = 2F_0^{2/3}`,
    :math:`F_1 - F_2 = T`, until at :math:`T = 2^{3/2} F_0` the other is free. Forty halvings find it to 1e-12 of the thrust.
    """
    thrust, preload = np.abs(np.asarray(thrust, float)), np.asarray(preload, float)
    lifted = thrust >= 2**1.5 * preload
    low, high = 0 * (thrust + preload), preload + 0 * thrust
    for _ in range(40):
        other = (low + high) / 2
        short = (other + thrust) ** (2 / 3) + other ** (2 / 3) < 2 * preload ** (2 / 3)
        low, high = np.where(short, other, low), np.where(short, high, other)
    other = np.where(lifted, 0.0, (low + high) / 2)
    return (other + thrust)[()], other[()]
