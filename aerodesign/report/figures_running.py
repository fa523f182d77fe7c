"""Figures of the machine as it is run: octave bands of its sound, and the machine in the place of an existing one."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from aerodesign.aero.design import Design
from aerodesign.geometry.fit import Fit
from aerodesign.machine.sound_bands import CENTRES
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PALE, PURPLE, boxed, new_figure, styled

LOOKS: tuple[tuple[str, Any, str], ...] = (
    (BLUE, "-", "o"),
    (ORANGE, (0, (5, 2)), "s"),
    (INK, (0, (5, 1.5, 1, 1.5)), "D"),
)


@styled
def sound(design: Design, units: Units) -> Figure:
    """Sound power of the octave bands at the design point by all estimates, the band about them, and what silencer and lagging leave."""
    found, at = design.running.sound, design.design_index
    # Room for the labels by hand: measuring them would cost as much as the drawing.
    figure = Figure(figsize=(7.4, 4.2))
    axes = figure.add_axes((0.09, 0.125, 0.895, 0.855))
    place = np.arange(len(CENTRES))
    both = np.array([level[:, at] for level in found.estimates.values()])
    low, high = np.nanmin(both, axis=0) - found.spread, np.nanmax(both, axis=0) + found.spread
    axes.fill_between(
        place, low, high, color=PALE, alpha=0.6, linewidth=0, label=f"within {found.spread:.0f} dB of any"
    )
    for (name, level), (colour, dashes, marker) in zip(found.estimates.items(), LOOKS, strict=True):
        axes.plot(place, level[:, at], color=colour, linestyle=dashes, marker=marker, markersize=6, label=name)
    for name, level, colour, marker, given in (
        ("behind the silencer", found.silenced, GREEN, "^", design.form.noise.silencer),
        ("behind the lagging", found.lagged, PURPLE, "v", design.form.noise.lagging),
    ):
        if any(given):
            look: dict[str, Any] = dict(color=colour, linestyle=(0, (1, 1.2)), marker=marker, markersize=6)
            axes.plot(place, level[:, at], label=name, **look)
    axes.set_xticks(place, [f"{f / 1e3:.0f} k" if f >= 1000 else f"{f:.0f}" for f in CENTRES])
    axes.set_xlabel("octave band, Hz")
    axes.set_ylabel("sound power level, dB re 1 pW")
    axes.legend(loc="best")
    return figure


@styled
def fit_drawing(place: Fit, design: Design, units: Units) -> Figure:
    """The flow path of the machine over the place that the case describes: both to scale, the shaft at the origin."""
    form = design.form.fit
    figure = new_figure(6.8, 6.8)
    axes = figure.add_subplot()

    def length(values: Any) -> Any:
        return units.value(np.asarray(values, float), "length")

    x, y = np.asarray(place.outline.x), np.asarray(place.outline.y)
    axes.fill(
        length(x), length(y), facecolor="#e3edf5", edgecolor=BLUE, linewidth=1.8, label="flow path of this machine"
    )
    wheel = np.linspace(0, 2 * np.pi, 121)
    r2 = float(design.blower.impeller.r2)
    axes.plot(length(r2 * np.cos(wheel)), length(r2 * np.sin(wheel)), color=BLUE, linewidth=0.9)
    axes.plot([0], [0], marker="+", color=INK, markersize=13, markeredgewidth=1.6, linestyle="none", label="shaft")

    (left, low), (right, high) = place.low - form.room, place.high + form.room
    axes.plot(length([left, right, right, left, left]), length([low, low, high, high, low]), color=BLUE, linewidth=0.9, linestyle=(0, (1, 1.5)),
              label="with its walls and flanges")  # fmt: skip
    if np.isfinite(form.across) or np.isfinite(form.tall):
        # The place has a size but no position of its own: it stands on its floor where one is known, else about the machine's middle.
        wide = form.across if np.isfinite(form.across) else right - left
        tall = form.tall if np.isfinite(form.tall) else high - low
        middle = (left + right) / 2
        floor = -form.shaft_height if np.isfinite(form.shaft_height) else (low + high - tall) / 2
        corners = [middle - wide / 2, middle + wide / 2]
        axes.plot(length([*corners, *corners[::-1], corners[0]]), length([floor, floor, floor + tall, floor + tall, floor]), color=ORANGE,
                  linestyle=(0, (6, 2)), linewidth=1.8, label="place of the existing machine")  # fmt: skip
    if np.isfinite(form.shaft_height):
        axes.axhline(float(length(-form.shaft_height)), color=GREY, linewidth=2.2, label="floor")
    turn = float(place.facing)
    along = np.array([np.cos(turn), np.sin(turn)])
    own = np.array([place.discharge_x, place.discharge_y], float)
    _flange(axes, length, own, along, float(design.blower.volute.r5), BLUE, 4.0)
    if np.isfinite(form.discharge_offset) and np.isfinite(form.discharge_height):
        half = form.discharge_bore / 2 if np.isfinite(form.discharge_bore) else float(design.blower.volute.r5)
        there = np.array([form.discharge_offset, form.discharge_height])
        _flange(axes, length, there, along, half, ORANGE, 4.0)
        words_x, words_y = length(there - [0, 0.03 * (high - low)])
        boxed(axes, words_x, words_y, "existing flange", color=ORANGE, ha="center", va="top")
    axes.set_aspect("equal")
    axes.margins(0.07)
    axes.set_xlabel(f"across, seen from the drive, {units.label('length')}")
    axes.set_ylabel(f"over the shaft, {units.label('length')}")
    figure.legend(loc="outside lower center", ncols=3)
    return figure


def _flange(axes: Any, length: Any, middle: Any, along: Any, half: float, colour: str, width: float) -> None:
    ends = np.stack([middle - half * along, middle + half * along])
    axes.plot(length(ends[:, 0]), length(ends[:, 1]), color=colour, linewidth=width, solid_capstyle="butt")
