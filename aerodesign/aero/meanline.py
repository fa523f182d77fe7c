"""The meanline: from the inlet flange to the discharge flange along one mean streamline, with the losses by name.

Every pass is a fixed number of ufunc calls, so one operating point or a million go through the same lines.
"""

from typing import Any

import numpy as np

from aerodesign.aero.choke import exit_choke, inducer_choke, passage_choke
from aerodesign.aero.impeller import Blower, Impeller
from aerodesign.aero.models import Models
from aerodesign.aero.stage import PARASITIC, WITHIN_IMPELLER, Stage
from aerodesign.aero.triangles import Triangle, exit_triangle
from aerodesign.core.correlation import supply
from aerodesign.core.quantities import MassFlow, Pressure, Speed, Temperature, Values
from aerodesign.correlations import friction, vaneless
from aerodesign.correlations.loading import blade_loading, diffusion_factor
from aerodesign.gas.perfect import Gas, power, subsonic_mach, viscosity

PASSES = 10
"""Passes over the exit, extrapolated after the third and the sixth: the pressure rise is then within 0.1 Pa of its limit over a whole map."""

SOLVED = 1e-5
"""Largest last step of log density plus blockage in a stage that counts as solved: less than 1 Pa in the pressure rise."""

DEFAULT = Models()


def solve(
    blower: Blower,
    *,
    gas: Gas,
    pt0: Pressure,
    Tt0: Temperature,
    mass_flow: MassFlow,
    speed: Speed,
    models: Models = DEFAULT,
) -> Stage:
    """Solve the stage for given inlet total state, mass flow and speed; all arguments broadcast.

    Returns a :class:`Stage` with ``solved`` per operating point. Nothing is raised for a bad answer: a choked or reversed
    flow comes back with ``solved = False``.
    """
    with np.errstate(all="ignore"):
        known = known_quantities(blower, gas=gas, pt0=pt0, Tt0=Tt0, mass_flow=mass_flow, speed=speed, models=models)
        return _stage(blower, gas, known)


def known_quantities(
    blower: Blower,
    *,
    gas: Gas,
    pt0: Pressure,
    Tt0: Temperature,
    mass_flow: MassFlow,
    speed: Speed,
    models: Models = DEFAULT,
) -> dict[str, Any]:
    """Everything that is known once a stage is solved, under its name in the vocabulary: what correlations may ask for."""
    # Impossible geometries (an eye wider than the wheel) are among a search's candidates: they come back unsolved.
    with np.errstate(all="ignore"):
        known = _inlet(blower, gas, pt0, Tt0, mass_flow, speed, models)
        known = _impeller(known, gas, models)
        known = _diffuser(known, gas, models)
        known = _volute(known, gas, models)
        return known | _groups(known)


def _groups(known: dict[str, Any]) -> dict[str, Any]:
    """Dimensionless groups that the ranges of correlations are stated in."""
    return dict(
        disc_reynolds=known["rho2"] * known["speed"] * known["r2"] ** 2 / known["mu2"],
        diffuser_reynolds=known["rho2"] * known["c2"] * known["b3"] / known["mu2"],
        bend=np.pi / 4 * (known["inlet_height"] + known["b2"]) / known["meridional_length"],
        diffuser_width=known["b3"] / known["r3"],
        seal_ratio=known["seal_gap"] / known["r1s"],
    )


def _inlet(
    blower: Blower, gas: Gas, pt0: Pressure, Tt0: Temperature, mass_flow: MassFlow, speed: Speed, models: Models
) -> dict[str, Any]:
    """Inlet flange to leading edge: density, velocity triangles at hub, mean and shroud, incidence loss."""
    wheel = blower.impeller
    known = _geometry(wheel)
    known |= dict(pt0=pt0, Tt0=Tt0, mass_flow=mass_flow, speed=speed, gas=gas)
    known |= dict(r3=blower.diffuser.r3, b3=blower.diffuser.b3, r4=blower.volute.r4, A4=blower.volute.A4)
    known |= dict(A5=blower.volute.A5, cone_angle=blower.volute.cone_angle)

    # The bell's loss is small, so the eye's velocity may come from pt0; the triangles then use the lowered pressure.
    capacity = mass_flow / wheel.inlet_area * np.sqrt(gas.R * Tt0 / gas.gamma)
    mach = subsonic_mach(flow_function=capacity / pt0, gamma=gas.gamma)
    cm1 = mach * np.sqrt(gas.gamma * gas.R * Tt0 / (1 + (gas.gamma - 1) / 2 * mach**2))
    bell = models.adjusted("inlet", supply(models.inlet, known | {"cm1": cm1}))
    pt1 = pt0 * np.exp(-bell / (gas.R * Tt0))

    mach = subsonic_mach(flow_function=capacity / pt1, gamma=gas.gamma)
    T1 = Tt0 / (1 + (gas.gamma - 1) / 2 * mach**2)
    p1 = pt1 * power(T1 / Tt0, 1 / gas.kappa)
    rho1 = p1 / (gas.R * T1)
    a1 = np.sqrt(gas.gamma * gas.R * T1)
    cm1 = mach * a1

    spans = [Triangle(u=speed * r, cm=cm1, cu=0 * cm1) for r in (wheel.r1h, wheel.r1, wheel.r1s)]
    hub, mean, shroud = spans
    loss = 0.0
    blades = (wheel.beta1h_blade, wheel.beta1_blade, wheel.beta1s_blade)
    radii = (wheel.r1h, wheel.r1, wheel.r1s)
    thicknesses = (wheel.thickness_hub, wheel.thickness, wheel.thickness_shroud)
    for weight, span, blade, r, t in zip((1 / 6, 4 / 6, 1 / 6), spans, blades, radii, thicknesses, strict=True):
        metal = wheel.blades * t / (2 * np.pi * r * np.cos(blade))
        here = dict(
            w1=span.w,
            beta1=span.beta,
            beta1_blade=blade,
            inlet_blockage=np.minimum(metal, 0.6),
            incidence=span.beta - blade,
        )
        loss = loss + weight * supply(models.incidence, known | here)

    known |= dict(
        pt1=pt1,
        p1=p1,
        T1=T1,
        rho1=rho1,
        mu1=viscosity(gas=gas, T=T1),
        cm1=cm1,
        a1=a1,
        hub=hub,
        mean=mean,
        shroud=shroud,
        w1h=hub.w,
        w1=mean.w,
        w1s=shroud.w,
        beta1=mean.beta,
        incidence=mean.beta - wheel.beta1_blade,
        incidence_shroud=shroud.beta - wheel.beta1s_blade,
    )
    known["loss_incidence"] = models.adjusted("incidence", loss)
    return known


def _geometry(wheel: Impeller) -> dict[str, Any]:
    """The impeller's dimensions under their names in the vocabulary, with what follows from them alone."""
    known = dict(wheel.items())
    known |= dict(
        r1=wheel.r1,
        beta1_blade=wheel.beta1_blade,
        inlet_area=wheel.inlet_area,
        inlet_height=wheel.inlet_height,
        blades_effective=wheel.blades_effective,
        blades_exit=wheel.blades_exit,
        radius_ratio=wheel.r1s / wheel.r2,
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


def _impeller(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """Leading edge to exit: velocities and losses depend on density and blockage there, and these on them.

    Plain substitution shrinks the error twentyfold a pass near the design point but only twofold at a quarter of its flow,
    where blockage rules; Aitken's extrapolation mends that.
    """
    known = known | {"u2": known["speed"] * known["r2"]}
    known["slip"] = models.adjusted("slip", supply(models.slip, known))
    known["rho2"], known["mu2"], known["exit_blockage"] = known["rho1"], known["mu1"], known["metal_blockage"] + 0.05

    guesses = []
    for number in range(1, PASSES + 1):
        known = _exit(known, gas, models)
        guesses.append((known["log_rho2"], known["exit_blockage_next"]))
        if number in (3, 6):
            guesses = [tuple(_aitken(*sequence) for sequence in zip(*guesses[-3:], strict=True))]
        change = np.abs(known["log_rho2"] - np.log(known["rho2"])) + np.abs(
            known["exit_blockage_next"] - known["exit_blockage"]
        )
        known |= dict(
            rho2=known["rho1"] * np.exp(np.clip(guesses[-1][0] - np.log(known["rho1"]), -1, 2)),
            exit_blockage=np.clip(guesses[-1][1], 0, 0.7),
        )
    found = known
    found["blade_loading"] = supply(blade_loading, found)
    found["critical_angle"] = supply(models.stall, found)
    found["solved"] = (change < SOLVED) & found["forward"]
    return found


def _aitken(x0: Values, x1: Values, x2: Values) -> Values:
    """Where three terms of a geometrically converging sequence lead (Aitken), for ratios up to a half.

    A larger ratio is more often a second mode than slow convergence, and would be thrown far.
    """
    step = x1 - x0
    ratio = np.clip((x2 - x1) / np.where(np.abs(step) > 1e-9, step, 1), -0.5, 0.5)
    return x2 + (x2 - x1) * ratio / (1 - ratio)


def _exit(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """One pass over the exit: triangles, work and losses for the density and blockage of the pass before."""
    known = dict(known)
    u2, r2 = known["u2"], known["r2"]
    clear = known["mass_flow"] / (known["rho2"] * known["exit_area"])
    blockage = known["exit_blockage"]
    blocked = clear / (1 - blockage)
    inside = exit_triangle(u2=u2, cm2=blocked, beta2_blade=known["beta2_blade"], slip=known["slip"])
    behind = Triangle(u=u2, cm=clear, cu=inside.cu)
    known |= dict(
        cm2=clear,
        cm2_blocked=blocked,
        cu2=inside.cu,
        c2=behind.c,
        w2=inside.w,
        alpha2=behind.alpha,
        beta2=behind.beta,
        exit=behind,
        work=u2 * inside.cu,
    )
    known["diffusion_factor"] = supply(diffusion_factor, known)

    for phenomenon in (*WITHIN_IMPELLER, *PARASITIC):
        known["p2"] = known.get("p2", known["p1"])
        known[f"loss_{phenomenon}"] = models.adjusted(phenomenon, supply(getattr(models, phenomenon), known))
    internal = known["loss_incidence"] + sum(known[f"loss_{name}"] for name in WITHIN_IMPELLER)
    parasitic = sum(known[f"loss_{name}"] for name in PARASITIC)

    Tt2 = known["Tt0"] + (known["work"] + parasitic) / gas.cp
    ideal = 1 + (known["work"] - internal) / (gas.cp * known["Tt0"])
    pt2 = known["pt1"] * power(np.maximum(ideal, 0.5), 1 / gas.kappa)
    T2 = np.maximum(Tt2 - behind.c**2 / (2 * gas.cp), 0.3 * Tt2)
    p2 = pt2 * power(T2 / Tt2, 1 / gas.kappa)
    log_rho2 = np.log(p2 / (gas.R * T2))
    known |= dict(pt2=pt2, Tt2=Tt2, T2=T2, p2=p2, mu2=viscosity(gas=gas, T=T2), log_rho2=log_rho2)
    known["forward"] = (ideal > 0.5) & (inside.cu > 0) & (T2 > 0.5 * Tt2)

    known["friction_loss_ratio"] = known["loss_friction"] / (known["w1"] ** 2 / 2)
    aerodynamic = models.adjusted("blockage", supply(models.blockage, known))
    known["exit_blockage_next"] = known["metal_blockage"] + (1 - known["metal_blockage"]) * aerodynamic
    return known


def _diffuser(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """Impeller exit to volute."""
    known = dict(known)
    factor = models.adjusted("vaneless", supply(models.vaneless, known))
    end = vaneless.march(
        gas=gas,
        r2=known["r2"],
        r3=known["r3"],
        b3=known["b3"],
        mass_flow=known["mass_flow"],
        cu2=known["cu2"],
        pt2=known["pt2"],
        Tt2=known["Tt2"],
        rho2=known["rho2"],
        friction_factor=factor,
    )
    p3 = end.rho * gas.R * end.T
    return known | dict(
        cm3=end.cm, cu3=end.cu, pt3=end.pt, T3=end.T, rho3=end.rho, p3=p3, diffuser_friction_factor=factor
    )


def _volute(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """Volute inlet to discharge flange."""
    known = dict(known)
    Tt, A4 = known["Tt2"], known["A4"]

    c4, _ = _duct(known["mass_flow"] / A4, known["pt3"], Tt, gas)
    known |= dict(c4=c4, volute_mismatch=known["r3"] * known["cu3"] / (known["r4"] * c4))
    diameter = np.sqrt(4 * A4 / np.pi)
    pipe = friction.haaland(
        reynolds=known["rho3"] * c4 * diameter / known["mu2"], relative_roughness=2 * known["roughness"] / diameter
    )
    known |= dict(volute_friction_factor=pipe, cone_friction_factor=pipe)
    pt4, pressures = known["pt3"], [("diffuser", known["pt3"])]
    for phenomenon in ("volute_dump", "volute_mismatch", "volute_friction"):
        known[f"loss_{phenomenon}"] = models.adjusted(phenomenon, supply(getattr(models, phenomenon), known))
        pt4 = pt4 * np.exp(-known[f"loss_{phenomenon}"] / (gas.R * known["T3"]))
        pressures.append((phenomenon, pt4))

    coefficient = models.adjusted("cone", supply(models.cone, known))
    known["loss_cone"] = coefficient * c4**2 / 2
    pt5 = pt4 * np.exp(-known["loss_cone"] / (gas.R * known["T3"]))
    c5, T5 = _duct(known["mass_flow"] / known["A5"], pt5, Tt, gas)
    p5 = pt5 * power(T5 / Tt, 1 / gas.kappa)
    pressures.append(("cone", pt5))
    return known | dict(pt4=pt4, pt5=pt5, p5=p5, c5=c5, T5=T5, pressures=pressures)


def _duct(mass_flux: Values, pt: Pressure, Tt: Temperature, gas: Gas) -> tuple[Values, Values]:
    """Velocity and temperature of a flow through a duct, by five passes on the density; held at Mach 1 beyond choke."""
    at_rest = pt / (gas.R * Tt)
    sonic = 2 / (gas.gamma + 1)
    rho = at_rest
    for _ in range(5):
        T = np.maximum(Tt - (mass_flux / rho) ** 2 / (2 * gas.cp), sonic * Tt)
        rho = at_rest * power(T / Tt, 1 / gas.kappa - 1)
    return np.sqrt(2 * gas.cp * np.maximum(Tt - T, 0)), T


def _stage(blower: Blower, gas: Gas, known: dict[str, Any]) -> Stage:
    """Book the losses, find the chokes, and gather everything in the record.

    Losses downstream of the impeller, and the inlet's, are booked as the isentropic work that their fall of total pressure
    takes away, so that the book closes to rounding.
    """
    wheel = blower.impeller
    heads = {}
    ideal = gas.cp * known["Tt0"]
    after = ideal * power(known["pt2"] / known["pt1"], gas.kappa)
    for name, pressure in (("inlet", known["pt2"]), *known["pressures"]):
        before, after = after, ideal * power(pressure / known["pt0"], gas.kappa)
        heads[name] = before - after
    losses = {"inlet": heads.pop("inlet")}
    losses |= {name: known[f"loss_{name}"] for name in ("incidence", *WITHIN_IMPELLER)}
    losses |= heads
    losses |= {name: known[f"loss_{name}"] for name in PARASITIC}
    parasitic = sum(losses[name] for name in PARASITIC)

    Tt0, pt1 = known["Tt0"], known["pt1"]
    chokes = dict(
        choke_inducer=inducer_choke(gas=gas, wheel=wheel, pt1=pt1, Tt1=Tt0, speed=known["speed"]),
        choke_exit=exit_choke(
            gas=gas, wheel=wheel, pt1=pt1, Tt1=Tt0, speed=known["speed"], exit_blockage=known["exit_blockage"]
        ),
        choke_volute=passage_choke(gas=gas, area=known["A4"], pt=known["pt3"], Tt=known["Tt2"]),
    )
    least = np.minimum(np.minimum(chokes["choke_inducer"], chokes["choke_exit"]), chokes["choke_volute"])
    derived = dict(
        blower=blower,
        gas=gas,
        losses=losses,
        euler_work=known["work"],
        work=known["work"] + parasitic,
        mach1s=known["w1s"] / known["a1"],
        solved=(known["solved"] & (known["mass_flow"] < least) & np.isfinite(known["p5"]))[()],
        **chokes,
    )
    return Stage(
        **{name: known[name] for name in Stage.__dataclass_fields__ if name in known and name not in derived}, **derived
    )
