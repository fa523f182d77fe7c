"""The meanline: from the inlet flange to the discharge flange along one mean streamline, with the losses by name.

Every pass is a fixed number of ufunc calls, so one operating point or a million go through the same lines.
"""

from typing import Any

import numpy as np

from aerodesign.aero.choke import chokes
from aerodesign.aero.impeller import Blower
from aerodesign.aero.inlet_flow import inlet_flow
from aerodesign.aero.models import Models
from aerodesign.aero.outlet_flow import diffuser_flow, volute_flow
from aerodesign.aero.stage import PARASITIC, WITHIN_IMPELLER, Stage
from aerodesign.aero.triangles import Triangle, exit_triangle
from aerodesign.core.correlation import asks, supply
from aerodesign.core.quantities import Angle, MassFlow, Pressure, Speed, Temperature, Values
from aerodesign.correlations.loading import blade_loading, diffusion_factor
from aerodesign.gas.perfect import Gas, power

PASSES = 10
"""Passes over the exit, extrapolated after the third and the sixth: the pressure rise is then within 0.1 Pa of its limit over a whole map."""

EXTRAPOLATED = (3, 6)
"""Passes after which the sequence is extrapolated."""

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
    alpha1: Angle = 0.0,
    models: Models = DEFAULT,
) -> Stage:
    """Solve the stage for given inlet total state, mass flow, speed and pre-swirl angle; all arguments broadcast.

    Returns a :class:`Stage` with ``solved`` per operating point. Nothing is raised for a bad answer: a choked or reversed
    flow comes back with ``solved = False``.
    """
    with np.errstate(all="ignore"):
        known = known_quantities(
            blower, gas=gas, pt0=pt0, Tt0=Tt0, mass_flow=mass_flow, speed=speed, alpha1=alpha1, models=models
        )
        return _stage(blower, gas, known)


def known_quantities(
    blower: Blower,
    *,
    gas: Gas,
    pt0: Pressure,
    Tt0: Temperature,
    mass_flow: MassFlow,
    speed: Speed,
    alpha1: Angle = 0.0,
    models: Models = DEFAULT,
) -> dict[str, Any]:
    """Everything that is known once a stage is solved, under its name in the vocabulary: what correlations may ask for."""
    # Impossible geometries (an eye wider than the wheel) are among a search's candidates: they come back unsolved.
    with np.errstate(all="ignore"):
        known = inlet_flow(
            blower, dict(gas=gas, pt0=pt0, Tt0=Tt0, mass_flow=mass_flow, speed=speed, alpha1=alpha1), models
        )
        known = _impeller(known, gas, models)
        known = diffuser_flow(known, gas, models)
        known = volute_flow(known, gas, models)
        return known | _groups(known)


def _groups(known: dict[str, Any]) -> dict[str, Any]:
    """Dimensionless groups that the ranges of correlations are stated in."""
    return dict(
        disc_reynolds=known["rho2"] * known["speed"] * known["r2"] ** 2 / known["mu2"],
        diffuser_reynolds=known["rho2"] * known["c2"] * known["b3"] / known["mu2"],
        bend=np.pi / 4 * (known["inlet_height"] + known["b2"]) / known["meridional_length"],
        diffuser_width=known["b3"] / known["r3"],
        seal_ratio=known["seal_gap"] / known["r1s"],
        flow_coefficient=known["mass_flow"]
        * known["gas"].R
        * known["Tt0"]
        / known["pt0"]
        / (4 * known["u2"] * known["r2"] ** 2),
    )


def _impeller(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """Leading edge to exit: velocities and losses depend on density and blockage there, and these on them.

    Plain substitution shrinks the error twentyfold a pass near the design point but only twofold at a quarter of its flow,
    where blockage rules; Aitken's extrapolation mends that.
    """
    known = known | {"u2": known["speed"] * known["r2"]}
    # The density travels as its logarithm over the inlet's: what passes and extrapolation are linear in.
    reference = np.log(known["rho1"])
    known["log_pt1"] = np.log(known["pt1"])
    if not asks(models.slip, "exit_flow_coefficient"):
        known["slip"] = models.adjusted("slip", supply(models.slip, known))
    known["friction_ratio"] = models.adjusted("rotation", supply(models.rotation, known))
    rise, blockage = 0.0, known["metal_blockage"] + 0.05
    known |= {"mu2": known["mu1"]}

    guesses = []
    for number in range(1, PASSES + 1):
        known = _exit(known | {"rho2": known["rho1"] * np.exp(rise), "exit_blockage": blockage}, gas, models)
        found_rise = known["log_rho2"] - reference
        guesses.append((found_rise, known["exit_blockage_next"]))
        change = np.abs(found_rise - rise) + np.abs(known["exit_blockage_next"] - blockage)
        if number in EXTRAPOLATED:
            guesses = [tuple(_aitken(*sequence) for sequence in zip(*guesses[-3:], strict=True))]
        rise, blockage = np.clip(guesses[-1][0], -1, 2), np.clip(guesses[-1][1], 0, 0.7)
    known |= dict(
        rho2=known["rho1"] * np.exp(rise),
        exit_blockage=blockage,
        beta2=known["exit"].beta,
        pt2=known["pt1"] * power(known.pop("pressure_work"), 1 / gas.kappa),
    )
    known["p2"] = known["pt2"] * power(known["T2"] / known["Tt2"], 1 / gas.kappa)
    del known["log_pt1"]
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
    u2 = known["u2"]
    clear = known["mass_flow"] / (known["rho2"] * known["exit_area"])
    blockage = known["exit_blockage"]
    blocked = clear / (1 - blockage)
    known["exit_flow_coefficient"] = blocked / u2
    if asks(models.slip, "exit_flow_coefficient"):
        known["slip"] = models.adjusted("slip", supply(models.slip, known))
    inside = exit_triangle(u2=u2, cm2=blocked, beta2_blade=known["beta2_blade"], slip=known["slip"])
    behind = Triangle(u=u2, cm=clear, cu=inside.cu)
    known |= dict(
        cm2=clear,
        cm2_blocked=blocked,
        cu2=inside.cu,
        c2=behind.c,
        w2=inside.w,
        alpha2=behind.alpha,
        exit=behind,
        work=u2 * inside.cu - known["mean"].u * known["cu1"],
    )
    known["diffusion_factor"] = supply(diffusion_factor, known)

    known["p2"] = known["rho2"] * gas.R * known.get("T2", known["T1"])
    for phenomenon in (*WITHIN_IMPELLER, *PARASITIC):
        known[f"loss_{phenomenon}"] = models.adjusted(phenomenon, supply(getattr(models, phenomenon), known))
    # Blockage was correlated with the friction of pipes at rest; rotation adds to the loss.
    known["friction_loss_ratio"] = known["loss_friction"] / (known["w1"] ** 2 / 2)
    known["loss_friction"] = known["loss_friction"] * known["friction_ratio"]
    internal = known["loss_incidence"] + sum(known[f"loss_{name}"] for name in WITHIN_IMPELLER)
    parasitic = sum(known[f"loss_{name}"] for name in PARASITIC)

    Tt2 = known["Tt0"] + (known["work"] + parasitic) / gas.cp
    ideal = 1 + (known["work"] - internal) / (gas.cp * known["Tt0"])
    T2 = np.maximum(Tt2 - behind.c**2 / (2 * gas.cp), 0.3 * Tt2)
    pressure_work = np.maximum(ideal, 0.5)
    log_p2 = known["log_pt1"] + np.log(pressure_work * T2 / Tt2) / gas.kappa
    log_T2 = np.log(T2)
    mu2 = gas.mu_ref * np.exp(gas.mu_exponent * (log_T2 - np.log(gas.T_ref)))
    known |= dict(Tt2=Tt2, T2=T2, mu2=mu2, pressure_work=pressure_work, log_rho2=log_p2 - log_T2 - np.log(gas.R))
    known["forward"] = (ideal > 0.5) & (inside.cu > 0) & (T2 > 0.5 * Tt2)

    aerodynamic = models.adjusted("blockage", supply(models.blockage, known))
    known["exit_blockage_next"] = known["metal_blockage"] + (1 - known["metal_blockage"]) * aerodynamic
    return known


def _stage(blower: Blower, gas: Gas, known: dict[str, Any]) -> Stage:
    """Book the losses, find the chokes, and gather everything in the record.

    Losses downstream of the impeller, and the inlet's, are booked as the isentropic work that their fall of total pressure
    takes away, so that the book closes to rounding.
    """
    heads = {}
    ideal, log_pt0 = gas.cp * known["Tt0"], np.log(known["pt0"])
    after = ideal * np.exp(gas.kappa * np.log(known["pt2"] / known["pt1"]))
    for name, log_pt in (("inlet", np.log(known["pt2"])), *known["log_pressures"]):
        before, after = after, ideal * np.exp(gas.kappa * (log_pt - log_pt0))
        heads[name] = before - after
    losses = {"inlet": heads.pop("inlet")}
    losses |= {name: known[f"loss_{name}"] for name in ("incidence", *WITHIN_IMPELLER)}
    losses |= heads
    losses |= {name: known[f"loss_{name}"] for name in PARASITIC}
    parasitic = sum(losses[name] for name in PARASITIC)

    passages = chokes(gas=gas, blower=blower, known=known)
    least = np.minimum.reduce(np.broadcast_arrays(*passages.values()))
    derived = dict(
        blower=blower,
        gas=gas,
        losses=losses,
        euler_work=known["work"],
        work=known["work"] + parasitic,
        mach1s=known["w1s"] / known["a1"],
        solved=(known["solved"] & (known["mass_flow"] < least) & np.isfinite(known["p5"]))[()],
        **passages,
    )
    return Stage(
        **{name: known[name] for name in Stage.__dataclass_fields__ if name in known and name not in derived}, **derived
    )
