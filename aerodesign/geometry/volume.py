"""Volumes from surfaces in numpy, independent of any solid modeller.

The volume of a body is the integral over its boundary of the form r**2/2 d(theta) dz (Gauss' theorem for the field
(x, y, 0)/2): a grid of points contributes by quadrature of its spline, a wall of revolution by a line integral round the
patch, a plane z = const nothing.
"""

import numpy as np
from scipy.interpolate import CubicSpline, make_interp_spline

from aerodesign.geometry.meridional import Array, Contour
from aerodesign.geometry.skin import DEGREE_ACROSS, Skin


def flux(grid: Array, u: Array, v: Array) -> float:
    """The integral of r**2/2 d(theta) dz over the spline surface through a grid (u, v, 3)."""
    fine_u, weight_u = _gauss(u)
    fine_v, weight_v = _gauss(v)
    along = make_interp_spline(u, grid, k=3, axis=0)

    def across(values: Array, order: int) -> Array:
        return np.asarray(make_interp_spline(v, values, k=DEGREE_ACROSS, axis=1)(fine_v, order))

    p, du, dv = across(along(fine_u), 0), across(along(fine_u, 1), 0), across(along(fine_u), 1)
    turn_u = p[..., 0] * du[..., 1] - p[..., 1] * du[..., 0]
    turn_v = p[..., 0] * dv[..., 1] - p[..., 1] * dv[..., 0]
    form = (turn_u * dv[..., 2] - turn_v * du[..., 2]) / 2
    return float(weight_u @ form @ weight_v)


def _gauss(knots: Array) -> tuple[Array, Array]:
    """Points and weights of Gauss' rule with four points in every interval."""
    x, w = np.polynomial.legendre.leggauss(4)
    half = np.diff(knots)[:, None] / 2
    return (((knots[1:] + knots[:-1])[:, None] / 2) + half * x).ravel(), (half * w).ravel()


def potential(wall: Contour) -> CubicSpline:
    """The integral of r**2/2 dz along a contour as a function of t, zero at t = 0."""
    t = np.linspace(-0.7, 1.0, 1701)
    integral = CubicSpline(t, wall.at(t)[:, 1] ** 2 / 2 * wall.slope(t)[:, 0]).antiderivative()
    return CubicSpline(t, integral(t) - integral(0.0))


def blade_volume(skin: Skin, hub: Contour, tip: Contour, r2: float) -> float:
    """Volume between hub, tip and the sides of one blade with its fillets, out to the cylinder r2; m3."""
    total = flux(skin.blade, skin.u, skin.v)
    sides = [skin.blade]
    if skin.hub.grid is not None:
        total += flux(skin.hub.grid[:, ::-1], skin.u, skin.v)
        sides.append(skin.hub.grid[:, ::-1])
    if skin.tip.grid is not None:
        total += flux(skin.tip.grid, skin.u, skin.v)
        sides.append(skin.tip.grid)
    total += _cap(skin.u, skin.tip.track, potential(tip)) - _cap(skin.u, skin.hub.track, potential(hub))
    total += r2**2 / 2 * sum(_strip(side[0], skin.v) - _strip(side[-1], skin.v) for side in sides)
    return abs(total)


def _cap(u: Array, track: Array, integral: CubicSpline) -> float:
    """Contribution of a patch of a wall, open at t = 1 (r2), bounded by a track."""
    theta = make_interp_spline(u, track[:, 0], k=3)
    t = make_interp_spline(u, track[:, 1], k=3)
    fine, weight = _gauss(u)
    around = float(np.sum(weight * integral(t(fine)) * theta(fine, 1)))
    return -(around - float(integral(1.0)) * float(track[-1, 0] - track[0, 0]))


def _strip(edge: Array, v: Array) -> float:
    """The integral of theta dz along one edge of the trailing edge's face."""
    fine, weight = _gauss(v)
    spline = make_interp_spline(v, edge, k=DEGREE_ACROSS)
    p, d = spline(fine), spline(fine, 1)
    return float(np.sum(weight * np.unwrap(np.arctan2(p[:, 1], p[:, 0])) * d[:, 2]))
