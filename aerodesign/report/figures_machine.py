"""The rotor and the disc: whirl speeds against running speed, stress along the radius."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from aerodesign.report.display import Units
from aerodesign.report.figures_base import BLUE, GREY, INK, ORANGE, PALE, PURPLE, boxed, new_figure, styled
from aerodesign.whole import MachineCheck

Array = NDArray[Any]


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
    lower.minorticks_off()
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
    """The disc's section with its von Mises stress at the fastest running speed; below, hoop stress on its faces and of a disc that cannot bend."""
    figure = new_figure(7.4, 7.6)
    upper, lower = figure.subplots(2, 1, height_ratios=[1.5, 1])
    wheel = check.wheel
    section, field = wheel.section, wheel.field
    r, z, stress = (
        units.value(_as_grid(x, section.r.shape), kind)
        for x, kind in ((section.point_r, "length"), (section.point_z, "length"), (field.equivalent, "stress"))
    )
    shown = upper.contourf(r, z, stress, levels=12, cmap="cividis")
    edge_r, edge_z = (
        units.value(np.concatenate([x[:, 0], x[-1], x[::-1, -1], x[0, ::-1]]), "length") for x in (section.r, section.z)
    )
    upper.plot(edge_r, edge_z, color=INK, linewidth=1)
    upper.set_aspect("equal")
    upper.invert_yaxis()
    upper.set_xlabel(f"radius, {units.label('length')}")
    upper.set_ylabel(f"z, the inlet above, {units.label('length')}")
    figure.colorbar(shown, ax=upper, label=f"von Mises, {units.label('stress')}", shrink=0.9)
    strength = units.text(wheel.strength, "stress", 3)
    upper.set_title(
        f"at {units.text(check.fastest, 'speed')}; {check.material.name} yields at {strength} (from memory)"
    )

    hoop = _nodal_hoop(check)
    nodes = units.value(section.r[:, 0], "length")
    lower.plot(nodes, units.value(hoop[:, -1], "stress"), color=ORANGE, linewidth=2, label="back face")
    lower.plot(
        nodes, units.value(hoop[:, 0], "stress"), color=BLUE, linestyle=(0, (5, 2)), linewidth=2, label="front face"
    )
    plane = wheel.plane
    lower.plot(
        units.value(plane.r, "length"), units.value(plane.hoop, "stress"), color=GREY, linestyle=(0, (1, 1)), linewidth=1.8,
        label="disc that cannot bend",
    )  # fmt: skip
    lower.axhline(0, color=GREY, linewidth=0.8)
    lower.set_ylabel(f"hoop stress, {units.label('stress')}")
    lower.set_xlabel(f"radius, {units.label('length')}")
    lower.legend(loc="best", handlelength=3)
    return figure


def _as_grid(values: Array, nodes: tuple[int, ...]) -> Array:
    """Values at the points of integration, (cells, 9), as a grid along radius and thickness."""
    m, n = (nodes[0] - 1) // 2, (nodes[1] - 1) // 2
    return values.reshape(m, n, 3, 3).transpose(0, 2, 1, 3).reshape(3 * m, 3 * n)


def _nodal_hoop(check: MachineCheck) -> Array:
    """Hoop stress on the faces, where nothing presses: of the hoop strain and the radial strain along the face."""
    wheel, material = check.wheel, check.material
    section, moved = wheel.section, wheel.field.displacement
    hot = material.expansion * (wheel.warmth - 293.15)[:, None]
    hoop = moved[..., 0] / section.r - hot
    along = np.hypot(np.gradient(section.r, axis=0), np.gradient(section.z, axis=0))
    stretched = sum(
        np.gradient(x, axis=0) * np.gradient(moved[..., k], axis=0) for k, x in ((0, section.r), (1, section.z))
    )
    meridional = stretched / along**2 - hot
    return np.asarray(material.modulus / (1 - material.poisson**2) * (hoop + material.poisson * meridional))
