"""The throat between two full blades at the inducer, measured between their surfaces.

Blades lean back against rotation, so the way from a blade's leading edge to the suction side of the blade ahead of it in rotation is
the first narrow place. At every span its width is the shortest way between the one's pressure side with its nose and the other's suction
side. The area is the sum of these widths over the distance between the stream surfaces there: what a flow along the blades passes
through, wherever along the blades a nearly even passage happens to be narrowest.
"""

from typing import NamedTuple

import numpy as np

from aerodesign.aero.choke import inducer_choke, passage_choke
from aerodesign.aero.impeller import Impeller
from aerodesign.gas.air import air
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.fillet import nearest
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.profile import BladeSurface

SPANS = 33
FURTHEST = 0.55
"""Part of a blade's sides (in sigma) that can bound the throat: behind it the passage widens again, or narrows to the exit."""
STEPS = 241


class Throat(NamedTuple):
    """``area`` of all throats together in m2, ends of the shortest ways (spans, 3) on pressure and suction side, and their widths."""

    area: float
    pressure: Array
    suction: Array
    width: Array


def throat(blading: Blading) -> Throat:
    """The inducer's throat of a wheel; splitters begin behind it and do not count. Fillets are left out, the tip's gap too."""
    blades = float(blading.impeller.blades)
    surface = BladeSurface(blading, start=0.0, beyond=0.01 * float(blading.impeller.r2))
    spans, sigma = np.linspace(0, 1, SPANS), np.linspace(0, FURTHEST, STEPS)
    near = _at(surface, spans, sigma)
    far = turned(_at(surface, spans, -sigma), 2 * np.pi / blades)
    ways = [shortest(p, q) for p, q in zip(near, far, strict=True)]
    pressure, suction = (np.array([way[end] for way in ways]) for end in (0, 1))
    width = np.linalg.norm(suction - pressure, axis=1)
    height = between_spans(blading, spans, (pressure + suction) / 2)
    return Throat(blades * float(np.sum((width[1:] + width[:-1]) / 2 * height)), pressure, suction, width)


def estimated_area(wheel: Impeller) -> float:
    """The area that the meanline takes for it, from the blade angles at the leading edge: what it chokes at standstill."""
    gas, pt, Tt = air(), 1e5, 300.0
    flow = inducer_choke(gas=gas, wheel=wheel.but(throat_ratio=1.0), pt1=pt, Tt1=Tt, speed=0.0)
    return float(flow / passage_choke(gas=gas, area=1.0, pt=pt, Tt=Tt))


def _at(surface: BladeSurface, spans: Array, sigma: Array) -> Array:
    """Points (spans, sigma, 3)."""
    s, g = np.meshgrid(spans, sigma, indexing="ij")
    return surface.at(s.ravel(), g.ravel()).reshape(*s.shape, 3)


def turned(points: Array, angle: float) -> Array:
    """Points turned about the axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]))


def shortest(first: Array, second: Array) -> tuple[Array, Array]:
    """Ends of the shortest way between two polylines (n, 3): from each corner of either to the segments of the other."""
    ways = [_to_segments(first, second), _to_segments(second, first)[::-1]]
    return min(ways, key=lambda way: float(np.linalg.norm(way[1] - way[0])))


def _to_segments(points: Array, line: Array) -> tuple[Array, Array]:
    start, along = line[:-1], np.diff(line, axis=0)
    part = np.einsum("nsi,si->ns", points[:, None] - start, along) / np.sum(along**2, axis=1)
    foot = start + np.clip(part, 0, 1)[..., None] * along
    gap = np.linalg.norm(points[:, None] - foot, axis=2)
    i, j = np.unravel_index(np.argmin(gap), gap.shape)
    return points[i], foot[i, j]


def between_spans(blading: Blading, spans: Array, points: Array) -> Array:
    """Distances normal to the flow between points (spans, 3) on neighbouring spans."""
    zr = np.stack([points[:, 2], np.hypot(points[:, 0], points[:, 1])], axis=1)
    tangents = []
    for s, place in zip(spans, zr, strict=True):
        contour = blading.contour(float(s))
        tangents.append(contour.tangent(nearest(contour, place[None]))[0])
    dz, dr = ((np.array(tangents)[1:] + np.array(tangents)[:-1]) / 2).T
    step = np.diff(zr, axis=0)
    return np.asarray((step[:, 1] * dz - step[:, 0] * dr) / np.hypot(dz, dr))
