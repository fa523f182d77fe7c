"""Control and site in words and numbers: the plant's curve, turndown, peak, power and energy by kind of control, other days."""

from typing import NamedTuple

import numpy as np

from aerodesign.aero.control import FLOWS, Controlled, Turndown
from aerodesign.aero.design import Design
from aerodesign.aero.system import fixed_part
from aerodesign.core.units import FOOT
from aerodesign.report.display import Units
from aerodesign.report.tables import rise_word

PARTS = (0.8, 0.6)
"""Flows over the design flow at which the table of control gives the power."""

MWH = 3.6e9


class Peak(NamedTuple):
    """The top of the pressure characteristic at the design speed, and the upper edge of the stall band there."""

    flow: float
    rise: float
    edge: float


def peak(design: Design) -> Peak:
    """Peak and stall band's edge of the map's line nearest to the design speed."""
    chart = design.map
    line = int(np.argmin(np.abs(chart.speed[:, 0] - design.speed)))
    flow = float(chart.stall["peak of the pressure characteristic"][line])
    rise = float(np.interp(flow, chart.operation.flow[line], chart.operation.pressure_rise[line]))
    return Peak(flow, rise, float(chart.stall_band[1][line]))


def plant_line(design: Design, units: Units) -> str:
    """The plant's curve in a sentence."""
    asked = design.points[design.design_index].wanted
    fixed = float(fixed_part(design.control.system, design_rise=asked))
    if fixed <= 0:
        return f"The plant: no fixed {rise_word(design)} was given, so all of it grows with the square of the flow, through the design duty."
    return (
        f"The plant: {units.text(fixed, 'pressure rise')} at every flow ({100 * fixed / asked:.0f} % of the design duty's), and the rest "
        "grows with the square of the flow, through the design duty."
    )


def peak_line(design: Design, units: Units) -> str:
    """Peak and turndown at the design speed in a sentence."""
    top = peak(design)
    return (
        f"At the design speed the {rise_word(design)} peaks at {units.text(top.rise, 'pressure rise')} and "
        f"{units.text(top.flow, 'volume flow')}, {100 * top.flow / design.flow:.0f} % of the design flow; the stall band ends at "
        f"{units.text(top.edge, 'volume flow')}, {100 * top.edge / design.flow:.0f} %."
    )


def control_heads(design: Design, units: Units) -> list[str]:
    """Heads of :func:`control_rows`."""
    powers = [f"shaft power at {100 * part:.0f} %, {units.label('power')}" for part in PARTS]
    energy = ["energy a year, MWh"] if has_hours(design) else []
    return ["control", "ended by", "least flow, % of design", *powers, *energy]


def control_rows(design: Design, units: Units) -> list[list[str]]:
    """Each kind of control: how far down it follows the plant, its power on the way, and its energy at the duty points."""
    rows = []
    for kind, one in design.control.curves.items():
        down = design.control.turndown[kind]
        least = least_flow(down)
        ended = down.limit or "nothing"
        powers = [_power_at(one, part, units) for part in PARTS]
        energy = design.control.energy[kind]
        cells = [kind, ended, least, *powers]
        if has_hours(design):
            cells.append("a point is out of reach" if np.isnan(energy) else f"{energy / MWH:.1f}")
        rows.append(cells)
    return rows


def least_flow(down: Turndown) -> str:
    """The least flow of a control in percent of the design flow."""
    if np.isnan(down.ratio):
        return "none"
    return f"{100 * down.ratio:.0f}" if down.limit else f"below {100 * down.ratio:.0f}"


def _power_at(one: Controlled, part: float, units: Units) -> str:
    point = one[int(np.argmin(np.abs(FLOWS - part)))]
    if not point.reached:
        return "not reached"
    return units.number(point.shaft_power, "power") + (" (stall)" if point.in_stall_band else "")


def has_hours(design: Design) -> bool:
    """True where the case says for how long its duty points run."""
    return bool(np.any(design.points.hours > 0))


def condition_names(design: Design, units: Units) -> dict[str, str]:
    """The conditions as a reader knows them, with their numbers."""
    asked, sites = design.conditions, design.site_curves.sites
    standard = float(sites.temperature[design.site_curves.names.index("standard day"), 0])
    scale, degree = (1.8, "°F") if units.system == "us" else (1.0, "K")
    height = f"{asked.higher / FOOT:.0f} ft" if units.system == "us" else f"{asked.higher:.0f} m"
    loss = units.text(float(asked.filter_loss), "pressure rise", 3)
    return {
        "as given": "site as given",
        "standard day": f"standard day, {units.text(standard, 'temperature', 3)}",
        "higher site": f"{height} higher",
        "hot day": f"hot day, {scale * asked.hotter:.0f} {degree} hotter",
        "cold day": f"cold day, {scale * asked.colder:.0f} {degree} colder",
        "blocked filter": f"filter blocked, {loss} at design flow",
    }


def site_heads(design: Design, units: Units) -> list[str]:
    """Heads of :func:`site_rows`."""
    return [
        "at the design speed and flow", f"{rise_word(design)}, {units.label('pressure rise')}", f"shaft power, {units.label('power')}",
        f"mass flow, {units.label('mass flow')}", "mass flow, %",
    ]  # fmt: skip


def site_rows(design: Design, units: Units) -> list[list[str]]:
    """The machine at its design speed and volume flow under each condition; then in the other service."""
    found, service = design.site_curves, design.duty.service
    names = condition_names(design, units)
    other = "pressure" if service == "vacuum" else "vacuum"
    words = {"vacuum": "vacuum service: suction", "pressure": "pressure service: gauge pressure"}
    picked = [(names[name], service, row) for row, name in enumerate(found.names)] + [(words[other], other, 0)]
    rows, first = [], None
    for name, kind, row in picked:
        operation = found.services[kind]
        stage = operation.stage
        shape = operation.pressure_rise.shape
        rise, power, mass = (
            float(np.interp(design.flow, operation.flow, np.broadcast_to(values, shape)[row]))
            for values in (operation.pressure_rise, stage.power / design.choices.mechanical_efficiency, stage.mass_flow)
        )
        first = first or mass
        rows.append([
            name, units.number(rise, "pressure rise") if rise > 0 else "none", units.number(power, "power"), units.number(mass, "mass flow"),
            f"{100 * mass / first:.0f}",
        ])  # fmt: skip
    return rows
