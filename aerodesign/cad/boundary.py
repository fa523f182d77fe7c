"""A solid from its boundary: vertices, edges and faces made once, shared, and handed to the kernel as they are.

No boolean operations and no sewing: the caller knows every curve and surface beforehand. How to use it (millimetres)::

    boundary = Boundary()
    boundary.edge(("rim", 0), curve, start="a", end="b", first=0.0, last=1.0)   # curve(0) is "a", curve(1) is "b"
    boundary.face("top", surface, [[Use(("rim", 0), curve_in_plane), ...], hole, ...], outward)
    shape = boundary.solid()

Keys are any hashable names. Vertices come into being with the first edge that ends there; an edge that exists
already is left as it is, so two neighbours may both ask for it. A face is a surface and loops, the outer one first;
each loop lists its edges in order round the loop, every one with its curve in the parameter plane of this surface,
which must have the same parameter as the curve in space. The direction of each edge in the loop, the direction of the
loop and the side of the face are worked out: from the ends in the parameter plane, from the sign of the area, from
``outward``. A seam is an edge that occurs twice in a loop with two curves. Edges with the same ``family`` are
congruent; one of them is measured for all.

Raises :class:`RejectedSolid` where edges or loops do not meet, or where the kernel fails, with the name of the feature.
"""

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.kernel import occ
from aerodesign.cad.surfaces import point
from aerodesign.core.errors import RejectedSolid

Array = NDArray[np.float64]
Outward = Callable[[Array], Array]

LOOSE = 0.02
"""Ends that miss each other by more, in mm or in units of a parameter plane, are a mistake, not a tolerance."""
SAMPLES = 200
MARGIN = 1.3
"""Tolerance given to an edge over the largest gap found on it."""


class Use(NamedTuple):
    """An edge in a loop of a face: its key and its curve in the face's parameter plane."""

    edge: Hashable
    curve: Any


@dataclass
class _Edge:
    shape: Any
    curve: Any
    first: float
    last: float
    family: Hashable


class Boundary:
    """Collects the parts of one solid. See the module for its use."""

    def __init__(self, tolerance: float = 1e-6) -> None:
        self.tolerance = tolerance
        self.gaps: dict[Hashable, float] = {}
        """After :meth:`solid`: the largest distance in mm between each family of edges and its faces."""
        self._builder = occ.BRep.BRep_Builder()
        self._vertices: dict[Hashable, tuple[Any, Array]] = {}
        self._edges: dict[Hashable, _Edge] = {}
        self._faces: list[Any] = []
        self._uses: dict[Hashable, list[tuple[Any, Any]]] = {}

    def vertex(self, key: Hashable, position: Array) -> Any:
        """The vertex of that name, made at ``position`` if it is new."""
        if key not in self._vertices:
            shape = occ.TopoDS.TopoDS_Vertex()
            self._builder.MakeVertex(shape, point(position), self.tolerance)
            self._vertices[key] = (shape, np.asarray(position, float))
        return self._vertices[key][0]

    def edge(
        self,
        key: Hashable,
        curve: Any,
        *,
        start: Hashable,
        end: Hashable,
        first: float,
        last: float,
        family: Hashable = None,
    ) -> None:
        """An edge along ``curve`` from vertex ``start`` at parameter ``first`` to ``end`` at ``last`` > ``first``."""
        if key in self._edges:
            return
        if not last > first:
            raise RejectedSolid(f"edge {key}: parameters must grow, got {first:.6g} to {last:.6g}")
        with _named(f"edge {key}"):
            shape = self._bare_edge(key, curve, start, end, first, last)
        self._edges[key] = _Edge(shape, curve, float(first), float(last), key if family is None else family)

    def _bare_edge(self, key: Hashable, curve: Any, start: Hashable, end: Hashable, first: float, last: float) -> Any:
        shape = occ.TopoDS.TopoDS_Edge()
        self._builder.MakeEdge(shape, curve, self.tolerance)
        for name, parameter, side in ((start, first, "TopAbs_FORWARD"), (end, last, "TopAbs_REVERSED")):
            vertex = self._meet(key, name, _xyz(curve.Value(float(parameter))))
            self._builder.Add(shape, vertex.Oriented(getattr(occ.TopAbs.TopAbs_Orientation, side)))
        self._builder.Range(shape, float(first), float(last))
        return shape

    def _meet(self, key: Hashable, name: Hashable, position: Array) -> Any:
        """The vertex at an edge's end, its tolerance raised to the distance between them."""
        vertex = self.vertex(name, position)
        gap = float(np.linalg.norm(self._vertices[name][1] - position))
        if gap > LOOSE:
            raise RejectedSolid(f"edge {key} ends {gap:.3g} mm away from vertex {name}")
        if gap > self.tolerance:
            self._builder.UpdateVertex(vertex, max(1.01 * gap, occ.BRep.BRep_Tool.Tolerance_s(vertex)))
        return vertex

    def face(self, key: Hashable, surface: Any, loops: Sequence[Sequence[Use]], outward: Outward) -> None:
        """A face of ``surface`` within ``loops``; ``outward(point)`` is any vector out of the solid there."""
        with _named(f"face {key}"):
            self._faces.append((self._bare_face(key, surface, loops, outward), surface))

    def _bare_face(self, key: Hashable, surface: Any, loops: Sequence[Sequence[Use]], outward: Outward) -> Any:
        shape = occ.TopoDS.TopoDS_Face()
        self._builder.MakeFace(shape, surface, self.tolerance)
        polygons = []
        for number, loop in enumerate(loops):
            turned, polygon = self._directed(loop, inner=number > 0, name=f"face {key}, loop {number}")
            polygons.append(polygon)
            wire = occ.TopoDS.TopoDS_Wire()
            self._builder.MakeWire(wire)
            for use, forward in turned:
                side = "TopAbs_FORWARD" if forward else "TopAbs_REVERSED"
                self._builder.Add(
                    wire, self._edges[use.edge].shape.Oriented(getattr(occ.TopAbs.TopAbs_Orientation, side))
                )
            wire.Closed(True)
            self._attach(shape, turned)
            self._builder.Add(shape, wire)
        if _faces_inward(surface, _inside(polygons[0]), outward):
            shape.Reverse()
        return shape

    def _attach(self, face: Any, loop: list[tuple[Use, bool]]) -> None:
        """Give each edge of a loop its curve(s) on the face."""
        surface = occ.BRep.BRep_Tool.Surface_s(face)
        curves: dict[Hashable, dict[bool, Any]] = {}
        for use, forward in loop:
            curves.setdefault(use.edge, {})[forward] = use.curve
        for key, sides in curves.items():
            edge = self._edges[key]
            if len(sides) == 2:
                smooth = occ.GeomAbs.GeomAbs_Shape.GeomAbs_CN
                self._builder.UpdateEdge(edge.shape, sides[True], sides[False], face, self.tolerance)
                self._builder.Continuity(edge.shape, face, face, smooth)
            else:
                self._builder.UpdateEdge(edge.shape, next(iter(sides.values())), face, self.tolerance)
            self._builder.Range(edge.shape, face, edge.first, edge.last)
            self._uses.setdefault(key, []).extend((surface, curve) for curve in sides.values())

    def _directed(self, loop: Sequence[Use], *, inner: bool, name: str) -> tuple[list[tuple[Use, bool]], Array]:
        """The loop with a direction for each edge, counter-clockwise outside and clockwise inside, and its polygon."""
        pieces = [self._sampled(use) for use in loop]
        trials = [_chain(pieces, forward) for forward in (True, False)]
        gap, senses = min(trials, key=lambda trial: trial[0])
        if gap > LOOSE:
            raise RejectedSolid(f"{name} is open by {gap:.3g} in its parameter plane")
        polygon = np.concatenate(
            [(piece if sense else piece[::-1])[:-1] for piece, sense in zip(pieces, senses, strict=True)]
        )
        turned = list(zip(loop, senses, strict=True))
        if (_area(polygon) > 0) == inner:
            turned = [(use, not forward) for use, forward in reversed(turned)]
        return turned, polygon

    def _sampled(self, use: Use) -> Array:
        edge = self._edges[use.edge]
        points = (use.curve.Value(float(t)) for t in np.linspace(edge.first, edge.last, 25))
        return np.array([(p.X(), p.Y()) for p in points])

    def solid(self) -> Any:
        """The closed solid of all faces, with tolerances raised to the gaps that are really there."""
        shell, solid = occ.TopoDS.TopoDS_Shell(), occ.TopoDS.TopoDS_Solid()
        self._builder.MakeShell(shell)
        for face, _ in self._faces:
            self._builder.Add(shell, face)
        shell.Closed(True)
        self._builder.MakeSolid(solid)
        self._builder.Add(solid, shell)
        self._measure()
        for edge in self._edges.values():
            # So by construction; left to find out, the kernel would put approximations in the place of our curves.
            self._builder.SameRange(edge.shape, True)
            self._builder.SameParameter(edge.shape, True)
        occ.BRepLib.BRepLib.UpdateTolerances_s(solid, False)
        return solid

    def _measure(self) -> None:
        """Sample edges against their faces: the kernel itself looks at some twenty points an edge only."""
        for key, edge in self._edges.items():
            if edge.family not in self.gaps:
                self.gaps[edge.family] = self._gap(key, edge)
            gap = MARGIN * self.gaps[edge.family]
            if gap > occ.BRep.BRep_Tool.Tolerance_s(edge.shape):
                self._builder.UpdateEdge(edge.shape, gap)

    def _gap(self, key: Hashable, edge: _Edge) -> float:
        parameters = np.linspace(edge.first, edge.last, SAMPLES)
        on_curve = [edge.curve.Value(float(t)) for t in parameters]
        gap = 0.0
        for surface, curve in self._uses.get(key, []):
            for t, p in zip(parameters, on_curve, strict=True):
                uv = curve.Value(float(t))
                gap = max(gap, p.Distance(surface.Value(uv.X(), uv.Y())))
        return gap


class Hollow(Boundary):
    """A boundary seen from the other side: what builds a body through it leaves that body's room in another one."""

    def __init__(self, boundary: Boundary) -> None:
        # one set of vertices, edges and faces under two views
        self.__dict__ = boundary.__dict__

    def face(self, key: Hashable, surface: Any, loops: Sequence[Sequence[Use]], outward: Outward) -> None:
        """As in a :class:`Boundary`, turned over."""
        super().face(key, surface, loops, lambda p: -outward(p))


@contextmanager
def _named(feature: str) -> Iterator[None]:
    """Whatever the kernel throws, as a rejection that names the feature."""
    try:
        yield
    except occ.Standard.Standard_Failure as cause:
        raise RejectedSolid(f"{feature}: the CAD kernel failed ({type(cause).__name__}: {cause})") from cause


def _xyz(p: Any) -> Array:
    return np.array([p.X(), p.Y(), p.Z()])


def _chain(pieces: list[Array], forward: bool) -> tuple[float, list[bool]]:
    """Direct the pieces head to tail, the first one as told: the sum of gaps and the directions."""
    start, here = (pieces[0][0], pieces[0][-1]) if forward else (pieces[0][-1], pieces[0][0])
    senses, total = [forward], 0.0
    for piece in pieces[1:]:
        ahead, behind = np.linalg.norm(piece[0] - here), np.linalg.norm(piece[-1] - here)
        senses.append(bool(ahead <= behind))
        total += float(min(ahead, behind))
        here = piece[-1] if ahead <= behind else piece[0]
    return total + float(np.linalg.norm(here - start)), senses


def _area(polygon: Array) -> float:
    x, y = polygon.T
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _inside(polygon: Array) -> Array:
    """A point inside a polygon: the middle of the widest stretch of a few scan lines."""
    best: Array = np.asarray(polygon.mean(axis=0))
    width = 0.0
    here, there = polygon, np.roll(polygon, -1, axis=0)
    for share in (0.5, 0.37, 0.63, 0.21, 0.79):
        y = polygon[:, 1].min() + share * np.ptp(polygon[:, 1])
        cut = (here[:, 1] - y) * (there[:, 1] - y) < 0
        a, b = here[cut], there[cut]
        x = np.sort(a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
        for left, right in zip(x[0::2], x[1::2], strict=False):
            if right - left > width:
                best, width = np.array([(left + right) / 2, y]), right - left
    return best


def _faces_inward(surface: Any, uv: Array, outward: Outward) -> bool:
    p, du, dv = occ.gp.gp_Pnt(), occ.gp.gp_Vec(), occ.gp.gp_Vec()
    surface.D1(float(uv[0]), float(uv[1]), p, du, dv)
    return bool(np.dot(_xyz(du.Crossed(dv)), outward(_xyz(p))) < 0)
