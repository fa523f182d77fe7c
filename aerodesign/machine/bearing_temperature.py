"""How warm a bearing runs: friction, heat that comes along the shaft, and the housing that gives it away."""

import numpy as np

from aerodesign.core.quantities import Area, Force, Length, Power, Speed, Temperature, Torque, Values
from aerodesign.core.record import Record, record
from aerodesign.machine.grease import Grease, oil_viscosity

COOLING = 320.0
"""W/(m2 K) of the seat surface pi B (D + d): the reference heat flow of ISO 15312, 0.016 W/mm2 at 50 K (from memory)."""

HALVINGS = 30
"""The bracket of 400 K shrinks to 4e-7 K."""


@record
class Warmth(Record):
    """Temperature of a bearing with the powers that make it: friction, and what comes along the shaft (negative: goes)."""

    T: Temperature
    friction: Power
    from_shaft: Power


def friction_torque(
    *, load: Force, static: Force, mean_diameter: Length, speed: Speed, viscosity: Values, f0: Values = 2.0
) -> Torque:
    r"""Frictional torque of a ball bearing, :math:`M_0 + M_1`.

    .. math:: M_0 = 10^{-7} f_0 (\nu n)^{2/3} d_m^3\ (\nu n \ge 2000;\ \text{else}\ 160\cdot10^{-7} f_0 d_m^3), \quad
        M_1 = 0.0009\,(P/C_0)^{0.55} P d_m

    after Palmgren (from memory), in N mm with mm2/s, rpm and mm; f0 is 2 for deep groove ball bearings with grease
    run in. Seals that rub are not counted.
    """
    turning, dm = viscosity * speed * 30 / np.pi, 1e3 * mean_diameter
    drag = 1e-7 * f0 * dm**3 * np.where(turning >= 2000, np.maximum(turning, 1) ** (2 / 3), 160.0)
    return 1e-3 * (drag + 0.0009 * (load / static) ** 0.55 * load * dm)[()]


def shaft_conductance(*, diameter: Length, length: Length, conductivity: Values) -> Values:
    """W/K along a shaft."""
    return conductivity * np.pi * diameter**2 / 4 / length


def seat_surface(*, bore: Length, outside: Length, width: Length) -> Area:
    """Surface that ISO 15312 counts the heat flow on, pi B (D + d)."""
    return np.pi * width * (bore + outside)


def bearing_warmth(
    *,
    ambient: Temperature,
    hot: Temperature,
    conductance: Values,
    surface: Area,
    load: Force,
    static: Force,
    mean_diameter: Length,
    speed: Speed,
    grease: Grease,
    cooling: Values = COOLING,
) -> Warmth:
    """Temperature at which friction and the heat from a wheel at ``hot`` leave through the housing to ``ambient``.

    Friction falls as the oil thins, so that the balance has one answer, found by halving.
    """

    def friction(T: Temperature) -> Power:
        viscosity = oil_viscosity(grease=grease, T=T)
        return speed * friction_torque(
            load=load, static=static, mean_diameter=mean_diameter, speed=speed, viscosity=viscosity
        )

    nothing = 0 * (np.asarray(ambient) + hot + conductance + surface + load + static + mean_diameter + speed)
    low = np.minimum(ambient, hot) + nothing
    high = low + 400.0
    for _ in range(HALVINGS):
        T = (low + high) / 2
        gaining = friction(T) + conductance * (hot - T) > cooling * surface * (T - ambient)
        low, high = np.where(gaining, T, low), np.where(gaining, high, T)
    T = ((low + high) / 2)[()]
    return Warmth(T=T, friction=friction(T), from_shaft=conductance * (hot - T))
