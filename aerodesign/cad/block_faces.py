"""The faces of a casing's block: two plane sides, the outline between them, the end with the hole of the discharge (millimetres)."""

from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.aero.spiral import TURN
from aerodesign.cad.block import PIECES, Block, to_the_right
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.primitives import circle_in, cylinder, frame, plane
from aerodesign.cad.scroll import X, Z
from aerodesign.cad.surfaces import circle2d, line, line2d, spline_curve, spline_curve2d, surface_of_poles

Array = NDArray[np.float64]


def add_block(boundary: Boundary, block: Block, holes: dict[int, tuple[Any, float]], axis: tuple[float, float]) -> None:
    """The block's faces. ``holes`` names for each side (-1, 1) the circle about z in it, an edge that exists, and its
    radius; ``axis`` is the discharge's (x, z), the circle ("tube",) in the end face exists too.
    """
    corners, names = block.corners, dict(zip(PIECES, (*PIECES[1:], PIECES[0]), strict=True))
    low, high = block.sides[-1], block.sides[1]
    height = high - low
    for name, corner in corners.items():
        boundary.edge(
            ("upright", name),
            line(np.array([*corner, low]), Z),
            start=("block", name, -1),
            end=("block", name, 1),
            first=0.0,
            last=height,
        )
    uses = {side: [_edge(boundary, block, name, names[name], side) for name in PIECES] for side in (-1, 1)}
    for side, (key, radius) in holes.items():
        surface = plane(frame(block.sides[side] * Z, Z, X))
        boundary.face(("block", side), surface, [uses[side], [Use(key, circle2d(radius, 0.0))]], partial(_across, side))

    for name in ("spiral", "outer", "inner"):
        spline = getattr(block, name)
        poles = np.stack([np.column_stack([spline.c, np.full(len(spline.c), z)]) for z in (low, high)], axis=1)
        surface = surface_of_poles(poles, spline.t, np.array([0.0, 0, height, height]), spline.k, 1)
        first, last = _range(block, name)
        here, there = (name, names[name]) if name != "inner" else (names[name], name)
        sign = -1.0 if name == "inner" else 1.0
        loop = [
            Use(("outline", name, -1), line2d((0, 0), (1, 0))),
            Use(("upright", there), line2d((last, 0), (0, 1))),
            Use(("outline", name, 1), line2d((0, height), (1, 0))),
            Use(("upright", here), line2d((first, 0), (0, 1))),
        ]

        def outward(p: Array, spline: BSpline = spline, sign: float = sign, name: str = name) -> Array:
            at = p[1] if name != "spiral" else np.arctan2(p[1], p[0]) % TURN
            return np.array([*(sign * to_the_right(spline(at, 1))), 0.0])

        boundary.face(("outline", name), surface, [loop], outward)

    start, end = block.cleft_angles
    surface = cylinder(frame(np.array([*block.centre, low]), Z, X), block.cleft)
    loop = [
        Use(("outline", "cleft", -1), line2d((0, 0), (1, 0))),
        Use(("upright", "cleft"), line2d((end, 0), (0, 1))),
        Use(("outline", "cleft", 1), line2d((0, height), (1, 0))),
        Use(("upright", "spiral"), line2d((start, 0), (0, 1))),
    ]
    middle = np.array([*block.centre, 0.0])
    boundary.face(("outline", "cleft"), surface, [loop], lambda p: (middle - p) * np.array([1, 1, 0]))

    origin = np.array([axis[0], block.end, axis[1]])
    across, down = np.array([1.0, 0, 0]), np.array([0, 0, -1.0])
    right, left = float(corners["end"][0]) - axis[0], float(corners["inner"][0]) - axis[0]
    bottom, top = axis[1] - low, axis[1] - high
    surface = plane(frame(origin, np.cross(across, down), across))
    loop = [
        Use(("outline", "end", -1), line2d((left, bottom), (1, 0))),
        Use(("upright", "end"), line2d((right, bottom), (0, -1))),
        Use(("outline", "end", 1), line2d((left, top), (1, 0))),
        Use(("upright", "inner"), line2d((left, bottom), (0, -1))),
    ]
    tube = [Use(("tube",), circle2d(block.tube, 0.0))]
    boundary.face(("outline", "end"), surface, [loop, tube], lambda p: np.array([0, 1.0, 0]))


def _across(side: int, p: Array) -> Array:
    return side * Z


def _range(block: Block, name: str) -> tuple[float, float]:
    spans = {
        "spiral": (block.first, TURN),
        "outer": (float(block.outer.t[0]), block.end),
        "inner": (block.low, block.end),
    }
    return spans[name]


def _edge(boundary: Boundary, block: Block, name: str, following: str, side: int) -> Use:
    """One piece of the outline in one side of the block, with its curve in that plane."""
    z = block.sides[side]
    key, start, end = ("outline", name, side), ("block", name, side), ("block", following, side)
    if name in ("spiral", "outer", "inner"):
        spline = getattr(block, name)
        lifted = BSpline(spline.t, np.column_stack([spline.c, np.full(len(spline.c), z)]), spline.k)
        if name == "inner":
            start, end = end, start
        first, last = _range(block, name)
        boundary.edge(key, spline_curve(lifted), start=start, end=end, first=first, last=last)
        return Use(key, spline_curve2d(spline))
    if name == "cleft":
        first, last = block.cleft_angles
        arc = circle_in(frame(np.array([*block.centre, z]), Z, X), block.cleft)
        boundary.edge(key, arc, start=end, end=start, first=first, last=last)
        return Use(key, circle2d(block.cleft, 0.0, centre=block.centre))
    left, right = block.corners["inner"], block.corners["end"]
    boundary.edge(key, line(np.array([*left, z]), X), start=end, end=start, first=0.0, last=float(right[0] - left[0]))
    return Use(key, line2d(left, (1, 0)))
