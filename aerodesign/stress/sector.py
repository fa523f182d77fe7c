"""The wheel's sector as elements of twenty nodes: hub body and blades of one pitch."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.blade import CUT
from aerodesign.form.chosen import FREE
from aerodesign.form.wheel import PLAIN, TAPER, WheelForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body
from aerodesign.geometry.row import BladeRow, blade_row, inlet_lead
from aerodesign.stress.section import SOLID_BORE, Front, Rear, feet, front_of, rear_of
from aerodesign.stress.size import SIZES, Size
from aerodesign.stress.surface import Stand, Surface, core, lay_surface

Array = NDArray[Any]

CORNERS = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2)]
EDGES = [(0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
PLACES = np.array(CORNERS + [tuple((np.array(CORNERS[a]) + CORNERS[b]) // 2) for a, b in EDGES])
"""Places of an element's nodes in its own lattice of 3 x 3 x 3: corners, then the middles of edges, as the solver numbers them."""
FIRST = 0.2
"""Depth of the element on a bore over the bore's radius: stress falls with the square of the radius there."""
LAST = 0.4
"""Depth of the element under the blades over the mean."""
FILLETS = (1.0, 0.75, 0.5, 0.3)
"""Parts of the fillet that are tried, until no element folds: where blades crowd at the nose, there is no room for the whole one."""
PUSHED = (2, 6, 5, 1)
"""Corners of the solver's face 4, counter-clockwise seen from outside of the element."""
FADING = 2.0
"""How fast the fillets' shape fades with depth: power of the share."""


@dataclass(frozen=True, eq=False)
class Sector:
    """A mesh of one pitch: ``points`` (n, 3) in Cartesian metres, ``hexes`` (cells, 20), and sets of nodes by name.

    ``low`` and ``high`` are the matching nodes of both cuts, in the same order. ``of_blade`` marks the cells of blades, ``pushed`` lists
    (cell, face) of the blades' pressure sides, faces numbered as the solver does, ``pushed_blade`` to which blade each belongs: 0 the
    full one, 1 the splitter. ``pitches`` is how many sectors make the wheel, ``fillet`` the radius at the blades' roots, ``hole`` that
    of the hole put through a solid hub (0: none).
    """

    points: Array
    hexes: Array
    low: Array
    high: Array
    sets: dict[str, Array]
    of_blade: Array
    pushed: list[tuple[int, int]]
    pushed_blade: Array
    pitches: int
    fillet: float
    hole: float = 0.0

    @property
    def pushed_corners(self) -> Array:
        """Corners (faces, 4, 3) of the pushed faces, counter-clockwise seen from the gas."""
        cells = np.array([cell for cell, _ in self.pushed])
        return np.asarray(self.points[self.hexes[cells][:, PUSHED]])

    @property
    def push_moment(self) -> float:
        """Moment about the axis (m3), along its turning, that a pressure of 1 Pa on the pushed faces resists."""
        corners = self.pushed_corners
        area = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]) / 2
        x, y, _ = corners.mean(axis=1).T
        return float(np.sum(x * area[:, 1] - y * area[:, 0]))


def mesh_sector(impeller: Impeller, blading: Blading, form: WheelForm, size: str | Size) -> Sector:
    """The sector of a semi-open wheel.

    Raises RejectedSolid where the wheel is covered, its blades cannot be drawn, or an element folds.
    """
    if bool(impeller.covered):
        raise RejectedSolid(
            "wheel: covered = true: the sector model has no cover yet; write covered = false, or leave stress out"
        )
    size = SIZES[size] if isinstance(size, str) else size
    if blading.closed:  # the elements end in a face on the rim: a full round edge is cut there
        blading = Blading(impeller, blading.form.but(trailing_edge=CUT))
    trouble = ""
    for share in FILLETS:
        row = blade_row(blading, share=share)
        sector = _of_row(impeller, blading, row, form, size)
        trouble = _folded(sector)
        if not trouble:
            return sector
    raise RejectedSolid(f"wheel: {trouble}; try another size of mesh, or take a smaller fillet or fewer blades")


def _of_row(impeller: Impeller, blading: Blading, row: BladeRow, form: WheelForm, size: Size) -> Sector:
    """The sector with given blades, sound or not."""
    parts = body(impeller, blading.meridional, lead=inlet_lead(blading, row), form=plain(form))
    front = front_of(parts)
    hole = SOLID_BORE * float(impeller.r1h) if float(impeller.bore) <= 0 else 0.0
    rear = rear_of(parts, front, hole=hole)
    pitches = round(float(impeller.blades))
    surface = lay_surface(blading, row, front, size, pitch=2 * np.pi / pitches)
    return _sector(surface, front, rear, row, size, pitches, hole)


def plain(form: WheelForm) -> WheelForm:
    """The wheel without what no sector can have, or what bears nothing: stock for balancing, keyway, pilot bore, holes and ribs."""
    mounting = TAPER if form.mounting == TAPER else PLAIN
    return form.but(
        balance_stock=0.0, nose_stock=0.0, keyway_length=FREE, back_vanes=0, balance_holes=False, mounting=mounting
    )


def _sector(surface: Surface, front: Front, rear: Rear, row: BladeRow, size: Size, pitches: int, hole: float) -> Sector:
    lengths, rows = feet(front, rear, surface.s)
    hub = _depth(surface, front.at(surface.s), rear.at(lengths), size)
    blocks = [hub]
    numbers = [np.arange(hub[..., 0].size).reshape(hub.shape[:3])]
    count = numbers[0].size
    for stand in surface.stands:
        blocks.append(_blade(stand, size))
        numbers.append(np.arange(count, count + blocks[-1][..., 0].size).reshape(blocks[-1].shape[:3]))
        numbers[-1][:, :, 0] = numbers[0][stand.front :, stand.low : stand.high + 1, -1]
        count += numbers[-1].size
    back = numbers[0][rows[rear.held], :, :1]
    behind = []
    if rear.boss is not None:
        base = slice(rows[rear.held], rows[rear.held + 1] + 1)
        blocks.append(_boss(hub[base, :, 0], rear.boss, size))
        behind = [np.arange(count, count + blocks[-1][..., 0].size).reshape(blocks[-1].shape[:3])]
        behind[0][:, :, -1] = numbers[0][base, :, 0]
        back = behind[0][0]

    cells = [_cells(number) for number in [*numbers, *behind]]
    every = np.concatenate(cells)
    cylinder = np.concatenate([block.reshape(-1, 3) for block in blocks])
    used = np.unique(every)
    renumber = np.full(len(cylinder), -1)
    renumber[used] = np.arange(len(used))
    z, r, theta = cylinder[used].T
    points = np.stack([r * np.cos(theta), r * np.sin(theta), z], axis=1)
    hexes = renumber[every]

    def known(nodes: Array) -> Array:
        found = renumber[np.asarray(nodes).ravel()]
        return np.asarray(found[found >= 0])

    top = numbers[0]
    sets = {
        "HELD": top[0],
        "TURNED": top[2 : rows[rear.held] + 1, :, 0],
        "BACK": back[:, 0],
        "BORE": np.concatenate([top[4 : rows[rear.held] + 1, :, 0].ravel(), back.ravel()]),
        "RIM": top[-1],
        "RIMBACK": top[-1, :, 0],
        "TIP": np.concatenate([number[:, :, -1].ravel() for number in numbers[1:]]),
        "TIPINLET": numbers[1][0, :, -1],
        "TIPEXIT": numbers[1][-1, :, -1],
    }
    roots = [_roots(top, number, stand, size) for number, stand in zip(numbers[1:], surface.stands, strict=True)]
    sets |= {name: np.concatenate([root[name] for root in roots]) for name in roots[0]}
    own = {name: renumber[nodes.ravel()] for name, nodes in sets.items()}
    cuts = [np.concatenate([number[:, end].ravel() for number in (top, *behind)]) for end in (0, -1)]
    # The boss shares its foot with the body: no node twice.
    once = np.unique(cuts[0], return_index=True)[1]
    low, high = (renumber[cut[once]] for cut in cuts)
    pushed, pushed_blade = _pressure_sides(numbers, cells[: len(numbers)])
    return Sector(
        points=points,
        hexes=hexes,
        low=low[low >= 0],
        high=high[high >= 0],
        sets={name: np.unique(nodes[nodes >= 0]) for name, nodes in own.items()},
        of_blade=np.repeat([False] + [True] * len(surface.stands) + [False] * len(behind), [len(c) for c in cells]),
        pushed=pushed,
        pushed_blade=pushed_blade,
        pitches=pitches,
        fillet=row.fillet,
        hole=hole,
    )


def _boss(foot: Array, end: Array, size: Size) -> Array:
    """A square boss (rows, lines, heights, 3) from its end face to its foot."""
    r = foot[:, :1, 1]
    share = (r - r[0]) / (r[-1] - r[0])
    face = foot.copy()
    face[..., :2] = end[0] + share[..., None] * (end[1] - end[0])
    x = np.linspace(0, 1, 2 * max(size.deep // 2, 2) + 1)[:, None]
    return np.asarray((1 - x) * face[:, :, None] + x * foot[:, :, None])


def _depth(surface: Surface, above: Array, below: Array, size: Size) -> Array:
    """The hub body (rows, lines, depths, 3), from what lies behind to the surface with its fillets."""
    depth = np.linalg.norm(above - below, axis=1)
    first = np.clip(FIRST * below[:, 1] * size.deep / depth, 0.05, 1.0)[:, None]
    x = np.linspace(0, 1, 2 * size.deep + 1)
    share = first * x * (1 - x) ** 2 + x**2 * (3 - 2 * x) - LAST * x**2 * (1 - x)
    middle = below[:, None] + share[..., None] * (above - below)[:, None]
    off = surface.points[..., :2] - above[:, None]
    fade = (share**FADING)[:, None]
    zr = middle[:, None] + off[:, :, None] * fade[..., None]
    # Where the shape of the fillets has faded, so has the part of the turn that went with it.
    theta = (surface.points[..., 2] - surface.aside)[..., None] + surface.aside[..., None] * fade
    theta = theta[..., None]
    return np.concatenate([zr, theta], axis=-1)


def _blade(stand: Stand, size: Size) -> Array:
    """A blade (rows, lines, heights, 3), from the middle of its fillet to the tip."""
    root = stand.root
    half = 2 * size.fillet if root.filleted else 0
    layers = []
    for level in range(half):
        layers.append(core(stand, lambda u, w=0.5 * (1 - level / half): root.foot(u, w)))
    for v in np.linspace(0, 1, 2 * size.up + 1):
        layers.append(core(stand, lambda u, v=v: root.side(u, v)))
    return np.stack(layers, axis=2)


def _cells(number: Array) -> Array:
    """Nodes (cells, 20) of the elements of a lattice (rows, lines, heights); lines first, so that elements are right-handed."""
    i, j, k = (np.arange(0, count - 1, 2) for count in number.shape)
    at = np.stack([x.ravel() for x in np.meshgrid(i, j, k, indexing="ij")], axis=1)
    a, b, c = PLACES.T
    return np.asarray(number[at[:, :1] + b, at[:, 1:2] + a, at[:, 2:] + c])


def _roots(top: Array, number: Array, stand: Stand, size: Size) -> dict[str, Array]:
    """Nodes on the skin of a blade's root, from the fillet's foot to a little above it: all, those of the first fifth, of the last."""
    half = 2 * size.fillet if stand.root.filleted else 0
    at, low, high = stand.front, stand.low, stand.high
    beside = [top[at:, low - half : low + 1, -1], top[at:, high : high + half + 1, -1]]
    beside += [number[:, 0, : half + 3], number[:, -1, : half + 3]]
    ahead = [top[at - half : at + 1, low - half : high + half + 1, -1].ravel(), number[0, :, : half + 3].ravel()]
    fifth = max((len(top) - at) // 5, 3)
    first = np.concatenate([*ahead, *(part[:fifth].ravel() for part in beside)])
    last = np.concatenate([part[-fifth:].ravel() for part in beside])
    return {
        "ROOT": np.concatenate([*ahead, *(part.ravel() for part in beside)]),
        "ROOTINLET": first,
        "ROOTEXIT": last,
    }


def _pressure_sides(numbers: list[Array], cells: list[Array]) -> tuple[list[tuple[int, int]], Array]:
    """Elements and faces on the pressure sides of the blades, above mid-fillet: their last line, the solver's face 4; and which blade."""
    found: list[tuple[int, int]] = []
    of: list[int] = []
    before = len(cells[0])
    for blade, (number, own) in enumerate(zip(numbers[1:], cells[1:], strict=True)):
        rows, lines, heights = ((count - 1) // 2 for count in number.shape)
        index = np.arange(len(own)).reshape(rows, lines, heights)[:, -1]
        found += [(int(before + cell), 4) for cell in index.ravel()]
        of += [blade] * index.size
        before += len(own)
    return found, np.array(of)


def scaled_jacobians(points: Array, hexes: Array) -> Array:
    """Jacobians over the product of the slopes' lengths (cells, 27), at the points of integration of the full element; 1 for a cube."""
    determinant, length = _determinants(points, hexes, np.polynomial.legendre.leggauss(3)[0])
    return np.asarray(determinant / length)


def volumes(points: Array, hexes: Array) -> Array:
    """Volume of each element."""
    at, weight = np.polynomial.legendre.leggauss(3)
    J = _determinants(points, hexes, at)[0]
    weights = np.array([a * b * c for a in weight for b in weight for c in weight])
    return np.asarray(J @ weights)


def _determinants(points: Array, hexes: Array, at: Array) -> tuple[Array, Array]:
    """Determinants, and products of the lengths of the three slopes, at a grid of local places (cells, n)."""
    nodes = points[hexes]
    found, lengths = [], []
    for x in at:
        for y in at:
            for z in at:
                slopes = np.einsum("eni,nj->eji", nodes, _slopes(np.array([x, y, z])))
                found.append(np.linalg.det(slopes))
                lengths.append(np.prod(np.linalg.norm(slopes, axis=2), axis=1))
    return np.stack(found, axis=1), np.stack(lengths, axis=1)


def _slopes(at: Array) -> Array:
    """Slopes (20, 3) of the shape functions of the element of twenty nodes at a local place."""
    own = PLACES - 1.0
    corner = np.all(own != 0, axis=1)
    slopes = np.zeros((20, 3))
    for n, node in enumerate(own):
        side = 1 + at * node
        for d in range(3):
            others = [e for e in range(3) if e != d]
            if corner[n]:
                rest = np.prod(side[others])
                slopes[n, d] = node[d] * rest * (at @ node - 2 + side[d]) / 8
            else:
                free = int(np.flatnonzero(node == 0)[0])
                bubble = 1 - at[free] ** 2
                if d == free:
                    slopes[n, d] = -2 * at[d] * np.prod(side[others]) / 4
                else:
                    other = next(e for e in others if e != free)
                    slopes[n, d] = node[d] * side[other] * bubble / 4
    return slopes


def _folded(sector: Sector) -> str:
    """Which elements fold, or nothing."""
    least = scaled_jacobians(sector.points, sector.hexes).min(axis=1)
    if least.min() > 0:
        return ""
    x, y, z = sector.points[sector.hexes[int(least.argmin())]].mean(axis=0)
    return (
        f"{int((least <= 0).sum())} of {len(least)} elements of the stress model fold over, the worst at radius {1e3 * np.hypot(x, y):.3g} mm, "
        f"z {1e3 * z:.3g} mm"
    )
