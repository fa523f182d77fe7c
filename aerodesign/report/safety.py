"""The usual cautions where a machine can hurt someone; every page carries them, with the design's own numbers where it has any."""

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.report.display import Units

BURNS = 333.15
"""Temperature from which a metal surface burns within a second or so, about 60 degC: common practice, no source."""
LOUD = 80.0
"""Level in dB(A) from which many countries ask for protection: common practice, no source."""
FLAMMABLE = (
    "methane",
    "hydrogen",
    "propane",
    "butane",
    "ethane",
    "ethylene",
    "biogas",
    "natural gas",
    "carbonmonoxide",
    "ammonia",
)
"""Gases that burn, by the names that a case may use; a mixture names its parts."""

CAUTIONS = (
    ("Rotating parts", "Guard the wheel, the coupling, belts and pulleys, and both openings. Lock the drive out before anyone reaches in: air from a "
     "second blower or a wind can turn a wheel that is switched off."),
    ("Burst", "The disc's stress here is that of a plain model, with strengths from memory. Before a wheel turns it needs a stress analysis of the "
     "whole, with overspeed, fatigue, temperature and the real material; then balancing and an overspeed test behind a barrier. The casing "
     "and its guards must hold what a bursting wheel throws, or stand behind what does."),
    ("Pressure", "Casing, pipes and receivers can fail. Check them for the highest pressure with the outlet shut and, in vacuum service, "
     "for the suction with the inlet shut; fit relief where a code asks for it."),
    ("Surge", "Below the stall band the flow can break down and reverse violently. Keep the machine off that region by control or blow-off."),
    ("Noise", "Blowers of this kind usually need silencers, lagging and hearing protection. Measure; the estimate here decides nothing."),
    ("Hot surfaces", "Discharge pipes and casings burn skin, and throttled machines run hotter than the design point tells."),
    ("Electricity", "Motors and inverters kill, also for minutes after they are switched off. Only licensed people may connect them."),
    ("Explosive or poisonous gas", "Flammable, toxic or dusty gases need materials, seals, clearances and zones that nothing here considers: "
     "spark-resistant construction (AMCA 99-0401 names three types, from memory), pairs of materials that do not spark where a wheel may rub, "
     "earthing, motors and instruments approved for the zone, surfaces below the gas's ignition temperature. An authority decides."),
)  # fmt: skip
"""Head and words."""

DEFERENCE = (
    "This is a preliminary design. It replaces neither the codes and laws of the place where the machine is built and run nor the judgement "
    "of a licensed engineer, and both go before it."
)


def cautions(design: Design, units: Units) -> list[tuple[str, str]]:
    """All cautions; behind those that this design gives a number to, the number."""
    more = {
        "Hot surfaces": _hot(design, units),
        "Noise": _loud(design),
        "Pressure": f"Highest pressure on the map: {_highest(design, units)}.",
        "Explosive or poisonous gas": _flammable(design),
    }
    return [(head, f"{words} {more[head]}".strip() if head in more else words) for head, words in CAUTIONS]


def _hot(design: Design, units: Units) -> str:
    hottest = float(np.max(design.points.discharge_temperature))
    return f"At the duty points the gas leaves with up to {units.text(hottest, 'temperature')}" + (
        ": guard or lag what can be touched." if hottest > BURNS else "."
    )


def _loud(design: Design) -> str:
    loudest = max(float(np.max(level)) for level in design.running.sound.at_distance.values())
    return f"Estimated here: up to {loudest:.0f} dB(A) at {design.form.noise.distance:.3g} m" + (
        ", far beyond what ears bear." if loudest > LOUD + design.running.sound.spread else "."
    )


def _highest(design: Design, units: Units) -> str:
    operation = design.map.operation
    shape = np.shape(operation.flow)
    rise = np.where(np.broadcast_to(operation.stage.solved, shape), np.broadcast_to(operation.pressure_rise, shape), 0)
    return units.text(float(np.max(rise)), "pressure rise")


def _flammable(design: Design) -> str:
    name = design.site.gas.name.lower()
    found = next((gas for gas in FLAMMABLE if gas in name), "")
    return f"THE GAS OF THIS CASE CONTAINS {found.upper()}, WHICH BURNS OR EXPLODES WITH AIR." if found else ""
