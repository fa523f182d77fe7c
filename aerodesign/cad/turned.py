"""Faces that go full turn about the axis, one after the other along a meridian: nose, bore, back, outside of a cover."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.surfaces import circle
from aerodesign.core.errors import RejectedSolid

Array = NDArray[np.float64]


class Junction(NamedTuple):
    """A circle between two faces of revolution: its edges with the angle that each starts from, and a vertex on it.

    An opening in a plane that is no circle gives its edges by ``loop``, as a function of the plane.
    """

    edges: list[tuple[Hashable, float]]
    vertex: Hashable
    angle: float
    loop: Callable[[Revolution], list[Use]] | None = None

    def uses(self, face: Revolution, end: int) -> list[Use]:
        """Its edges on a face that begins (0) or ends (1) there."""
        if self.loop is not None:
            return self.loop(face)
        return [Use(edge, face.circle2d(angle, end)) for edge, angle in self.edges]


Openings = Callable[[Revolution], list[list[Use]]]
"""The loops of openings in a plane face."""


def add_turned(
    boundary: Boundary,
    name: str,
    curves: Sequence[BSpline | Array],
    *,
    first: Junction,
    last: Junction,
    side: float,
    openings: Mapping[int, Openings] | None = None,
) -> None:
    """Add the faces swept by meridian ``curves`` (mm), which lead from the circle ``first`` to the circle ``last``.

    The solid lies on the left of the curves where ``side`` is 1, on the right where it is -1. Where a curve ends on the
    axis, the next begins there; only planes may do so. Faces other than planes have their seam at the angle of ``first``,
    behind the first plane at that of ``last``; so there must be a plane where the two differ. ``openings`` in plane faces go
    by the number of the curve.
    """
    angle = first.angle
    before: Junction | None = first
    for number, curve in enumerate(curves):
        if Revolution(curve, 0.0).kind == "plane":
            angle = last.angle
        face = Revolution(curve, angle)
        z, r = face.ends[1]
        after: Junction | None = last
        if number < len(curves) - 1:
            after = _circle(boundary, (name, number), z, r, angle) if r > 0 else None
        opened = openings[number](face) if openings and number in openings else []
        _add_face(boundary, (name, number), face, before, after, side, opened)
        before = after


def turned_solid(curves: Sequence[BSpline | Array], *, side: float) -> Any:
    """A body that meridian ``curves`` (mm) sweep in a full turn: a closed line, or one from the axis back to the axis.

    ``curves`` begin off the axis, and what lies between two curves on the axis is no part of the skin.
    """
    boundary = Boundary()
    z, r = Revolution(curves[0], 0.0).ends[0]
    rim = _circle(boundary, ("turned", "rim"), float(z), float(r), 0.0)
    add_turned(boundary, "turned", curves, first=rim, last=rim, side=side)
    return boundary.solid()


def _circle(boundary: Boundary, key: Hashable, z: float, r: float, angle: float) -> Junction:
    vertex, edge = (key, "vertex"), (key, "circle")
    boundary.edge(edge, circle(z=z, r=r, angle=angle), start=vertex, end=vertex, first=0.0, last=2 * np.pi)
    return Junction([(edge, angle)], vertex, angle)


def _add_face(
    boundary: Boundary,
    key: Hashable,
    face: Revolution,
    before: Junction | None,
    after: Junction | None,
    side: float,
    opened: list[list[Use]],
) -> None:
    arcs = [junction.uses(face, end) if junction else [] for end, junction in enumerate((before, after))]
    if face.kind == "plane":
        outer = int(face.ends[1, 1] > face.ends[0, 1])
        loops = [loop for loop in (arcs[outer], arcs[1 - outer], *opened) if loop]
    elif before is None or after is None:
        raise RejectedSolid(f"{key}: a {face.kind} face ends on the axis; only planes may")
    else:
        seam, (low, high) = (key, "seam"), face.bounds
        curve = face.meridian_at(face.seam)
        boundary.edge(seam, curve, start=before.vertex, end=after.vertex, first=low, last=high)
        near, far = face.meridian2d(face.seam), face.meridian2d(face.seam, 2 * np.pi)
        loops = [[Use(seam, near), *arcs[1], Use(seam, far), *reversed(arcs[0])]]
    boundary.face(key, face.surface, loops, face.outward(side))
