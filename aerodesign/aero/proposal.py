"""From a handful of numbers to a whole flow path: proportions that a designer would draw first."""

from dataclasses import replace

import numpy as np

from aerodesign.aero.choices import Choices
from aerodesign.aero.duty import Inlet
from aerodesign.aero.impeller import Blower, Diffuser, Impeller, Volute
from aerodesign.aero.inducer import least_mach_inducer
from aerodesign.aero.sections import Ellipse, Rectangle, Section, section_named
from aerodesign.core.quantities import Angle, Count, Density, Length, MassFlow, Ratio, Speed, Values, Velocity
from aerodesign.core.record import Record, record


@record
class Proposal(Record):
    """The free numbers of a design. ``flow_coefficient_exit`` is ``cm2 / u2``; ``inducer_scale`` enlarges the eye over that of least Mach."""

    speed: Speed
    flow_coefficient_exit: Ratio
    blades: Count
    backsweep: Angle
    diffuser_ratio: Ratio
    inducer_scale: Ratio


@record
class Guess(Record):
    """What the geometry needs to know of the flow that it will have: refined pass by pass while sizing."""

    u2: Velocity
    rho2: Density
    angular_integral: Length


def default(value: Values, otherwise: Values) -> Values:
    """The value, or another one where it is free (nan)."""
    chosen: Values = np.where(np.isnan(value), otherwise, value)
    return chosen[()]


def draw(
    proposal: Proposal, guess: Guess, *, inlet: Inlet, mass_flow: MassFlow, choices: Choices, section: Section
) -> Blower:
    """The flow path for a proposal and a guess of its flow. Broadcasts; every default is stated here and nowhere else."""
    speed = proposal.speed
    r2 = guess.u2 / speed
    splitters = proposal.blades if choices.splitters else 0 * proposal.blades

    inducer = least_mach_inducer(
        gas=inlet.gas, pt0=inlet.pt0, Tt0=inlet.Tt0, mass_flow=mass_flow, speed=speed, hub_ratio=choices.hub_ratio
    )
    r1s = inducer.r1s * proposal.inducer_scale
    r1h = choices.hub_ratio * r1s

    # Widths and thicknesses of a milled light-alloy wheel: common practice, no source.
    b2 = mass_flow / (guess.rho2 * 2 * np.pi * r2 * proposal.flow_coefficient_exit * guess.u2)
    thickness_shroud = default(choices.thickness_shroud, np.maximum(0.0008, 0.010 * r2))
    thickness_hub = default(choices.thickness_hub, np.maximum(0.0014, 0.018 * r2))
    clearance = default(choices.clearance, np.maximum(0.0003, 0.003 * r2))
    fillet = default(choices.fillet, np.minimum(np.maximum(0.001, 0.012 * r2), b2 / 5))
    bore = default(choices.bore, 0.9 * r1h)

    # Axial length after Aungier's estimate (from memory), not shorter than the shroud's bend needs.
    phi = mass_flow * inlet.gas.R * inlet.Tt0 / inlet.pt0 / (np.pi * r2**2 * guess.u2)
    estimate = 2 * r2 * (0.014 + 0.023 * r2 / r1h + 1.58 * phi)
    axial_length = default(choices.axial_length_ratio * 2 * r2, np.maximum(estimate, b2 + 0.40 * (r2 - r1s)))

    wheel = Impeller(
        r1h=r1h,
        r1s=r1s,
        r2=r2,
        b2=b2,
        axial_length=axial_length,
        beta1h_blade=0.0,
        beta1s_blade=0.0,
        beta2_blade=proposal.backsweep,
        blades=proposal.blades,
        splitters=splitters,
        thickness_hub=thickness_hub,
        thickness_shroud=thickness_shroud,
        clearance=clearance,
        covered=choices.covered,
        fillet=fillet,
        roughness=choices.roughness,
        bore=bore,
    )
    wheel = _set_inducer_angles(wheel, inlet=inlet, mass_flow=mass_flow, speed=speed, incidence=choices.incidence)

    diffuser = Diffuser(r3=proposal.diffuser_ratio * r2, b3=choices.pinch * b2)
    volute = draw_volute(
        diffuser,
        angular_integral=guess.angular_integral * choices.volute_area_factor,
        section=section,
        A5=mass_flow / (guess.rho2 * choices.discharge_velocity),
        cone_angle=choices.cone_angle,
        tongue_radius=default(choices.tongue_radius, np.maximum(0.0015, 0.012 * r2)),
        opening=choices.tongue_opening,
    )
    c0, gas = choices.inlet_velocity, inlet.gas
    rho0 = inlet.pt0 / (gas.R * inlet.Tt0) * (1 - c0**2 / (2 * gas.cp * inlet.Tt0)) ** (1 / gas.kappa - 1)
    r0 = np.sqrt(mass_flow / (rho0 * c0 * np.pi))
    return Blower(r0=r0, impeller=wheel, diffuser=diffuser, volute=volute)


def _set_inducer_angles(
    wheel: Impeller, *, inlet: Inlet, mass_flow: MassFlow, speed: Speed, incidence: Angle
) -> Impeller:
    """Blade angles that meet the flow between the blades with the chosen incidence, at hub and shroud.

    The blades narrow the way and speed the flow up, so angle and blockage depend on each other: four passes, each a tenth of the
    error before.
    """
    gas = inlet.gas
    rho = inlet.pt0 / (gas.R * inlet.Tt0)
    cm1 = mass_flow / (rho * wheel.inlet_area)
    for _ in range(3):
        cm1 = mass_flow / (rho * wheel.inlet_area * (1 - cm1**2 / (2 * gas.cp * inlet.Tt0)) ** (1 / gas.kappa - 1))

    def angle(r: Length, thickness: Length) -> Angle:
        blade = np.arctan(speed * r / cm1)
        for _ in range(4):
            blocked = np.minimum(wheel.blades * thickness / (2 * np.pi * r * np.cos(blade)), 0.6)
            blade = np.arctan(speed * r / cm1 * (1 - blocked)) - incidence
        return blade

    return wheel.but(
        beta1h_blade=angle(wheel.r1h, wheel.thickness_hub), beta1s_blade=angle(wheel.r1s, wheel.thickness_shroud)
    )


LEANING = np.pi / 6
"""Lean of a round section that is drawn wholly to one side."""


def chosen_section(choices: Choices) -> Section:
    """The volute's section. ``volute_width`` (in widths of the slot) is that of a rectangle, which has no other measure of its
    own, ``volute_aspect`` width over height of an ellipse; ``volute_side`` draws any of them to one side.
    """
    side = float(choices.volute_side)
    if choices.volute_section == Rectangle.name:
        return Rectangle(width=float(choices.volute_width), side=side)
    if choices.volute_section == Ellipse.name:
        return Ellipse(aspect=float(choices.volute_aspect), lean=side * LEANING)
    return replace(section_named(choices.volute_section), lean=side * LEANING)  # type: ignore[type-var]


def draw_volute(
    diffuser: Diffuser,
    *,
    angular_integral: Length,
    section: Section,
    A5: Values,
    cone_angle: Angle,
    tongue_radius: Length,
    opening: Ratio = 0.06,
) -> Volute:
    """The volute whose throat carries a given integral of dA / r, with an exit cone of a given full angle to the flange.

    A flange that the discharge velocity asks smaller than the throat is made as large as the throat plus a tenth.
    """
    shape = dict(r3=diffuser.r3, b3=diffuser.b3)
    size4 = section.size_for(angular_integral=angular_integral, **shape)
    A4 = section.area(size=size4, **shape)
    r5 = np.sqrt(np.maximum(A5, 1.1 * A4) / np.pi)
    length = (r5 - np.sqrt(A4 / np.pi)) / np.tan(cone_angle / 2)
    return Volute(
        size4=size4,
        A4=A4,
        r4=section.centroid_radius(size=size4, **shape),
        r5=r5,
        cone_length=length,
        tongue_radius=tongue_radius,
        opening=opening,
        section=section,
    )
