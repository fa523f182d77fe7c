"""Which change of the wheel would let the next larger cutter between the blades: each is tried by making the wheel anew.

Blade angles, flow path and everything else are held: a change found here must go through the design again before it is believed.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import AerodesignError
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.row import blade_row
from aerodesign.milling.ball import largest_balls
from aerodesign.milling.wheel import Wheel, bare_row, bare_wheel

STATIONS = 9
FEWEST, LATEST, WIDEST = 0.5, 0.75, 1.5
"""How far changes are tried: half the blades, splitters that begin at three quarters, an exit half as wide again."""
STEPS = 3
BEYOND = 1.003
"""How often a change is closed in on along a straight line between what fails and what works, and how far past the ball asked."""


@dataclass(frozen=True)
class Change:
    """One change that lets the cutter in: what, from, to, how large it is, the largest ball then.

    ``size`` is the change over the value that it starts from (of a splitter's start, over the blade's length; taking splitters
    out counts as one).
    """

    name: str
    quantity: str
    before: float
    after: float
    size: float
    radius: float


def least_ball(wheel: Wheel, stations: int = STATIONS) -> float:
    """Radius of the smallest of the largest balls along the passages."""
    return min(float(np.min(ball.radius)) for ball in largest_balls(wheel, stations))


def changes_for(wheel: Wheel, needed: float) -> list[Change]:
    """Changes after which a ball of radius ``needed`` fits along all passages, the smallest first; empty where none does."""
    p, blading = wheel.impeller, wheel.blading
    bare = bare_wheel(p, blading)
    splitters = bool(p.splitters > 0)

    def with_blades(count: float) -> float:
        return least_ball(Wheel(p.but(blades=count, splitters=count if splitters else 0), blading, bare.row))

    def with_start(start: float) -> float:
        return _or_nothing(lambda: Wheel(p, blading, bare_row(blading, start, bare.row.full)))

    def with_width(b2: float) -> float:
        return _or_nothing(lambda: bare_wheel(p.but(b2=b2), Blading(p.but(b2=b2), blading.form)))

    now = least_ball(bare)
    found = [_fewer(p, with_blades, needed), _wider(p, with_width, needed, now)]
    if splitters:
        radius = least_ball(Wheel(p.but(splitters=0), blading, bare_row(blading, None, bare.row.full)))
        gone = Change("no splitters", "count", float(p.splitters), 0.0, 1.0, radius)
        found += [gone if radius >= needed else None, _later(p, with_start, needed, now)]
    return sorted((change for change in found if change), key=lambda change: change.size)


def _or_nothing(made: Callable[[], Wheel]) -> float:
    """The least ball of a wheel; zero where it cannot be made."""
    try:
        return least_ball(made())
    except AerodesignError:
        return 0.0


def larger_fillet(wheel: Wheel, needed: float) -> bool:
    """Whether a fillet of that radius has room at the foot of all blades."""
    try:
        return blade_row(Blading(wheel.impeller.but(fillet=needed), wheel.blading.form)).fillet >= needed * (1 - 1e-9)
    except AerodesignError:
        return False


def _fewer(p: Impeller, ball: Callable[[float], float], needed: float) -> Change | None:
    """The largest number of blades below the present one that lets the ball in; the room grows as blades go."""
    most, least = int(p.blades) - 1, max(3, int(np.ceil(FEWEST * p.blades)))
    if most < least or ball(least) < needed:
        return None
    while least < most:
        middle = (least + most + 1) // 2
        least, most = (middle, most) if ball(middle) >= needed else (least, middle - 1)
    return Change("fewer blades", "count", float(p.blades), float(least), float(1 - least / p.blades), ball(least))


def _later(p: Impeller, ball: Callable[[float], float], needed: float, now: float) -> Change | None:
    start = float(p.splitter_start)
    end = _closed_in(ball, start, LATEST, needed, now)
    return None if end is None else Change("splitters begin later", "ratio", start, end[0], end[0] - start, end[1])


def _wider(p: Impeller, ball: Callable[[float], float], needed: float, now: float) -> Change | None:
    b2 = float(p.b2)
    end = _closed_in(ball, b2, min(WIDEST * b2, 0.75 * float(p.axial_length)), needed, now)
    return None if end is None else Change("wider exit b2", "length", b2, end[0], end[0] / b2 - 1, end[1])


def _closed_in(
    ball: Callable[[float], float], before: float, far: float, needed: float, now: float
) -> tuple[float, float] | None:
    """A value near the least beyond ``before`` (with the ball ``now``) at which the ball fits, and the ball there.

    False position; what is given back was evaluated and works. None where not even ``far`` does.
    """
    if far <= before:
        return None
    low, at_low, high, radius = before, now, far, ball(far)
    if radius < needed:
        return None
    for _ in range(STEPS):
        share = (needed * BEYOND - at_low) / (radius - at_low) if radius > at_low else 0.5
        if share >= 1:
            break
        middle = low + float(np.clip(share, 0.05, 0.95)) * (high - low)
        there = ball(middle)
        if there >= needed:
            high, radius = middle, there
        else:
            low, at_low = middle, there
    return high, radius
