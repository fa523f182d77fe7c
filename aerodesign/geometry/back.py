"""The back of the wheel's disc as a polyline (z, r) from the boss to the rim, and what stands on it."""

from typing import NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.wheel import FLAT, POINTS, WheelForm
from aerodesign.geometry.meridional import Array, Contour

RIM, BOSS = 0.035, 0.12
"""Thickness of the rim and length of the boss where they are left free, in parts of the wheel's radius."""
STOCK_FROM, STOCK_TO = 0.85, 0.94
"""Where the ring for balancing stands, in parts of the radius."""
VANES_FROM, VANES_TO, VANE_HEIGHT, VANE_WIDTH = 0.6, 0.95, 0.02, 0.015
"""Where the vanes on the back begin and end, their height where left free, and their width; in parts of the radius."""


def chosen(value: float, otherwise: float) -> float:
    """A choice, or what holds where it is left free."""
    return float(value) if value == value else float(otherwise)


def hub_at(hub: Contour, r: Array | float) -> tuple[Array, Array]:
    """Contour parameter and z of the hub at radii between those of its ends."""
    t = np.linspace(0.02, 1, 981)
    zr = hub.at(t)
    found = CubicSpline(zr[:, 1], t)(r)
    return np.asarray(found), hub.at(found)[..., 0]


def back_line(impeller: Impeller, form: WheelForm, hub: Contour, *, boss: float) -> Array:
    """Corners of the back from the foot of the boss to the rim, shape (n, 2); the first may stand at the end of the boss."""
    r2, length = float(impeller.r2), float(impeller.axial_length)
    if form.back == POINTS:
        r = r2 * np.array(form.back_at)
        _refuse_outside(r, max(boss, float(hub.at(0.05)[1])), r2)
        z = hub_at(hub, r)[1] + np.array(form.back_thickness)
        end = z.max() + chosen(form.boss_length, BOSS * r2)
        corners = np.c_[np.r_[end, z], np.r_[boss, r]]
    else:
        back = length + chosen(form.rim, RIM * r2)
        end = back + chosen(form.boss_length, BOSS * r2)
        foot = [[back, boss]] if form.back == FLAT else [[back, 0.8 * r2]]
        corners = np.array([[end, boss], *foot, [back, r2]])
    return _with_stock(corners, float(form.balance_stock), r2) if form.balance_stock > 0 else corners


def _refuse_outside(r: Array, least: float, r2: float) -> None:
    if r[0] <= 1.02 * least:
        raise RejectedSolid(
            f"wheel: back_at begins with {r[0] / r2:.3g} of the radius, inside the boss or ahead of the disc; "
            f"allowed from {1.02 * least / r2:.3g}"
        )


def _with_stock(corners: Array, height: float, r2: float) -> Array:
    """The back with a ring of stock that stands ``height`` above the higher of its feet."""
    low, high = STOCK_FROM * r2, STOCK_TO * r2
    feet = np.interp([low, high], corners[1:, 1], corners[1:, 0], left=corners[1, 0])
    if low <= corners[0, 1]:
        raise RejectedSolid("wheel: the boss leaves no room for balance_stock; take a smaller boss_diameter")
    if low < corners[1, 1]:
        feet[0] = np.interp(low, corners[:, 1], corners[:, 0])
    top = feet.max() + height
    inside, outside = corners[corners[:, 1] < low], corners[corners[:, 1] > high]
    return np.vstack([inside, [[feet[0], low], [top, low], [top, high], [feet[1], high]], outside])


class Vanes(NamedTuple):
    """Straight radial ribs on a flat back: their number, the z of their feet and of their tops, radii of their ends, width."""

    number: int
    foot: float
    top: float
    low: float
    high: float
    width: float

    @property
    def volume(self) -> float:
        """Of all of them, m3."""
        return self.number * (self.top - self.foot) * (self.high - self.low) * self.width


def back_vanes(impeller: Impeller, form: WheelForm, corners: Array) -> Vanes | None:
    """The ribs on the back, if any. Raises :class:`RejectedSolid` where they have no room."""
    if not form.back_vanes:
        return None
    r2, count = float(impeller.r2), round(float(form.back_vanes))
    low, high, width = VANES_FROM * r2, VANES_TO * r2, VANE_WIDTH * r2
    if low < 1.05 * corners[0, 1] or 2 * np.pi * low < 2 * count * width:
        raise RejectedSolid(
            f"wheel: {count} back_vanes have no room between the boss and {VANES_TO:g} of the radius; "
            "take fewer, or a smaller boss_diameter"
        )
    foot = float(corners[-1, 0])
    return Vanes(count, foot, foot + chosen(form.vane_height, VANE_HEIGHT * r2), low, high, width)
