"""Surfaces of revolution about z with a chosen seam, and the curves that lie on them (millimetres)."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.cad.kernel import occ
from aerodesign.cad.surfaces import circle2d, line, line2d, spline_curve

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Revolution:
    """A meridian (z, r) turned about the axis: a spline, or a straight line as its two end points.

    The parameter plane is (theta - seam, v), v being the meridian's own parameter (the length of a straight one); a
    plane has Cartesian coordinates turned by the seam instead.
    """

    meridian: BSpline | Array
    seam: float

    @cached_property
    def kind(self) -> str:
        """Plane, cylinder, cone or curved."""
        if isinstance(self.meridian, BSpline):
            return "curved"
        dz, dr = np.abs(self.meridian[1] - self.meridian[0])
        return "plane" if dz < 1e-12 else "cylinder" if dr < 1e-12 else "cone"

    @cached_property
    def bounds(self) -> tuple[float, float]:
        """First and last parameter of the meridian."""
        if isinstance(self.meridian, BSpline):
            return float(self.meridian.t[0]), float(self.meridian.t[-1])
        return 0.0, float(np.linalg.norm(self.meridian[1] - self.meridian[0]))

    @cached_property
    def ends(self) -> Array:
        """First and last point (z, r)."""
        if isinstance(self.meridian, BSpline):
            return np.asarray(self.meridian(np.array(self.bounds)))
        return self.meridian

    @cached_property
    def surface(self) -> Any:
        """The surface of the kernel."""
        gp, geom = occ.gp, occ.Geom
        z, r = (float(x) for x in self.ends[0])
        x = gp.gp_Dir(float(np.cos(self.seam)), float(np.sin(self.seam)), 0.0)
        axes = gp.gp_Ax3(gp.gp_Pnt(0.0, 0.0, z if self.kind == "plane" else 0.0), gp.gp_Dir(0.0, 0.0, 1.0), x)
        if self.kind == "plane":
            return geom.Geom_Plane(axes)
        if self.kind == "cylinder":
            return geom.Geom_CylindricalSurface(axes, r)
        axis = gp.gp_Ax1(gp.gp_Pnt(0.0, 0.0, 0.0), gp.gp_Dir(0.0, 0.0, 1.0))
        return geom.Geom_SurfaceOfRevolution(self.meridian_at(self.seam), axis)

    def meridian_at(self, angle: float) -> Any:
        """The meridian as a curve in space at an angle, with the parameter v."""
        c, s = np.cos(angle), np.sin(angle)

        def space(zr: Array) -> Array:
            return np.stack([zr[..., 1] * c, zr[..., 1] * s, zr[..., 0]], axis=-1)

        if isinstance(self.meridian, BSpline):
            return spline_curve(BSpline(self.meridian.t, space(self.meridian.c), self.meridian.k))
        return line(space(self.ends[0]), space(self.ends[1] - self.ends[0]))

    def meridian2d(self, angle: float, turn: float = 0.0) -> Any:
        """That curve in the parameter plane; ``turn`` adds a full turn for the far side of the seam."""
        phi = angle - self.seam
        if self.kind == "plane":
            (_, r), (_, end) = self.ends
            direction = np.sign(end - r) * np.array([np.cos(phi), np.sin(phi)])
            return line2d((r * np.cos(phi), r * np.sin(phi)), direction)
        if self.kind == "cylinder":
            return line2d((phi + turn, self.ends[0, 0]), (0.0, np.sign(self.ends[1, 0] - self.ends[0, 0])))
        return line2d((phi + turn, 0.0), (0.0, 1.0))

    def circle2d(self, angle: float, end: int) -> Any:
        """The circle at the first (0) or last (1) point of the meridian, its parameter counted from ``angle``."""
        phi = angle - self.seam
        if self.kind == "plane":
            return circle2d(self.ends[end, 1], phi)
        v = self.ends[end, 0] if self.kind == "cylinder" else self.bounds[end]
        return line2d((phi, v), (1.0, 0.0))

    def circle2d_at(self, r: float, angle: float) -> Any:
        """A circle about the axis within a plane, its parameter counted from ``angle``."""
        return circle2d(r, angle - self.seam)

    def outward(self, side: float) -> Any:
        """A function of a point in space: the normal, on the right of the meridian's direction times ``side``."""
        dz, dr = self.ends[1] - self.ends[0]

        def normal(p: Array) -> Array:
            radial = p[:2] / max(float(np.hypot(p[0], p[1])), 1e-9)
            return side * np.array([-dz * radial[0], -dz * radial[1], dr])

        return normal
