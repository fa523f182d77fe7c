"""Does a skin of triangles cross itself? Pairs of triangles whose boxes meet, then edges of one against the other.

How to use it (metres)::

    crossed = crossings(tessellate(shape, deflection=1e-4))   # (n, 3) points where an edge pierces a triangle; none: (0, 3)

What it sees: every place where one part of the skin passes through another, near or far, and neighbours that share a
corner or fold back over a common edge. What it does not see: what the triangles themselves hide. Surfaces that dip into each other by less than
twice the deflection of the triangles may pass unseen (and surfaces nearer to each other than that may be reported though
they only come close). Contact without passing through, exactly in one plane, is no crossing.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.tessellate import Triangles

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

AT_ONCE = 400_000
"""Pairs of triangles taken at a time: some hundred megabytes."""
LEAST_BLOCK = 6
"""Blocks of two to this power are not sorted further: it would cost more than the pairs that it spares."""
FOLDED = -0.995
"""Cosine between the normals of two triangles with a common edge below which the skin folds back on itself: an edge sharper than 6 deg."""
EDGE = 1e-9
"""An edge that meets another edge counts, to this part of the triangle: bodies of revolution cross there and nowhere else."""


def crossings(skin: Triangles, within: float = 0.0) -> Array:
    """Points in metres where an edge of one triangle pierces another, or where two neighbours fold back, shape (n, 3).

    Only what goes deeper than ``within``, in metres: along a sharp crease triangles of both faces cross by less than their deflection,
    and slivers there turn over, where the faces themselves do neither.
    """
    found = [_folded(skin, within)]
    pairs = meeting_boxes(skin.points[skin.triangles])
    for first in range(0, len(pairs), AT_ONCE):
        some = pairs[first : first + AT_ONCE]
        found += [_pierced(skin, some, within), _pierced(skin, some[:, ::-1], within)]
    return np.concatenate(found)


def meeting_boxes(corners: Array) -> Indices:
    """Pairs of triangles (n, 3, 3) whose boxes meet, each pair once, shape (m, 2); by a tree of boxes, level by level."""
    count = len(corners)
    depth = max(0, int(np.ceil(np.log2(max(count, 1)))))
    low, high = corners.min(axis=1), corners.max(axis=1)
    order = _sorted_in_space((low + high) / 2, depth)
    size = 1 << depth
    # leaves beyond the last triangle get boxes that meet nothing
    low = np.concatenate([low[order], np.full((size - count, 3), np.inf)])
    high = np.concatenate([high[order], np.full((size - count, 3), -np.inf)])
    levels = [(low, high)]
    for _ in range(depth):
        low, high = np.minimum(low[::2], low[1::2]), np.maximum(high[::2], high[1::2])
        levels.append((low, high))

    pairs = np.zeros((1, 2), np.int64)
    for low, high in levels[-2::-1]:
        child = 2 * pairs[:, None, :] + np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
        pairs = child[(child[..., 0] <= child[..., 1])]
        a, b = pairs.T
        meet = np.ones(len(pairs), bool)
        for axis in range(3):
            meet &= (low[a, axis] <= high[b, axis]) & (low[b, axis] <= high[a, axis])
        pairs = pairs[meet]
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    return np.asarray(order[pairs])


def _sorted_in_space(centre: Array, depth: int) -> Indices:
    """An order of points in which every block of a power of two lies together: halves by the longer way, again and again."""
    order = np.arange(len(centre))
    for block in (1 << level for level in range(depth, LEAST_BLOCK, -1)):
        blocks = [order[first : first + block] for first in range(0, len(order), block)]
        order = np.concatenate([_halved(some, centre, block // 2) for some in blocks])
    return order


def _halved(some: Indices, centre: Array, half: int) -> Indices:
    """One block with its ``half`` smallest along its longest way first."""
    if len(some) <= half:
        return some
    axis = int(np.argmax(np.ptp(centre[some], axis=0)))
    return np.asarray(some[np.argpartition(centre[some, axis], half - 1)])


def _pierced(skin: Triangles, pairs: Indices, within: float) -> Array:
    """Where edges of the first of each pair pierce the second; edges that end on a corner of it cannot, and are left out."""
    one, other = skin.triangles[pairs[:, 0]], skin.triangles[pairs[:, 1]]
    a = skin.points[other[:, 0]]
    along, across = skin.points[other[:, 1]] - a, skin.points[other[:, 2]] - a
    normal = np.cross(along, across)
    side = np.stack([np.einsum("ij,ij->i", skin.points[one[:, i]] - a, normal) for i in range(3)], axis=1)
    shared = (one[:, :, None] == other[:, None, :]).any(axis=2)
    side[shared] = 0.0
    found = []
    for start, end in ((0, 1), (1, 2), (2, 0)):
        s, e = side[:, start], side[:, end]
        rows = np.flatnonzero(s * e < 0)
        part = s[rows] / (s[rows] - e[rows])
        p, q = skin.points[one[rows, start]], skin.points[one[rows, end]]
        at = p + part[:, None] * (q - p)
        n, d = normal[rows], at - a[rows]
        square = np.einsum("ij,ij->i", n, n)
        deep = np.minimum(np.abs(s[rows]), np.abs(e[rows])) >= within * np.sqrt(square)
        u = np.einsum("ij,ij->i", np.cross(d, across[rows]), n) / square
        v = np.einsum("ij,ij->i", np.cross(along[rows], d), n) / square
        found.append(at[deep & (u > -EDGE) & (v > -EDGE) & (u + v < 1 + EDGE)])
    return np.concatenate(found)


def _folded(skin: Triangles, within: float) -> Array:
    """Middles of the edges at which two triangles lie on each other."""
    t = skin.triangles
    edges = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    owner = np.tile(np.arange(len(t)), 3)
    key = edges.min(axis=1) * len(skin.points) + edges.max(axis=1)
    order = np.argsort(key, kind="stable")
    twins = np.flatnonzero(key[order][1:] == key[order][:-1])
    a, b = order[twins], order[twins + 1]
    corners = skin.points[t]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1)
    dot = np.einsum("ij,ij->i", normal[owner[a]], normal[owner[b]])
    length = np.linalg.norm(skin.points[edges[a, 0]] - skin.points[edges[a, 1]], axis=1)
    wide = np.minimum(size[owner[a]], size[owner[b]]) >= within * length
    folded = wide & (dot < FOLDED * size[owner[a]] * size[owner[b]])
    return np.asarray(skin.points[edges[a[folded]]].mean(axis=1))
