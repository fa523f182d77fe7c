"""The fluid domain of a volute as a solid: vaneless diffuser, scroll, tongue, duct, exit cone, round flange.

Records in metres go in, the solid is in millimetres. The wheel turns in +theta about +z; the spiral begins and ends
in the half-plane y = 0, x > 0, and the flow leaves along +y. How the pieces are built: the scroll in :mod:`.scroll`,
the tongue in :mod:`.tongue`, duct and cone in :mod:`.duct`; a section with parallel side walls in
:mod:`.parallel_walls`.
"""

from collections.abc import Hashable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.aero.sections import Rectangle
from aerodesign.aero.spiral import TURN, schedule, scroll_volume
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.duct import Strip, add_duct, duct_volume, strip_points
from aerodesign.cad.duct_room import WANTED, Fitted, Walls, roomy_duct
from aerodesign.cad.elbow import elbow, elbow_points, elbow_volume
from aerodesign.cad.kernel import MM
from aerodesign.cad.parallel_walls import add_parallel_walls
from aerodesign.cad.scroll import Scroll, add_base_circles, add_diffuser, fitted_scroll
from aerodesign.cad.solid import Solid
from aerodesign.cad.spaces import smoothstep
from aerodesign.cad.surfaces import line2d, spline_curve
from aerodesign.cad.tongue import TongueLine, add_nose, nose_volume, tongue_line
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.flags import Flag, raised
from aerodesign.core.quantities import Angle, Length
from aerodesign.geometry.body import revolved_volume
from aerodesign.geometry.entry import Entry, straight_entry

Array = NDArray[np.float64]

CREASE_ANGLES = (120, 105, 135, 90, 128, 124, 112, 131)
"""Where inner and outer wall of the duct may meet on the circle, in degrees from the outermost point; best first."""
TURNED = 0.45
"""How far these places turn with a section that leans, over its lean: with none the walls soon cross or fold."""


def volute_solid(
    volute: Volute, diffuser: Diffuser, *, r2: Length, entry: Entry | None = None, turn: Angle = 0.0
) -> Solid:
    """The fluid domain from the cylinder ``r2``, where the diffuser begins, to the flange, with expectations for the
    gate. Without an ``entry`` the diffuser's walls are parallel from there on. ``turn`` adds a bend behind the cone.

    One design at a time; not yet judged. Flags tell of an outlet duct that had to be lengthened and of a thin wall
    beside it. Raises RejectedSolid with what to change where the tongue or the duct finds no room.
    """
    _refuse_nonsense(volute, diffuser, float(r2))
    entry = (entry or straight_entry(r2, diffuser)).scaled(MM)
    volute, diffuser, r2 = in_millimetres(volute, diffuser, r2)
    boundary = Boundary()
    walls = add_walls(boundary, volute, diffuser, entry)
    duct = walls.duct
    half_slot = float(diffuser.b3) / 2
    add_diffuser(boundary, entry, rims=walls.rims, half_width=half_slot)
    end = elbow(walls.end, float(turn))
    end.disc("flange", 1.0)
    shape = boundary.solid()

    volume = walls_volume(walls, volute, diffuser) + elbow_volume(walls.end.radius, float(turn))
    volume += diffuser_volume(diffuser, entry)
    skin = np.concatenate([_skin(volute, diffuser, duct, entry), elbow_points(walls.end, float(turn))]) / MM
    bounds = np.array([skin.min(axis=0), skin.max(axis=0)])
    return Solid(shape, float(volume) / MM**3, bounds, raised(_flags(duct)), skin)


def _refuse_nonsense(volute: Volute, diffuser: Diffuser, r2: float) -> None:
    r3, opening = float(diffuser.r3), float(volute.opening)
    if not 0 < r2 < r3:
        raise RejectedSolid(f"volute: r2 = {r2:.4g} m must lie between 0 and r3 = {r3:.4g} m")
    if not 0 < opening < 1:
        raise RejectedSolid(f"volute: opening = {opening:.4g} must lie between 0 and 1; usual is 0.06")
    for name in ("size4", "r5", "cone_length", "tongue_radius"):
        if not float(getattr(volute, name)) > 0:
            raise RejectedSolid(f"volute: {name} = {float(getattr(volute, name)):.4g} m must be positive")


def add_walls(boundary: Boundary, volute: Volute, diffuser: Diffuser, entry: Entry) -> Walls:
    """The walls of the gas from the slot's rims to the end of the cone, which stay open (millimetres)."""
    build = add_parallel_walls if isinstance(volute.section, Rectangle) else add_flaring_walls
    return build(boundary, volute, diffuser, entry)


def walls_volume(walls: Walls, volute: Volute, diffuser: Diffuser) -> float:
    """Volume within the walls beyond the base circle."""
    return float(scroll_volume(volute, diffuser) - walls.nose + duct_volume(walls.duct.strips, walls.duct.exit))


def in_millimetres(volute: Volute, diffuser: Diffuser, r2: Length) -> tuple[Volute, Diffuser, Length]:
    lengths = ("size4", "r4", "r5", "cone_length", "tongue_radius")
    scaled = volute.but(A4=volute.A4 * MM**2, **{name: getattr(volute, name) * MM for name in lengths})
    return scaled, diffuser.but(r3=diffuser.r3 * MM, b3=diffuser.b3 * MM), r2 * MM


def diffuser_volume(diffuser: Diffuser, entry: Entry) -> float:
    """Volume between the walls of the diffuser, from r2 to r3."""
    half = float(diffuser.b3) / 2
    corners = [(entry.front, entry.r2), (-half, entry.end), (half, entry.end), (entry.back, entry.r2)]
    parallel = np.pi * (diffuser.r3**2 - entry.end**2) * diffuser.b3
    return float(parallel + revolved_volume(np.array(corners, float)))


def add_flaring_walls(boundary: Boundary, volute: Volute, diffuser: Diffuser, entry: Entry) -> Walls:
    """Circle, rounded trapezoid: sections whose first lies inside the last, touching it at the slot's corners only."""
    r3, half_width = float(diffuser.r3), float(diffuser.b3) / 2
    radius = float(volute.tongue_radius)
    scroll = fitted_scroll(volute, diffuser)
    line = _tongue(scroll, volute, diffuser)
    turn = TURNED * float(getattr(volute.section, "lean", 0.0))
    duct = roomy_duct(volute, diffuser, [_strips(scroll, line, np.radians(angle), turn) for angle in CREASE_ANGLES])

    add_base_circles(boundary, r3=r3, half_width=half_width)
    _add_scroll(boundary, scroll, line.meets, r3=r3, size4=float(volute.size4))
    add_nose(boundary, scroll, line, radius=radius)
    end = add_duct(boundary, duct.strips, duct.exit)
    return Walls(duct, nose_volume(scroll, line, radius=radius), {side: ("base", r3) for side in (-1, 1)}, end)


def _tongue(scroll: Scroll, volute: Volute, diffuser: Diffuser) -> TongueLine:
    """The tongue's line, found between the upright sections, then sheared as they are."""
    thickness, lean = 2 * float(volute.tongue_radius), float(getattr(volute.section, "lean", 0.0))
    if lean == 0:
        return tongue_line(scroll, thickness=thickness)
    upright = replace(volute.section, lean=0.0)  # type: ignore[type-var]
    line = tongue_line(fitted_scroll(volute.but(section=upright), diffuser), thickness=thickness)
    return line.leaning(lean, float(diffuser.r3))


def _add_scroll(boundary: Boundary, scroll: Scroll, meets: float, *, r3: float, size4: float) -> None:
    """The scroll's two faces between the base circles, its first section and the three pieces of its last one.

    Each face is half a turn: the whole one would touch itself where the spiral ends on the slot that it begins on.
    """
    first, last = (spline_curve(scroll.section(end=end)) for end in (False, True))
    low, high = ("base", -1), ("base", 1)
    creases = ("crease", -1), ("crease", 1)
    boundary.edge(("first",), first, start=low, end=high, first=0.0, last=1.0)
    boundary.edge(("flank", -1), last, start=low, end=creases[0], first=0.0, last=meets)
    boundary.edge(("throat",), last, start=creases[0], end=creases[1], first=meets, last=1 - meets)
    boundary.edge(("flank", 1), last, start=creases[1], end=high, first=1 - meets, last=1.0)
    opposite = spline_curve(scroll.section_at(np.pi))
    boundary.edge(("half",), opposite, start=(low, "opposite"), end=(high, "opposite"), first=0.0, last=1.0)

    def across(theta: float, *keys: Hashable) -> list[Use]:
        return [Use(key, line2d((theta, 0), (0, 1))) for key in keys]

    # seen from a little beyond the base circle every wall of a section lies outwards
    middle = r3 + 0.3 * size4

    def outward(p: Array) -> Array:
        r = np.hypot(p[0], p[1])
        return np.array([(r - middle) * p[0] / r, (r - middle) * p[1] / r, p[2]])

    bounds: list[list[Hashable]] = [[("first",)], [("half",)], [("flank", 1), ("throat",), ("flank", -1)]]
    for half, (before, after) in enumerate(pairwise(bounds)):
        theta = half * np.pi
        loop = [
            *across(theta, *before),
            Use((high, half), line2d((theta, 1), (1, 0))),
            *across(theta + np.pi, *after),
            Use((low, half), line2d((theta, 0), (1, 0))),
        ]
        boundary.face(("scroll", half), scroll.surface, [loop], outward)


def _strips(scroll: Scroll, line: TongueLine, crease: float, turn: float) -> list[Strip]:
    """The outer wall, from the last section, and the inner wall, from the tongue; they part at the angles ``turn`` -/+ ``crease`` on
    the circle, their middles stay in the plan.
    """
    creases = ("crease", -1), ("crease", 1)
    outer, inner = scroll.along.between(line.meets, 1 - line.meets).refined(1 / 48), line.space
    throat = scroll.section(end=True)
    share, round_share = _share_of_length(throat, outer.sites), _share_of_length(line.curve, inner.sites)

    # both walls leave the creases along the axis, where their slopes would differ
    rise_out = _faded(share)[:, None] * scroll.slope(outer.sites, end=True)
    rise_in = _faded(round_share)[:, None] * scroll.slope(line.opposite, end=False)
    return [
        Strip(
            edge=("throat",),
            creases=creases,
            space=outer,
            start=throat(outer.sites)[:, [0, 2]],
            slope=rise_out,
            angle=crease * (2 * share - 1) + turn * (2 * share - 1) ** 2,
            outward=(1.0, 0.0, 0.0),
        ),
        Strip(
            edge=("tongue",),
            creases=creases,
            space=inner,
            start=line.curve(inner.sites)[:, [0, 2]],
            slope=rise_in,
            angle=-crease - 2 * (np.pi - crease) * round_share + turn * (2 * round_share - 1) ** 2,
            outward=(-1.0, 0.0, 0.0),
        ),
    ]


def _faded(share: Array) -> Array:
    """A factor that rises from 0 at both ends of a wall to 1 a fifth of its length inside."""
    return smoothstep(np.minimum(share, 1 - share) / 0.2)


def _share_of_length(curve: Any, sites: Array) -> Any:
    """Length along a curve at the sites over its whole length between the first and the last of them."""
    fine = np.unique(np.concatenate([np.linspace(sites[0], sites[-1], 4001), sites]))
    length = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(curve(fine), axis=0), axis=1))])
    share = np.interp(sites, fine, length / length[-1])
    return (share + 1 - share[::-1]) / 2


def _skin(volute: Volute, diffuser: Diffuser, duct: Fitted, entry: Entry) -> Array:
    """Points (n, 3) on the walls, close enough together for the bounds of the whole."""
    theta = np.linspace(0, TURN, 721)
    size = schedule(volute, diffuser, theta).size
    outline = volute.section.outline(size=size, r3=diffuser.r3, b3=diffuser.b3)
    scroll = np.stack([outline.r * np.cos(theta), outline.r * np.sin(theta), outline.z], axis=-1).reshape(-1, 3)
    walls = [strip_points(strip, duct.exit, np.linspace(0, 1, 101), 101).reshape(-1, 3) for strip in duct.strips]
    ring = float(duct.exit.flange_radius) * np.stack([np.cos(theta), 0 * theta, np.sin(theta)], axis=-1)
    flange = ring + np.array([float(duct.exit.axis), float(duct.exit.flange_distance), float(duct.exit.lift)])
    rims = [entry.r2 * np.stack([np.cos(theta), np.sin(theta), 0 * theta], axis=-1) + z for z in _axial(entry)]
    return np.concatenate([scroll, *walls, flange, *rims])


def _axial(entry: Entry) -> list[Array]:
    return [np.array([0.0, 0.0, float(z)]) for z in (entry.front, entry.back)]


def _flags(duct: Fitted) -> list[Flag]:
    return [
        Flag(
            code="duct_lengthened",
            active=duct.stretch > 1,
            message=f"the outlet duct is {duct.stretch:.2f} times its usual length, to clear the scroll's beginning",
            advice="a larger tongue_radius makes room for a shorter one",
            value=float(duct.exit.duct_length) / MM,
        ),
        Flag(
            code="tongue_wall_thin",
            active=duct.room < WANTED,
            message=f"the wall between scroll and outlet duct thins to {duct.room:.2f} of the tongue's thickness",
            advice="a larger tongue_radius thickens it",
            value=duct.room,
            limit=WANTED,
        ),
    ]
