"""The meridional view of a flow path, with dimensions: wheel in full section, casing wall, diffuser and throat above the axis.

Blades are turned into the plane of the section and not cut, as drawing practice has it. x is the axis of rotation, the gas enters
from the left.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Blower, Impeller
from aerodesign.drawing.section import section_outline
from aerodesign.drawing.view import MM, Cut, View
from aerodesign.form import WheelForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import Body, body, points
from aerodesign.geometry.entry import diffuser_entry, middle
from aerodesign.geometry.row import blade_row, inlet_lead

Array = NDArray[np.float64]

FINE = 161


def meridional_view(
    blower: Blower, blading: Blading, height: float, *, form: WheelForm | None = None, gas_path: bool = True
) -> View:
    """The view with letters of a ``height`` in mm; without the ``gas_path`` it shows the wheel alone.

    Raises :class:`RejectedSolid` for a wheel whose body cannot be.
    """
    view = View("meridional", height)
    wheel = body(blower.impeller, blading.meridional, lead=inlet_lead(blading, blade_row(blading)), form=form)
    _wheel(view, wheel, blading)
    _lengths(view, blower.impeller, wheel)
    ladder = _diameters(view, blower.impeller, wheel)
    if gas_path:
        _gas_path(view, blower, blading, wheel, ladder)
    low, high = view.box[:, 0]
    view.draw([(low - height, 0), (high + height, 0)], "centre line")
    return view


def _both(points_: Array) -> tuple[Array, Array]:
    """A half and its mirror image below the axis."""
    return points_, points_ * [1, -1]


def _wheel(view: View, wheel: Body, blading: Blading) -> None:
    """Both halves of hub, cover and blades."""
    t = np.linspace(wheel.start, 1, FINE)
    hub = MM * np.concatenate([wheel.hub.at(t)[::-1], *(points(c, 41) for c in wheel.outline)])
    cuts = [hub]
    if wheel.cover:
        cuts.append(MM * np.concatenate([wheel.shroud.at(t)[::-1], *(points(c, 81) for c in wheel.cover)]))
    for half in cuts:
        for outline in _both(half):
            view.draw(outline, closed=True)
            view.cuts.append(Cut(outline))
    on_blade = np.linspace(0, 1, FINE)
    hub_line, tip_line = MM * blading.meridional.hub.at(on_blade), MM * blading.meridional.shroud.at(on_blade)
    for line in (tip_line, np.stack([hub_line[0], tip_line[0]]), np.stack([hub_line[-1], tip_line[-1]])):
        for half in _both(line):
            view.draw(half, "blade")
    start = float(blading.impeller.splitter_start)
    if float(blading.impeller.splitters) > 0:
        edge = MM * np.array([[s.at(start).z, s.at(start).r] for s in map(blading.span, np.linspace(0, 1, 9))])
        for half in _both(edge):
            view.draw(half, "hidden")


def _gas_path(view: View, blower: Blower, blading: Blading, wheel: Body, ladder: float) -> None:
    """Casing wall, diffuser and throat section, above the axis; their radii left of ``ladder``."""
    p, diffuser, volute = blower.impeller, blower.diffuser, blower.volute
    r2, r3, half = MM * float(p.r2), MM * float(diffuser.r3), MM * float(diffuser.b3) / 2
    gap = 0.0 if bool(p.covered) else float(p.clearance)
    casing = MM * blading.casing().at(np.linspace(wheel.start, 1, FINE))
    if not bool(p.covered):
        view.draw(casing, "gas path")
    entry, centre = diffuser_entry(blower).scaled(MM), MM * float(middle(p))
    for start, wall in ((entry.front, centre - half), (entry.back, centre + half)):
        view.draw([(centre + start, r2), (wall, entry.end), (wall, r3)], "gas path")
    view.draw(section_outline(volute, diffuser, volute.size4) + np.array([centre, 0]), "gas path")
    view.draw([(centre - half, r3), (centre + half, r3)], "hidden")
    top = r3 + MM * float(volute.size4)
    view.note("throat of the volute", (centre, r3 + 0.62 * (top - r3)), "middle")
    view.note(f"{1e4 * float(volute.A4):.1f} cm²", (centre, r3 + 0.62 * (top - r3) - 1.8 * view.height), "middle")
    at = 0.3 * r2 + 0.7 * r3
    view.dimension((centre - half, at), (centre + half, at), (0, at), after=" b3")
    if not bool(p.covered):
        view.note(f"tip clearance {MM * gap:.2f}, running", (centre - half - view.height, 0.6 * r2 + 0.4 * r3), "right")
    for x, reach, name in ((centre - half, r3, "base circle"), (centre, top, "throat")):
        view.dimension((ladder, 0), (x, reach), (ladder, 0), "y", prefix="R", after=f" {name}")
        ladder -= 2.6 * view.height


def _lengths(view: View, p: Impeller, wheel: Body) -> None:
    """Axial dimensions, stacked below the wheel."""
    step = 2.6 * view.height
    length, b2, r2 = MM * float(p.axial_length), MM * float(p.b2), MM * float(p.r2)
    outline = MM * np.concatenate([points(c, 41) for c in wheel.outline])
    front, back = float(outline[:, 0].min()), float(outline[:, 0].max())
    behind = float(outline[np.argmax(outline[:, 1]), 0])
    floor = -r2 - step
    view.dimension((length - b2, -r2), (length, -r2), (0, floor), after=" b2", ahead=True)
    view.dimension((0, -MM * float(p.r1s)), (length, -r2), (0, floor - step), after=" blade")
    view.dimension((length, -r2), (behind, -r2), (0, floor - 2 * step))
    view.dimension((front, -outline[np.argmin(outline[:, 0]), 1]), (back, 0), (0, floor - 3 * step), after=" wheel")


def _diameters(view: View, p: Impeller, wheel: Body) -> float:
    """Diameters: a ladder left of the wheel, in order of size. Returns where its next rung would stand."""
    step = 2.6 * view.height
    outline = MM * np.concatenate([points(c, 41) for c in wheel.outline])
    front = float(outline[:, 0].min())
    length, b2 = MM * float(p.axial_length), MM * float(p.b2)
    rungs = [
        (2 * MM * float(p.r1h), 0.0, " hub"),
        (2 * MM * float(p.r1s), 0.0, " eye"),
        (2 * MM * float(p.r2), length - b2, ""),
    ]
    if float(p.bore) > 0:
        rungs.insert(0, (MM * float(p.bore), front, " bore"))
    x = front - 2 * step
    for diameter, z, name in rungs:
        view.dimension((z, -diameter / 2), (z, diameter / 2), (x, 0), "y", prefix="Ø", after=name)
        x -= step
    return x
