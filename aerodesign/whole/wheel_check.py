"""The wheel at speed: stress of disc, cover and blades, burst, and what is left of the clearance."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.aero.stage import Stage
from aerodesign.core.book import Book, Step
from aerodesign.core.correlation import OWN, Source
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import (
    Length,
    Pressure,
    Ratio,
    Speed,
    Stress,
    Temperature,
    TemperatureDifference,
    Values,
)
from aerodesign.form.rotor import RotorForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.blade_area import projected_area
from aerodesign.geometry.disc_profile import WheelBody
from aerodesign.machine.blade_stress import exit_bending, mean_gas_load, root_pull
from aerodesign.machine.burst import ROBINSON, burst_speed, yield_speed
from aerodesign.machine.disc import Disc, mean_hoop, rotating_disc
from aerodesign.machine.growth import blade_stretch, clearance_left, thermal_growth
from aerodesign.machine.materials import Material
from aerodesign.whole.axisymmetric import Field, Section, solve_section

BURST_MARGIN = 1.2
"""Burst speed over that of the overspeed test at least; common practice, no source."""

BLADE_RESERVE = 1.5
"""Yield strength over the blades' stress at the fastest running speed, for what excites them; common practice, no source."""

ROOT_OVER_PULL = 10.0
"""Highest stress at the blades' roots by the inlet over their pull; :data:`SECTORS` gave 2.2 to 10: they bend there."""

TIPS_FURTHER = 4.4
"""How far speed moves the exit's tips towards the inlet, over what it moves the rim's front; :data:`SECTORS` gave 1 to 4.4: the blades bend."""

SECTORS = Source("aerodesign", 2026, "sectors in finite elements of 32 sized wheels, cold; the highest ratio is taken")

FINITE_ELEMENTS = Source("aerodesign", 2026, "axisymmetric finite elements of the wheel's section")

CLEARANCE_LEFT = 0.5
"""Part of the cold clearance that must be left where nothing else is wanted; common practice, no source."""


@dataclass(frozen=True, eq=False)
class WheelCheck:
    """The wheel at its fastest running speed, and the limits.

    ``section`` is its body of revolution solved, ``field`` what that says at the fastest running speed; ``plane`` the disc that does not
    bend, to compare. ``axial_growth`` is how far the rim's front comes towards the inlet, by bending and heat, ``tips_growth`` the same of
    the exit's blade tips, for whose bending the part of speed counts :data:`TIPS_FURTHER` times.
    ``tip_speed`` is the largest at which the overspeed test would neither yield nor come near burst: what this disc of this material
    allows. ``left_eye`` and ``left_exit`` are what is left of the clearance at the inducer and at the exit, ``wanted`` what shall be.
    """

    section: Section
    field: Field
    plane: Disc
    warmth: Values
    strength: Stress
    highest: Stress
    burst: Speed
    tip_speed: Values
    pull: Stress
    bending: Stress
    rim_growth: Length
    eye_growth: Length
    axial_growth: Length
    tips_growth: Length
    wanted: Length
    left_eye: Length
    left_exit: Length
    limits: list[Limit]
    steps: Mapping[str, Step]


def wheel_temperature(*, nodes: Length, r2: Length, T_cold: Temperature, T_hot: Temperature) -> Temperature:
    """Temperature of the metal by radius: the gas's total temperature, from inlet to exit with the square of the radius."""
    return T_cold + (T_hot - T_cold) * (nodes / r2) ** 2


def check_wheel(
    *,
    impeller: Impeller,
    stage: Stage,
    hottest: Temperature,
    speed: Speed,
    wheel: WheelBody,
    blading: Blading,
    material: Material,
    form: RotorForm,
    cold: Temperature,
    sag: Length,
) -> WheelCheck:
    """Check a wheel at ``speed``, the fastest it runs; ``stage`` is the design point, ``hottest`` the gas's highest total temperature.

    ``wheel`` carries the material's density. ``cold`` is the temperature of assembly, ``sag`` the shaft's deflection at the wheel.
    """
    book = Book()
    solid: dict[str, Any] = dict(density=material.density, modulus=material.modulus, poisson=material.poisson)
    warm = book.note(
        "wheel_temperature", wheel_temperature, nodes=wheel.nodes, r2=float(impeller.r2), T_cold=float(stage.Tt0), T_hot=hottest
    )  # fmt: skip
    heat: dict[str, Any] = dict(expansion=material.expansion, warmth=warm - cold)
    back = wheel.face + wheel.thickness
    section = book.note(
        "disc_section", solve_section, nodes=wheel.nodes, front=wheel.face, back=back, hung=wheel.hung, **solid, **heat,
        source=FINITE_ELEMENTS,
    )  # fmt: skip
    field = section.at(speed)
    turning = dict(nodes=wheel.nodes, thickness=wheel.thickness, hung=wheel.hung)
    plane = rotating_disc(**turning, **solid, **heat, speed=speed)
    strength = float(material.yield_strength(hottest))
    over = speed * form.overspeed
    highest = book.note(
        "disc_highest_stress", highest_stress, section=section, speed=over, modulus=material.modulus, expansion=material.expansion,
        warmth=warm - cold, source=FINITE_ELEMENTS,
    )  # fmt: skip
    mean = float(book.note("disc_mean_hoop", mean_hoop, **turning, density=material.density, speed=speed))
    ultimate = material.ultimate_strength(hottest)
    burst = float(
        book.note("burst_speed", burst_speed, speed=speed, mean_hoop=mean, ultimate=ultimate, source=ROBINSON)
    )
    yields = float(book.note("yield_speed", yield_speed, speed=over, highest=highest, strength=strength))
    allowed = min(yields, burst / BURST_MARGIN) / form.overspeed

    pull, bending = _blades(book, impeller, stage, speed, blading, material)
    rim, eye, axial = _growths(book, impeller, section, field, speed, material, hottest - cold)
    clearance = float(impeller.clearance)
    wanted = form.running_clearance if np.isfinite(form.running_clearance) else CLEARANCE_LEFT * clearance
    by_speed = -float(section.at(speed, heat=False).displacement[-1, 0, 1])
    tips = axial + (TIPS_FURTHER - 1) * max(by_speed, 0.0)
    left_eye = book.note("clearance_left_eye", clearance_left, clearance=clearance, growth=eye, sag=sag)
    left_exit = book.note("clearance_left_exit", clearance_left, clearance=clearance, growth=tips)
    tip = "eye seal" if bool(impeller.covered) else "blade tips at the inducer"
    stronger = f"a stronger material than {material.name}, a thicker boss, or a lower tip speed"
    limits = [
        Limit(
            f"highest stress of the disc at {100 * form.overspeed:.0f} % speed",
            highest,
            high=strength,
            quantity="stress",
            advice=stronger,
            source=material.strength_source,
        ),
        Limit(
            "burst speed over the fastest running speed",
            burst / speed,
            low=BURST_MARGIN * form.overspeed,
            advice=stronger,
            source=ROBINSON,
        ),
        Limit(
            "pull at the blade root, inducer (bending and fillet left out)",
            pull,
            high=strength / BLADE_RESERVE,
            quantity="stress",
            advice="blades that taper more, or a smaller eye",
        ),
        Limit(
            f"stress at the blade roots by the inlet, taken as {ROOT_OVER_PULL:g} times the pull",
            ROOT_OVER_PULL * pull,
            high=strength / BLADE_RESERVE,
            hard=False,
            quantity="stress",
            advice="the sector of this wheel ('aerodesign simulate CASE --stress'), thicker roots, or a smaller eye",
            source=SECTORS,
        ),
        Limit(
            "bending at the blade root, exit (fillet and plate left out)",
            bending,
            high=strength / BLADE_RESERVE,
            hard=False,
            quantity="stress",
            advice="thicker blade roots (choices.thickness_hub), a narrower exit or less backsweep",
        ),
        Limit(
            f"clearance left when hot and fast, {tip}",
            left_eye,
            low=wanted,
            hard=False,
            quantity="length",
            advice="more clearance (choices.clearance), or a stiffer shaft",
        ),
    ]
    if not bool(impeller.covered):
        limits.append(
            Limit(
                f"clearance left when hot and fast, exit (what speed bends counts {TIPS_FURTHER:g} times, for the blades)",
                left_exit,
                low=wanted,
                hard=False,
                quantity="length",
                advice="the sector of this wheel ('aerodesign simulate CASE --stress'), more clearance (choices.clearance), or a thicker disc",
                source=SECTORS,
            )
        )
    else:
        limits.append(_cover_limit(wheel, over, strength, solid))
    return WheelCheck(
        section=section,
        field=field,
        plane=plane,
        warmth=warm,
        strength=strength,
        highest=highest,
        burst=burst,
        tip_speed=allowed * float(impeller.r2),
        pull=pull,
        bending=bending,
        rim_growth=rim,
        eye_growth=eye,
        axial_growth=axial,
        tips_growth=tips,
        wanted=wanted,
        left_eye=left_eye,
        left_exit=left_exit,
        limits=limits,
        steps=book.steps,
    )


def _blades(
    book: Book, impeller: Impeller, stage: Stage, speed: Speed, blading: Blading, material: Material
) -> tuple[float, float]:
    """Stress at the blades' roots: pull at the leading edge, where they stand most nearly radially and longest, and bending at the exit."""
    blade: dict[str, Any] = dict(
        thickness_root=float(impeller.thickness_hub),
        thickness_tip=float(impeller.thickness_shroud),
        speed=speed,
        density=material.density,
    )
    pull = (
        0.0
        if bool(impeller.b1 > 0)
        else float(
            book.note("blade_root_pull", root_pull, r_root=float(impeller.r1h), r_tip=float(impeller.r1s), **blade)
        )
    )
    area, radius = projected_area(blading)
    load: Pressure = book.note(
        "blade_gas_load", mean_gas_load, power=float(stage.work * stage.mass_flow), speed=float(stage.speed), area=area, radius=radius
    )  # fmt: skip
    held: Ratio = float(bool(impeller.covered))
    bending = book.note(
        "blade_exit_bending",
        exit_bending,
        r=float(impeller.r2),
        width=float(impeller.b2),
        lean=float(impeller.beta2_blade),
        gas_load=load,
        held=held,
        **blade,
    )
    return pull, float(bending)


def highest_stress(
    *, section: Section, speed: Speed, modulus: Stress, expansion: Values, warmth: TemperatureDifference
) -> Stress:
    """The highest von Mises stress of the disc's section in finite elements, or the hoop stress on the bore, which is highest at its edge.

    ``section`` is solved once for speed and once for heat, and their displacements are added; ``warmth`` is how much warmer the nodes are
    than at assembly. On the bore the hoop stress is E (u / r - expansion warmth).
    """
    field = section.at(speed)
    inside = float(field.equivalent.max())
    if section.r[0, 0] <= 0:
        return inside
    hoop = modulus * (field.displacement[0, :, 0] / section.r[0] - expansion * warmth[0])
    return max(inside, float(np.abs(hoop).max()))


def _growths(
    book: Book,
    impeller: Impeller,
    section: Section,
    field: Field,
    speed: Speed,
    material: Material,
    warmer: TemperatureDifference,
) -> tuple[float, float, float]:
    """Growth of the rim, of the eye's edge of the blades (radial), and of the rim's blade tips towards the inlet (axial)."""
    r1h, r1s = float(impeller.r1h), float(impeller.r1s)
    hub = float(np.interp(r1h, section.r[:, 0], field.displacement[:, 0, 0]))
    stretch = float(
        book.note(
            "blade_stretch", blade_stretch, r_root=r1h, r_tip=r1s, speed=speed, density=material.density, modulus=material.modulus
        )
    )  # fmt: skip
    heat: dict[str, Any] = dict(expansion=material.expansion, rise=warmer)
    eye = hub + stretch + float(book.note("blade_warm_growth_eye", thermal_growth, length=r1s - r1h, **heat))
    blade = float(book.note("blade_warm_growth_exit", thermal_growth, length=float(impeller.b2), **heat))
    return float(field.displacement[-1, :, 0].mean()), eye, blade - float(field.displacement[-1, 0, 1])


def _cover_limit(wheel: WheelBody, speed: Speed, strength: Stress, solid: dict[str, Any]) -> Limit:
    """A cover as a ring of its own, as if neither blades nor disc held it: on the safe side."""
    alone = rotating_disc(nodes=wheel.cover_nodes, thickness=np.maximum(wheel.cover, 1e-6), speed=speed, **solid)
    return Limit("highest stress of the cover alone, overspeed", float(alone.highest), high=strength, hard=False, quantity="stress",
                 advice="a semi-open wheel, or a finite-element check of the whole wheel", source=OWN)  # fmt: skip
