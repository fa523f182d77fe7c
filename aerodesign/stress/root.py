"""One blade's surface for the stress mesh: its sides and its fillet as functions of places round and up the blade.

``u`` goes round the profile as in :mod:`~aerodesign.geometry.skin`: 0 the suction side's end at r2, 0.5 the nose, 1 the pressure side's
end. ``w`` goes over the fillet from the blade (0) to the hub (1), and beyond 1 along the hub. ``v`` goes up the blade.
"""

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from aerodesign.geometry.meridional import Contour
from aerodesign.geometry.skin import Skin

Array = NDArray[Any]

FRONT = 0.06
"""Half of the part of ``u`` that the front face takes round the nose."""
TURN = 0.035
"""How far round, in ``u``, the lines over the fillet lean away from the corners of the front face."""


class Root:
    """Surface of one blade. Points are (z, r, theta); theta turned by ``turn``."""

    def __init__(self, skin: Skin, hub: Contour, *, turn: float) -> None:
        self.hub, self.turn = hub, turn
        self.filleted = skin.hub.grid is not None
        self._blade = make_interp_spline(skin.u, skin.blade, k=3, axis=0)
        self._v = skin.v
        self._fillet = make_interp_spline(skin.u, skin.hub.grid, k=3, axis=0) if skin.hub.grid is not None else None
        self._track = make_interp_spline(skin.u, skin.hub.track, k=3, axis=0)

    def side(self, u: Array, v: Array | float) -> Array:
        """Points of the blade above its fillet."""
        return self._round(_across(self._blade(u), self._v, v))

    def foot(self, u: Array | float, w: Array | float) -> Array:
        """Points of the fillet, and of the hub beyond it for w > 1."""
        u, w = np.broadcast_arrays(np.asarray(u, float), np.asarray(w, float))
        toe = self._track(u)
        s = self.hub.along(toe[..., 1])
        along = self._track(u, 1)
        ds = along[..., 1] * self.hub.along(toe[..., 1], 1)
        r = self.hub.at(toe[..., 1])[..., 1]
        length = np.hypot(ds, r * along[..., 0])
        # To the right of the way round, suction side's end to nose to pressure side's end, lies the hub outside.
        beyond = np.clip(w - 1, 0, None) * 2 * self.reach
        s_out, theta_out = s - r * along[..., 0] / length * beyond, toe[..., 0] + ds / length / r * beyond
        zr = self.hub.at(self.hub.t_at(s_out))
        on_hub = np.stack([zr[..., 0], zr[..., 1], theta_out + self.turn], axis=-1)
        if self._fillet is None:
            return on_hub
        on_fillet = self._round(_across(self._fillet(u), self._v, np.clip(w, 0, 1)))
        return np.where((w < 1)[..., None], on_fillet, on_hub)

    def u_at(self, t: Array, *, pressure: bool) -> Array:
        """Where the fillet's toe on one side has the hub's parameter t."""
        u = np.linspace(0.5, 1, 801) if pressure else np.linspace(0.5, 0, 801)
        track = np.maximum.accumulate(self._track(u)[:, 1])
        track = track + 1e-12 * np.arange(len(u))
        found = np.interp(t, track, u)
        return np.where(np.asarray(t) >= 1, u[-1], found)

    def toe(self, u: float) -> Array:
        """(theta, t) of the fillet's toe, turned."""
        return np.asarray(self._track(u)) + np.array([self.turn, 0.0])

    @cached_property
    def reach(self) -> float:
        """Half of the fillet's width, as a length to go on beyond it."""
        if self._fillet is None:
            return 0.0
        ends = self._fillet(np.array([0.3, 0.7]))
        return float(np.linalg.norm(ends[:, -1] - ends[:, 0], axis=1).mean() / 2)

    def _round(self, xyz: Array) -> Array:
        theta = np.arctan2(xyz[..., 1], xyz[..., 0]) + self.turn
        return np.stack([xyz[..., 2], np.hypot(xyz[..., 0], xyz[..., 1]), theta], axis=-1)


def _across(grids: Array, places: Array, at: Array | float) -> Array:
    """The polynomial through the nine rows across, at one place for each; grids (..., 9, 3)."""
    at = np.broadcast_to(at, grids.shape[:-2])
    weights = np.ones((*at.shape, len(places)))
    for i, here in enumerate(places):
        for k, other in enumerate(places):
            if k != i:
                weights[..., i] *= (at - other) / (here - other)
    return np.asarray(np.einsum("...k,...kx->...x", weights, grids))
