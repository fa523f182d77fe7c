"""Inlet flange to leading edge: the part of the meanline before the blades."""

from typing import Any

import numpy as np

from aerodesign.aero.impeller import Blower, Impeller
from aerodesign.aero.models import Models
from aerodesign.aero.triangles import Triangle
from aerodesign.core.correlation import supply
from aerodesign.correlations import friction
from aerodesign.gas.perfect import power, subsonic_mach, viscosity


def inlet_flow(blower: Blower, given: dict[str, Any], models: Models) -> dict[str, Any]:
    """Inlet flange to leading edge: density, velocity triangles at hub, mean and shroud, incidence loss.

    Pre-swirl has the same angle from hub to shroud.
    """
    wheel = blower.impeller
    gas, pt0, Tt0, mass_flow, speed, alpha1 = (
        given[name] for name in ("gas", "pt0", "Tt0", "mass_flow", "speed", "alpha1")
    )
    known = geometry(wheel) | given
    known |= dict(r3=blower.diffuser.r3, b3=blower.diffuser.b3, r4=blower.volute.r4, A4=blower.volute.A4)
    known |= dict(A5=blower.volute.A5, cone_angle=blower.volute.cone_angle)

    # The bell's loss is small, so the eye's velocity may come from pt0; the triangles then use the lowered pressure.
    capacity = mass_flow / (wheel.inlet_area * np.cos(alpha1)) * np.sqrt(gas.R * Tt0 / gas.gamma)
    mach = subsonic_mach(flow_function=capacity / pt0, gamma=gas.gamma)
    c1 = mach * np.sqrt(gas.gamma * gas.R * Tt0 / (1 + (gas.gamma - 1) / 2 * mach**2))
    here = known | {"cm1": c1 * np.cos(alpha1), "c1": c1}
    lost = models.adjusted("inlet", supply(models.inlet, here)) + models.adjusted(
        "preswirl", supply(models.preswirl, here)
    )
    pt1 = pt0 * np.exp(-lost / (gas.R * Tt0))

    mach = subsonic_mach(flow_function=capacity / pt1, gamma=gas.gamma, start=mach, passes=3)
    T1 = Tt0 / (1 + (gas.gamma - 1) / 2 * mach**2)
    p1 = pt1 * power(T1 / Tt0, 1 / gas.kappa)
    rho1 = p1 / (gas.R * T1)
    a1 = np.sqrt(gas.gamma * gas.R * T1)
    c1 = mach * a1
    cm1, cu1 = c1 * np.cos(alpha1), c1 * np.sin(alpha1)

    spans = [Triangle(u=speed * r, cm=cm1, cu=cu1) for r in (wheel.r1h, wheel.r1, wheel.r1s)]
    hub, mean, shroud = spans
    angles = [span.beta for span in spans]
    loss = 0.0
    blades = (wheel.beta1h_blade, wheel.beta1_blade, wheel.beta1s_blade)
    radii = (wheel.r1h, wheel.r1, wheel.r1s)
    thicknesses = (wheel.thickness_hub, wheel.thickness, wheel.thickness_shroud)
    for weight, span, beta, blade, r, t in zip(
        (1 / 6, 4 / 6, 1 / 6), spans, angles, blades, radii, thicknesses, strict=True
    ):
        metal = np.minimum(wheel.blades * t / (2 * np.pi * r * np.cos(blade)), 0.6)
        here = dict(
            w1=span.w,
            beta1=beta,
            beta1_blade=blade,
            inlet_blockage=metal,
            incidence=beta - blade,
            w_throat=cm1 / (np.cos(blade) * (1 - metal)),
        )
        if span is mean:
            known |= here
        loss = loss + weight * supply(models.incidence, known | here)

    known |= dict(
        pt1=pt1,
        p1=p1,
        T1=T1,
        rho1=rho1,
        mu1=viscosity(gas=gas, T=T1),
        c1=c1,
        cm1=cm1,
        cu1=cu1,
        a1=a1,
        hub=hub,
        mean=mean,
        shroud=shroud,
        w1h=hub.w,
        w1=mean.w,
        w1s=shroud.w,
        beta1=angles[1],
        incidence=angles[1] - wheel.beta1_blade,
        incidence_shroud=angles[2] - wheel.beta1s_blade,
    )
    known["loss_incidence"] = models.adjusted("incidence", loss)
    return known


def geometry(wheel: Impeller) -> dict[str, Any]:
    """The impeller's dimensions under their names in the vocabulary, with what follows from them alone."""
    known = dict(wheel.items())
    known |= dict(
        r1=wheel.r1,
        beta1_blade=wheel.beta1_blade,
        inlet_area=wheel.inlet_area,
        inlet_height=wheel.inlet_height,
        blades_effective=wheel.blades_effective,
        blades_exit=wheel.blades_exit,
        radius_ratio=wheel.r1 / wheel.r2,
        thickness=wheel.thickness,
    )
    known["meridional_length"] = supply(friction.meridional_length, known)
    known["blade_length"] = supply(friction.blade_length, known)
    known["hydraulic_diameter"] = supply(friction.hydraulic_diameter, known)
    known["tip_gap"] = np.where(wheel.covered, 0, wheel.clearance)[()]
    known["seal_gap"] = np.where(wheel.covered, wheel.clearance, 0)[()]
    known["disc_sides"] = np.where(wheel.covered, 2, 1)[()]
    known["clearance_ratio"] = wheel.clearance / wheel.b2
    known["metal_blockage"] = wheel.blades_exit * wheel.thickness / (2 * np.pi * wheel.r2 * np.cos(wheel.beta2_blade))
    known["exit_area"] = 2 * np.pi * wheel.r2 * wheel.b2
    return known
