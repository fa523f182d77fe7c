"""The fluid domain of a volute with parallel side walls and a cylindrical outer wall: a plan, as high as the section.

First and last section share their side walls here, so the tongue is a straight nose, half a cylinder right across the
width, and the side walls are planes within the plan. The duct has four walls that turn from a rectangle into a circle.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.sections import Rectangle
from aerodesign.aero.spiral import TURN, schedule, wall_slope
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.duct import Strip, add_duct
from aerodesign.cad.duct_room import Walls, roomy_duct
from aerodesign.cad.primitives import circle_in, cylinder, frame, plane
from aerodesign.cad.scroll import X, Z, add_band, add_base_circles, add_circle, circle_of, stations
from aerodesign.cad.spaces import Space
from aerodesign.cad.surfaces import circle2d, line, line2d, spline_curve, spline_curve2d, surface_of_poles
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.discharge import Discharge
from aerodesign.geometry.entry import Entry

Array = NDArray[np.float64]

SIDES = (-1, 1)
FLUSH = 1e-9
"""Excess of the section's width over the slot's, as a ratio, below which the walls run through from the diffuser."""


def add_parallel_walls(boundary: Boundary, volute: Volute, diffuser: Diffuser, entry: Entry) -> Walls:
    """The walls from the slot's rims to the end of the cone (millimetres)."""
    if not isinstance(volute.section, Rectangle):
        raise TypeError(f"parallel side walls belong to a rectangle, not to a {volute.section.name}")
    r3, half_slot = float(diffuser.r3), float(diffuser.b3) / 2
    low, high = (float(z) for z in volute.section.walls(diffuser.b3))
    if high - low < 2 * half_slot * (1 - FLUSH):
        raise RejectedSolid(
            f"volute: a rectangle of width = {volute.section.width:.3g} slots is narrower than its slot"
        )
    duct = roomy_duct(volute, diffuser, [_strips(volute, diffuser, low, high)])

    rims = {}
    add_base_circles(boundary, r3=r3, half_width=half_slot)
    for side, height in ((-1, low), (1, high)):
        wider = abs(height) > half_slot * (1 + FLUSH)
        hole, key = r3 if wider else float(entry.end), ("hole", side)
        add_circle(boundary, key, z=height, r=hole)
        rims[side] = ("base" if wider else "hole", hole)
        if wider:
            _add_step(boundary, side, height, r3=r3, half_slot=half_slot)

    radius = float(volute.tongue_radius)
    holes = {side: hole for side, (_, hole) in rims.items()}
    _add_walls(boundary, _outer_wall(volute, diffuser), duct.exit, (low, high), radius, holes)
    end = add_duct(boundary, duct.strips, duct.exit)
    return Walls(duct, np.pi * radius**2 * (high - low) / 2, rims, end)


def _outer_wall(volute: Volute, diffuser: Diffuser) -> BSpline:
    """The outer wall in the plan: a spline (x, y) in theta."""
    theta = stations(float(volute.opening))
    r = schedule(volute, diffuser, theta).outer_radius
    return make_interp_spline(theta, np.stack([r * np.cos(theta), r * np.sin(theta)], axis=1), k=5)


def _add_step(boundary: Boundary, side: int, height: float, *, r3: float, half_slot: float) -> None:
    """Where the section is wider than the slot: the step at the base circle."""
    low, high = sorted((side * half_slot, height))
    hole, base = circle_of(("hole", side)), circle_of(("base", side))
    add_band(boundary, "step", radius=r3, low=low, high=high, ends=(hole, base) if side < 0 else (base, hole))


def _add_walls(
    boundary: Boundary,
    wall: BSpline,
    exit_: Discharge,
    heights: tuple[float, float],
    nose_radius: float,
    holes: dict[int, float],
) -> None:
    """Outer wall, nose of the tongue and both side walls; leaves the four edges in y = 0 in which the duct starts."""
    end_x, inner_x = float(wall(TURN)[0]), float(exit_.inner_wall)
    start_x = float(wall(0.0)[0])
    nose_x = (start_x + inner_x) / 2

    for key, x in (("tip", start_x), ("inner", inner_x), ("outer", end_x)):
        boundary.edge(
            (key,),
            line(x * X + heights[0] * Z, Z),
            start=(key, -1),
            end=(key, 1),
            first=0.0,
            last=heights[1] - heights[0],
        )
    for side, height in zip(SIDES, heights, strict=True):
        lifted = BSpline(wall.t, np.column_stack([wall.c, np.full(len(wall.c), height)]), wall.k)
        boundary.edge(
            ("spiral", side), spline_curve(lifted), start=("tip", side), end=("outer", side), first=0.0, last=TURN
        )
        nose = circle_in(frame(nose_x * X + height * Z, Z, X), nose_radius)
        boundary.edge(("nose", side), nose, start=("tip", side), end=("inner", side), first=np.pi, last=TURN)
        boundary.edge(
            ("throat", side),
            line(inner_x * X + height * Z, X),
            start=("inner", side),
            end=("outer", side),
            first=0.0,
            last=end_x - inner_x,
        )
        _add_side_wall(boundary, wall, side, height, hole=holes[side], nose=(nose_x, nose_radius), inner_x=inner_x)
    _add_upright_faces(boundary, wall, heights, nose=(nose_x, nose_radius))


def _add_side_wall(
    boundary: Boundary,
    wall: BSpline,
    side: int,
    height: float,
    *,
    hole: float,
    nose: tuple[float, float],
    inner_x: float,
) -> None:
    loop = [
        Use(("spiral", side), spline_curve2d(wall)),
        Use(("throat", side), line2d((inner_x, 0), (1, 0))),
        Use(("nose", side), circle2d(nose[1], 0.0, centre=(nose[0], 0.0))),
    ]
    boundary.face(
        ("side wall", side),
        plane(frame(height * Z, Z, X)),
        [loop, [Use(edge, circle2d(hole, angle)) for edge, angle in circle_of(("hole", side)).edges]],
        lambda p: side * Z,
    )


def _add_upright_faces(
    boundary: Boundary, wall: BSpline, heights: tuple[float, float], *, nose: tuple[float, float]
) -> None:
    """The outer wall and the nose, both at right angles to the side walls."""
    width = heights[1] - heights[0]
    poles = np.stack([np.column_stack([wall.c, np.full(len(wall.c), z)]) for z in heights], axis=1)
    upright = surface_of_poles(poles, wall.t, np.array([0.0, 0, width, width]), wall.k, 1)
    loop = [
        Use(("tip",), line2d((0, 0), (0, 1))),
        Use(("spiral", 1), line2d((0, width), (1, 0))),
        Use(("outer",), line2d((TURN, 0), (0, 1))),
        Use(("spiral", -1), line2d((0, 0), (1, 0))),
    ]
    boundary.face(("outer wall",), upright, [loop], lambda p: p * (1, 1, 0))

    axis = frame(nose[0] * X + heights[0] * Z, Z, X)
    loop = [
        Use(("tip",), line2d((np.pi, 0), (0, 1))),
        Use(("nose", 1), line2d((0, width), (1, 0))),
        Use(("inner",), line2d((TURN, 0), (0, 1))),
        Use(("nose", -1), line2d((0, 0), (1, 0))),
    ]
    boundary.face(("nose",), cylinder(axis, nose[1]), [loop], lambda p: nose[0] * X - p * (1, 1, 0))


def _strips(volute: Volute, diffuser: Diffuser, low: float, high: float) -> list[Strip]:
    """Outer, inner and both side walls of the duct; the creases meet the circle a quarter turn apart."""
    rise = {"outer": float(wall_slope(volute, diffuser, TURN)), "inner": float(wall_slope(volute, diffuser, 0.0))}
    inner_x = float(schedule(volute, diffuser, 0.0).outer_radius + 2 * volute.tongue_radius)
    at = {"inner": inner_x, "outer": float(diffuser.r3 + volute.size4)}
    corner = np.pi / 4

    strips = []
    for key, first, last in (("outer", -corner, corner), ("inner", -3 * corner, -5 * corner)):
        space = _space(high - low)
        start = np.stack([np.full(len(space.sites), at[key]), space.sites + low], axis=1)
        slope = np.stack([np.full(len(space.sites), rise[key]), 0 * space.sites], axis=1)
        outward = (1.0 if key == "outer" else -1.0, 0.0, 0.0)
        angle = _between(first, last, space)
        strips.append(Strip((key,), ((key, -1), (key, 1)), space, start, slope, angle, outward))
    for side, height in zip(SIDES, (low, high), strict=True):
        space = _space(at["outer"] - inner_x)
        start = np.stack([inner_x + space.sites, np.full(len(space.sites), height)], axis=1)
        slope = np.stack([_between(rise["inner"], rise["outer"], space), 0 * space.sites], axis=1)
        angle = _between(side * 3 * corner, side * corner, space)
        creases = ("inner", side), ("outer", side)
        strips.append(Strip(("throat", side), creases, space, start, slope, angle, (0.0, 0.0, float(side))))
    return [strips[0], strips[3], strips[1], strips[2]]


def _space(length: float) -> Space:
    """Quintics on eight equal pieces of an edge: a quarter circle to 1e-9 of its radius."""
    knots = np.concatenate([np.zeros(5), np.linspace(0, length, 9), np.full(5, length)])
    return Space(knots, 5)


def _between(first: float, last: float, space: Space) -> Array:
    return first + (last - first) * (space.sites - space.first) / (space.last - space.first)
