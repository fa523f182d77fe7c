"""The rotor and the disc: whirl speeds against running speed, stress along the radius."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PALE, PURPLE, boxed, new_figure, styled
from aerodesign.whole import MachineCheck


@styled
def campbell(check: MachineCheck, units: Units) -> Figure:
    """Whirl speeds of the rotor against its speed above; below, the wheel's whirl by the permissible unbalance."""
    figure = new_figure(7.4, 6.4)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[2.2, 1])
    at = check.shaft.whirling
    pace = units.value(at.speed, "speed")
    top = 2.2 * pace[-1]
    for axes in (upper, lower):
        low, high = (units.value(speed, "speed") for speed in (check.slowest, check.fastest))
        axes.axvspan(low - 0.004 * pace[-1], high + 0.004 * pace[-1], color=PALE, zorder=0)
    for backward, forward in zip(at.backward, at.forward, strict=True):
        upper.plot(pace, units.value(backward, "speed"), color=BLUE, linestyle=(0, (5, 2)))
        upper.plot(pace, units.value(forward, "speed"), color=ORANGE, linewidth=2)
    upper.plot(pace, pace, color=INK, linewidth=1.2, linestyle=(0, (1, 1.5)))
    seen = [speed for speed in units.value(np.asarray(check.shaft.critical), "speed") if speed < pace[-1]]
    upper.plot(seen, seen, color=INK, marker="o", markerfacecolor="white", markersize=8, linestyle="none", zorder=7)
    for speed in seen:
        boxed(upper, speed, speed + 0.05 * top, f"{speed:.0f}", ha="center", va="bottom")
    upper.set_ylim(0, top)
    upper.set_ylabel(f"whirl speed, {units.label('speed')}")

    response_at = units.value(at.response_speed, "speed")
    lower.semilogy(response_at, units.value(at.response, "length"), color=PURPLE, linewidth=1.8)
    lower.set_ylabel(f"whirl radius of\nthe wheel, {units.label('length')}")
    lower.set_xlabel(f"speed of the rotor, {units.label('speed')}")
    lower.set_xlim(0, pace[-1])
    handles = [
        Line2D([], [], color=ORANGE, linewidth=2, label="forward whirl"),
        Line2D([], [], color=BLUE, linestyle=(0, (5, 2)), label="backward whirl"),
        Line2D([], [], color=INK, linewidth=1.2, linestyle=(0, (1, 1.5)), label="once per turn"),
        Line2D([], [], color=INK, marker="o", markerfacecolor="white", linestyle="none", label="critical speed"),
        Line2D([], [], color=PALE, linewidth=7, label="running speeds"),
        Line2D([], [], color=PURPLE, label="response to unbalance"),
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=3, columnspacing=1.4, handlelength=2.6)
    return figure


@styled
def disc_stress(check: MachineCheck, units: Units) -> Figure:
    """Stresses of the disc along the radius at the fastest running speed, above its thickness."""
    figure = new_figure(7.4, 5.6)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[2.2, 1])
    disc = check.wheel.disc
    r = units.value(disc.r, "length")
    upper.plot(r, units.value(disc.hoop, "stress"), color=ORANGE, linewidth=2, label="hoop")
    upper.plot(r, units.value(disc.radial, "stress"), color=BLUE, linestyle=(0, (5, 2)), linewidth=2, label="radial")
    upper.plot(
        r, units.value(disc.equivalent, "stress"), color=INK, linestyle=(0, (1, 1)), linewidth=1.8, label="von Mises"
    )
    upper.axhline(0, color=GREY, linewidth=0.8)
    upper.set_ylabel(f"stress, {units.label('stress')}")
    upper.legend(loc="best", handlelength=3)
    strength = units.text(check.wheel.strength, "stress", 3)
    upper.set_title(
        f"at {units.text(check.fastest, 'speed')}; {check.material.name} yields at {strength} (from memory)"
    )

    nodes = units.value(disc.nodes, "length")
    lower.fill_between(nodes, units.value(check.wheel.thickness, "length"), color=PALE, edgecolor=GREEN, linewidth=1.4)
    lower.set_ylim(bottom=0)
    lower.set_ylabel(f"axial thickness\nof the disc, {units.label('length')}")
    lower.set_xlabel(f"radius, {units.label('length')}")
    lower.set_xlim(nodes[0], nodes[-1])
    return figure
