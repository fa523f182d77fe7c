"""The duct from the throat of a volute to a circle, and the exit cone (millimetres).

The duct is made of strips. Each starts on an edge in the plane y = 0, ends on an arc of the circle, and is a
polynomial of degree five in between, with the coefficients of :mod:`aerodesign.geometry.discharge`; creases part the
strips.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.primitives import circle_in, cone, frame
from aerodesign.cad.spaces import Space
from aerodesign.cad.surfaces import line, line2d, spline_curve, spline_curve2d, surface_of_poles
from aerodesign.cad.tube import Tube
from aerodesign.geometry.discharge import MOVED, SIDEWAYS, STARTED, Discharge, arrival, bernstein

Array = NDArray[np.float64]

Y = np.array([0.0, 1.0, 0.0])
LENGTHWISE = np.repeat([0.0, 1.0], 6)
"""Knots of one polynomial of degree five along the duct."""
SWELL = (0.5, 1.8)
"""Bounds of the stretch that evens the duct's area."""


@dataclass(frozen=True)
class Strip:
    """One wall of the duct, at the sites of a space: where it starts, the slope it starts with, where it ends.

    ``start`` and ``slope`` hold (x, z) and (dx/dy, dz/dy); ``angle`` is counted about the duct's axis from +x towards
    +z. The parameter of the space is that of the edge ``edge``, which exists; it runs from crease ``creases[0]`` to
    ``creases[1]``. ``outward`` points out of the fluid at the strip's middle. ``swell`` stretches the third and fourth
    coefficients across the plan, see :func:`with_even_area`.
    """

    edge: Hashable
    creases: tuple[Hashable, Hashable]
    space: Space
    start: Array
    slope: Array
    angle: Array
    outward: tuple[float, float, float]
    swell: tuple[float, float] = (1.0, 1.0)


def strip_poles(strip: Strip, exit_: Discharge) -> Array:
    """Coefficients of a strip: shape (6, n, 3), along the duct and along its starting edge."""
    ring = exit_.duct_radius * np.stack([np.cos(strip.angle), np.sin(strip.angle)], axis=1)
    end = np.array([exit_.axis, exit_.lift]) + arrival(exit_)[:, None, None] * ring
    moved = np.stack([MOVED, SIDEWAYS], axis=1)[:, None]
    started = STARTED[:, None, None] * exit_.duct_length

    flat = strip.start + moved * (end - strip.start) + started * strip.slope
    flat[2:4, :, 1] = exit_.lift + (flat[2:4, :, 1] - exit_.lift) * np.array(strip.swell)[:, None]
    along = np.broadcast_to((exit_.duct_length * np.arange(6) / 5)[:, None], flat.shape[:2])
    points = np.stack([flat[..., 0], along, flat[..., 1]], axis=-1)
    return np.moveaxis(strip.space.fit(np.moveaxis(points, 1, 0)).c, 0, 1)


def strip_points(strip: Strip, exit_: Discharge, along: Array, across: int) -> Array:
    """Points of a strip: shape (len(along), across, 3), ``along`` from 0 at its start to 1 at the circle."""
    rows = bernstein(strip_poles(strip, exit_), along)
    spline = BSpline(strip.space.knots, np.moveaxis(rows, 1, 0), strip.space.degree)
    return np.moveaxis(spline(np.linspace(strip.space.first, strip.space.last, across)), 0, 1)


def duct_volume(strips: Sequence[Strip], exit_: Discharge) -> float:
    """Volume of duct and cone: the area within the strips across the axis, by Simpson's rule, and a truncated cone."""
    along = np.linspace(0, 1, 33)
    area = duct_area(strips, exit_, along)
    weights = np.resize([2, 4], len(along)) - np.eye(len(along))[0] - np.eye(len(along))[-1]
    duct = float(weights @ area) * exit_.duct_length / (3 * (len(along) - 1))
    a, b = exit_.duct_radius, exit_.flange_radius
    return float(duct + np.pi / 3 * (a**2 + a * b + b**2) * (exit_.flange_distance - exit_.duct_length))


def duct_area(strips: Sequence[Strip], exit_: Discharge, along: Array) -> Array:
    """Area within the strips across the axis, at positions from 0 at their start to 1 at the circle."""
    walls = [strip_points(strip, exit_, along, 401)[..., [0, 2]] for strip in strips]
    corners = np.concatenate([wall[:, :-1] for wall in in_a_ring(walls)], axis=1)
    x, z = corners[..., 0] - exit_.axis, corners[..., 1]
    area: Array = np.abs(np.sum(x * np.roll(z, -1, axis=1) - np.roll(x, -1, axis=1) * z, axis=1)) / 2
    return area


def with_even_area(strips: Sequence[Strip], exit_: Discharge) -> list[Strip]:
    """The strips with a ``swell`` that lets the area go evenly from the throat's to the circle's.

    Left alone, a duct narrows where the edges beside the tongue run out, or bulges where it turns from flat to round.
    The area is linear in the stretch across the plan, so that two stations give the two factors; the plan stays as it
    is.
    """
    plain, third, fourth = ([replace(s, swell=swell) for s in strips] for swell in ((1.0, 1.0), (2.0, 1.0), (1.0, 2.0)))
    stations = np.array([1 / 3, 2 / 3])
    start, *now, end = duct_area(plain, exit_, np.array([0, *stations, 1]))
    wanted = start + (end - start) * stations**2 * (3 - 2 * stations)
    gain = np.stack([duct_area(more, exit_, stations) - now for more in (third, fourth)], axis=1)
    swell = np.clip(1 + np.linalg.solve(gain, wanted - now), *SWELL)
    return [replace(strip, swell=(float(swell[0]), float(swell[1]))) for strip in strips]


def in_a_ring(walls: Sequence[Array]) -> list[Array]:
    """Walls of shape (n, points, 2), neighbours in order, each turned so that it goes on where the last one ended."""
    ring = [walls[0]]
    for wall in walls[1:]:
        here = ring[-1][0, -1]
        ahead = np.linalg.norm(wall[0, 0] - here) <= np.linalg.norm(wall[0, -1] - here)
        ring.append(wall if ahead else wall[:, ::-1])
    return ring


def add_duct(boundary: Boundary, strips: Sequence[Strip], exit_: Discharge) -> Tube:
    """Faces of the strips and of the cone beyond them, which ends in the circle that is returned."""
    ends: dict[Hashable, BSpline] = {}
    for number, strip in enumerate(strips):
        poles = strip_poles(strip, exit_)
        space = strip.space
        for crease, column in zip(strip.creases, (0, -1), strict=True):
            curve = BSpline(LENGTHWISE, poles[:, column], 5)
            boundary.edge(
                ("duct", crease), spline_curve(curve), start=crease, end=("circle", crease), first=0.0, last=1.0
            )
        end = ("circle", number)
        ends[end] = BSpline(space.knots, poles[-1], space.degree)
        boundary.edge(
            end,
            spline_curve(ends[end]),
            start=("circle", strip.creases[0]),
            end=("circle", strip.creases[1]),
            first=space.first,
            last=space.last,
        )
        loop = [
            Use(strip.edge, line2d((0, 0), (0, 1))),
            Use(("duct", strip.creases[1]), line2d((0, space.last), (1, 0))),
            Use(end, line2d((1, 0), (0, 1))),
            Use(("duct", strip.creases[0]), line2d((0, space.first), (1, 0))),
        ]
        surface = surface_of_poles(poles, LENGTHWISE, space.knots, 5, space.degree)
        boundary.face(("duct", number), surface, [loop], _always(strip.outward))
    centre = np.array([exit_.axis, exit_.duct_length, exit_.lift])
    seam = strips[0].creases[0]
    start = next(iter(ends.values()))
    return add_cone(
        boundary,
        "cone",
        ends,
        seam=(("circle", seam), start(start.t[0])),
        centre=centre,
        radius=float(exit_.duct_radius),
        length=float(exit_.flange_distance - exit_.duct_length),
        end_radius=float(exit_.flange_radius),
    )


def add_cone(
    boundary: Boundary,
    key: str,
    ends: dict[Hashable, BSpline],
    *,
    seam: tuple[Hashable, Array],
    centre: Array,
    radius: float,
    length: float,
    end_radius: float,
) -> Tube:
    """A cone along +y from a circle made of edges ``ends``; its seam starts at the vertex and point ``seam`` between them."""
    vertex, seam_start = seam
    towards_seam = (seam_start - centre) / np.linalg.norm(seam_start - centre)
    start, end = frame(centre, Y, towards_seam), frame(centre + length * Y, Y, towards_seam)
    surface, slant = cone(start, radius=radius, end_radius=end_radius, length=length)

    rim, seam_key = (key, "rim"), (key, "seam")
    boundary.edge(rim, circle_in(end, end_radius), start=rim, end=rim, first=0.0, last=2 * np.pi)
    along = seam_start + slant * _unit(length * Y + (end_radius - radius) * towards_seam)
    boundary.edge(seam_key, line(seam_start, along - seam_start), start=vertex, end=rim, first=0.0, last=slant)
    loop = [Use(seam_key, line2d((0, 0), (0, 1))), Use(rim, line2d((0, slant), (1, 0)))]
    loop.append(Use(seam_key, line2d((2 * np.pi, 0), (0, 1))))
    loop += [Use(edge, curve) for edge, curve in _by_angle(ends, centre, towards_seam)]
    boundary.face((key,), surface, [loop], lambda p: p - centre - (p - centre)[1] * Y)
    return Tube(boundary, rim, centre + length * Y, Y, towards_seam, end_radius)


def _by_angle(ends: dict[Hashable, BSpline], centre: Array, x: Array) -> list[tuple[Hashable, Any]]:
    """The strips' ends as curves (angle, 0) on the cone, in falling order of the angle about +y counted from ``x``."""
    y = np.cross(Y, x)
    found = []
    for key, spline in ends.items():
        # knots of the same kind as the strip's, which has some where its pace along the circle changes
        space = Space(spline.t, spline.k).refined((spline.t[-1] - spline.t[0]) / 200)
        arm = spline(space.sites) - centre
        angle = np.unwrap(np.arctan2(arm @ y, arm @ x))
        angle = angle - 2 * np.pi * np.floor(np.mean(angle) / (2 * np.pi))
        on_cone = space.fit(np.stack([angle, 0 * angle], axis=1))
        found.append((np.mean(angle), key, spline_curve2d(on_cone)))
    return [(key, curve) for _, key, curve in sorted(found, key=lambda item: -item[0])]


def _always(direction: ArrayLike) -> Callable[[Array], Array]:
    """An outward direction that is the same all over a face."""
    vector = np.asarray(direction, float)
    return lambda p: vector


def _unit(vector: Array) -> Any:
    return vector / np.linalg.norm(vector)
