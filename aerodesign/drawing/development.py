"""The volute unrolled: its outer wall over the base circle's length, and the outlines of its sections at even angles, to scale."""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.spiral import schedule
from aerodesign.drawing.section import section_outline
from aerodesign.drawing.view import MM, View

Array = NDArray[np.float64]

STEP = 30
"""Degrees between the ordinates of the outer wall."""
SHOWN = 45
"""Degrees between the sections that are drawn."""


def development_view(volute: Volute, diffuser: Diffuser, height: float) -> View:
    """The view with letters of a ``height`` in mm. Below: radius of the outer wall over the arc of the base circle. Above: sections.

    Angles count from the tongue in the direction of rotation.
    """
    view = View("volute development", height)
    top = _wall(view, volute, diffuser)
    _sections(view, volute, diffuser, top + 10 * height)
    return view


def _wall(view: View, volute: Volute, diffuser: Diffuser) -> float:
    """The outer wall against the arc of the base circle, radii from the axis shortened to the height above that circle."""
    r3 = MM * float(diffuser.r3)
    theta = np.linspace(0, 2 * np.pi, 181)
    radius = MM * np.asarray(schedule(volute, diffuser, theta).outer_radius)
    view.draw(np.stack([r3 * theta, radius - r3], axis=1))
    view.draw([(0, 0), (2 * np.pi * r3, 0)], "centre line")
    for degrees in range(0, 361, STEP):
        angle = np.radians(degrees)
        x, at = r3 * angle, MM * float(schedule(volute, diffuser, float(angle)).outer_radius)
        view.draw([(x, 0), (x, at - r3)], "thin")
        view.note(f"{degrees}°", (x, -2.0 * view.height), "middle")
        view.note(f"R{at:.1f}", (x + 0.4 * view.height, at - r3 + 0.8 * view.height), "left", 90)
    view.dimension((0, 0), (2 * np.pi * r3, 0), (0, -5.5 * view.height), after=f" = 2π · {r3:.1f} base circle")
    end = MM * float(volute.size4)
    view.dimension(
        (2 * np.pi * r3, 0), (2 * np.pi * r3, end), (2 * np.pi * r3 + 4 * view.height, 0), "y", after=" throat"
    )
    view.note("radius of the outer wall over the base circle, unrolled", (0, -9.5 * view.height))
    return float(radius.max() - r3) + 5 * view.height


def _sections(view: View, volute: Volute, diffuser: Diffuser, floor: float) -> None:
    """Outlines at every :data:`SHOWN` degrees side by side, with height and width."""
    angles = np.radians(np.arange(0 if float(volute.opening) > 0 else SHOWN, 361, SHOWN))
    sizes = [float(schedule(volute, diffuser, float(a)).size) for a in angles]
    half, r3, x = MM * float(diffuser.b3) / 2, MM * float(diffuser.r3), 0.0
    for angle, size in zip(angles, sizes, strict=True):
        line = section_outline(volute, diffuser, size)
        x += float(line[:, 0].max())
        line = line + np.array([x, floor - r3])
        view.draw(line)
        view.draw([(x - half, floor), (x + half, floor)], "hidden")
        view.draw([(x, floor - view.height), (x, floor + MM * size + view.height)], "centre line")
        widest = int(np.argmax(line[:, 0]))
        left, right = line[len(line) - 1 - widest], line[widest]
        view.dimension(left, right, (x, floor - 2.5 * view.height), ahead=True)
        view.dimension((x, floor), (x, floor + MM * size), (right[0] + 2.5 * view.height, 0), "y")
        view.note(f"{np.degrees(angle):.0f}°", (x, floor + MM * size + 2.2 * view.height), "middle", size=1.2)
        x = float(right[0]) + 9 * view.height
    view.note("sections, the slot of the diffuser below", (-half, floor - 6.5 * view.height))
