"""The turned part of a casing in the meridional plane: front wall with inlet and flange, back wall with the shaft's hole.

Lines (z, r) in metres, z counted from the middle of the slot. Each chain begins at the rim in which the volute's walls
end, leads inwards along the gas and the wheel, and comes back outside to the plane of the block.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.aero.impeller import Blower
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length
from aerodesign.geometry.body import Body, Curve, piece, points
from aerodesign.geometry.casing import Sizes
from aerodesign.geometry.entry import diffuser_entry, middle
from aerodesign.geometry.gas_room import GasRoom
from aerodesign.geometry.inlet import Inlet
from aerodesign.geometry.meridional import Array

SHORT = 1e-7
"""Steps shorter than this (m) are left out."""


@dataclass(frozen=True, eq=False)
class Wheelhouse:
    """What the walls are laid round: the flow path, the gas in its wheel, the wheel's body and the wall of the inlet."""

    blower: Blower
    room: GasRoom
    wheel: Body
    inlet: Inlet
    sizes: Sizes

    @property
    def middle(self) -> float:
        return float(middle(self.blower.impeller))

    def front(self, *, rim: Length, half: Length, flange: Length) -> list[Curve]:
        """From the front rim of radius ``rim`` round the inlet to the block's front plane at z = -``half``.

        ``flange`` is the radius of the flange, 0 for a plain end.
        """
        sizes, z0 = self.sizes, self.middle
        wall = float(sizes.wall)
        inner = [_shifted(c, -z0) for c in (*self._over_the_wheel(), *(_turned_back(c) for c in self._inlet_walls()))]
        inside = np.concatenate([points(c) for c in inner])
        face, thick = float(inside[-1, 0]), float(sizes.flange)
        narrow = float(max(points(c)[:, 1].max() for c in self._inlet_walls())) + wall
        ahead = inside[inside[:, 0] < -half]
        wide = max(narrow, float(ahead[:, 1].max()) + wall if len(ahead) else 0.0)
        behind = face + (thick if flange else 0.0)
        if behind > -half - SHORT:
            raise RejectedSolid(
                f"casing: the inlet flange would stand {1e3 * (behind + half):.3g} mm inside the casing's front wall; "
                "take a longer inlet_length"
            )
        if 0 < flange < wide:
            flange = narrow if flange < narrow else flange
        step = -half
        if wide > narrow + SHORT:
            beyond = inside[(inside[:, 1] > narrow - wall) & (inside[:, 0] > face + thick)]
            step = min(float(beyond[:, 0].min()) - wall, -half)
            if step < behind + SHORT:
                narrow, step = wide, -half
        corners = [(face, flange), (behind, flange)] if flange else []
        corners += [(behind if flange else face, narrow), (step, narrow), (step, wide), (-half, wide)]
        return self._diffuser(-1, rim) + inner + _straight(inside[-1], *corners)

    def back(self, *, rim: Length, half: Length) -> list[Curve]:
        """From the back rim round the room behind the wheel, through the shaft's hole, to the block's back plane."""
        sizes, r2 = self.sizes, float(self.blower.impeller.r2)
        wall, gap, hole = float(sizes.wall), float(sizes.gap), float(sizes.opening)
        vanes = [self.wheel.vanes.top] if self.wheel.vanes else []
        behind = max([float(points(c)[:, 0].max()) for c in self.wheel.outline] + vanes) - self.middle + gap
        last = max(behind + wall, half)
        if not hole < r2:
            raise RejectedSolid(
                f"casing: shaft_opening = {2e3 * hole:.4g} mm must be smaller than the wheel, {2e3 * r2:.4g} mm"
            )
        start = self._diffuser(1, rim)
        corners = [(behind, r2 + gap), (behind, hole), (last, hole)]
        if last > half + SHORT:
            corners += [(last, r2 + gap + wall), (half, r2 + gap + wall)]
        return start + _straight(points(start[-1])[-1], *corners)

    def _diffuser(self, side: int, rim: Length) -> list[Curve]:
        """A wall of the diffuser from its rim in; it stops at the running gap before a turning part beside it."""
        entry, r2 = diffuser_entry(self.blower), float(self.blower.impeller.r2)
        wall = side * float(self.blower.diffuser.b3) / 2
        end, last = float(entry.end), float(entry.front if side < 0 else entry.back)
        stop = r2 if side < 0 and not self.covered else r2 + float(self.sizes.gap)
        if stop >= end:
            raise RejectedSolid(
                f"casing: running_gap = {1e3 * float(self.sizes.gap):.3g} mm leaves no diffuser wall before the pinch; "
                f"allowed below {1e3 * (end - r2):.3g} mm"
            )
        share = (end - stop) / (end - r2)
        return _straight((wall, float(rim)), (wall, end), (wall + share * (last - wall), stop))

    @property
    def covered(self) -> bool:
        return bool(self.blower.impeller.covered)

    def _inlet_walls(self) -> list[Curve]:
        """Walls of the inlet from the wheel to the flange; before a cover without the last, straight piece."""
        return (self.inlet.wall[:-1] if self.covered else self.inlet.wall)[::-1]

    def _over_the_wheel(self) -> list[Curve]:
        """From r2 to the inlet: the casing over the blades, or round a cover with the running gap."""
        if not self.covered:
            return [_turned_back(piece(self.room.casing, self.room.start))]
        r2, gap = float(self.blower.impeller.r2), float(self.sizes.gap)
        outside = self.wheel.cover[-1]
        assert isinstance(outside, BSpline)
        ends = outside.t[0], outside.t[-1]
        t = np.linspace(*ends, 161)
        tangent = outside(t, 1) / np.linalg.norm(outside(t, 1), axis=1, keepdims=True)
        away = outside(t) + gap * np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
        (first_z, first_r), (last_z, _) = away[0], away[-1]
        start = points(self._diffuser(-1, float(self.blower.diffuser.r3))[-1])[-1] + (self.middle, 0)
        eye = points(self.inlet.wall[-1])[0]
        return [
            *_straight(start, (last_z, r2 + gap), (last_z, r2)),
            _turned_back(make_interp_spline(t, away, k=5)),
            *_straight((first_z, first_r), (eye[0], first_r), eye),
        ]


def _straight(*corners: Array | tuple[float, float]) -> list[Curve]:
    """Straight pieces through corners; those of no length are left out."""
    lines = [np.array([a, b], float) for a, b in pairwise(corners)]
    return [line for line in lines if np.hypot(*(line[1] - line[0])) > SHORT]


def _turned_back(curve: Curve) -> Curve:
    """A curve run the other way."""
    if isinstance(curve, BSpline):
        return BSpline((curve.t[0] + curve.t[-1]) - curve.t[::-1], curve.c[::-1], curve.k)
    return curve[::-1]


def _shifted(curve: Curve, z: float) -> Curve:
    if isinstance(curve, BSpline):
        return BSpline(curve.t, curve.c + np.array([z, 0]), curve.k)
    return curve + np.array([z, 0])
