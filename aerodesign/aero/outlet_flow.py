"""Impeller exit to discharge flange: the part of the meanline behind the blades."""

from typing import Any

import numpy as np

from aerodesign.aero.models import Models
from aerodesign.core.correlation import supply
from aerodesign.core.quantities import Density, Pressure, Temperature, Values
from aerodesign.correlations import friction, vaneless
from aerodesign.gas.perfect import Gas, power


def diffuser_flow(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
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
        cm3=end.cm,
        cu3=end.cu,
        pt3=end.pt,
        T3=end.T,
        rho3=end.rho,
        p3=p3,
        diffuser_friction_factor=factor,
    )


def volute_flow(known: dict[str, Any], gas: Gas, models: Models) -> dict[str, Any]:
    """Volute inlet to discharge flange."""
    known = dict(known)
    Tt, A4 = known["Tt2"], known["A4"]

    c4, _, rho4 = _duct(known["mass_flow"] / A4, known["pt3"], Tt, gas, known["rho3"])
    known |= dict(c4=c4, volute_mismatch=known["r3"] * known["cu3"] / (known["r4"] * c4))
    diameter = np.sqrt(4 * A4 / np.pi)
    pipe = friction.haaland(
        reynolds=known["rho3"] * c4 * diameter / known["mu2"], relative_roughness=2 * known["roughness"] / diameter
    )
    known |= dict(volute_friction_factor=pipe, cone_friction_factor=pipe)
    # Entropy grows by the loss over the temperature; the logarithms of the total pressures are what the loss book asks for.
    log_pt = np.log(known["pt3"])
    log_pressures = [("diffuser", log_pt)]
    per_loss = 1 / (gas.R * known["T3"])
    for phenomenon in ("volute_dump", "volute_mismatch", "volute_friction"):
        known[f"loss_{phenomenon}"] = models.adjusted(phenomenon, supply(getattr(models, phenomenon), known))
        log_pt = log_pt - known[f"loss_{phenomenon}"] * per_loss
        log_pressures.append((phenomenon, log_pt))
    pt4 = np.exp(log_pt)

    coefficient = models.adjusted("cone", supply(models.cone, known))
    known["loss_cone"] = coefficient * c4**2 / 2
    log_pt = log_pt - known["loss_cone"] * per_loss
    log_pressures.append(("cone", log_pt))
    pt5 = np.exp(log_pt)
    c5, T5, _ = _duct(known["mass_flow"] / known["A5"], pt5, Tt, gas, rho4)
    p5 = pt5 * power(T5 / Tt, 1 / gas.kappa)
    return known | dict(pt4=pt4, pt5=pt5, p5=p5, c5=c5, T5=T5, log_pressures=log_pressures)


def _duct(mass_flux: Values, pt: Pressure, Tt: Temperature, gas: Gas, guess: Density) -> tuple[Values, Values, Density]:
    """Velocity, temperature and density of a flow through a duct; held at Mach 1 beyond choke.

    Four passes on the density, each of which shrinks the guess's error by the square of the Mach number: from the density of the
    station before they reach 1e-7 at the Mach 0.2 of a volute.
    """
    at_rest = pt / (gas.R * Tt)
    sonic = 2 / (gas.gamma + 1)
    rho = guess
    for _ in range(4):
        T = np.maximum(Tt - (mass_flux / rho) ** 2 / (2 * gas.cp), sonic * Tt)
        rho = at_rest * power(T / Tt, 1 / gas.kappa - 1)
    return np.sqrt(2 * gas.cp * np.maximum(Tt - T, 0)), T, rho
