"""The sides of the blades as dense sheets of points with normals, from the skins that the solids are made of."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from aerodesign.geometry.meridional import Array
from aerodesign.geometry.skin import DEGREE_ACROSS, ROWS_NOSE, Fillet, Skin

ALONG, ACROSS, ROUND = 2, 25, 7
"""Points to an interval of the skin along the blade, from root to tip, and across a fillet: about a millimetre apart on a usual wheel."""


class Cloud(NamedTuple):
    """Points of surfaces with unit normals out of the metal, (n, 3) each."""

    points: Array
    normals: Array

    def turned(self, angle: float) -> "Cloud":
        """The cloud turned about the axis of rotation."""
        return Cloud(turned(self.points, angle), turned(self.normals, angle))

    @classmethod
    def of(cls, clouds: "list[Cloud]") -> "Cloud":
        """Several clouds as one."""
        return cls(*(np.concatenate(parts) for parts in zip(*clouds, strict=True)))


@dataclass(frozen=True, eq=False)
class Sheet:
    """One side of a blade, nose first: ``u`` along (parameter of the skin), ``v`` from root to tip.

    ``face`` (rows, ACROSS, 3) lies between the fillets, ``outward`` are its unit normals out of the blade. ``root`` is the hub's
    fillet, ``head`` that of a cover, from the blade to the wall; either may be None. ``fillets`` are their points with normals.
    ``track`` is (theta, t) of the root's line on the hub, shape (rows, 2).
    """

    u: Array
    v: Array
    face: Array
    outward: Array
    root: Array | None
    head: Array | None
    fillets: list[Cloud]
    track: Array
    pressure: bool

    @cached_property
    def cloud(self) -> Cloud:
        """All points with the fillets."""
        return Cloud.of([Cloud(self.face.reshape(-1, 3), self.outward.reshape(-1, 3)), *self.fillets])

    @property
    def nose(self) -> Cloud:
        """The points of the face round the nose."""
        rows = ALONG * ROWS_NOSE
        return Cloud(self.face[:rows].reshape(-1, 3), self.outward[:rows].reshape(-1, 3))

    @cached_property
    def height(self) -> Array:
        """Straight distance from hub to tip at each row, fillets counted, shape (rows,)."""
        low = self.face[:, 0] if self.root is None else self.root[:, -1]
        high = self.face[:, -1] if self.head is None else self.head[:, -1]
        return np.asarray(np.linalg.norm(high - low, axis=1))

    @cached_property
    def length(self) -> float:
        """Length along the blade at mid-height."""
        return float(np.sum(np.linalg.norm(np.diff(self.face[:, ACROSS // 2], axis=0), axis=1)))


def sides(skin: Skin) -> tuple[Sheet, Sheet]:
    """Suction side (behind rotation) and pressure side (ahead) of a blade."""
    rows = np.interp(np.arange(ALONG * (len(skin.u) - 1) + 1) / ALONG, np.arange(len(skin.u)), skin.u)
    nose = ALONG * skin.nose
    v = np.linspace(0, 1, ACROSS)
    face, outward = _spread(skin, skin.blade, rows, v)
    root, head = (_rounded(skin, fillet, rows) for fillet in (skin.hub, skin.tip))
    track = np.asarray(make_interp_spline(skin.u, skin.hub.track, k=3)(rows))

    def side(pressure: bool) -> Sheet:
        # the normal du x dv points out of the blade on both sides: u runs round it from suction to pressure side
        order = slice(nose, None) if pressure else slice(nose, None, -1)
        cut = [None if both is None else (both[0][order], both[1][order]) for both in (root, head)]
        # a hub's fillet runs down from the blade to the wall, against v
        clouds = [
            Cloud(both[0].reshape(-1, 3), sign * both[1].reshape(-1, 3))
            for both, sign in zip(cut, (-1, 1), strict=True)
            if both
        ]
        grids = [both[0] if both else None for both in cut]
        return Sheet(rows[order], v, face[order], outward[order], grids[0], grids[1], clouds, track[order], pressure)

    return side(False), side(True)


def _spread(skin: Skin, grid: Array, u: Array, v: Array) -> tuple[Array, Array]:
    """Points and unit normals of the spline surface of a skin's grid at given u and v."""
    along = make_interp_spline(skin.u, grid, k=3, axis=0)

    def across(values: Array, order: int = 0) -> Array:
        spline: BSpline = make_interp_spline(skin.v, values, k=DEGREE_ACROSS, axis=1)
        return np.asarray(spline(v, order))

    values = along(u)
    normal = np.cross(across(along(u, 1)), across(values, 1))
    return across(values), normal / np.linalg.norm(normal, axis=2, keepdims=True)


def _rounded(skin: Skin, fillet: Fillet, u: Array) -> tuple[Array, Array] | None:
    return None if fillet.grid is None else _spread(skin, fillet.grid, u, np.linspace(0, 1, ROUND))


def patch(skin: Skin, u: Array, v: Array) -> Array:
    """Points of the blade's face alone at given u and v, shape (len(u), len(v), 3)."""
    return _spread(skin, skin.blade, u, v)[0]


def turned(points: Array, angle: float) -> Array:
    """Points or vectors turned about the axis of rotation."""
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))
