"""Volumes from surfaces in numpy, independent of any solid modeller.

The volume of a body is the integral over its boundary of the form r**2/2 d(theta) dz (Gauss' theorem for the field
(x, y, 0)/2): a grid of points contributes by quadrature of its spline, a wall of revolution by a line integral round the
patch, a plane z = const nothing.
"""

import numpy as np
from scipy.interpolate import CubicSpline, make_interp_spline

from aerodesign.geometry.meridional import Array, Contour
from aerodesign.geometry.round_exit import RoundExit
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
    if skin.exit is not None:
        return abs(total + _round_exit(skin.exit, skin.v, hub, tip, r2))
    total += r2**2 / 2 * sum(_strip(side[0], skin.v) - _strip(side[-1], skin.v) for side in sides)
    return abs(total)


def _round_exit(exit: RoundExit, v: Array, hub: Contour, tip: Contour, r2: float) -> float:
    """What a full round trailing edge adds: its surfaces, and what they leave of the rim or of the walls."""
    total = flux(exit.blade, exit.u, v)
    for fillet, track, wall, side in ((exit.hub, exit.hub_track, hub, 1.0), (exit.tip, exit.tip_track, tip, -1.0)):
        if fillet is None:
            # the wall's patch closes along the edge itself, not along r2 as :func:`_cap` has it
            integral = potential(wall)
            theta, t = (make_interp_spline(exit.u, values, k=3) for values in track.T)
            fine, weight = _gauss(exit.u)
            round_it = float(np.sum(weight * integral(t(fine)) * theta(fine, 1)))
            total += side * (round_it - float(integral(1.0)) * float(track[-1, 0] - track[0, 0]))
        else:
            total += flux(fillet[:, ::-1] if side > 0 else fillet, exit.u, v)
            total -= side * r2**2 / 2 * _strip(fillet[:, -1], exit.u, 3)
    return total


def _cap(u: Array, track: Array, integral: CubicSpline) -> float:
    """Contribution of a patch of a wall, open at t = 1 (r2), bounded by a track."""
    theta = make_interp_spline(u, track[:, 0], k=3)
    t = make_interp_spline(u, track[:, 1], k=3)
    fine, weight = _gauss(u)
    around = float(np.sum(weight * integral(t(fine)) * theta(fine, 1)))
    return -(around - float(integral(1.0)) * float(track[-1, 0] - track[0, 0]))


def _strip(edge: Array, v: Array, degree: int = DEGREE_ACROSS) -> float:
    """The integral of theta dz along one edge of a face on the cylinder r2."""
    fine, weight = _gauss(v)
    spline = make_interp_spline(v, edge, k=degree)
    p, d = spline(fine), spline(fine, 1)
    return float(np.sum(weight * np.unwrap(np.arctan2(p[:, 1], p[:, 0])) * d[:, 2]))
