"""The tongue between the beginning of a scroll and its discharge, in the plane y = 0 (millimetres).

The discharge's inner wall starts on a curve that runs round the first section at the distance of the tongue's thickness
and ends where it meets the last section, beside both corners of the slot. Between that curve and the first section the
tongue is closed by a nose that is a half round over the outer wall and flattens into a step towards the slot's corners,
where first and last section part.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, PchipInterpolator, make_interp_spline

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.scroll import Scroll
from aerodesign.cad.spaces import Space, smoothstep, surface
from aerodesign.cad.surfaces import line2d, spline_curve
from aerodesign.core.errors import RejectedSolid

Array = NDArray[np.float64]

FINE = np.linspace(0, 1, 2001)
SOFTNESS = (0.3, 0.15, 0.08, 0.04)
"""How gently the tongue's line takes up the pace of the first section: the first of these that leaves no fold."""
EVEN = 0.1
"""Part of an even pace in that of the tongue's line: at the corners it would come to a halt, or turn back in the fitted spline."""
ROUNDED = 0.22
"""Part of the outline, from each end, over which the half round fades into the flat step."""


@dataclass(frozen=True)
class TongueLine:
    """Where the discharge's inner wall starts: a spline (x, y, z) in s, the parameter of the first section.

    ``meets`` is the parameter of the last section at which the line begins there, near s = 0; it ends at 1 - ``meets``.
    ``opposite`` holds the parameters of the first section that lie opposite the sites of ``space``.
    """

    curve: BSpline
    space: Space
    meets: float
    opposite: Array

    def leaning(self, lean: float, r3: float) -> "TongueLine":
        """The line sheared as a section that leans."""
        poles = self.curve.c + np.tan(lean) * (self.curve.c[:, :1] - r3) * np.array([0, 0, 1])
        return replace(self, curve=BSpline(self.curve.t, poles, self.curve.k))


def tongue_line(scroll: Scroll, *, thickness: float) -> TongueLine:
    """The line round the first section at the tongue's thickness, cut off at the last section.

    Raises RejectedSolid where it does not meet the last section, or where the nose on it would fold over itself.
    """
    first, last = scroll.section(end=False), scroll.section(end=True)
    at, around = _offset(first, thickness)
    leaves, meets = _meeting(at, around, last)
    corner = last(meets)[[0, 2]]
    inside = (leaves + 1e-6 < at) & (1 - leaves - 1e-6 > at)
    points = np.concatenate([[corner], around[inside], [corner * (1, -1)]])
    parameter = np.concatenate([[leaves], at[inside], [1 - leaves]])

    folded = 1.0
    for softness in SOFTNESS:
        line = _laid(points, parameter, scroll.along.refined(1 / 96), meets, softness)
        nose = _nose(np.linspace(0, 1, 301), np.linspace(0, meets, 41), line, first, last, thickness / 2)
        cells = _cells(nose)
        folded = min(np.sum(cells > 0), np.sum(cells < 0)) / cells.size
        if folded == 0:
            return line
    raise RejectedSolid(
        f"volute: the nose of the tongue folds over itself on {folded:.1%} of its face; "
        "take a smaller tongue_radius or a larger opening"
    )


def _laid(points: Array, parameter: Array, space: Space, meets: float, softness: float) -> TongueLine:
    """The spline through points (x, z) of the line, with the parameter of the first section at a gentle pace.

    By its length the line is smooth through the joints of its pieces, which by its own parameter it is not.
    """
    length = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    few = np.linspace(0, 1, 25)
    pace = PchipInterpolator(few, np.interp(_partner(few, parameter[0], softness), parameter, length))
    position = pace(space.sites)
    position = (position + length[-1] - position[::-1]) / 2
    position = (1 - EVEN) * position + EVEN * length[-1] * space.sites

    laid = make_interp_spline(length, points, k=3)(position)
    laid[[0, -1]] = points[[0, -1]]
    curve = space.fit(np.stack([laid[:, 0], 0 * position, laid[:, 1]], axis=1))
    return TongueLine(curve, space, meets, np.clip(np.interp(position, length, parameter), 0, 1))


def add_nose(boundary: Boundary, scroll: Scroll, line: TongueLine, *, radius: float) -> None:
    """The face of the nose; expects the edges ("first",), ("flank", -1), ("flank", 1), makes ("tongue",)."""
    space = line.space
    across = scroll.along.between(0.0, line.meets).refined(line.meets / 14)
    first, last = scroll.section(end=False), scroll.section(end=True)
    nose = surface(lambda u, w: _nose(u, w, line, first, last, radius), space, across)

    boundary.edge(("tongue",), spline_curve(line.curve), start=("crease", -1), end=("crease", 1), first=0.0, last=1.0)
    loop = [
        Use(("first",), line2d((0, 0), (1, 0))),
        Use(("flank", 1), line2d((1, 1), (0, -1))),
        Use(("tongue",), line2d((0, line.meets), (1, 0))),
        Use(("flank", -1), line2d((0, 0), (0, 1))),
    ]
    boundary.face(("nose",), nose, [loop], lambda p: np.array([0.0, 1.0, 0.0]))


def nose_volume(scroll: Scroll, line: TongueLine, *, radius: float) -> float:
    """Volume by which the nose stands out from the plane y = 0 into the last sections."""
    first, last = scroll.section(end=False), scroll.section(end=True)
    points = _nose(np.linspace(0, 1, 401), np.linspace(0, line.meets, 81), line, first, last, radius)
    depth = -points[..., 1]
    mean = (depth[1:, 1:] + depth[:-1, :-1] + depth[:-1, 1:] + depth[1:, :-1]) / 4
    return float(np.abs(np.sum(_cells(points) * mean)))


def _nose(u: Array, w: Array, line: TongueLine, first: BSpline, last: BSpline, radius: float) -> Any:
    """Points of the nose, shape (len(u), len(w), 3): u along both lines, w across from the first section."""
    share = (w / line.meets)[None, :, None]
    inner, outer = first(u)[:, None], line.curve(u)[:, None]
    from_end = np.minimum(u, 1 - u)[:, None, None]
    rounded = smoothstep(from_end / ROUNDED)

    blend = (1 - rounded) * share + rounded * (1 - np.cos(np.pi * share)) / 2
    points = inner + (outer - inner) * blend
    for end, flank in ((u, last(w)), (1 - u, last(1 - w))):
        chord = flank[0] + (flank[-1] - flank[0]) * share[0]
        points = points + (np.clip(1 - end / 0.25, 0, 1) ** 3)[:, None, None] * (flank - chord)
    points[..., 1] -= radius * (rounded * np.sin(np.pi * share))[..., 0]
    return points


def _offset(curve: BSpline, distance: float) -> tuple[Array, Array]:
    """Points (x, z) at a distance outside an outline that runs round the section from z < 0 to z > 0.

    With their parameters: 0 to 1 opposite the outline; less and more on half circles about its ends, at the pace of the
    outline, for a low section that starts steeply out of the slot does not reach the walls of the last one otherwise.
    """
    tangent = curve.derivative()(FINE)[:, [0, 2]]
    pace = float(np.linalg.norm(tangent[0]))
    tangent = tangent / np.linalg.norm(tangent, axis=1, keepdims=True)
    normal = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1)
    beside = curve(FINE)[:, [0, 2]] + distance * normal

    turn = np.linspace(0, np.pi, 401)[:0:-1]
    before = curve(0.0)[[0, 2]] + distance * (np.outer(np.cos(turn), normal[0]) - np.outer(np.sin(turn), tangent[0]))
    beyond = turn * distance / pace
    at = np.concatenate([-beyond, FINE, 1 + beyond[::-1]])
    return at, np.concatenate([before, beside, before[::-1] * (1, -1)])


def _partner(u: Array, leaves: float, softness: float) -> Any:
    """Parameter on the line round the first section for each parameter on that section, odd about the middle.

    Points opposite each other wherever there are two; those below ``leaves``, where the line has been cut off, share
    its first short piece. In between the larger of the two, rounded off. A line that goes on beyond the section's
    ends (``leaves`` < 0) is drawn out evenly there.
    """
    if leaves <= 0:
        return u + leaves * (1 - 2 * u) ** 3
    half = np.minimum(u, 1 - u)

    def rounded_larger(x: Array) -> Array:
        held = leaves + 0.4 * softness * x
        return (x + held + np.hypot(x - held, softness * leaves)) / 2

    ends = rounded_larger(np.array([0, 0.5]))
    partner = rounded_larger(half) + (leaves - ends[0]) * (1 - 2 * half) + (0.5 - ends[1]) * 2 * half
    return np.where(u <= 0.5, partner, 1 - partner)


def _meeting(at: Array, around: Array, last: BSpline) -> tuple[float, float]:
    """Parameters at which the line round the first section first crosses the last one: on the line, on the last one."""
    half = len(at) // 2 + 1
    other = last(FINE)[: len(FINE) // 2 + 1, [0, 2]]
    a, along = around[: half - 1, None], np.diff(around[:half], axis=0)[:, None]
    b, across = other[None, :-1], np.diff(other, axis=0)[None]
    determinant = _cross(along, across)
    determinant = np.where(np.abs(determinant) < 1e-14, 1e-14, determinant)
    on_line, on_other = _cross(b - a, across) / determinant, _cross(b - a, along) / determinant
    hits = np.argwhere((on_line >= 0) & (on_line <= 1) & (on_other >= 0) & (on_other <= 1))
    if len(hits) == 0:
        raise RejectedSolid(
            "volute: the tongue finds no place between the first and the last section; "
            "take a smaller tongue_radius, a smaller opening, or a section that flares more"
        )
    i, j = hits[0]
    guess = np.array([at[i] + on_line[i, j] * (at[i + 1] - at[i]), FINE[j] + on_other[i, j] * FINE[1]])
    return _polished(guess, make_interp_spline(at, around, k=3), last)


def _polished(guess: Array, line: BSpline, last: BSpline) -> tuple[float, float]:
    """Newton's method on a crossing of two curves; four passes double the digits from 1e-3 to rounding."""
    for _ in range(8):
        gap = line(guess[0]) - last(guess[1])[[0, 2]]
        slopes = np.stack([line(guess[0], 1), -last(guess[1], 1)[[0, 2]]], axis=1)
        guess = guess - np.linalg.solve(slopes, gap)
    return float(guess[0]), float(guess[1])


def _cross(a: Array, b: Array) -> Any:
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _cells(points: Array) -> Any:
    """Signed areas of a grid's cells, seen along y; all of one sign if the grid covers its piece of the plane once."""
    flat = points[..., [0, 2]]
    return _cross(flat[1:, 1:] - flat[:-1, :-1], flat[:-1, 1:] - flat[1:, :-1]) / 2
