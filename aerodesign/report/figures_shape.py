"""Figures of the shape: meridional view, blade angles and wrap, volute schedule and plan. Lengths to scale in views."""

from dataclasses import fields, replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, MultipleLocator

from aerodesign.aero.design import Design
from aerodesign.aero.sections import Section
from aerodesign.aero.spiral import schedule, tongue
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body, points
from aerodesign.geometry.discharge import plan
from aerodesign.geometry.entry import diffuser_entry
from aerodesign.geometry.entry import middle as slot_middle
from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREEN, GREY, INK, ORANGE, PALE, SPANS, boxed, new_figure, styled

LEAD = 0.25
"""How far ahead of the leading edge the walls are drawn, in the contours' parameter."""
SPAN_OF = {"hub": 0.0, "mean": 0.5, "shroud": 1.0}


@styled
def meridional_view(design: Design, units: Units, blading: Blading) -> Figure:
    """Half section to scale: wheel, blade, casing, vaneless diffuser and the volute's throat section."""
    wheel, diffuser, volute = design.blower.impeller, design.blower.diffuser, design.blower.volute
    figure = new_figure(6.6, 6.8)
    axes = figure.add_subplot()

    def length(values: Any) -> Any:
        return units.value(np.asarray(values, float), "length")

    def draw(zr: Any, **look: Any) -> None:
        axes.plot(*length(zr).T, **(dict[str, Any](color=INK, linewidth=1.6) | look))

    channel = blading.meridional
    t = np.linspace(0, 1, 121)
    hub, tip = channel.hub.at(t), channel.shroud.at(t)
    axes.fill(*length(np.concatenate([hub, tip[::-1]])).T, facecolor=BLUE, alpha=0.15, edgecolor="none")
    try:
        outline = body(wheel, channel, lead=LEAD, form=design.form.wheel)
        ring = np.concatenate(
            [outline.hub.at(np.linspace(-LEAD, 1, 161))[::-1], *(points(c, 40) for c in outline.outline)]
        )
        axes.fill(*length(ring).T, facecolor=PALE, edgecolor=INK, linewidth=1.2)
        if outline.cover:
            cover = np.concatenate(
                [outline.shroud.at(np.linspace(-LEAD, 1, 161))[::-1], *(points(c, 80) for c in outline.cover)]
            )
            axes.fill(*length(cover).T, facecolor=PALE, edgecolor=INK, linewidth=1.2)
    except RejectedSolid:  # a bore that leaves no wall: the flow path is drawn all the same
        draw(channel.hub.at(np.linspace(-LEAD, 1, 161)))
    casing = blading.casing().at(np.linspace(-LEAD, 1, 161))
    if not bool(wheel.covered):
        draw(casing)

    draw(np.stack([hub[0], tip[0]]), color=BLUE, linewidth=2.4)
    draw(np.stack([hub[-1], tip[-1]]), color=BLUE, linewidth=2.4)

    r2, r3, half = float(wheel.r2), float(diffuser.r3), float(diffuser.b3) / 2
    entry = diffuser_entry(design.blower)
    middle, pinched = float(slot_middle(wheel)), float(entry.end)
    for side, start in ((-1, float(entry.front)), (1, float(entry.back))):
        draw([(middle + start, r2), (middle + side * half, pinched), (middle + side * half, r3)])
    section = _fine(volute.section).outline(size=volute.size4, r3=diffuser.r3, b3=diffuser.b3)
    draw(np.stack([middle + section.z, section.r], axis=-1))
    draw([(middle - half, r3), (middle + half, r3)], color=GREY, linewidth=0.9, linestyle=(0, (3, 2)))

    z_low = float(min(hub[0, 0], channel.hub.at(-LEAD)[0])) - 0.75 * float(wheel.r1h)
    z_high = max(middle + float(np.max(section.z)), float(wheel.axial_length) + 0.2 * r2)
    draw([(z_low - 0.1 * r2, 0), (z_high + 0.25 * r2, 0)], color=GREY, linewidth=0.9, linestyle="-.")
    # radii, in a ladder left of the wheel so that no label meets another
    for step, (name, r, z) in enumerate(
        (
            ("r₁ₕ", float(wheel.r1h), 0.0),
            ("r₁ₛ", float(wheel.r1s), 0.0),
            ("r₂", r2, float(tip[-1, 0])),
            ("r₃", r3, middle - half),
        )
    ):
        _radius(axes, units, name, r, z_low - (0.02 + 0.13 * step) * r2, z)
    for name, width, z, r in (
        ("b₂", wheel.b2, float(hub[-1, 0]), r2),
        ("b₃", diffuser.b3, middle + half, (pinched + r3) / 2),
    ):
        axes.plot(length([z, z_high]), length([r, r]), color=GREY, linewidth=0.5)
        boxed(axes, length(z_high), length(r), f"{name} = {units.text(width, 'length')}", va="center")
    boxed(
        axes,
        length(middle),
        length(r3 + 0.5 * float(volute.size4)),
        f"throat\n{units.text(volute.A4, 'area')}",
        ha="center",
        va="center",
    )
    axes.annotate(
        "leading edge",
        length(hub[0] * 0.4 + tip[0] * 0.6),
        length((-0.05 * r2, float(wheel.r1s) + 0.3 * r2)),
        fontsize=9,
        color=BLUE,
        ha="right",
        arrowprops=dict(arrowstyle="-", color=BLUE, linewidth=0.8),
    )
    axes.set_aspect("equal")
    axes.set_ylim(bottom=length(-0.06 * r2))
    axes.set_xlabel(f"along the axis, {units.label('length')}")
    axes.set_ylabel(f"radius, {units.label('length')}")
    axes.xaxis.set_major_locator(MaxNLocator(6))
    return figure


def _fine(section: Section) -> Section:
    """The section with more points on its outline, where its family counts them."""
    return replace(section, points=121) if any(f.name == "points" for f in fields(section)) else section  # type: ignore[arg-type, type-var]


def _radius(axes: Axes, units: Units, name: str, r: float, z: float, z_from: float) -> None:
    """A dimension line from the axis to a radius, with its value beside it."""
    x, y, start = (float(units.value(v, "length")) for v in (z, r, z_from))
    axes.annotate(
        "",
        (x, y),
        (x, 0),
        arrowprops=dict(arrowstyle="<|-|>", color=GREY, linewidth=0.8, shrinkA=0, shrinkB=0, mutation_scale=7),
    )
    axes.plot([x, start], [y, y], color=GREY, linewidth=0.5)
    low = name == "r₁ₕ"  # too short for a text within
    boxed(
        axes,
        x,
        1.1 * y if low else 0.55 * y,
        f"{name} = {units.text(r, 'length')}",
        rotation=90,
        ha="center",
        va="bottom" if low else "center",
        fontsize=8.5,
    )


@styled
def blade_angles(design: Design, units: Units, blading: Blading) -> Figure:
    """Blade angle and wrap along the meridional length at hub, mean and shroud, and the passage area."""
    figure = new_figure(9.0, 3.6)
    angle, wrap, area = figure.subplots(1, 3)
    for name, span in SPAN_OF.items():
        line = blading.span(span)
        angle.plot(100 * line.x, np.degrees(line.beta), color=SPANS[name], label=name)
        wrap.plot(100 * line.x, np.degrees(line.theta), color=SPANS[name], label=name)
    angle.set_ylabel("blade angle from meridional, °")
    wrap.set_ylabel("polar angle, °")
    curves = blading.curves()
    area.plot(100 * curves.x, units.value(curves.area, "area"), color=INK)
    area.set_ylim(bottom=0)
    area.set_ylabel(f"passage area without blades, {units.label('area')}")
    wrap.legend()
    for axes, title in (
        (angle, "blade angle"),
        (wrap, f"wrap, {np.degrees(blading.wrap):.0f}° at the hub"),
        (area, "passage area"),
    ):
        axes.set_title(title)
        axes.xaxis.set_major_locator(MultipleLocator(25))
        axes.set_xlim(0, 100)
        axes.set_xlabel("meridional length, %")
    if design.blower.impeller.splitters > 0:
        for axes in (angle, wrap):
            axes.axvline(100 * float(design.blower.impeller.splitter_start), color=GREY, linewidth=0.8, linestyle=":")
    return figure


@styled
def volute_schedule(design: Design, units: Units) -> Figure:
    """The unrolled spiral: area, area over centroid radius, and outer radius over the angle from the tongue."""
    spiral = schedule(design.blower.volute, design.blower.diffuser, np.linspace(0, 2 * np.pi, 121))
    degrees = np.degrees(spiral.theta)
    figure = new_figure(9.0, 3.4)
    drawn = (
        (spiral.area, "area", "section area", BLUE),
        (spiral.area / spiral.centroid_radius, "length", "area over centroid radius", GREEN),
        (spiral.outer_radius, "length", "outer radius", ORANGE),
    )
    for axes, (values, kind, title, colour) in zip(figure.subplots(1, 3), drawn, strict=True):
        shown = units.value(values, kind)
        axes.plot(degrees, shown, color=colour)
        axes.plot(degrees[::20], shown[::20], "o", color=colour, markersize=4)
        axes.set_title(title)
        axes.set_ylabel(f"{title}, {units.label(kind)}")
        axes.set_xlabel("angle from the tongue, °")
        axes.xaxis.set_major_locator(MultipleLocator(90))
        axes.set_xlim(0, 360)
        if kind == "area" or colour == GREEN:
            axes.set_ylim(bottom=0)
    return figure


@styled
def plan_view(design: Design, units: Units, blading: Blading | None) -> Figure:
    """Spiral, tongue, discharge and wheel seen along the axis, to scale; the wheel turns counter-clockwise here."""
    wheel, diffuser, volute = design.blower.impeller, design.blower.diffuser, design.blower.volute
    figure = new_figure(6.6, 6.6)
    axes = figure.add_subplot()

    def length(values: Any) -> Any:
        return units.value(np.asarray(values, float), "length")

    outline = plan(volute, diffuser)
    axes.fill(length(outline.x), length(outline.y), facecolor="#eef3f7", edgecolor=INK, linewidth=1.8)
    turn = np.linspace(0, 2 * np.pi, 241)
    for r, look in (
        (diffuser.r3, dict(color=GREY, linestyle=(0, (4, 2)), linewidth=1)),
        (wheel.r2, dict(color=BLUE)),
        (wheel.r1s, dict(color=BLUE, linewidth=1)),
        (wheel.r1h, dict(color=BLUE, linewidth=1)),
    ):
        axes.plot(length(r * np.cos(turn)), length(r * np.sin(turn)), **look)
    if blading is not None:
        _blades(axes, length, wheel, blading)

    _turning(axes, length, 0.5 * (float(wheel.r2) + float(diffuser.r3)))
    nose = tongue(volute, diffuser)
    tip = float(nose.tip_radius) * np.array([np.cos(nose.tip_angle), np.sin(nose.tip_angle)])
    r3 = float(diffuser.r3)
    axes.annotate(
        f"tongue\n{units.text(nose.gap, 'length')} from\nthe base circle",
        length(tip),
        length((r3 + 1.25 * float(volute.size4), -0.35 * r3)),
        fontsize=9,
        ha="left",
        va="top",
        arrowprops=dict(arrowstyle="-", color=INK, linewidth=0.8, relpos=(0, 1)),
    )
    x, y = np.asarray(outline.x), np.asarray(outline.y)
    top = y >= y.max() - 1e-9
    boxed(
        axes,
        length(x[top].mean()),
        length(y.max() + 0.06 * r3),
        f"flange, diameter {units.text(2 * volute.r5, 'length')}",
        ha="center",
        va="bottom",
    )
    boxed(
        axes,
        length(x.min()),
        length(y.min() - 0.1 * r3),
        f"{units.text(np.ptp(x), 'length')} by {units.text(np.ptp(y), 'length')} over the flow path, wheel {units.text(2 * wheel.r2, 'length')}",
        ha="left",
        va="top",
    )
    axes.set_aspect("equal")
    axes.margins(0.06)
    axes.set_xlabel(f"x, {units.label('length')}")
    axes.set_ylabel(f"y, {units.label('length')}")
    return figure


def _blades(axes: Axes, length: Any, wheel: Any, blading: Blading) -> None:
    """Camber lines of the blade tips; splitters thinner."""
    line = blading.span(1.0)
    pitch = 2 * np.pi / float(wheel.blades)
    rows = [(0.0, 0.0, 1.1)] + (
        [(blading.splitter_turn, float(wheel.splitter_start), 0.7)] if wheel.splitters > 0 else []
    )
    for turn, start, width in rows:
        part = line.x >= start
        r, theta = line.r[part][::8], line.theta[part][::8] + turn
        for k in range(round(float(wheel.blades))):
            axes.plot(
                length(r * np.cos(theta + k * pitch)),
                length(r * np.sin(theta + k * pitch)),
                color=BLUE,
                linewidth=width,
            )


def _turning(axes: Axes, length: Any, r: float) -> None:
    """An arrow in the sense of rotation."""
    arc = np.radians(np.linspace(200, 250, 30))
    axes.plot(length(r * np.cos(arc)), length(r * np.sin(arc)), color=ORANGE, linewidth=1.6)
    ends = np.radians([249.0, 253.0])
    axes.annotate(
        "",
        length((r * np.cos(ends[1]), r * np.sin(ends[1]))),
        length((r * np.cos(ends[0]), r * np.sin(ends[0]))),
        arrowprops=dict(arrowstyle="-|>", color=ORANGE, linewidth=1.6, shrinkA=0, shrinkB=0),
    )
