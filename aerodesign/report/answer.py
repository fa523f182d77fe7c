"""The answer first: whether the design meets its duty, its key numbers, what limits it and what must not be trusted."""

from typing import NamedTuple

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.core.correlation import card
from aerodesign.core.flags import Flag, raised
from aerodesign.core.limit import Limit
from aerodesign.machine.drive import DRIVES
from aerodesign.machine.noise import sound_power_level
from aerodesign.report.control_tables import least_flow, peak
from aerodesign.report.display import Units
from aerodesign.report.tables import rise_word

AT_BOUND = 0.01
"""A free number lies at a bound of the search within this part of the bounds' distance."""

KINDS_OF_FREE = {"speed": "speed", "backsweep": "angle", "blades": "count"}
"""Kinds of the search's numbers; the others are ratios."""

MANY_UNSOLVED = 0.05
"""Part of the bands' samples without a solution from which on the page says so."""

BANDS = {"rise": "", "work": "work", "efficiency": "efficiency", "choke": "choke flow", "stall": "stall flow"}
"""Quantities with a band, in words; the pressure's word depends on the service."""


class Item(NamedTuple):
    """One number of the answer box: what, the value, the value in the other system, and a remark."""

    name: str
    value: str
    other: str = ""
    remark: str = ""


def verdict(design: Design, units: Units) -> str:
    """The answer in a sentence."""
    points, wheel = design.points, design.blower.impeller
    count = len(points.flow)
    met = int(np.sum(points.met))
    machine = f"one wheel of {units.text(2 * wheel.r2, 'length')}"
    if not design.meets_duty:
        why = "" if met < count else " A grave flag is raised, see below."
        return f"No: {machine} meets {met} of {count} duty points.{why}"
    points_met = "the duty point" if count == 1 else f"all {count} duty points"
    power = units.text(points.shaft_power[design.design_index], "power")
    speed = units.text(points.speed[design.design_index], "speed")
    return f"Yes: {machine} meets {points_met}. At the design point it turns at {speed} and takes {power} at the shaft."


def key_numbers(design: Design, units: Units) -> list[Item]:
    """The numbers that are asked for first, at the design point."""
    at, point = design.design_index, design.points[design.design_index]
    wheel, low_high = design.blower.impeller, design.bands.efficiency
    rise_band = design.bands.rise

    def both(name: str, value: float, kind: str, remark: str = "") -> Item:
        other = units.other.text(value, kind)
        text = units.text(value, kind)
        return Item(name, text, "" if other == text else other, remark)

    splitters = f", {wheel.splitters:.0f} splitters" if wheel.splitters > 0 else ""
    band = f"90 % band {units.number(low_high[0], 'percent')} to {units.text(low_high[1], 'percent')}"
    reach = (
        f"90 % band {units.number(rise_band[0], 'pressure rise', 3)} to {units.text(rise_band[1], 'pressure rise', 3)}"
    )
    stage = design.stage
    powers = [point.shaft_power * work / stage.work for work in design.bands.work]
    work_band = f"90 % band {units.number(powers[0], 'power', 3)} to {units.text(powers[1], 'power', 3)}"
    noise = float(sound_power_level(flow=point.flow, pressure_rise=point.wanted))
    return [
        both("Flow at the inlet flange", point.flow, "volume flow", f"{units.text(design.stage.mass_flow, 'mass flow')}"),
        both(rise_word(design).capitalize(), point.pressure_rise, "pressure rise", f"at this flow and speed: {reach}"),
        both("Shaft power", point.shaft_power, "power", f"bearings counted; {work_band}"),
        both(power_word(design), point.drive_power, "power", DRIVES[design.drive.kind].note),
        Item("Speed", units.text(point.speed, "speed"), "", f"tip {units.text(point.speed * wheel.r2, 'velocity', 3)}"),
        both("Wheel diameter", 2 * wheel.r2, "length", f"{wheel.blades:.0f} blades{splitters}"),
        Item("Efficiency", units.text(design.points.efficiency[at], "percent"), "", f"isentropic, total to {design.duty.basis}, on the gas; {band}"),
        _yardstick(design, units),
        *flow_limits(design, units),
        both("Discharge temperature", point.discharge_temperature, "temperature"),
        _turndown(design, units),
        Item("Sound power", f"about {noise:.0f} dB", "", "within 10 dB either way, a rule for fans"),
    ]  # fmt: skip


def _yardstick(design: Design, units: Units) -> Item:
    """What good stages of the flow coefficient reach, beside the same efficiency of this one."""
    good = design.models.good_stage(flow_coefficient=design.stage.flow_coefficient)
    said = units.text(design.stage.efficiency_polytropic, "percent")
    source = card(design.models.good_stage).source
    remark = f"polytropic, total to total, after {source.author} ({source.year}, from memory); predicted here: {said}"
    return Item("Good large stages reach", units.text(good, "percent"), "", remark)


def flow_limits(design: Design, units: Units) -> list[Item]:
    """Where the speed line of the design point ends on both sides: as bands, never as a number."""

    def span(band: tuple[float, float], shown: Units) -> str:
        return f"{shown.number(band[0], 'volume flow', 3)} to {shown.text(band[1], 'volume flow', 3)}"

    bands = design.bands
    beyond = float(bands.line.flow[-1]) < bands.choke[0]
    ends = (
        f"90 % band; the line ends before it, at {units.text(float(bands.line.flow[-1]), 'volume flow', 3)}"
        if beyond
        else "90 % band"
    )
    return [
        Item(
            "Stall",
            span(bands.stall, units),
            span(bands.stall, units.other),
            "90 % band over three criteria, at this speed: stay above",
        ),
        Item("Choke", span(bands.choke, units), span(bands.choke, units.other), ends),
    ]


def _turndown(design: Design, units: Units) -> Item:
    """How far down the design speed may be throttled, with the peak of the pressure, and what control by speed adds."""
    top = peak(design)
    summit = f"peak {units.text(top.rise, 'pressure rise')} at {100 * top.flow / design.flow:.0f} %"
    by_speed = f"by speed along the plant's curve {least_flow(design.control.turndown['speed'])} %"
    edge = f"{100 * top.edge / design.flow:.0f} % of the flow"
    return Item("Stall band ends at", edge, "", f"at the design speed; {summit}; {by_speed}")


def power_word(design: Design) -> str:
    """What the power ahead of the drive is called: only an inverter's loss is known down to the supply."""
    return "Electric power" if design.drive.kind == "inverter" else "Motor shaft power"


def limit_text(limit: Limit, units: Units) -> tuple[str, str]:
    """A limit's value and its range as text in the units."""
    value = units.text(float(limit.value), limit.quantity, 3)
    low, high = (units.text(b, limit.quantity, 3) if np.isfinite(b) else "" for b in (limit.low, limit.high))
    allowed = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"
    return value, allowed


def what_limits(design: Design, units: Units) -> list[str]:
    """The binding limits, and the free numbers that the search left at a bound; in words."""
    lines = []
    for limit in design.limits:
        if limit.binding:
            value, allowed = limit_text(limit, units)
            kind = "limit" if limit.hard else "guideline"
            outside = "" if limit.passed else "outside the "
            lines.append(f"{limit.name}: {value}, {outside}{kind} {allowed}. Relief: {limit.advice}.")
    for name, number, low, high in search_bounds(design):
        kind = KINDS_OF_FREE.get(name, "ratio")
        end = "lower" if number - low <= high - number else "upper"
        span = f"{units.number(low, kind)} to {units.text(high, kind)}"
        lines.append(f"{name.replace('_', ' ')}: {units.text(number, kind)}, the {end} bound of the search ({span}).")
    return lines


def search_bounds(design: Design) -> list[tuple[str, float, float, float]]:
    """Free numbers at a bound of the search: name, value, bounds. Empty for a machine that was given, not sized."""
    if design.sized is None:
        return []
    found = []
    for name, (low, high) in design.sized.bounds.items():
        value = float(getattr(design.sized.proposal, name))
        if high > low and min(value - low, high - value) <= AT_BOUND * (high - low):
            found.append((name, value, low, high))
    return found


def flag_text(flag: Flag, design: Design, units: Units) -> str:
    """A flag in a sentence with its numbers in the units."""
    detail = ""
    if flag.code == "limit":
        limit = next((one for one in design.limits if flag.message.startswith(f"{one.name} lies")), None)
        detail = " ({}, allowed {})".format(*limit_text(limit, units)) if limit else ""
    elif flag.code == "stall":
        detail = f" ({units.number(flag.value, 'volume flow')} against {units.text(flag.limit, 'volume flow')})"
    elif flag.code == "range":
        detail = f"; here it is {_plain(flag)}"
    return f"{flag.message}{detail}: {flag.advice}."


def _plain(flag: Flag) -> str:
    """The value of a range flag as the range beside it is written: in SI units; the furthest one where there are many."""
    values = np.atleast_1d(flag.value)[np.atleast_1d(np.broadcast_to(flag.active, np.shape(flag.value)))]
    return f"{values[np.argmax(np.abs(values - flag.limit))]:.3g}"


def distrust(design: Design, units: Units) -> list[tuple[str, str]]:
    """What must not be trusted, gravest first: pairs of rank ("grave", "note") and sentence."""
    lines = [
        ("grave" if flag.grave else "note", flag_text(flag, design, units))
        for flag in raised(design.flags)
        if flag.grave or flag.code != "limit"  # guidelines passed over stand under what limits the design
    ]
    if design.estimated:
        lines.append(("note", f"Not given, therefore estimated: {', '.join(design.estimated)}."))
    lines.append((
        "note",
        "Everything here is a prediction along a mean streamline. No test of this machine stands behind it, and a bias that "
        "all correlations share is in no band.",
    ))  # fmt: skip
    lines.append((
        "note",
        "Triangles, incidence and blade angles take the flow at the leading edge as even from hub to shroud; the figure of the flow inside "
        "the wheel shows how uneven it is.",
    ))  # fmt: skip
    parts = (
        f"{of or rise_word(design)}: "
        + ", ".join(
            f"{input_name.replace('_', ' ')} {100 * share:.0f} %" for input_name, share in design.bands.biggest(name)
        )
        for name, of in BANDS.items()
    )
    lines.append(
        ("note", f"What makes the 90 % bands wide, the two biggest parts of each variance: {'; '.join(parts)}.")
    )
    if design.bands.unsolved > MANY_UNSOLVED:
        share = f"{100 * design.bands.unsolved:.0f} %"
        lines.append(
            (
                "note",
                f"The meanline did not close within its tolerance in {share} of the bands' samples; they count all the same.",
            )
        )
    recalled = [name.replace("_", " ") for name, card in design.sources.items() if card.source.from_memory]
    if recalled:
        lines.append((
            "note",
            f"{len(recalled)} of {len(design.sources)} correlations were written from memory, their sources not opened: {', '.join(recalled)}.",
        ))  # fmt: skip
    highest = card(sound_power_level).valid["pressure_rise"][1]
    stretched = float(np.max(design.points.wanted)) > highest
    beyond = f", stretched beyond its {units.text(highest, 'pressure')}" if stretched else ""
    lines.append(("note", f"The sound power is a rule for ventilation fans{beyond}: within 10 dB either way at best."))
    return lines
