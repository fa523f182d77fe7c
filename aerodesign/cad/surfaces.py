"""Curves and surfaces of the kernel from numpy arrays (millimetres): splines through points, lines, circles.

Interpolation is done in numpy, so that its nodes and parameters are ours; the kernel is handed knots and poles.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.cad.kernel import occ

Array = NDArray[np.float64]


def point(p: ArrayLike) -> Any:
    """A point (x, y, z)."""
    x, y, z = (float(c) for c in np.asarray(p))
    return occ.gp.gp_Pnt(x, y, z)


def _point2d(p: ArrayLike) -> Any:
    u, v = (float(c) for c in np.asarray(p))
    return occ.gp.gp_Pnt2d(u, v)


def _knots(knots: Array) -> tuple[Any, Any]:
    """Distinct knots and their multiplicities as the kernel's arrays."""
    values, counts = np.unique(np.round(knots, 12), return_counts=True)
    reals = occ.TColStd.TColStd_Array1OfReal(1, len(values))
    integers = occ.TColStd.TColStd_Array1OfInteger(1, len(values))
    for i, (value, count) in enumerate(zip(values, counts, strict=True), start=1):
        reals.SetValue(i, float(value))
        integers.SetValue(i, int(count))
    return reals, integers


def _poles(points: Array, array: Any, make: Any) -> Any:
    poles = array(1, len(points))
    for i, p in enumerate(points, start=1):
        poles.SetValue(i, make(p))
    return poles


def spline_curve(spline: BSpline) -> Any:
    """A scipy spline with values (x, y, z) as a curve of the kernel, same parameter."""
    poles = _poles(spline.c, occ.TColgp.TColgp_Array1OfPnt, point)
    return occ.Geom.Geom_BSplineCurve(poles, *_knots(spline.t), spline.k)


def curve_through(points: Array, parameter: Array, degree: int = 3) -> Any:
    """The spline curve through points (n, 3) at given parameters."""
    return spline_curve(make_interp_spline(parameter, points, k=min(degree, len(parameter) - 1)))


def line(start: ArrayLike, direction: ArrayLike) -> Any:
    """A straight line from a point; the parameter is the length."""
    x, y, z = (float(c) for c in np.asarray(direction))
    return occ.Geom.Geom_Line(point(start), occ.gp.gp_Dir(x, y, z))


def circle(*, z: float, r: float, angle: float) -> Any:
    """A circle about the z axis; the parameter is the angle counted from ``angle``."""
    x = occ.gp.gp_Dir(float(np.cos(angle)), float(np.sin(angle)), 0.0)
    axes = occ.gp.gp_Ax2(occ.gp.gp_Pnt(0.0, 0.0, float(z)), occ.gp.gp_Dir(0.0, 0.0, 1.0), x)
    return occ.Geom.Geom_Circle(axes, float(r))


def surface_through(grid: Array, u: Array, v: Array, degree_u: int = 3, degree_v: int = 3) -> Any:
    """The tensor spline surface through a grid of points (len(u), len(v), 3), exact at the nodes."""
    along_u = make_interp_spline(u, grid, k=min(degree_u, len(u) - 1), axis=0)
    along_v = make_interp_spline(v, along_u.c, k=min(degree_v, len(v) - 1), axis=1)
    return surface_of_poles(np.moveaxis(along_v.c, 0, 1), along_u.t, along_v.t, along_u.k, along_v.k)


def surface_of_poles(poles: Array, knots_u: Array, knots_v: Array, degree_u: int, degree_v: int) -> Any:
    """The tensor spline surface of poles (n, m, 3) over two vectors of knots with the multiple ones repeated."""
    rows, columns = poles.shape[:2]
    array = occ.TColgp.TColgp_Array2OfPnt(1, rows, 1, columns)
    for i, j in np.ndindex(rows, columns):
        array.SetValue(i + 1, j + 1, point(poles[i, j]))
    (values_u, counts_u), (values_v, counts_v) = _knots(knots_u), _knots(knots_v)
    return occ.Geom.Geom_BSplineSurface(array, values_u, values_v, counts_u, counts_v, degree_u, degree_v)


def line2d(start: ArrayLike, direction: ArrayLike) -> Any:
    """A line in a parameter plane; its parameter is the length, so it fits edges whose parameter runs at speed 1."""
    du, dv = (float(c) for c in np.asarray(direction))
    return occ.Geom2d.Geom2d_Line(_point2d(start), occ.gp.gp_Dir2d(du, dv))


def segment2d(start: ArrayLike, end: ArrayLike, first: float, last: float) -> Any:
    """A straight piece in a parameter plane from ``start`` at parameter ``first`` to ``end`` at ``last``."""
    return curve2d_through(np.array([start, end], float), np.array([first, last]), degree=1)


def circle2d(radius: float, angle: float, centre: ArrayLike = (0.0, 0.0)) -> Any:
    """A circle in a parameter plane, counter-clockwise from ``angle``."""
    c, s = float(np.cos(angle)), float(np.sin(angle))
    gp = occ.gp
    axes = gp.gp_Ax22d(_point2d(centre), gp.gp_Dir2d(c, s), gp.gp_Dir2d(-s, c))
    return occ.Geom2d.Geom2d_Circle(axes, float(radius))


def spline_curve2d(spline: BSpline) -> Any:
    """A scipy spline with values (u, v) as a curve in a parameter plane, same parameter."""
    poles = _poles(spline.c, occ.TColgp.TColgp_Array1OfPnt2d, _point2d)
    return occ.Geom2d.Geom2d_BSplineCurve(poles, *_knots(spline.t), spline.k)


def curve2d_through(points: Array, parameter: Array, degree: int = 3) -> Any:
    """The spline curve through points (n, 2) of a parameter plane at given parameters."""
    return spline_curve2d(make_interp_spline(parameter, points, k=min(degree, len(parameter) - 1)))
