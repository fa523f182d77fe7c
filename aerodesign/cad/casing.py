"""The casing as one closed solid with the room of gas and wheel as its inside: block, inlet with flange, discharge.

Nothing is fused: the walls of the gas are those of the fluid region turned over, the turned walls a chain about the axis,
the outside a block (:mod:`.block`) or an even shell (:mod:`.shell`) with round ends. Bolt holes, ribs, seals and the joint's form are the CAD room's.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from aerodesign.aero.sections import Rectangle
from aerodesign.cad.block import Block, block_round
from aerodesign.cad.block_faces import add_block
from aerodesign.cad.boundary import Boundary, Hollow
from aerodesign.cad.duct_room import Walls
from aerodesign.cad.elbow import elbow, elbow_points, elbow_volume
from aerodesign.cad.kernel import MM
from aerodesign.cad.primitives import circle_in, frame
from aerodesign.cad.scroll import X, Z, circle_of
from aerodesign.cad.shell import Shell, shell_round
from aerodesign.cad.shell_faces import add_shell, shell_cone
from aerodesign.cad.solid import Solid
from aerodesign.cad.tube import Tube
from aerodesign.cad.turned import Junction, add_turned
from aerodesign.cad.volute import add_walls, in_millimetres, walls_volume
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.flags import Flag, raised
from aerodesign.form import CasingForm
from aerodesign.geometry.body import Curve, points
from aerodesign.geometry.cavity import Wheelhouse
from aerodesign.geometry.entry import diffuser_entry
from aerodesign.machine.flanges import flange_for

Array = NDArray[np.float64]

Y = np.array([0.0, 1.0, 0.0])


def casing_solid(house: Wheelhouse, form: CasingForm) -> Solid:
    """The casing in the volute's own frame (z from the middle of the slot), with expectations for the gate.

    Raises RejectedSolid, in words of the case file, where walls, flanges, tongue or discharge find no room.
    """
    return casing_and_halves(house, form)[0]


def casing_and_halves(house: Wheelhouse, form: CasingForm) -> tuple[Solid, dict[int, float]]:
    """The casing, and what volume (m3) of it lies on the inlet's side (-1) and the drive's side (1) of the slot's middle.

    The second holds for sections that are symmetric to that plane.
    """
    blower, wall = house.blower, MM * float(house.sizes.wall)
    thick = MM * float(house.sizes.flange)
    volute, diffuser, _ = in_millimetres(blower.volute, blower.diffuser, blower.impeller.r2)
    boundary = Boundary()
    walls = add_walls(Hollow(boundary), volute, diffuser, diffuser_entry(blower).scaled(MM))
    exit_ = walls.duct.exit
    last = float(exit_.flange_distance)
    limit = last - (0 if form.discharge_turn else thick) - 0.5 * wall
    shelled = form.outside == "shell" and not isinstance(volute.section, Rectangle)
    around = shell_round if shelled else block_round
    outside: Block | Shell = around(volute, diffuser, walls.duct, wall=wall, limit=limit)

    tube = _discharge(boundary, walls, outside, form, wall=wall, thick=thick)
    inlet = _flange_radius(form, 2 * (max(float(points(c)[:, 1].max()) for c in house.inlet.wall) + wall / MM))
    rims = {side: radius / MM for side, (_, radius) in walls.rims.items()}
    half = {side: abs(z) / MM for side, z in outside.sides.items()}
    chains = {-1: house.front(rim=rims[-1], half=half[-1], flange=inlet), 1: house.back(rim=rims[1], half=half[1])}
    holes = {}
    for side, chain in chains.items():
        radius, key, rim = MM * float(points(chain[-1])[-1, 1]), ("wall", side), (walls.rims[side][0], side)
        _check_hole(outside, radius, side)
        circle = circle_in(frame(outside.sides[side] * Z, Z, X), radius)
        boundary.edge(key, circle, start=key, end=key, first=0.0, last=2 * np.pi)
        curves, end = [_millimetres(c) for c in chain], Junction([(key, 0.0)], key, 0.0)
        add_turned(boundary, f"wall {side}", curves, first=circle_of(rim), last=end, side=side)
        holes[side] = (key, radius)
    if isinstance(outside, Shell):
        add_shell(boundary, outside, holes)
    else:
        add_block(boundary, outside, holes, (float(exit_.axis), float(exit_.lift)))

    common = tube.volume - walls_volume(walls, volute, diffuser)
    common -= elbow_volume(walls.end.radius, float(form.discharge_turn))
    halves = {}
    for side, chain in chains.items():
        slot = np.pi * float(diffuser.b3) / 2 * (float(diffuser.r3) ** 2 - walls.rims[side][1] ** 2)
        own = outside.hull[side] - slot + common / 2
        halves[side] = own / MM**3 - _void(chain, rims[side], half[side], side)
    skin = np.concatenate([outside.points(), tube.points, *(_ring_points(chain) for chain in chains.values())]) / MM
    bounds = np.array([skin.min(axis=0), skin.max(axis=0)])
    flags = _flags(form, {"inlet": inlet, "discharge": tube.flange})
    return Solid(boundary.solid(), sum(halves.values()), bounds, raised(flags), skin), halves


class _Made(NamedTuple):
    """The outside of the discharge: its volume beyond the block, points on it, and the flange's radius in metres."""

    volume: float
    points: Array
    flange: float


def _discharge(
    boundary: Boundary, walls: Walls, outside: Block | Shell, form: CasingForm, *, wall: float, thick: float
) -> _Made:
    """The outside of the tube from the block to the flange's face, and that face."""
    exit_, turn = walls.duct.exit, float(form.discharge_turn)
    inner, begins, first = walls.end.radius, outside.end, outside.tube
    last, outer = float(exit_.flange_distance), inner + wall / np.cos(float(exit_.half_angle))
    flange = MM * _flange_radius(form, 2 * outer / MM)

    straight = bool(turn) or not flange
    behind = last if straight else last - thick
    way = behind - begins
    slim = first + (outer - first) * way / (last - begins)
    if isinstance(outside, Shell):
        tube = shell_cone(boundary, outside, way, slim)
    else:
        start = Tube(boundary, ("tube",), np.array([float(exit_.axis), begins, float(exit_.lift)]), Y, X, first)
        start.rim()
        tube = start.cone("tube outside", way, slim)
    volume = np.pi / 3 * way * (first**2 + first * slim + slim**2)
    spots = [_circle_points(tube)]

    gas = elbow(walls.end, turn)
    if turn:
        spots.append(elbow_points(tube, turn, flange=inner))
        volume += elbow_volume(tube.radius, turn, flange=inner)
        tube = elbow(tube, turn, flange=inner, key="elbow outside")
        if flange:
            # the flange stands behind the bend, on a straight piece as long as it is thick
            gas = gas.cone("neck", thick, inner)
            volume -= np.pi * inner**2 * thick
    if flange:
        tube = tube.ring("flange back", flange, -1.0)
        spots.append(_circle_points(tube))
        tube = tube.cone("flange rim", thick, flange)
        volume += np.pi * flange**2 * thick
    tube.close("flange", tube, gas, 1.0)
    return _Made(float(volume), np.concatenate([*spots, _circle_points(tube)]), flange / MM)


def _flange_radius(form: CasingForm, tube: float) -> float:
    """Radius in metres of the flange round a tube of that diameter; 0 for a plain end, and where none is large enough."""
    flange = None if form.flange == "tube" else flange_for(form.flange, tube=tube)
    return flange.outside / 2 if flange else 0.0


def _flags(form: CasingForm, flanges: dict[str, float]) -> list[Flag]:
    return [
        Flag(
            code=f"{end}_flange_left_out",
            active=form.flange != "tube" and radius == 0,
            message=f'the {end} has a plain end: flange = "{form.flange}" has no size for a tube that large',
            advice="have a flange drawn for it",
        )
        for end, radius in flanges.items()
    ]


def _check_hole(outside: Block | Shell, radius: float, side: int) -> None:
    """The circle in which the turned walls leave the outside must lie within its plane side."""
    room = float(np.min(np.linalg.norm(outside.outline(side, 201), axis=1)))
    if radius >= room:
        part = "inlet" if side < 0 else "back wall"
        raise RejectedSolid(
            f"casing: the {part} needs a radius of {radius:.4g} mm in the casing's side, which has {room:.4g} mm; "
            "take a thinner wall or a larger diffuser_ratio"
        )


def _millimetres(curve: Curve) -> Any:
    return BSpline(curve.t, MM * curve.c, curve.k) if isinstance(curve, BSpline) else MM * curve


def _void(chain: list[Curve], rim: float, half: float, side: int) -> float:
    """Volume in m3 that the turned walls take from the block (metal that stands out from it counts against them)."""
    line = np.concatenate([points(c) for c in chain])
    z, r = np.concatenate([[(0, 0), (0, rim)], line, [(side * half, 0)]]).T
    z2, r2 = np.roll(z, -1), np.roll(r, -1)
    return float(-side * -np.pi / 3 * np.sum((z2 - z) * (r * r + r * r2 + r2 * r2)))


def _circle_points(tube: Tube) -> Array:
    angle = np.linspace(0, 2 * np.pi, 181)[:, None]
    y = np.cross(tube.axis, tube.x)
    return np.asarray(tube.centre + tube.radius * (np.cos(angle) * tube.x + np.sin(angle) * y))


def _ring_points(chain: list[Curve]) -> Array:
    """Points of the turned walls, millimetres."""
    z, r = MM * np.concatenate([points(c, 101) for c in chain]).T
    angle = np.linspace(0, 2 * np.pi, 73)
    ring = [
        np.multiply.outer(r, np.cos(angle)),
        np.multiply.outer(r, np.sin(angle)),
        np.multiply.outer(z, 0 * angle + 1),
    ]
    return np.stack(ring, axis=-1).reshape(-1, 3)
