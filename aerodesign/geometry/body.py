"""The parts of a wheel without blades, as curves (z, r) in the meridional plane: nose, bore, boss, back disc, cover.

Their proportions are common practice, no source; they are meant for a first weight, stress and drawing, and are where a
workshop will put its own: see :class:`~aerodesign.form.wheel.WheelForm`.
"""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from scipy.interpolate import BSpline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.wheel import BLUNT, CONE, WheelForm
from aerodesign.geometry.back import Vanes, back_line, back_vanes, chosen
from aerodesign.geometry.bore import WALL, Slot, bore_line, slot_of
from aerodesign.geometry.holes import Hole, hole_volume
from aerodesign.geometry.meridional import DEGREE, Array, Contour, Meridional

Curve: TypeAlias = BSpline | Array
"""A smooth curve as a spline (z, r), or a straight line as its two end points, shape (2, 2)."""


@dataclass(frozen=True, eq=False)
class Body:
    """Curves of the hub body and of the cover, in metres.

    ``hub`` and ``shroud`` run along the flow from ``start`` (in t) to 1. ``outline`` goes on from the start of ``hub`` over
    nose, bore and back to the rim's back corner; a solid wheel's outline ends and begins again on the axis. ``cover`` goes from
    the start of ``shroud`` over the outside to the rim's front corner; it is empty for a semi-open wheel. What does not go round
    stands beside: the ``slot`` of a keyway along the bore, which is the curve number ``bored`` of the outline, ``vanes`` on the
    back, ``holes`` through the disc; both in its last plane.
    """

    hub: Contour
    shroud: Contour
    start: float
    outline: list[Curve]
    cover: list[Curve]
    boss: float
    bored: int = -1
    slot: Slot | None = None
    vanes: Vanes | None = None
    holes: list[Hole] = field(default_factory=list)

    @property
    def back(self) -> float:
        """Z of the rim's back corner, that of the whole back where it is flat."""
        return float(points(self.outline[-1])[-1, 0])


def body(impeller: Impeller, channel: Meridional, *, lead: float, form: WheelForm | None = None) -> Body:
    """The body of a wheel whose straight inlet reaches ``lead`` (in t, positive) ahead of the leading edge.

    ``impeller.bore`` is a diameter; 0 makes a solid hub. Raises :class:`RejectedSolid` where the bore does not fit the hub.
    """
    form = form or WheelForm()
    r1h, hole = float(impeller.r1h), float(impeller.bore) / 2
    slot = slot_of(impeller, form)
    widest = max(hole, slot.corner if slot else 0.0)
    if hole > 0.8 * r1h:
        raise RejectedSolid(
            f"hub: a bore of {2e3 * hole:.4g} mm leaves no wall in a hub of {2e3 * r1h:.4g} mm at the inlet; "
            f"allowed up to {1.6e3 * r1h:.4g} mm"
        )
    if widest > (1 - WALL / 2) * r1h:
        raise RejectedSolid(
            f"hub: the keyway of a bore of {2e3 * hole:.4g} mm reaches {1e3 * widest:.4g} mm from the axis, which leaves no wall in a "
            f"hub of {2e3 * r1h:.4g} mm at the inlet; take a smaller bore or a larger hub_ratio"
        )
    front = float(channel.hub.at(-lead)[0])
    tip = front - (0.0 if form.nose == BLUNT else form.nose_length * r1h)
    flat = max(hole + 0.35 * (r1h - hole), widest + 0.4 * (r1h - widest) if slot else 0.0)
    boss = _boss(impeller, form, widest)
    back = back_line(impeller, form, channel.hub, boss=boss)
    end = float(back[0, 0])
    tip -= form.nose_stock
    bore = bore_line(impeller, form, tip, end)
    if len(bore):
        _refuse_thin(bore, channel.hub, boss)
    outline = _nose(form, front=front, r1h=r1h, tip=tip + form.nose_stock, flat=flat)
    top = r1h if form.nose == BLUNT else flat
    if form.nose_stock > 0:
        outline += _line((tip + form.nose_stock, top), (tip, top))
    outline += _line((tip, top), bore[0] if len(bore) else (tip, 0.0))
    bored = len(outline)
    outline += [np.array(pair) for pair in pairwise(bore)]
    outline += _line(bore[-1] if len(bore) else (end, 0.0), back[0])
    outline += [np.array(pair) for pair in pairwise(back)]
    cover = _cover(impeller, channel.shroud, lead) if bool(impeller.covered) else []
    vanes = back_vanes(impeller, form, back)
    return Body(channel.hub, channel.shroud, -lead, outline, cover, boss, bored, slot, vanes)


def _boss(impeller: Impeller, form: WheelForm, widest: float) -> float:
    """Radius of the boss."""
    r1h, r2 = float(impeller.r1h), float(impeller.r2)
    boss = chosen(form.boss_diameter / 2, max(0.8 * r1h, 1.35 * widest))
    if not boss < 0.75 * r2:
        raise RejectedSolid(f"wheel: boss_diameter = {2e3 * boss:.4g} mm must stay below {1.5e3 * r2:.4g} mm")
    if boss <= widest + 0.05 * r1h:
        raise RejectedSolid(
            f"wheel: a boss_diameter of {2e3 * boss:.4g} mm leaves no wall beside a bore or keyway that reaches {2e3 * widest:.4g} mm"
        )
    return boss


def _refuse_thin(bore: Array, hub: Contour, boss: float) -> None:
    """A bore that widens towards the back must leave a wall to the passage and in the boss."""
    r = bore[-1, 1]
    wall = WALL * float(hub.at(0.0)[1])
    if r + wall / 2 > boss:
        raise RejectedSolid(
            f"wheel: the bore is {2e3 * r:.4g} mm wide at the back, too much for a boss_diameter of {2e3 * boss:.4g} mm; "
            "lower bore, taper or pilot_diameter"
        )
    t = np.linspace(0, 1, 101)
    along = hub.at(t)
    inside = np.interp(along[:, 0], bore[:, 0], bore[:, 1])
    if np.any(along[:, 1] - inside < wall / 2):
        raise RejectedSolid("wheel: the bore comes too close to the passage; lower bore, taper or pilot_depth")


def _nose(form: WheelForm, *, front: float, r1h: float, tip: float, flat: float) -> list[Curve]:
    """The nose from the straight inlet to its flat end."""
    if form.nose == BLUNT:
        return []
    if form.nose == CONE:
        return _line((front, r1h), (tip, flat))
    poles = np.array(
        [[front, r1h], [front + 0.55 * (tip - front), r1h], [tip, flat + 0.55 * (r1h - flat)], [tip, flat]]
    )
    return [BSpline(np.r_[[0.0] * 4, [1.0] * 4], poles, 3)]


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
    if wheel.slot:
        (front, _), (end, _) = wheel.outline[wheel.bored]
        total -= wheel.slot.area * min(float(end - front), wheel.slot.length)
    if wheel.vanes:
        total += wheel.vanes.volume
    return total - sum(hole_volume(hole, wheel.hub) for hole in wheel.holes)


def revolved_volume(zr: Array) -> float:
    """Volume of the body of revolution of a closed polygon."""
    z, r = zr.T
    z2, r2 = np.roll(z, -1), np.roll(r, -1)
    return float(abs(np.pi / 3 * np.sum((z2 - z) * (r * r + r * r2 + r2 * r2))))
