"""The wheel seen from the inlet, with the outlines of its blades and dimensions.

The viewer looks along +z with +y up. A wheel that turns counter-clockwise for the drive turns clockwise for this viewer.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aerodesign.drawing.view import MM, View
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.skin import Skin

Array = NDArray[np.float64]


def front_view(blading: Blading, height: float, *, mirrored: bool = False) -> View:
    """The view with letters of a ``height`` in mm: tips of the blades (hidden under a cover), leading edges, hub lines of one blade.

    ``mirrored`` shows the other hand, a wheel that turns clockwise for the drive.
    """
    p, view = blading.impeller, View("front", height)
    row = blade_row(blading)
    r2, count, covered = MM * float(p.r2), round(float(p.blades)), bool(p.covered)
    for radius, layer in (
        (r2, "outline"),
        (MM * float(p.r1h), "thin"),
        (MM * float(p.r1s), "outline" if covered else "thin"),
    ):
        view.circle((0, 0), radius, layer)
    if float(p.bore) > 0:
        view.circle((0, 0), MM * float(p.bore) / 2)
    pitch = 2 * np.pi / count
    shapes = [(row.full, 0.0)] + ([(row.splitter, row.splitter_turn)] if row.splitter is not None else [])
    for k in range(count):
        for skin, turn in shapes:
            _blade(view, skin, turn + k * pitch, eye=MM * float(p.r1s), hidden=covered, roots=k == 0)
    reach = r2 + 3 * height
    _rotation(view, 1.06 * r2)
    if mirrored:
        view.strokes = [replace(stroke, points=stroke.points * [-1, 1]) for stroke in view.strokes]
        view.notes = [note._replace(at=(-note.at[0], note.at[1]), anchor="left") for note in view.notes]
    for line in ([(-reach, 0), (reach, 0)], [(0, -reach), (0, reach)]):
        view.draw(line, "centre line")
    view.dimension((-r2, 0), (r2, 0), (0, -r2 - 4 * height), prefix="Ø")
    words = f"{count} blades" + (f" and {round(float(p.splitters))} splitters" if float(p.splitters) > 0 else "")
    view.note(f"{words}, pitch {np.degrees(pitch):.3f}°", (0, -r2 - 7.5 * height), "middle")
    return view


def _seen(points: Array, turn: float) -> Array:
    """Points (n, 3) in metres, turned about the axis, as the viewer sees them."""
    c, s = np.cos(turn), np.sin(turn)
    x, y = points[:, 0], points[:, 1]
    return MM * np.stack([s * y - c * x, s * x + c * y], axis=1)


def _blade(view: View, skin: Skin, turn: float, *, eye: float, hidden: bool, roots: bool) -> None:
    """Outline of a blade's tip, its leading edge, which shows within the ``eye``; of one blade the line on the hub too."""
    view.draw(_seen(skin.outline(-1), turn), "hidden" if hidden else "blade", closed=True)
    edge = _seen(skin.blade[skin.nose], turn)
    in_eye = np.hypot(*edge.T).max() <= eye * (1 + 1e-9)
    view.draw(edge, "hidden" if hidden and not in_eye else "blade")
    if roots:
        view.draw(_seen(skin.outline(0), turn), "hidden")


def _rotation(view: View, radius: float) -> None:
    """An arrow in the sense of rotation: clockwise for this viewer."""
    angle = np.radians(np.linspace(125, 100, 13))
    arc = radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    view.draw(arc, "text")
    along = arc[-1] - arc[-2]
    along = along / np.linalg.norm(along)
    side = np.array([-along[1], along[0]])
    tip = arc[-1] + 1.2 * view.height * along
    view.draw([arc[-1] + 0.3 * view.height * side, tip, arc[-1] - 0.3 * view.height * side], "text", closed=True)
    view.note("rotation", arc[0] - [0.6 * view.height, 0], "right")
