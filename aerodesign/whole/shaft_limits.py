"""What shaft, bearings and balance must keep, row by row as the page shows them."""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Speed
from aerodesign.form.rotor import RotorForm
from aerodesign.machine.balance import GRADES, ISO_21940
from aerodesign.machine.bearing_table import CATALOGUE
from aerodesign.machine.bearings import ISO_281, LEAST_LOAD, SPEED_FACTORS
from aerodesign.machine.grease import GREASES, INTERVAL, RULES
from aerodesign.machine.loads import TEXTBOOKS
from aerodesign.machine.vibration import CATEGORIES, ISO_14694, allowed_at_maker
from aerodesign.whole.shaft import ShaftCheck

SEPARATION = 0.20
"""Least distance of a critical speed from the running speeds; common practice, no source."""

SHAFT_STRESS = 80e6
"""Rotating bending and torsion in a shouldered shaft of heat-treatable steel; common practice, no source."""

SERVICING = 0.5
"""What a short relubrication interval counts against other limits: it costs grease, or a feeder; a short life costs bearings."""

AXIAL_PART = 0.25
"""Axial load over C0 that a deep groove bearing bears at most."""

AXIAL_SOURCE = Source("skf.com", None, "deep groove ball bearings, loads: axial load up to 0.25 C0")


def limits_of(found: ShaftCheck, form: RotorForm, fastest: Speed) -> dict[str, list[Limit]]:
    """The limits by chapter. All are guidelines: none of them stands between the wheel and a burst."""
    return {
        "Shaft": _shaft(found, fastest),
        "Bearings and grease": [row for i in (0, 1) for row in _bearing(found, form, i)] + _both(found, form),
        "Balance, vibration, thrust": _balance(found, form),
    }


def _shaft(found: ShaftCheck, fastest: Speed) -> list[Limit]:
    longer = "a shorter overhang, a thicker shaft, a lighter wheel, or another speed"
    return [
        Limit(
            "first critical speed (forward whirl)",
            float(found.critical[0]),
            low=(1 + SEPARATION) * fastest,
            hard=False,
            quantity="speed",
            advice=f"{longer}; above it every start passes through resonance, which asks for damping and a fine balance",
        ),
        Limit(
            "distance of all critical speeds from the running speeds",
            float(found.separation),
            low=SEPARATION,
            hard=False,
            quantity="percent",
            advice=longer,
        ),
        Limit(
            "shaft stress, bending and torsion",
            found.stress,
            high=SHAFT_STRESS,
            hard=False,
            quantity="stress",
            advice=longer,
        ),
    ]


def _bearing(found: ShaftCheck, form: RotorForm, i: int) -> list[Limit]:
    name = ("front", "rear")[i]
    return [
        Limit(
            f"rating life, {name} bearing",
            float(found.life[i].min()),
            low=form.bearing_life,
            hard=False,
            quantity="time",
            advice="a larger bearing (rotor.series or rotor.bearing), less thrust or less overhang",
            source=ISO_281,
        ),
        Limit(
            f"least load over C, {name} bearing",
            float((found.equivalent[i] / found.bearing.dynamic).min()),
            low=LEAST_LOAD,
            hard=False,
            advice="more preload (rotor.preload) or a smaller bearing",
            source=CATALOGUE,
        ),
        Limit(
            f"temperature, {name} bearing",
            float(found.warmth.T[i].max()),
            high=GREASES[form.grease].highest,
            hard=False,
            quantity="temperature",
            advice="a smaller bearing, a slinger or fins on the housing, or oil",
        ),
    ]


def _both(found: ShaftCheck, form: RotorForm) -> list[Limit]:
    chosen = form.grease_rule
    other = next(rule for rule in RULES if rule != chosen)
    return [
        Limit(
            "largest axial load of a bearing",
            float(found.axial.max()),
            high=AXIAL_PART * found.bearing.static,
            hard=False,
            quantity="force",
            advice='balance holes (wheel.balance_holes), or angular contact bearings (rotor.series = "72B")',
            source=AXIAL_SOURCE,
        ),
        Limit(
            f"speed factor n dm (rpm mm), {form.balls} balls",
            float(np.round(found.speed_factor)),
            high=SPEED_FACTORS[form.balls],
            hard=False,
            quantity="count",
            advice="a smaller bearing or oil"
            if form.balls == "hybrid"
            else 'a smaller bearing, hybrid ones (rotor.balls = "hybrid"), or oil',
        ),
        Limit(
            f"relubrication interval, {chosen}",
            float(found.grease.by(chosen).min()),
            low=form.grease_interval,
            hard=False,
            quantity="time",
            advice="a cooler or smaller bearing, another grease (rotor.grease), a grease feeder, or oil",
            source=INTERVAL,
            weight=SERVICING,
        ),
        Limit(
            f"the same by the other rule, {other}",
            float(found.grease.by(other).min()),
            quantity="time",
            source=INTERVAL,
        ),
    ]


def _balance(found: ShaftCheck, form: RotorForm) -> list[Limit]:
    fit = CATEGORIES[found.category].grade
    thrust = found.thrust.total
    return [
        Limit(
            f"balance grade G (mm/s) for {found.category}",
            1e3 * GRADES[form.balance_grade],
            high=1e3 * GRADES[fit],
            hard=False,
            advice=f'rotor.balance_grade = "{fit}" or finer',
            source=ISO_14694,
        ),
        Limit(
            f"permissible unbalance of the whole rotor, {form.balance_grade}",
            found.unbalance,
            quantity="unbalance",
            source=ISO_21940,
        ),
        Limit(
            f"vibration of the housing (rms) by that unbalance, {found.category} {form.mounting}",
            found.vibration,
            high=allowed_at_maker(category=found.category, mounting=form.mounting),
            hard=False,
            quantity="vibration",
            advice="a finer balance_grade, or more distance from the critical speeds",
            source=ISO_14694,
        ),
        Limit(
            "axial thrust on the wheel, positive towards the inlet",
            float(thrust[np.argmax(np.abs(thrust))]),
            quantity="force",
            source=TEXTBOOKS,
        ),
    ]
