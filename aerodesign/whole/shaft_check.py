"""The shaft on its bearings: critical speeds, whirl, unbalance, loads, life, temperature, grease."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Impeller
from aerodesign.aero.stage import Stage
from aerodesign.core.book import Book
from aerodesign.core.correlation import PRACTICE
from aerodesign.core.quantities import (
    Force,
    Length,
    Power,
    Pressure,
    Ratio,
    Temperature,
    Unbalance,
    Values,
)
from aerodesign.core.units import G
from aerodesign.form.rotor import BETWEEN, BY_POWER, RotorForm
from aerodesign.geometry.disc_profile import WheelBody
from aerodesign.machine.balance import GRADES, ISO_21940, permissible_eccentricity, permissible_unbalance
from aerodesign.machine.bearing_table import Bearing
from aerodesign.machine.bearing_temperature import bearing_warmth, seat_surface, shaft_conductance
from aerodesign.machine.bearings import (
    ANGULAR_Y,
    ISO_281,
    LEAST_LOAD,
    PALMGREN,
    equivalent_load,
    film_factor,
    in_series,
    life_hours,
    pair_axial_loads,
    radial_stiffness,
    rating_life,
    speed_factor,
)
from aerodesign.machine.belt import Belt
from aerodesign.machine.grease import GREASES, INTERVAL, grease_life, oil_viscosity, wanted_viscosity
from aerodesign.machine.loads import TEXTBOOKS, thrust, unbalance_force, weight
from aerodesign.machine.rotor import (
    Rotor,
    critical_speeds,
    deflection,
    rotor,
    separation,
    shaft_stress,
    unbalance_response,
    whirl,
)
from aerodesign.machine.vibration import (
    category_for,
    rms_velocity,
    zone,
)
from aerodesign.whole.shaft import ShaftCheck, Whirling
from aerodesign.whole.shaft_layout import Layout, layout, reach
from aerodesign.whole.shaft_limits import limits_of

Array = NDArray[Any]

LOSS = 0.04
"""Loss factor of rotor, bearings and housing, twice the damping ratio: common practice for rolling bearings, no source."""

SPRING = 6e3
"""N per metre of bore: axial preload by springs, 5 to 10 N a millimetre for quiet running (catalogues, from memory)."""

ENCLOSED = 15.0
"""K: how much warmer than the site it is around the bearings of a motor that carries the wheel; common practice, no source."""

CAMPBELL_SPEEDS = 31
CAMPBELL_TO, CAMPBELL_MOST = 1.4, 2.5
"""The charts reach 1.4 times the fastest speed, and on to a little beyond the first critical speed, but not for ever."""

RESPONSE_SPEEDS = 241


def check_shaft(
    *,
    impeller: Impeller,
    stage: Stage,
    wheel: WheelBody,
    form: RotorForm,
    bearing: Bearing,
    eased: tuple[Length, Ratio],
    vanes: tuple[Length, Length],
    vaned_core: float,
    drive: str,
    belt: Belt | None,
    power: Power,
    radial: Force,
    ambient: Pressure,
    temperature: Temperature,
) -> ShaftCheck:
    """Check the shaft for ``stage``, solved at the duty points, shape (points,); ``power`` at the shaft and ``radial`` force of the volute there.

    ``form`` names balls and grease. ``wheel`` carries its density; ``eased`` is the radius within which balance holes ease its back, 0 for
    none, and the part of the pressure that is left there; ``vanes`` are the radii of its back vanes' feet and tips, behind which the gas
    turns with ``vaned_core`` of the wheel's speed. ``belt`` is the drive's; ``ambient`` and ``temperature`` are the site's.
    """
    speed = np.atleast_1d(stage.speed)
    fastest, slowest = float(speed.max()), float(speed.min())
    torque = float(np.max(power / speed))
    grade = GRADES[form.balance_grade]
    hybrid = form.balls == "hybrid"

    sizes = dict(bore=bearing.bore, width=bearing.width, outside=bearing.outside)
    parts = layout(
        form, impeller, wheel, drive=drive, torque=torque, pulley=belt.pulley if belt is not None else np.nan, **sizes
    )
    book = Book()
    stiffness = _spring(book, parts, bearing, form, np.max(radial), hybrid)
    turning = book.note("rotor", rotor, **parts.pieces(stiffness), pointwise=False)
    critical = book.note("critical_speeds", critical_speeds, rotor=turning, pointwise=False)

    # The drive's belt and the rotor's are one: what [rotor] gives has already been taken there.
    pull = float(belt.pull) if belt is not None else form.belt_pull if np.isfinite(form.belt_pull) else 0.0
    preload = _preload(form, bearing)
    balance: dict[str, Any] = dict(grade=grade, speed=fastest, source=ISO_21940, pointwise=False)
    unbalance = float(book.note("permissible_unbalance", permissible_unbalance, mass=parts.total_mass, **balance))
    forces = _forces(parts, radial + unbalance_force(unbalance=unbalance, speed=speed), pull)
    # On the back within the balance holes' or the labyrinth's radius the part eased[1] is left.
    pushing = book.note(
        "thrust", thrust, p1=stage.p1, p2=stage.p2, ambient=ambient, r1h=impeller.r1h, r1s=impeller.r1s, r2=impeller.r2,
        r_shaft=bearing.bore / 2, r_holes=eased[0], held=eased[1], rho2=stage.rho2, speed=stage.speed, mass_flow=stage.mass_flow,
        cm1=stage.mean.cm, covered=impeller.covered, through=form.layout == BETWEEN, vanes=vanes, vaned_core=vaned_core,
        source=TEXTBOOKS,
    )  # fmt: skip
    radials = reach(parts, forces)
    axials = _axial(bearing, radials, pushing.total, preload)
    same: dict[str, Any] = dict(static=bearing.static, contact=bearing.contact)
    equivalent = book.note("bearing_load", equivalent_load, radial=radials, axial=axials, **same, source=ISO_281).load

    grease = GREASES[form.grease]
    warmth = book.note(
        "bearing_warmth", bearing_warmth, **_surroundings(parts, bearing, stage, form, temperature), load=equivalent, source=PALMGREN
    )  # fmt: skip
    mean: dict[str, Any] = dict(mean_diameter=bearing.mean_diameter)
    thin = book.note("oil_viscosity", oil_viscosity, grease=grease, T=warmth.T)
    kappa = thin / book.note("wanted_viscosity", wanted_viscosity, speed=speed, **mean, source=ISO_281)
    film = book.note("film_factor", film_factor, viscosity_ratio=kappa, source=PRACTICE)
    turns = book.note(
        "rating_revolutions", rating_life, dynamic=bearing.dynamic, load=equivalent, a_iso=film, source=ISO_281
    )
    life = book.note("bearing_life", life_hours, revolutions=turns, speed=speed)
    greased = book.note(
        "grease_life", grease_life, speed=speed, bore=bearing.bore, T=warmth.T, share=grease.factor, source=INTERVAL
    )  # fmt: skip

    sag, stress = _bent(book, parts, turning, forces, torque)
    shaking, at = _vibration(parts, turning, form, stiffness, unbalance, fastest, float(critical[0]))
    category = category_for(power=float(np.max(power))) if form.category == BY_POWER else form.category
    found = ShaftCheck(
        bearing=bearing,
        parts=parts,
        stiffness=stiffness,
        critical=critical,
        separation=book.note(
            "critical_separation", separation, critical=critical, slowest=slowest, fastest=fastest, pointwise=False
        ),
        whirling=at,
        thrust=pushing,
        radial=radials,
        axial=axials,
        equivalent=equivalent,
        basic=life / film,
        life=life,
        film=film,
        warmth=warmth,
        grease=greased,
        speed_factor=book.note("speed_factor", speed_factor, speed=fastest, **mean, pointwise=False),
        unbalance=unbalance,
        eccentricity=float(book.note("permissible_eccentricity", permissible_eccentricity, **balance)),
        vibration=shaking,
        vibration_zone="ABCD"[int(zone(velocity=shaking, power=float(np.max(power)), mounting=form.mounting))],
        category=category,
        sag=sag,
        stress=stress,
        preload=preload,
        belt_pull=pull,
        limits={},
        steps=book.steps,
    )
    found.limits.update(limits_of(found, form, fastest))
    return found


def _spring(book: Book, parts: Layout, bearing: Bearing, form: RotorForm, radial: float, hybrid: bool) -> Values:
    """Stiffness of the bearings on their supports, front and rear, under weight, volute's force and preload."""
    loads = np.maximum(reach(parts, _forces(parts, radial, 0.0)), _preload(form, bearing))
    of_balls = book.note(
        "bearing_stiffness", radial_stiffness, load=np.maximum(loads, 1.0), ball=bearing.ball, balls=bearing.balls,
        contact=bearing.contact, hybrid=hybrid, source=PALMGREN, pointwise=False,
    )  # fmt: skip
    return in_series(of_balls, form.support_stiffness)


def _preload(form: RotorForm, bearing: Bearing) -> float:
    """What is asked, or springs; those of angular contact bearings also give the one that carries little its least load."""
    if np.isfinite(form.preload):
        return form.preload
    least = LEAST_LOAD * bearing.dynamic / ANGULAR_Y if bearing.contact else 0.0
    return max(SPRING * bearing.bore, least)


def _forces(parts: Layout, at_wheel: Force, pull: Force) -> Force:
    """Forces on the nodes: weight everywhere, more at the wheel and at the drive; (nodes, *designs or points)."""
    shaft = np.pi / 4 * 7850 * parts.diameter**2 * parts.length * G
    lumps = weight(mass=parts.mass) * 1.0
    lumps[:-1] += shaft / 2
    lumps[1:] += shaft / 2
    at_wheel = np.asarray(at_wheel, float)
    if lumps.ndim == 1 and at_wheel.ndim:
        lumps = lumps[:, None] + 0 * at_wheel
    lumps[parts.wheel] += at_wheel
    lumps[parts.drive] += pull
    return lumps


def _axial(bearing: Bearing, radial: Force, pushing: Force, preload: Force) -> Force:
    """Axial loads (2, points): a deep groove front bearing is held and takes the thrust, springs load both; angular ones share."""
    if bearing.contact:
        return np.stack(
            pair_axial_loads(radial_front=radial[0], radial_rear=radial[1], thrust=pushing, preload=preload)
        )
    return np.stack([np.abs(pushing) + preload, preload + 0 * pushing])


def _surroundings(
    parts: Layout, bearing: Bearing, stage: Stage, form: RotorForm, temperature: Temperature
) -> dict[str, Any]:
    """What warms and cools both bearings: heat comes along the shaft from the wheel, whose hub is taken as hot as the gas at its exit."""
    z = parts.z
    away = np.array([abs(z[parts.front] - z[parts.wheel]), abs(z[parts.rear] - z[parts.wheel])])[:, None]
    return dict(
        ambient=temperature + (ENCLOSED if parts.motor else 0.0),
        hot=np.atleast_1d(stage.Tt2)[None],
        conductance=shaft_conductance(diameter=bearing.bore, length=away, conductivity=45.0),
        surface=seat_surface(bore=bearing.bore, outside=bearing.outside, width=bearing.width),
        static=bearing.static,
        mean_diameter=bearing.mean_diameter,
        speed=np.atleast_1d(stage.speed)[None],
        grease=GREASES[form.grease],
    )


def _bent(book: Book, parts: Layout, turning: Rotor, forces: Force, torque: float) -> tuple[float, float]:
    """Deflection at the wheel and the highest stress of the shaft, under the worst of the points."""
    worst = forces[:, int(np.argmax(forces[parts.wheel]))]
    sag = deflection(turning, worst)
    z, (front, rear) = parts.z, (parts.front, parts.rear)
    at_rear = np.sum(worst * (z - z[front])) / (z[rear] - z[front])
    net = worst.copy()
    net[rear] -= at_rear
    net[front] -= worst.sum() - at_rear
    moment = np.array([np.sum(net * np.maximum(here - z, 0)) for here in z])
    d = np.minimum(np.r_[parts.diameter, parts.diameter[-1]], np.r_[parts.diameter[0], parts.diameter])
    stress = book.note("shaft_stress", shaft_stress, moment=moment, torque=torque, diameter=d, pointwise=False)
    return float(abs(sag[parts.wheel])), float(np.max(stress))


def _vibration(
    parts: Layout,
    turning: Rotor,
    form: RotorForm,
    stiffness: Values,
    unbalance: Unbalance,
    fastest: float,
    critical: float,
) -> tuple[float, Whirling]:
    """R.m.s. velocity of the worse housing by the permissible unbalance, all of it at the wheel; and the charts' curves."""
    end = min(max(CAMPBELL_TO, 1.15 * critical / fastest), CAMPBELL_MOST)
    paces = np.linspace(1e-3, end, CAMPBELL_SPEEDS) * fastest
    backward, forward = whirl(turning, paces)
    fine = np.linspace(0.05, end, RESPONSE_SPEEDS) * fastest
    swing = unbalance_response(turning, speed=np.r_[fine, fastest], unbalance=unbalance, node=parts.wheel, loss=LOSS)
    housing = swing[[parts.front, parts.rear], -1] * stiffness / form.support_stiffness
    shaking = float(np.max(rms_velocity(radius=housing, speed=fastest)))
    return shaking, Whirling(paces, backward, forward, fine, swing[parts.wheel, :-1])
