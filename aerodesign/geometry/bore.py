"""The bore of a wheel: plain, with a keyway, tapered, or for a tie bolt."""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.wheel import KEYWAY, TAPER, TIE_BOLT, WheelForm
from aerodesign.geometry.back import chosen
from aerodesign.geometry.meridional import Array
from aerodesign.machine.keys import KEYS, LEAST_SHAFT, key_for

WALL = 0.15
"""Least wall beside a bore or keyway, in parts of the hub's radius; common practice, no source."""


@dataclass(frozen=True)
class Slot:
    """A keyway along a bore of radius ``bore``: half its width, the distance of its floor from the axis, and its length from the back."""

    bore: float
    half_width: float
    floor: float
    length: float = float("inf")
    """Beyond the bore's own length it goes through."""

    @property
    def corner(self) -> float:
        """Distance of its outer corners from the axis."""
        return float(np.hypot(self.floor, self.half_width))

    @property
    def area(self) -> float:
        """Area of its section beyond the bore: the rectangle from the axis to the floor less the part within the circle."""
        a, w = self.bore, self.half_width
        return float(2 * w * self.floor - w * np.sqrt(a**2 - w**2) - a**2 * np.arcsin(w / a))


def slot_of(impeller: Impeller, form: WheelForm) -> Slot | None:
    """The keyway for the wheel's bore, if it has one. Raises :class:`RejectedSolid` where the table has no key for it."""
    bore = float(impeller.bore)
    if form.mounting != KEYWAY or bore <= 0:
        return None
    key = key_for(bore)
    if key is None:
        raise RejectedSolid(
            f"wheel: no key of DIN 6885 for a bore of {1e3 * bore:.4g} mm; "
            f"allowed above {1e3 * LEAST_SHAFT:g} mm and up to {1e3 * KEYS[-1][0]:g} mm"
        )
    return Slot(bore / 2, key.width / 2, bore / 2 + key.depth, chosen(form.keyway_length, float("inf")))


def bore_line(impeller: Impeller, form: WheelForm, front: float, end: float) -> Array:
    """Corners (z, r) of the bore from its mouth at z = ``front`` in the nose to that at ``end`` in the back; a solid hub has none."""
    hole = float(impeller.bore) / 2
    if hole <= 0:
        if form.mounting in (KEYWAY, TAPER):
            raise RejectedSolid(f'wheel: mounting = "{form.mounting}" needs a bore; give bore, or take mounting out')
        return np.zeros((0, 2))
    if form.mounting == TAPER:
        return np.array([[front, hole], [end, hole + form.taper / 2 * (end - front)]])
    if form.mounting == TIE_BOLT:
        pilot = chosen(form.pilot_diameter, 3 * hole) / 2
        depth = chosen(form.pilot_depth, 0.6 * pilot)
        if pilot <= 1.02 * hole:
            raise RejectedSolid(
                f"wheel: pilot_diameter = {2e3 * pilot:.4g} mm must exceed the bolt's hole of {2e3 * hole:.4g} mm"
            )
        if depth >= 0.8 * (end - front):
            raise RejectedSolid(f"wheel: pilot_depth = {1e3 * depth:.4g} mm goes through the hub; make it shallower")
        return np.array([[front, hole], [end - depth, hole], [end - depth, pilot], [end, pilot]])
    return np.array([[front, hole], [end, hole]])
