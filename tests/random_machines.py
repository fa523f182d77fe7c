"""Random blowers with their casings, from the range that the sizing draws from."""

from collections.abc import Callable, Iterator

import numpy as np

from aerodesign.aero.choices import Choices
from aerodesign.aero.duty import Inlet
from aerodesign.aero.impeller import Blower
from aerodesign.aero.proposal import LEANING, Guess, Proposal, draw
from aerodesign.aero.sections import Circle, Ellipse, Rectangle, RoundedTrapezoid, Section
from aerodesign.form import CasingForm, Form
from aerodesign.form.casing import HANDS, POSITIONS
from aerodesign.gas.air import air

P0, T0 = 101325.0, 293.15


def casings(count: int, seed: int) -> Iterator[tuple[Blower, Form]]:
    """Blowers with every section in turn, symmetric and to one side, and every choice of the casing at random."""
    rng = np.random.default_rng(seed)
    gas, at_rest = air(), P0 / (air().R * T0)
    for number in range(count):

        def between(low: float, high: float) -> float:
            return float(low + (high - low) * rng.random())

        flow, work = between(0.1, 3.0), between(8e3, 35e3)
        proposal = Proposal(
            speed=between(0.4, 1.2) * work**0.75 / np.sqrt(flow),
            flow_coefficient_exit=between(0.2, 0.35),
            blades=float(rng.integers(9, 21)),
            backsweep=np.radians(between(20, 55)),
            diffuser_ratio=between(1.3, 1.75),
            inducer_scale=between(0.98, 1.12),
        )
        guess = Guess(
            u2=np.sqrt(work / between(0.45, 0.55)),
            rho2=1.12 * at_rest,
            angular_integral=flow / 1.15 / (0.5 * work / proposal.speed),
        )
        inlet = Inlet(pt0=P0, Tt0=T0, p5=P0 + at_rest * work, gas=gas)
        side = between(-1, 1) if number % 2 else 0.0
        blower = draw(
            proposal,
            guess,
            inlet=inlet,
            mass_flow=flow * at_rest,
            choices=Choices(covered=bool(rng.random() < 0.3), bore=0.0 if rng.random() < 0.3 else np.nan),
            section=_section(number // 2 % 4, side, between),
        )
        yield (
            blower,
            Form(
                casing=CasingForm(
                    rotation=HANDS[rng.integers(2)],
                    position=POSITIONS[rng.integers(8)],
                    discharge_turn=0.0 if rng.random() < 0.5 else between(-1.5, 1.5),
                    flange=("PN6", "PN10", "tube")[rng.integers(3)],
                )
            ),
        )


def _section(kind: int, side: float, between: Callable[[float, float], float]) -> Section:
    lean = side * LEANING
    if kind == 0:
        return Circle(lean=lean)
    if kind == 1:
        return Ellipse(aspect=between(0.7, 1.8), lean=lean)
    if kind == 2:
        return RoundedTrapezoid(lean=lean)
    return Rectangle(width=between(3.0, 8.0), side=side)
