"""The surface midway through the blades, from the inlet pipe to the diffuser's end: where the mesh's lines stand.

A sheet is a grid of stations (along the flow) by layers (hub to shroud). It holds the meridional position, the camber
surface, continued past both edges of the blades, and the half thickness of full blades and splitters as angles.
"""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.form import BladeForm
from aerodesign.geometry.blade import Blading, SpanLine
from aerodesign.mesh.size import Size
from aerodesign.mesh.spacing import smooth_step, two_sided_tanh

Grid = NDArray[np.float64]

SPANS = 0.5 * (1 - np.cos(np.linspace(0, np.pi, 6)))  # where the geometry is asked; a polynomial runs through them
TAPER = 0.15  # of a blade's length: a wedge there instead of the round nose, which a grid of this kind cannot follow
INLET_LENGTH = 1.0  # of the inlet radius at the shroud
CAMBER_AHEAD, CAMBER_BEHIND = 0.33, 0.53  # of r2: where the camber's slope has faded out of the grid lines
PINCH = 0.05  # of r2: length over which the diffuser narrows
EDGE_CELL = 0.5  # length of the cells at the blades' edges, in mean cells of the blade
OUTLET_CELL = 2.0  # length of the last cell, in mean cells of the diffuser


@dataclass(frozen=True)
class Sheet:
    """Arrays of shape (stations + 1, layers + 1), metres and radians.

    ``m`` is the meridional length from the leading edge, ``half`` and ``splitter_half`` the angle from the camber
    surface to either side of a blade (constant in the wake), ``cos_beta`` the cosine of their angle to the meridional.
    """

    m: Grid
    z: Grid
    r: Grid
    theta: Grid
    half: Grid
    splitter_half: Grid
    cos_beta: Grid


@dataclass(frozen=True)
class Stations:
    """Where the stations lie: ``upstream`` 0..1 over the inlet, ``x`` 0..1 over the blades, ``downstream`` 0..1."""

    upstream: Grid
    x: Grid
    downstream: Grid
    leading: int
    splitter: int
    trailing: int


def stations(impeller: Impeller, *, size: Size, length: float, inlet: float, diffuser: float) -> Stations:
    """Stations along the flow, clustered at each edge; the arguments are lengths in metres."""
    edge = EDGE_CELL * length / size.blade
    if impeller.splitters:
        start = float(impeller.splitter_start)
        ahead = max(4, round(start * (size.blade + 4)))
        behind = max(8, size.blade + 4 - ahead)
        edges = edge / (length * start), edge / (length * (1 - start))
        before = two_sided_tanh(ahead, first=edges[0], last=edges[0])
        after = two_sided_tanh(behind, first=edges[1], last=edges[1])
        x, splitter = np.concatenate([start * before, start + (1 - start) * after[1:]]), size.inlet + ahead
    else:
        x, splitter = two_sided_tanh(size.blade, first=edge / length, last=edge / length), size.inlet

    return Stations(
        upstream=two_sided_tanh(size.inlet, first=min(6 * edge / inlet, 2 / size.inlet), last=edge / inlet),
        x=x,
        downstream=two_sided_tanh(
            size.diffuser, first=min(edge / diffuser, 1 / size.diffuser), last=OUTLET_CELL / size.diffuser
        ),
        leading=size.inlet,
        splitter=splitter,
        trailing=size.inlet + len(x) - 1,
    )


def blade_sheet(
    impeller: Impeller, diffuser: Diffuser, form: BladeForm | None = None, *, size: Size
) -> tuple[Sheet, Stations]:
    """The sheet of one impeller with its inlet pipe and vaneless diffuser."""
    blading = Blading(impeller, form)
    lines = [blading.span(s) for s in SPANS]
    r2, r3, inlet = float(impeller.r2), float(diffuser.r3), INLET_LENGTH * float(impeller.r1s)
    length = float(np.mean([lines[0].length, lines[-1].length]))
    along = stations(impeller, size=size, length=length, inlet=inlet, diffuser=r3 - r2)

    points = [line.at(along.x) for line in lines]
    z, r, theta, beta = (np.stack([getattr(p, name) for p in points], axis=1) for name in ("z", "r", "theta", "beta"))
    to_angle = 1 / (r * np.cos(beta))
    half, splitter_half = (
        np.stack([tapered(line, along.x, start=start) for line in lines], axis=1) * to_angle
        for start in (0.0, float(impeller.splitter_start))
    )

    up, down = 1 - along.upstream[:-1, None], along.downstream[1:, None]
    z, r = _with_ducts(z, r, up=up, down=down, inlet=inlet, r3=r3, b3=float(diffuser.b3))
    m = _from_start(np.hypot(np.diff(z, axis=0), np.diff(r, axis=0)))
    m = m - m[along.leading]
    slope, theta = _continued(theta, -np.tan(beta), m=m, r=r, along=along, r2=r2)

    at_spans = Sheet(
        m=m,
        z=z,
        r=r,
        theta=theta,
        half=_with_wake(half, up, down),
        splitter_half=_with_wake(splitter_half, up, down),
        cos_beta=1 / np.hypot(1, slope),
    )
    return _layered(at_spans, layers=size.layers, wall=size.wall * r2), along


def tapered(line: SpanLine, x: Grid, *, start: float) -> Grid:
    """Half thickness along a span of a blade that begins at ``start``, with a wedge of parabolic sides for a nose."""
    end = start + TAPER * (1 - start)
    part = np.clip((x - start) / (end - start), 0, 1)
    return np.minimum(
        line.half_thickness_at(x, start=start),
        line.half_thickness_at(end, start=start) * (2 * part - part**2),
    )


def _with_ducts(z: Grid, r: Grid, *, up: Grid, down: Grid, inlet: float, r3: float, b3: float) -> tuple[Grid, Grid]:
    """Positions with a straight pipe ahead and, behind, the diffuser that narrows on the shroud's side."""
    z_hub, r2 = z[-1, 0], r[-1, 0]
    r_down = r2 + (r3 - r2) * down
    pinch = min(PINCH * r2, 0.5 * (r3 - r2))
    widths = z[-1] - z_hub
    narrowing = 1 + (b3 / abs(widths[-1]) - 1) * smooth_step((r_down - r2) / pinch)

    z_start = z[0].min() - inlet
    z = np.concatenate([z[:1] + (z_start - z[:1]) * up, z, z_hub + widths * narrowing])
    r = np.concatenate([np.repeat(r[:1], len(up), axis=0), r, np.repeat(r_down, r.shape[1], axis=1)])
    return z, r


def _continued(theta: Grid, slope: Grid, *, m: Grid, r: Grid, along: Stations, r2: float) -> tuple[Grid, Grid]:
    """Slope r dtheta/dm and theta of the camber on all stations: past both edges the slope fades away."""
    before, behind = slice(0, along.leading), slice(along.trailing + 1, None)
    ahead = -m[before] / (CAMBER_AHEAD * r2)
    past = (m[behind] - m[along.trailing]) / (CAMBER_BEHIND * r2)
    slope = np.concatenate([slope[:1] * (1 - smooth_step(ahead)), slope, slope[-1:] * (1 - smooth_step(past))])

    rate = slope / r
    turn = _from_start(0.5 * (rate[1:] + rate[:-1]) * np.diff(m, axis=0))
    return slope, np.concatenate([
        theta[:1] + turn[before] - turn[along.leading],
        theta,
        theta[-1:] + turn[behind] - turn[along.trailing],
    ])  # fmt: skip


def _from_start(steps: Grid) -> Grid:
    """Running sum along the stations that begins with 0."""
    return np.concatenate([np.zeros_like(steps[:1]), np.cumsum(steps, axis=0)])


def _with_wake(half: Grid, up: Grid, down: Grid) -> Grid:
    """Half angles with none ahead of the blades and the wake's constant angle behind."""
    zero, wake = np.zeros_like(half[:1]), half[-1:]
    return np.concatenate([np.repeat(zero, len(up), axis=0), half, np.repeat(wake, len(down), axis=0)])


def _layered(sheet: Sheet, *, layers: int, wall: float) -> Sheet:
    """The sheet given at ``SPANS``, at layers clustered to hub and shroud by the local height of the channel."""
    height = np.hypot(sheet.z[:, -1] - sheet.z[:, 0], sheet.r[:, -1] - sheet.r[:, 0])
    spacing = np.minimum(wall / height, 0.999 / layers)
    weights = lagrange(two_sided_tanh(layers, first=spacing, last=spacing).T)
    return Sheet(**{f.name: np.einsum("iks,is->ik", weights, getattr(sheet, f.name)) for f in fields(sheet)})


def lagrange(span: Grid) -> Grid:
    """Weights (..., spans) of the values at ``SPANS`` in the polynomial through them; exact at each of them."""
    weights = np.ones((*span.shape, len(SPANS)))
    for n, own in enumerate(SPANS):
        for other in np.delete(SPANS, n):
            weights[..., n] *= (span - other) / (own - other)
    return weights
