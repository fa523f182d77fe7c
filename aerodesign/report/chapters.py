"""Chapters of the page that are words and tables of one form: drive, noise, money, fit."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.aero.money import PARTS, TARIFFS
from aerodesign.core.correlation import PRACTICE
from aerodesign.core.limit import Limit
from aerodesign.core.texts import one_line
from aerodesign.core.units import FOOT
from aerodesign.geometry.fit import Fit
from aerodesign.machine.belt import Belt
from aerodesign.machine.energy import KWH, YEAR, energy_text
from aerodesign.machine.motor import size_name
from aerodesign.machine.replaced import KINDS
from aerodesign.machine.sound_bands import CENTRES
from aerodesign.report.answer import limit_text
from aerodesign.report.display import Units

LOCAL_CODES = (
    "Cables, fuses, starters, earthing and protection are not sized here: they follow the electrical code of the place, and only "
    "people licensed for it may design and connect them."
)


class Table(NamedTuple):
    """A table as text; ``words`` columns at its left and ``tail`` at its right are words."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    words: int = 1
    tail: int = 0


class Chapter(NamedTuple):
    """A chapter: what stands above its figures, and its tables."""

    key: str
    title: str
    lines: Sequence[str]
    tables: Sequence[Table]
    figures: Sequence[str] = ()


def running_chapters(design: Design, place: Fit, units: Units) -> list[Chapter]:
    """The chapters of drive, noise and money, and of the fit."""
    return [
        drive_chapter(design, units),
        noise_chapter(design, units),
        money_chapter(design, units),
        fit_chapter(place, units),
    ]


def limit_table(name: str, limits: Sequence[Limit], units: Units) -> Table:
    """Limits of a group: value, allowed, margin, source of the bounds and, where any is passed over, what to do."""
    rows = []
    for limit in limits:
        value, allowed = limit_text(limit, units)
        bounded = np.isfinite(limit.low) or np.isfinite(limit.high)
        source, year = limit.source, f" ({limit.source.year})" if limit.source.year else ""
        trust = ", from memory" if source.from_memory else ", no source" if source == PRACTICE else ""
        number = (value, *((allowed, _margin(limit, units)) if bounded else ("", "")))
        rows.append([limit.name, *number, f"{source.author}{year}{trust}", "" if limit.passed else limit.advice])
    heads = (name, "value", "allowed", "margin", "source of the limit", "what to do")
    if any(row[-1] for row in rows):
        return Table(heads, rows, tail=2)
    return Table(heads[:-1], [row[:-1] for row in rows], tail=1)


def _margin(limit: Limit, units: Units) -> str:
    """Distance from the bound: in degrees for a temperature, else in percent of the bound."""
    if not np.isfinite(limit.margin):
        return ""
    if limit.quantity != "temperature":
        return f"{100 * float(limit.margin):.0f} %"
    bound = limit.high if np.isfinite(limit.high) else limit.low
    distance = (bound - float(limit.value)) * (1 if np.isfinite(limit.high) else -1)
    return f"{distance * (1.8 if units.system == 'us' else 1):.0f} {'°F' if units.system == 'us' else 'K'}"


def drive_chapter(design: Design, units: Units) -> Chapter:
    """Motor and transmission, the wire's power at the duty points, checks."""
    line = design.running.drive_line
    few = ", efficiency as of four" if line.standard and line.poles > 4 else ""
    plate = f"{line.grade}, {line.poles} poles{few}, {units.text(line.motor_speed, 'speed')}"
    motor = (
        f"Motor: {line.standard} {size_name(power=line.rated, standard=line.standard)}, {plate}, full-load efficiency "
        f"{units.text(line.efficiency, 'percent')}."
        if line.standard
        else f"Motor: built for the wheel's speed of {units.text(line.motor_speed, 'speed')}, about {units.text(line.rated, 'power', 3)} at its "
        f"shaft; {units.text(line.efficiency, 'percent')} of motor and inverter together at the design point (common practice, no source). No "
        "standard's sizes or efficiency classes are made for such motors."
    )
    table = (
        ""
        if np.isnan(line.table_current)
        else f"; {line.table_current:.0f} A by NEC table 430.250, by which conductors are sized there"
    )
    current = f"Full-load current about {line.current:.0f} A at {line.voltage:.0f} V, power factor {design.form.motor.power_factor:.2f}{table}."
    lines = [motor, current, LOCAL_CODES]
    if line.belt is not None:
        lines.insert(1, _belt_line(design, line.belt, units))
    lines.append(
        f"Fan energy index after AMCA 208 at the design point: {line.energy_index[design.design_index]:.2f}. That standard is written for fans; "
        "for a blower it is a yardstick, not a rating."
    )
    rows = [
        [
            str(i + 1), units.number(line.motor_power[i], "power"), units.number(line.wire_power[i], "power"),
            units.number(line.wire_to_air[i], "percent"), f"{line.energy_index[i]:.2f}",
        ]
        for i in range(len(line.motor_power))
    ]  # fmt: skip
    heads = (
        "point",
        f"at the motor's shaft, {units.label('power')}",
        f"from the wire, {units.label('power')}",
        "wire to air, %",
        "fan energy index",
    )
    return Chapter(
        "drive", "Drive and motor", lines, (Table(heads, rows), limit_table("checked", line.findings, units))
    )


def _belt_line(design: Design, belt: Belt, units: Units) -> str:
    def length(value: float, digits: int = 4) -> str:
        return units.text(value, "length", digits)

    def force(value: float) -> str:
        return units.text(value, "force", 3)

    return (
        f"Belt ({design.form.belt.kind}): pulleys {length(belt.pulley)} on the wheel and {length(belt.motor_pulley)} on the motor, centres "
        f"{length(belt.centre)} apart, length {length(belt.length)}, width {length(belt.width, 3)}; {units.text(belt.speed, 'velocity', 3)}; "
        f"tight side {force(belt.tight)}, slack side {force(belt.slack)}, pull on each shaft {force(belt.pull)}; "
        f"{units.text(belt.loss, 'power', 3)} lost. Euler's rope with common-practice numbers per kind: the belt's maker decides."
    )


def noise_chapter(design: Design, units: Units) -> Chapter:
    """Octave bands by all estimates, tones, what silencer and lagging leave."""
    found, at = design.running.sound, design.design_index
    stretched = (
        "stretched far beyond the 2.5 kPa that they were made for"
        if found.stretched
        else "within the range that they were made for"
    )
    lines = [
        f"Three published estimates for ventilation fans, {stretched}: within {found.spread:.0f} dB either way at best. Two spread one level, "
        "Madison's; the third, specific sound power, was found apart from it and is lower: their distance says how little is known. "
        "Measure before deciding.",
        f"The blades pass the tongue at {found.blade_passing[at]:.0f} Hz, first harmonic {2 * found.blade_passing[at]:.0f} Hz; the handbook "
        f"adds 5 and 3 dB in their bands where it has them, specific sound power 3 dB in the "
        f"first. For running at a part of the best efficiency {found.off_peak[at]:.0f} dB are added.",
        f"Sound pressure at {distance_text(design, units)} over a hard floor in the free: "
        + ", ".join(f"{name} {level[at]:.0f} dB(A)" for name, level in found.at_distance.items())
        + ". The insulation of the casing's wall and of pipes is not counted, nor any room.",
        "Above 80 to 85 dB(A) most countries ask for hearing protection and a noise plan; limits are theirs.",
    ]
    heads = (
        "sound power at the design point, dB",
        *(f"{f / 1e3:.0f} kHz" if f >= 1000 else f"{f:.0f} Hz" for f in CENTRES),
        "dB(A)",
    )
    rows = [
        [name, *_levels(level[:, at]), f"{found.a_weighted[name][at]:.0f}"] for name, level in found.estimates.items()
    ] + [
        [name, *_levels(level[:, at]), ""]
        for name, level, given in (
            ("behind the silencer", found.silenced, design.form.noise.silencer), ("behind the lagging", found.lagged, design.form.noise.lagging),
        )
        if any(given)
    ]  # fmt: skip
    return Chapter(
        "noise", "Noise", lines, (Table(heads, rows), limit_table("checked", found.findings, units)), ("sound",)
    )


def distance_text(design: Design, units: Units) -> str:
    """The distance at which sound is told, in metres or feet."""
    distance = float(design.form.noise.distance)
    return f"{distance / FOOT:.3g} ft" if units.system == "us" else f"{distance:.3g} m"


def _levels(bands: Sequence[float]) -> list[str]:
    return ["not given" if np.isnan(one) else f"{one:.0f}" for one in bands]


def money_chapter(design: Design, units: Units) -> Chapter:
    """The year: energy, cost, carbon; by kind of control; against the machine of today."""
    year, prices = design.running.money, design.form.money
    currency = one_line(prices.currency, 12)

    def amount(value: float) -> str:
        return f"{value:,.0f} {currency}".replace(",", " ")

    hours = (
        f"No duty point has hours: {np.sum(year.hours) / 3600:.0f} h at the design point are taken."
        if year.assumed
        else f"{np.sum(year.hours) / 3600:.0f} h a year over the duty points."
    )
    carbon = "" if np.isnan(year.carbon) else f", {year.carbon / 1e3:.1f} t of CO2 at {prices.carbon:.3g} kg/kWh"
    lines = [
        f"{hours} {energy_text(year.energy)} from the wire, {amount(year.cost)} at {prices.tariff:.3g} {currency}/kWh{carbon}."
    ]
    tables = [
        Table(
            ("control at the duty points", "from the wire a year", f"cost, {currency}"),
            [
                [kind, "a point is out of reach", ""]
                if np.isnan(used)
                else [kind, energy_text(used), amount(used / KWH * prices.tariff).removesuffix(currency)]
                for kind, used in year.by_control.items()
            ],
        )
    ]
    if design.drive.kind != "inverter":
        lines.append("Control by speed counts an inverter's loss of 3 %; the machine itself has none.")
    old = year.replaced
    if old is None:
        lines.append("No machine to replace is described, so nothing is said of savings: give [replaces] a kind.")
        return Chapter("money", "Energy and money", lines, tables)
    kind, word = KINDS[old.kind], "less" if old.saved_energy >= 0 else "MORE"
    lines.append(
        f"Instead of a {old.kind} machine ({kind.control}; {100 * old.efficiency[design.design_index]:.0f} % at the design point, by a "
        f"curve of common practice): {energy_text(old.energy)} a year now, {energy_text(abs(old.saved_energy))} or "
        f"{100 * abs(old.power_saved):.0f} % {word} with this one, {amount(abs(old.saved))} a year."
    )
    if np.isnan(prices.price):
        lines.append("No price is given, so no time of payback: give [money] a price.")
        return Chapter("money", "Energy and money", lines, tables)
    if old.saved <= 0:
        lines.append("It takes no less energy, so no price is paid back by it.")
        return Chapter("money", "Energy and money", lines, tables)
    lines.append(
        f"A price of {amount(prices.price)} is paid back in {_years(old.payback)}, without interest, upkeep or subsidy. It hangs on hours and tariff:"
    )
    rows = [
        [f"{100 * part:.0f} % of the hours", *(_years(t) for t in row)]
        for part, row in zip(PARTS, old.sensitivity, strict=True)
    ]
    tables.append(Table(("payback", *(f"tariff {t * prices.tariff:.3g} {currency}/kWh" for t in TARIFFS)), rows))
    return Chapter("money", "Energy and money", lines, tables)


def _years(time: float) -> str:
    return "never" if not np.isfinite(time) else f"{time / YEAR:.1f} years"


def fit_chapter(place: Fit, units: Units) -> Chapter:
    """Flanges and tubes; where the case says so, the place of the machine of today."""

    def length(value: float) -> str:
        return units.number(value, "length")

    lines = [
        f"With walls, flanges, feet and the room wanted round them: {units.text(place.across, 'length')} across, "
        f"{units.text(place.tall, 'length')} tall, "
        f"{units.text(place.below, 'length')} below the shaft.",
        "Nearest sizes of flange and tube; thickness, gasket, bolts and pressure rating are the piping engineer's, under the code that applies.",
    ]
    rows = []
    for one in place.connections:
        flange = one.flange
        sizes = (
            ["none here"] * 4
            if flange is None
            else [length(flange.outside), length(flange.bolt_circle), str(flange.holes), length(flange.hole)]
        )
        rows.append(
            [
                f"{one.name}, {one.standard}",
                length(one.bore),
                f"DN {one.nominal}",
                length(one.tube),
                *sizes,
                str(one.source),
            ]
        )
    mm = units.label("length")
    heads = (
        "flange", f"clear bore, {mm}", "nominal", f"tube outside, {mm}", f"flange outside, {mm}", f"bolt circle, {mm}", "holes",
        f"hole, {mm}", "source",
    )  # fmt: skip
    tables = [Table(heads, rows, tail=1)]
    if not place.asked:
        lines.append("The case describes no place to fit: give [fit] the sizes of the machine that stands there.")
        return Chapter("fit", "Fit", lines, tables)
    tables.append(limit_table("checked", place.findings, units))
    return Chapter("fit", "Fit", lines, tables, ("fit",))
