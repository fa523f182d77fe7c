"""The same wheel by booleans, without fillets: closed blade bodies, trimmed by a turned body, fused to hub and cover in one call.

For comparison only; the project builds boundaries directly. The kernel's own fillets on such a body are not tried.
"""

from typing import Any

import numpy as np
from scipy.interpolate import BSpline

from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.surfaces import curve_through, spline_curve, surface_through
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body, body_volume, piece
from aerodesign.geometry.profile import BladeSurface
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.skin import ACROSS, DEGREE_ACROSS, ROWS_SIDE, row_places
from aerodesign.geometry.volume import blade_volume

LEAD = 0.25
"""How far the hub goes on ahead of the leading edge, in the contours' parameter."""
BEYOND = 0.004
"""How far blades reach into hub and cover, over the tips and past the rim, in metres."""


def fused_wheel(impeller: Any) -> Any:
    """One solid, if the kernel manages."""
    blading = Blading(impeller)
    wheel = body(impeller, blading.meridional, lead=LEAD)
    bodies = [_turned([piece(wheel.hub, -LEAD), *wheel.outline, _rim(wheel.outline[-1][-1], wheel.hub)])]
    if wheel.cover:
        bodies.append(_turned([piece(wheel.shroud, -LEAD), *wheel.cover, _rim(wheel.cover[-1](1.0), wheel.shroud)]))
    trim = _trimming_body(impeller, blading, wheel)
    tools = occ.TopTools.TopTools_ListOfShape()
    count = round(float(impeller.blades))
    starts = [(0.0, 0.0)] + ([(float(impeller.splitter_start), blading.splitter_turn)] if impeller.splitters else [])
    for start, shift in starts:
        trimmed = occ.BRepAlgoAPI.BRepAlgoAPI_Common(_blade(blading, start), trim).Shape()
        for k in range(count):
            tools.Append(_rotated(trimmed, shift + 2 * np.pi * k / count))
    for other in bodies[1:]:
        tools.Append(other)
    arguments = occ.TopTools.TopTools_ListOfShape()
    arguments.Append(bodies[0])
    fuse = occ.BRepAlgoAPI.BRepAlgoAPI_Fuse()
    fuse.SetArguments(arguments)
    fuse.SetTools(tools)
    fuse.Build()
    return fuse.Shape()


def expected_volume(impeller: Any) -> float:
    """Volume of that wheel by the integral over its skins, m3."""
    blading = Blading(impeller.but(fillet=0.0))
    row, wheel = blade_row(blading), body(impeller, blading.meridional, lead=LEAD)
    kinds = [(row.full, impeller.blades), (row.splitter, impeller.splitters)]
    blades = sum(n * blade_volume(skin, wheel.hub, wheel.shroud, float(impeller.r2)) for skin, n in kinds if skin)
    return body_volume(wheel) + float(blades)


def _blade(blading: Blading, start: float) -> Any:
    """A closed blade that reaches beyond hub, tip and rim: its skin, and ruled faces for the trailing edge and both ends."""
    surface = BladeSurface(blading, start=start, beyond=BEYOND + 0.01 * float(blading.impeller.r2))
    rows, v = row_places(ROWS_SIDE), np.linspace(0, 1, ACROSS)
    grid = np.stack([surface.at(np.full(len(rows), s), rows) for s in v], axis=1)
    for end, inner in ((0, 1), (-1, -2)):
        away = grid[:, end] - grid[:, inner]
        grid[:, end] += BEYOND * away / np.linalg.norm(away, axis=1, keepdims=True)
    grid, u = MM * grid, (rows + 1) / 2
    side = surface_through(grid, u, v, 3, DEGREE_ACROSS)
    sewing = occ.BRepBuilderAPI.BRepBuilderAPI_Sewing(1e-3)
    sewing.Add(occ.BRepBuilderAPI.BRepBuilderAPI_MakeFace(side, 1e-6).Face())
    nose = len(u) // 2
    ends = [curve_through(grid[row], v, DEGREE_ACROSS) for row in (0, -1)]
    pairs = [ends] + [
        [curve_through(grid[: nose + 1, j][::-1], np.linspace(0, 1, nose + 1)), curve_through(grid[nose:, j], np.linspace(0, 1, nose + 1))]
        for j in (0, -1)
    ]  # fmt: skip
    make_edge = occ.BRepBuilderAPI.BRepBuilderAPI_MakeEdge
    for one, other in pairs:
        sewing.Add(occ.BRepFill.BRepFill.Face_s(make_edge(one).Edge(), make_edge(other).Edge()))
    sewing.Perform()
    solid = occ.BRepBuilderAPI.BRepBuilderAPI_MakeSolid(occ.TopoDS.TopoDS.Shell_s(sewing.SewedShape())).Solid()
    occ.BRepLib.BRepLib.OrientClosedSolid_s(solid)
    return solid


def _trimming_body(impeller: Any, blading: Blading, wheel: Any) -> Any:
    """All that lies within the rim and under the tips (within the cover's outside for a covered wheel)."""
    r2 = float(impeller.r2)
    z_front = float(wheel.shroud.at(-LEAD)[0]) - 0.01
    z_end = float(wheel.hub.at(1.0)[0]) + BEYOND
    if wheel.cover:
        corners = [[z_front, r2], [z_end, r2], [z_end, 0], [z_front, 0], [z_front, r2]]
        return _turned([np.array(corners[i : i + 2]) for i in range(4)])
    start = wheel.shroud.at(-LEAD)
    tip = wheel.shroud.at(1.0)
    corners = [tip, [z_end, r2], [z_end, 0], [start[0], 0], start]
    return _turned([piece(wheel.shroud, -LEAD), *[np.array(corners[i : i + 2]) for i in range(4)]])


def _rim(corner: Any, wall: Any) -> Any:
    """The line on the rim from a corner to the wall's end."""
    return np.array([corner, wall.at(1.0)])


def _turned(curves: list[Any]) -> Any:
    """The body of a closed chain of meridians turned about the axis."""
    wire = occ.BRepBuilderAPI.BRepBuilderAPI_MakeWire()
    listed = occ.TopTools.TopTools_ListOfShape()
    for curve in curves:
        listed.Append(_edge(curve))
    wire.Add(listed)
    face = occ.BRepBuilderAPI.BRepBuilderAPI_MakeFace(wire.Wire()).Face()
    axis = occ.gp.gp_Ax1(occ.gp.gp_Pnt(0, 0, 0), occ.gp.gp_Dir(0, 0, 1))
    return occ.BRepPrimAPI.BRepPrimAPI_MakeRevol(face, axis).Shape()


def _edge(curve: Any) -> Any:
    make = occ.BRepBuilderAPI.BRepBuilderAPI_MakeEdge
    if isinstance(curve, BSpline):
        space = np.stack([curve.c[:, 1], 0 * curve.c[:, 0], curve.c[:, 0]], axis=1)
        return make(spline_curve(BSpline(curve.t, MM * space, curve.k))).Edge()
    a, b = (occ.gp.gp_Pnt(MM * float(r), 0.0, MM * float(z)) for z, r in curve)
    return make(a, b).Edge()


def _rotated(shape: Any, angle: float) -> Any:
    turn = occ.gp.gp_Trsf()
    turn.SetRotation(occ.gp.gp_Ax1(occ.gp.gp_Pnt(0, 0, 0), occ.gp.gp_Dir(0, 0, 1)), float(angle))
    return occ.BRepBuilderAPI.BRepBuilderAPI_Transform(shape, turn, True).Shape()
