"""The chapter of the page on wheel, shaft and bearings; and the same as plain data and as lines for the terminal."""

from typing import Any

import numpy as np

from aerodesign.machine.grease import CATALOGUE_RULE
from aerodesign.report.chapters import Chapter, Table, limit_table
from aerodesign.report.display import Units
from aerodesign.whole import MachineCheck

FIGURES = {
    "disc": "The disc as a body of revolution with the blades hung on it, warmer towards the rim; above its stress, below the hoop "
    "stress on its faces beside that of a disc that cannot bend. The blades' own stiffness, keyways, holes and fits are not in it; "
    "'aerodesign simulate CASE --stress' computes a sector of a semi-open wheel with its blades and fillets.",
    "campbell": "Whirl of the rotor on its bearings, alike in all directions (above), and the wheel's answer to the permissible unbalance (below).",
}

TRIED = 6
"""Rows of the table of bearings."""

DEFERENCE = (
    "A wheel that bursts throws its pieces through a thin casing. Before it turns it needs a stress analysis of the whole wheel with its real "
    "material, an overspeed test behind a barrier by people who know how, and a casing and guard that would hold the pieces; local codes and "
    "licensed practice decide. Nobody stands in the plane of a wheel on test."
)


def machine_chapter(check: MachineCheck, units: Units) -> Chapter:
    """Wheel, shaft, bearings, balance and thrust with value, limit, margin and source."""
    words = [line(check, units) for line in (_wheel_line, _shaft_line, _bearing_line, _grease_line)]
    taken = Table(("proposed or chosen in [rotor]", "value"), rotor_rows(check, units), 2)
    tables = [limit_table(name, limits, units) for name, limits in check.limits.items()]
    return Chapter(
        "machine",
        "Wheel, shaft and bearings",
        [*words, *_passed(check), *_tried_line(check), DEFERENCE],
        [*tables, *_tried_table(check, units), taken],
        tuple(FIGURES),
    )


def _wheel_line(check: MachineCheck, units: Units) -> str:
    wheel, body = check.wheel, check.body
    return (
        f"The wheel of {check.material.name} weighs {units.text(body.mass, 'mass', 3)}. By the disc alone its material would allow a tip "
        f"speed of {units.text(wheel.tip_speed, 'velocity', 3)} with the overspeed test; blades, bores and fatigue allow less, and the rule "
        f"of thumb in the limits stands beside that. Speed and heat let its rim grow by {units.text(wheel.rim_growth, 'length', 2)} and bring it "
        f"{units.text(wheel.axial_growth, 'length', 2)} towards the inlet."
    )


def _shaft_line(check: MachineCheck, units: Units) -> str:
    shaft = check.shaft
    first, second = (
        units.text(float(speed), "speed") if np.isfinite(speed) else "none" for speed in shaft.critical[:2]
    )
    side = "below" if check.fastest < shaft.critical[0] else "above"
    return (
        f"The rotor runs {side} its first critical speed of {first} (second: {second}), at up to {units.text(check.fastest, 'speed')}. It "
        f"weighs {units.text(shaft.parts.total_mass, 'mass', 3)} and stands on springs of {units.text(shaft.stiffness[0], 'stiffness', 3)}, "
        f"bearing and support in series. With grade {check.form.balance_grade} its centre of mass may lie "
        f"{1e6 * shaft.eccentricity:.2g} µm off the axis, which shakes the housing by {units.text(shaft.vibration, 'vibration', 2)} r.m.s.: "
        f"zone {shaft.vibration_zone} of ISO 10816-3 (20816-3) by unbalance alone."
    )


def _bearing_line(check: MachineCheck, units: Units) -> str:
    shaft = check.shaft
    ends = (
        f"{name} {units.text(shaft.radial[i].max(), 'force', 3)} radial, {units.text(shaft.axial[i].max(), 'force', 3)} axial, rating life "
        f"{units.text(float(shaft.basic[i].min()), 'time', 3)} ({units.text(float(shaft.life[i].min()), 'time', 3)} with the oil film's "
        f"factor), {units.text(float(shaft.warmth.T[i].max()), 'temperature')}, friction {float(shaft.warmth.friction[i].max()):.0f} W"
        for i, name in enumerate(("front", "rear"))
    )
    return f"Bearings: two {shaft.bearing.name}, {check.form.balls} balls; the worst of the duty points: {'; '.join(ends)}."


def _grease_line(check: MachineCheck, units: Units) -> str:
    grease = check.shaft.grease
    at_70, kelvin, fahrenheit = (
        units.text(float(np.min(interval)), "time", 3)
        for interval in (grease.at_70, grease.halving_per_15_K, grease.halving_per_15_degF)
    )
    return (
        f"Grease ({check.form.grease}): relubrication after {at_70} at 70 °C; at the bearing's temperature {kelvin} by halving per 15 K "
        f"above it (bearing catalogues), {fahrenheit} by the stricter halving per 15 °F (common practice, no source). Judged by the "
        f"{'former' if check.form.grease_rule == CATALOGUE_RULE else 'latter'}."
    )


def _tried_line(check: MachineCheck) -> list[str]:
    if len(check.tried) == 1:
        return []
    best = check.tried[0]
    outcome = f"the one taken misses {', '.join(best.missed)}" if best.missed else "the one taken keeps every limit"
    return [
        f"{len(check.tried)} choices of bearings, balls and grease were tried, and ranked by what they miss in sum, those near a critical "
        f"speed last; {outcome}. The table shows the first {min(TRIED, len(check.tried))}: a maker's advice goes before it."
    ]


def _tried_table(check: MachineCheck, units: Units) -> list[Table]:
    """The best of the bearings that were tried; none where nothing was open."""
    if len(check.tried) == 1:
        return []
    rows = [
        (
            f"{tried.check.bearing.name}, {tried.form.balls}",
            tried.form.grease,
            units.text(float(tried.check.critical[0]), "speed"),
            units.text(float(tried.check.life.min()), "time", 3),
            units.text(float(tried.check.warmth.T.max()), "temperature"),
            units.text(float(tried.check.grease.by(tried.form.grease_rule).min()), "time", 3),
            str(len(tried.missed)),
        )
        for tried in check.tried[:TRIED]
    ]
    head = ("bearings tried", "grease", "first critical", "least life", "warmest", "relubrication", "limits missed")
    return [Table(head, rows, 2)]


def _passed(check: MachineCheck) -> list[str]:
    """Limits that must not be passed and are, each with what to do; guidelines stand in the tables."""
    every = [limit for limits in check.limits.values() for limit in limits if limit.hard and not limit.passed]
    return [f"LIMIT passed over: {limit.name}. Relief: {limit.advice}." for limit in every]


def rotor_rows(check: MachineCheck, units: Units) -> list[tuple[str, str]]:
    """The rotor as it was taken: every choice, and what was proposed where it was left open."""
    form, shaft = check.form, check.shaft
    taken = {
        "shaft_diameter": (
            shaft.parts.diameter[shaft.parts.front - 1 if shaft.parts.front else shaft.parts.rear - 1],
            "length",
        ),
        "overhang": (shaft.parts.overhang, "length"),
        "span": (shaft.parts.span, "length"),
        "bearing": (shaft.bearing.name, ""),
        "preload": (shaft.preload, "force"),
        "category": (shaft.category, ""),
        "drive_mass": (shaft.parts.drive_mass, "mass"),
        "belt_pull": (shaft.belt_pull, "force"),
        "running_clearance": (check.wheel.wanted, "length"),
        "support_stiffness": (form.support_stiffness, "stiffness"),
        "bearing_life": (form.bearing_life, "time"),
        "grease_interval": (form.grease_interval, "time"),
        "overspeed": (form.overspeed, "ratio"),
    }
    rows = []
    for name, chosen in form.items():
        value, kind = taken.get(name, (chosen, ""))
        rows.append((name, units.text(float(value), kind, 3) if kind else str(value)))
    return rows


def machine_lines(check: MachineCheck) -> list[str]:
    """The machine in a few lines of plain text, for the terminal."""
    shaft, rpm = check.shaft, 30 / np.pi
    hour = 3600.0
    return [
        f"rotor: first critical speed {shaft.critical[0] * rpm:.0f} rpm, runs up to {check.fastest * rpm:.0f} rpm; burst estimated at "
        f"{check.wheel.burst * rpm:.0f} rpm",
        f"bearings: two {shaft.bearing.name}, life {shaft.life.min() / hour:.0f} h, {np.max(shaft.warmth.T) - 273.15:.0f} degC, "
        f"relubrication every {np.min(shaft.grease.by(check.form.grease_rule)) / hour:.0f} h ({check.form.grease_rule})",
    ]


def machine_record(check: MachineCheck) -> dict[str, Any]:
    """The machine as plain data in SI units."""

    def plain(value: Any) -> float | None:
        return float(value) if np.isfinite(value) else None

    shaft, wheel = check.shaft, check.wheel
    return {
        "limits": [
            {
                "chapter": chapter, "name": limit.name, "value": plain(limit.value), "low": plain(limit.low), "high": plain(limit.high),
                "margin": plain(limit.margin), "quantity": limit.quantity, "hard": limit.hard, "passed": bool(limit.passed),
                "source": str(limit.source), "advice": limit.advice,
            }
            for chapter, limits in check.limits.items() for limit in limits
        ],
        "wheel": {
            "mass": check.body.mass, "polar_inertia": check.body.polar, "diametral_inertia": check.body.diametral,
            "burst_speed": plain(wheel.burst), "tip_speed_allowed": plain(wheel.tip_speed), "rim_growth": wheel.rim_growth,
        },
        "rotor": {
            "critical_speeds": [plain(speed) for speed in shaft.critical], "bearing": shaft.bearing.name,
            "bearing_stiffness": [float(k) for k in shaft.stiffness], "mass": float(shaft.parts.total_mass),
            "overhang": float(shaft.parts.overhang), "span": float(shaft.parts.span), "permissible_unbalance": shaft.unbalance,
        },
        "bearings": {
            name: {
                "radial": shaft.radial[i].tolist(), "axial": shaft.axial[i].tolist(), "life": shaft.life[i].tolist(),
                "basic_life": shaft.basic[i].tolist(), "temperature": shaft.warmth.T[i].tolist(),
                "relubrication_halving_per_15_K": shaft.grease.halving_per_15_K[i].tolist(),
                "relubrication_halving_per_15_degF": shaft.grease.halving_per_15_degF[i].tolist(),
            }
            for i, name in enumerate(("front", "rear"))
        },
        "thrust": np.asarray(shaft.thrust.total).tolist(),
    }  # fmt: skip
