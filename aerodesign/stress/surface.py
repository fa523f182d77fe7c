"""The lattice on the hub's surface: rows along the flow, lines across one pitch, drawn in round the fillets of the blades.

Index ``i`` runs along the flow, ``j`` in the direction of rotation; odd places are the middles of elements' edges. Each blade stands
on a box of the lattice whose edge lies in the middle of the fillet, where three elements meet: so none has a sharp corner. Points are
(z, r, theta).
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.geometry.blade import Blading
from aerodesign.geometry.row import BladeRow
from aerodesign.stress.root import FRONT, TURN, Root
from aerodesign.stress.section import Front
from aerodesign.stress.size import Size

Array = NDArray[Any]

EASED = 8
"""Rows over which the lines across a blade change from the shape of its nose to straight ones."""
CORNER = 0.4
"""How far the corner of a blade's box reaches beyond the fillet, in parts of half its width."""
SHARES = {"first": 0.45, "last": 0.8}
"""Length of the rows at a blade's nose and at the rim, over the mean."""


@dataclass(frozen=True, eq=False)
class Stand:
    """A blade on the lattice: its surface, its front row, the lines of its sides, and the places ``u`` of its rows at mid-fillet and at
    the fillet's foot.
    """

    root: Root
    front: int
    low: int
    high: int
    suction: Array
    pressure: Array
    suction_foot: Array
    pressure_foot: Array


@dataclass(frozen=True, eq=False)
class Surface:
    """The lattice: ``points`` (rows, lines, 3), length ``s`` along nose and hub of each row between the blades,
    and the blades on it. ``aside`` is how far each point is turned by lying along the blades' direction off its row's ``s``.
    """

    points: Array
    s: Array
    aside: Array
    stands: list[Stand]


def lay_surface(blading: Blading, row: BladeRow, front: Front, size: Size, *, pitch: float) -> Surface:
    """The lattice for one pitch, from half way between two blades to half way between the next two."""
    roots = [Root(row.full, blading.meridional.hub, turn=0.0)]
    if row.splitter is not None:
        roots.append(Root(row.splitter, blading.meridional.hub, turn=row.splitter_turn))
    ring = 2 * size.fillet if roots[0].filleted else 0
    wide = 2 * (2 * size.between + size.across) + 2 * ring
    lows = [2 * size.between + ring + n * wide for n in range(len(roots))]
    lines = wide * len(roots) + 1

    noses = [_nose(root) for root in roots]
    length = blading.meridional.hub.length
    fronts, places = _rows(noses, -front.begin, length, ring, size)
    rows = len(places)
    s, theta = np.full((rows, lines), np.nan), np.full((rows, lines), np.nan)
    points = np.full((rows, lines, 3), np.nan)
    camber = _Camber(blading, ahead=0.3 * float(front.zr[:, 1].max()))

    stands, boxes = [], []
    for root, low, first, nose in zip(roots, lows, fronts, noses, strict=True):
        high = low + 2 * size.across
        stand = _stand(root, first, low, high, places, nose, length)
        _draw(points, stand, ring, places, nose, length)
        stands.append(stand)
        box = (low - ring, high + ring)
        _ahead(s, theta, points, camber, front, places, first - ring, box)
        boxes.append(box)
    _between(s, theta, boxes, pitch)
    on_hub = np.isnan(points[..., 0])
    zr = front.at(s + front.begin)
    plain = np.stack([zr[..., 0], zr[..., 1], theta], axis=-1)
    points = np.where(on_hub[..., None], plain, points)
    at = _lengths(front, points[..., :2].reshape(-1, 2)).reshape(rows, lines) - front.begin
    aside = camber(at) - camber(np.broadcast_to(places[:, None], at.shape))
    return Surface(points, places + front.begin, aside, stands)


def _nose(root: Root) -> tuple[float, float, float]:
    """Length along the hub of the toe at the nose, and where the sides of its box begin, suction and pressure."""
    lean = TURN if root.filleted else 0.0
    spots = np.array([0.5, 0.5 - FRONT - lean, 0.5 + FRONT + lean])
    found = root.hub.along(np.array([root.toe(u)[1] for u in spots]))
    return float(found[0]), float(found[1]), float(found[2])


def _rows(
    noses: list[tuple[float, float, float]], begin: float, length: float, ring: int, size: Size
) -> tuple[list[int], Array]:
    """The front row of each blade, and the length along the hub of every row midway between blades."""
    sides = [(suction + pressure) / 2 for _, suction, pressure in noses]
    first = 2 * size.ahead + ring
    pins = [(0, begin), (2 * size.ahead, min(noses[0][0], sides[0])), (first, sides[0])]
    fronts = [first]
    last = first + 2 * size.along
    if len(noses) > 1:
        part = (sides[1] - sides[0]) / (length - sides[0])
        second = first + int(np.clip(2 * round(size.along * part), ring + 4, 2 * size.along - 6))
        pins += [(second - ring, min(noses[1][0], sides[1])), (second, sides[1])] if ring else [(second, sides[1])]
        fronts.append(second)
    pins.append((last, length))
    pins = [pin for n, pin in enumerate(pins) if n == 0 or pin[0] > pins[n - 1][0]]
    places = np.interp(np.arange(last + 1), *np.array(pins).T)
    stretches = [*fronts, last]
    for low, high in pairwise(stretches):
        end = high - ring if high != last else high
        x = np.linspace(0, 1, end - low + 1)
        a = SHARES["first"]
        b = SHARES["last"] if high == last else 1.0
        # A cubic with given slopes at both ends, one over its length.
        eased = a * x * (1 - x) ** 2 + x**2 * (3 - 2 * x) - b * x**2 * (1 - x)
        places[low : end + 1] = places[low] + (places[end] - places[low]) * eased
    return fronts, places


def _stand(
    root: Root, at: int, low: int, high: int, places: Array, nose: tuple[float, float, float], length: float
) -> Stand:
    """Where the rows meet a blade's sides at mid-fillet."""
    part = (places[at:] - places[at]) / (length - places[at])
    ease = np.clip(1 - np.arange(len(part)) / EASED, 0, None)
    feet, middles = [], []
    for start, corner, pressure in ((nose[1], 0.5 - FRONT, False), (nose[2], 0.5 + FRONT, True)):
        toe = start + part * (length - start)
        lean = start - float(root.hub.along(root.toe(corner)[1]))
        feet.append(root.u_at(root.hub.t_at(toe), pressure=pressure))
        middles.append(root.u_at(root.hub.t_at(toe - lean * ease), pressure=pressure))
        middles[-1][0] = corner
    return Stand(root, at, low, high, *middles, *feet)


def _draw(
    points: Array, stand: Stand, ring: int, places: Array, nose: tuple[float, float, float], length: float
) -> None:
    """The box of a blade: under it, and the lower half of the fillet all round."""
    root, at, low, high = stand.root, stand.front, stand.low, stand.high
    points[at:, low : high + 1] = core(stand, lambda u: root.foot(u, 0.5 if root.filleted else 1.0))
    if not ring:
        return
    face = front_places(stand)
    inward = np.linspace(1, -1, len(face)) * TURN
    for step in range(1, ring + 1):
        q = step / ring
        w = 0.5 + q / 2
        points[at:, low - step] = root.foot((1 - q) * stand.suction + q * stand.suction_foot, w)
        points[at:, high + step] = root.foot((1 - q) * stand.pressure + q * stand.pressure_foot, w)
        points[at - step, low : high + 1] = root.foot(face + q * inward, w)
        for other in range(1, ring + 1):
            most, part = max(step, other) / ring, min(step, other) / max(step, other)
            # From the side's line (0) round the corner to the front's (1).
            share = step / (2 * other) if step <= other else 1 - other / (2 * step)
            u = TURN * most * (2 * share - 1)
            out = 0.5 + most / 2 + CORNER * most * part
            points[at - step, low - other] = root.foot(0.5 - FRONT + u, out)
            points[at - step, high + other] = root.foot(0.5 + FRONT - u, out)


def front_places(stand: Stand) -> Array:
    """Places ``u`` on the front face."""
    return np.linspace(0.5 - FRONT, 0.5 + FRONT, stand.high - stand.low + 1)


def core(stand: Stand, surface: Any) -> Array:
    """Points (rows, lines, 3) of a blade's inside from those of its surface: straight across, but for the nose."""
    share = np.linspace(0, 1, stand.high - stand.low + 1)[:, None]
    suction, pressure = surface(stand.suction)[:, None], surface(stand.pressure)[:, None]
    across = (1 - share) * suction + share * pressure
    bent = surface(front_places(stand))[None] - across[:1]
    fade = np.clip(1 - np.arange(len(across)) / EASED, 0, None)[:, None, None]
    return np.asarray(across + bent * fade)


class _Camber:
    """Theta of the blade's foot by length along the hub; ahead of the blade its angle fades away."""

    def __init__(self, blading: Blading, *, ahead: float) -> None:
        line = blading.span(0.0)
        self._m, self._theta = line.m, line.theta
        self._slope = float((line.theta[1] - line.theta[0]) / (line.m[1] - line.m[0]))
        self._ahead = ahead

    def __call__(self, s: Array) -> Array:
        inside = np.interp(s, self._m, self._theta)
        fading = self._slope * self._ahead * (np.exp(np.minimum(s, 0) / self._ahead) - 1)
        return np.asarray(inside + fading)


def _ahead(
    s: Array, theta: Array, points: Array, camber: _Camber, front: Front, places: Array, row: int, box: tuple[int, int]
) -> None:
    """Lines of a blade's box ahead of it, along the camber; and its own edge as lengths and angles."""
    low, high = box
    edge = points[row, low : high + 1]
    hub = _lengths(front, edge[:, :2]) - front.begin
    off = hub - places[row]
    fade = np.clip(1 - (row - np.arange(row)) / min(EASED + 4, row), 0, None)[:, None]
    s[:row, low : high + 1] = places[:row, None] + off * fade
    shift = camber(s[:row, low : high + 1]) - camber(hub)
    theta[:row, low : high + 1] = edge[:, 2] + shift
    for column in (low, high):
        s[row:, column] = _lengths(front, points[row:, column, :2]) - front.begin
        theta[row:, column] = points[row:, column, 2]


def _lengths(front: Front, zr: Array) -> Array:
    """Lengths of the points of nose and hub nearest to points (n, 2)."""
    gap = np.sum((zr[:, None] - front.zr[None]) ** 2, axis=2)
    k = np.clip(np.argmin(gap, axis=1), 1, len(front.s) - 2)
    start, chord = front.zr[k - 1], front.zr[k + 1] - front.zr[k - 1]
    share = np.clip(np.sum((zr - start) * chord, axis=1) / np.sum(chord**2, axis=1), 0, 1)
    return np.asarray(front.s[k - 1] + share * (front.s[k + 1] - front.s[k - 1]))


def _between(s: Array, theta: Array, boxes: list[tuple[int, int]], pitch: float) -> None:
    """The lines between two blades, straight from box to box; the first and last halves join over the pitch."""
    lines = s.shape[1]
    for (_, start), (end, _) in pairwise(boxes):
        share = np.linspace(0, 1, end - start + 1)
        for field in (s, theta):
            field[:, start : end + 1] = (1 - share) * field[:, [start]] + share * field[:, [end]]
    start, end = boxes[-1][1], boxes[0][0]
    half = lines - 1 - start
    share = np.linspace(0, 1, half + end + 1)
    for field, step in ((s, 0.0), (theta, pitch)):
        whole = (1 - share) * field[:, [start]] + share * (field[:, [end]] + step)
        field[:, start:] = whole[:, : half + 1]
        field[:, : end + 1] = whole[:, half:] - step
