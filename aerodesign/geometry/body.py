"""The parts of a wheel without blades, as curves (z, r) in the meridional plane: nose, bore, boss, back disc, cover.

Their proportions are common practice, no source; they are meant for a first weight, stress and drawing, and are where a
workshop will put its own.
"""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from scipy.interpolate import BSpline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.geometry.meridional import DEGREE, Array, Contour, Meridional

Curve: TypeAlias = BSpline | Array
"""A smooth curve as a spline (z, r), or a straight line as its two end points, shape (2, 2)."""


@dataclass(frozen=True, eq=False)
class Body:
    """Curves of the hub body and of the cover, in metres.

    ``hub`` and ``shroud`` run along the flow from ``start`` (in t) to 1. ``outline`` goes on from the start of ``hub`` over
    nose, bore and back to the rim's back corner; a solid wheel's outline ends and begins again on the axis. ``cover`` goes from
    the start of ``shroud`` over the outside to the rim's front corner; it is empty for a semi-open wheel.
    """

    hub: Contour
    shroud: Contour
    start: float
    outline: list[Curve]
    cover: list[Curve]


def body(impeller: Impeller, channel: Meridional, *, lead: float) -> Body:
    """The body of a wheel whose straight inlet reaches ``lead`` (in t, positive) ahead of the leading edge.

    ``impeller.bore`` is a diameter; 0 makes a solid hub. Raises :class:`RejectedSolid` where the bore does not fit the hub.
    """
    r1h, r2, hole = float(impeller.r1h), float(impeller.r2), float(impeller.bore) / 2
    if hole > 0.8 * r1h:
        raise RejectedSolid(
            f"hub: a bore of {2e3 * hole:.4g} mm leaves no wall in a hub of {2e3 * r1h:.4g} mm at the inlet; "
            f"allowed up to {1.6e3 * r1h:.4g} mm"
        )
    hub, shroud = channel.hub, channel.shroud
    front = float(hub.at(-lead)[0])
    tip = front - 0.6 * r1h
    flat = hole + 0.35 * (r1h - hole)
    poles = np.array(
        [[front, r1h], [front + 0.55 * (tip - front), r1h], [tip, flat + 0.55 * (r1h - flat)], [tip, flat]]
    )
    nose = BSpline(np.r_[[0.0] * 4, [1.0] * 4], poles, 3)
    back = float(impeller.axial_length) + 0.035 * r2
    end, boss = back + 0.12 * r2, max(0.8 * r1h, 1.35 * hole)
    outline: list[Curve] = [nose]
    outline += _line((tip, flat), (tip, hole)) + (_line((tip, hole), (end, hole)) if hole > 0 else [])
    outline += (
        _line((end, hole), (end, boss)) + _line((end, boss), (back, 0.8 * r2)) + _line((back, 0.8 * r2), (back, r2))
    )
    return Body(hub, shroud, -lead, outline, _cover(impeller, shroud, lead) if bool(impeller.covered) else [])


def _cover(impeller: Impeller, shroud: Contour, lead: float) -> list[Curve]:
    """Inlet face and outside of the cover; the outside is the shroud, offset by the cover's thickness."""
    thickness = max(0.02 * float(impeller.r2), 1.5 * float(impeller.thickness_shroud))
    outside = shroud.offset(thickness)
    inner, outer = shroud.at(-lead), outside.at(-lead)
    if np.any(outside.slope(np.linspace(-lead, 1, 200)) @ np.ones(2) <= 0):
        raise RejectedSolid("cover: its outside folds where the shroud bends most; lengthen the wheel")
    return [*_line(inner, outer), piece(outside, -lead)]


def piece(contour: Contour, start: float) -> BSpline:
    """A contour from ``start`` < 0 to 1 as a spline on its own knots."""
    whole = contour.spline
    inside = whole.t[(whole.t > start) & (whole.t < 1)]
    knots = np.r_[[start] * (DEGREE + 1), inside, [1.0] * (DEGREE + 1)]
    return BSpline(knots, _poles(contour, knots), DEGREE)


def _poles(contour: Contour, knots: Array) -> Array:
    """Poles of the same curve on other knots: enough points determine them, because the curve lies in that space."""
    t = np.array([np.mean(knots[i + 1 : i + 1 + DEGREE]) for i in range(len(knots) - DEGREE - 1)])
    design = BSpline.design_matrix(np.clip(t, knots[0], knots[-1]), knots, DEGREE).toarray()
    return np.asarray(np.linalg.solve(design, contour.at(t)))


def _line(start: Array | tuple[float, float], end: Array | tuple[float, float]) -> list[Curve]:
    return [np.array([start, end], float)]


def points(curve: Curve, count: int = 2001) -> Array:
    """Points (z, r) along a curve, shape (count, 2); two suffice for a straight one."""
    if isinstance(curve, BSpline):
        return np.asarray(curve(np.linspace(curve.t[0], curve.t[-1], count)))
    return curve


def body_volume(wheel: Body) -> float:
    """Volume of hub body and cover without blades, m3."""
    t = np.linspace(wheel.start, 1, 4001)
    total = revolved_volume(np.concatenate([wheel.hub.at(t)[::-1]] + [points(curve) for curve in wheel.outline]))
    if wheel.cover:
        total += revolved_volume(np.concatenate([wheel.shroud.at(t)[::-1]] + [points(curve) for curve in wheel.cover]))
    return total


def revolved_volume(zr: Array) -> float:
    """Volume of the body of revolution of a closed polygon."""
    z, r = zr.T
    z2, r2 = np.roll(z, -1), np.roll(r, -1)
    return float(abs(np.pi / 3 * np.sum((z2 - z) * (r * r + r * r2 + r2 * r2))))
