"""The faces of a casing's shell (:mod:`.shell`): two plates, the scroll's outside, both halves of the pipe (millimetres)."""

from collections.abc import Hashable
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.duct import add_cone
from aerodesign.cad.primitives import frame, plane
from aerodesign.cad.scroll import X, Z
from aerodesign.cad.shell import Shell
from aerodesign.cad.shell_pipe import MID
from aerodesign.cad.surfaces import circle2d, line2d, spline_curve, spline_curve2d, surface_of_poles
from aerodesign.cad.tube import Tube

Array = NDArray[np.float64]

TURN = 2 * np.pi
SIDES = (-1, 1)


def add_shell(boundary: Boundary, shell: Shell, holes: dict[int, tuple[Any, float]]) -> None:
    """The shell's faces but for the cone behind its pipe. ``holes`` names for each side (-1, 1) the circle about z in its
    plate, an edge that exists, and its radius.
    """
    _add_edges(boundary, shell)
    for side in SIDES:
        _add_plate(boundary, shell, side, *holes[side])
        _add_half(boundary, shell, side)
    _add_scroll(boundary, shell)


def _add_edges(boundary: Boundary, shell: Shell) -> None:
    pipe, meeting = shell.pipe, shell.meeting
    section = spline_curve(shell.scroll.section(end=True))
    for side in SIDES:
        line = meeting.lines[side]
        y = BSpline(line.t, np.column_stack([line.c[:, 1], _greville(line), line.c[:, 2]]), line.k)
        corner, leaves = ("shell corner", side), ("shell leaves", side)
        spiral = spline_curve(shell.spiral(side))
        boundary.edge(("shell spiral", side), spiral, start=leaves, end=corner, first=meeting.theta[side], last=TURN)
        boundary.edge(
            ("shell line", side), spline_curve(y), start=corner, end=leaves, first=0.0, last=float(line.t[-1])
        )
    for side, curve in ((-1, meeting.low), (1, meeting.high)):
        space = BSpline(curve.t, curve.c[:, 3:], curve.k)
        ends = [("shell leaves", -1), ("shell crest",), ("shell leaves", 1)][(side + 1) // 2 :][:2]
        first, last = float(curve.t[0]), float(curve.t[-1])
        boundary.edge(("shell crotch", side), spline_curve(space), start=ends[0], end=ends[1], first=first, last=last)
        ends = [("shell corner", -1), ("shell middle",), ("shell corner", 1)][(side + 1) // 2 :][:2]
        first, last = (0.0, MID) if side < 0 else (MID, 1.0)
        boundary.edge(("shell section", side), section, start=ends[0], end=ends[1], first=first, last=last)

    starts = {"outer": (MID, 0.0, ("shell middle",)), "inner": (pipe.inner, _crest(shell), ("shell crest",))}
    for name, (u, first, start) in starts.items():
        poles = BSpline(pipe.space.knots, pipe.poles, pipe.space.degree)(u)
        curve = spline_curve(BSpline(pipe.along.knots, poles, pipe.along.degree))
        boundary.edge(("shell", name), curve, start=start, end=("circle", name), first=first, last=shell.end)
    for side, arc in _arcs(shell).items():
        near, far = ("outer", "inner") if side > 0 else ("inner", "outer")
        boundary.edge(
            ("shell ring", side),
            spline_curve(arc),
            start=("circle", near),
            end=("circle", far),
            first=float(arc.t[0]),
            last=float(arc.t[-1]),
        )


def _add_plate(boundary: Boundary, shell: Shell, side: int, hole: Any, radius: float) -> None:
    line, spiral = shell.meeting.lines[side], shell.spiral(side)
    loop = [
        Use(("shell spiral", side), spline_curve2d(BSpline(spiral.t, spiral.c[:, :2], spiral.k))),
        Use(
            ("shell line", side),
            spline_curve2d(BSpline(line.t, np.column_stack([line.c[:, 1], _greville(line)]), line.k)),
        ),
    ]
    surface = plane(frame(shell.sides[side] * Z, Z, X))
    boundary.face(("shell plate", side), surface, [loop, [Use(hole, circle2d(radius, 0.0))]], partial(_across, side))


def _across(side: int, p: Array) -> Array:
    return side * Z


def _add_scroll(boundary: Boundary, shell: Shell) -> None:
    meeting = shell.meeting
    loop = [
        Use(("shell spiral", -1), line2d((0, 0), (1, 0))),
        *(Use(("shell section", side), line2d((TURN, 0), (0, 1))) for side in SIDES),
        Use(("shell spiral", 1), line2d((0, 1), (1, 0))),
        *(
            Use(("shell crotch", side), spline_curve2d(BSpline(curve.t, curve.c[:, :2], curve.k)))
            for side, curve in ((1, meeting.high), (-1, meeting.low))
        ),
    ]
    last = shell.scroll.section(end=True)(np.linspace(0, 1, 101))
    middle = float(np.mean(last[[0, -1], 0])) * 0.7 + 0.3 * float(last[:, 0].max())

    def outward(p: Array) -> Array:
        r = np.hypot(p[0], p[1])
        return np.array([(r - middle) * p[0] / r, (r - middle) * p[1] / r, p[2]])

    boundary.face(("shell scroll",), shell.scroll.surface, [loop], outward)


def _add_half(boundary: Boundary, shell: Shell, side: int) -> None:
    """The half of the pipe between its outermost and its innermost line on one side."""
    pipe, line = shell.pipe, shell.meeting.lines[side]
    curve = shell.meeting.high if side > 0 else shell.meeting.low
    first, last = (MID, pipe.inner) if side > 0 else (pipe.inner, MID + pipe.turn)
    space, poles = pipe.half(first, last)
    surface = surface_of_poles(poles, space.knots, pipe.along.knots, space.degree, pipe.along.degree)
    outer, begins = (MID, 0.0) if side > 0 else (MID + pipe.turn, pipe.turn)
    loop = [
        Use(("shell section", side), line2d((begins, 0), (1, 0))),
        Use(
            ("shell line", side),
            spline_curve2d(BSpline(line.t, np.column_stack([line.c[:, 0], _greville(line)]), line.k)),
        ),
        Use(("shell crotch", side), spline_curve2d(BSpline(curve.t, curve.c[:, [2, 4]], curve.k))),
        Use(("shell", "inner"), line2d((pipe.inner, 0), (0, 1))),
        Use(("shell ring", side), line2d((0, shell.end), (1, 0))),
        Use(("shell", "outer"), line2d((outer, 0), (0, 1))),
    ]
    axis = np.array([float(shell.exit.axis), 0.0, float(shell.exit.lift)])
    boundary.face(("shell pipe", side), surface, [loop], lambda p: (p - axis) * np.array([1, 0, 1]))


def shell_cone(boundary: Boundary, shell: Shell, length: float, radius: float) -> Tube:
    """The cone behind the pipe, to another radius at a distance."""
    _add_edges(boundary, shell)
    centre = np.array([float(shell.exit.axis), shell.end, float(shell.exit.lift)])
    ends: dict[Hashable, BSpline] = {("shell ring", side): arc for side, arc in _arcs(shell).items()}
    seam = shell.pipe.at(np.array([MID]), np.array([shell.end]))[0]
    return add_cone(
        boundary,
        "tube outside",
        ends,
        seam=(("circle", "outer"), seam),
        centre=centre,
        radius=shell.tube,
        length=length,
        end_radius=radius,
    )


def _arcs(shell: Shell) -> dict[int, BSpline]:
    """The ends of the pipe's halves."""
    pipe = shell.pipe
    arcs = {}
    for side, (first, last) in {1: (MID, pipe.inner), -1: (pipe.inner, MID + pipe.turn)}.items():
        space, poles = pipe.half(first, last)
        arcs[side] = BSpline(space.knots, poles[:, -1], space.degree)
    return arcs


def _crest(shell: Shell) -> float:
    """Where along the pipe its innermost line begins."""
    return float(shell.meeting.low(shell.meeting.crest)[4])


def _greville(line: BSpline) -> Array:
    """Coefficients of the parameter itself in a spline's space."""
    k = line.k
    return np.array([np.mean(line.t[i + 1 : i + k + 1]) for i in range(len(line.t) - k - 1)])
