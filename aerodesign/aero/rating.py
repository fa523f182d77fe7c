"""Rating: a given machine instead of a sized one. Dimensions that are not known are estimated, and listed."""

from collections.abc import Mapping
from dataclasses import MISSING, fields
from typing import Any

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.impeller import Blower, Diffuser, Impeller, Volute
from aerodesign.aero.models import Models
from aerodesign.aero.sections import Circle, Section
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Density, MassFlow, Speed, Values
from aerodesign.gas.perfect import Gas

NEEDED = ("r1s", "r2", "b2", "beta2_blade", "blades")
"""Dimensions of the impeller that nobody can estimate for you."""


def given_machine(
    given: Mapping[str, Mapping[str, Any]],
    *,
    section: Section,
    gas: Gas,
    density: Density,
    mass_flow: MassFlow,
    speed: Speed,
    models: Models,
) -> tuple[Blower, tuple[str, ...]]:
    """A flow path from what is known of it, in tables ``impeller``, ``diffuser``, ``volute`` and ``inlet`` of SI numbers.

    Unknown inducer angles meet the given flow; an unknown throat carries its angular momentum. Returns the flow path and the names of
    what was estimated. Raises CaseError where something that cannot be estimated is missing.
    """
    wheel_given = dict(given.get("impeller", {}))
    missing = [name for name in NEEDED if name not in wheel_given]
    if missing:
        raise CaseError(f"[impeller] lacks {', '.join(missing)}: rating needs at least {', '.join(NEEDED)}")

    wheel, estimated = _impeller(wheel_given, density=density, mass_flow=mass_flow, speed=speed)
    diffuser, more = _complete(Diffuser, given.get("diffuser", {}), {"r3": 1.5 * wheel.r2, "b3": wheel.b2})
    estimated += [f"diffuser.{name}" for name in more]

    inlet, more_inlet = dict(given.get("inlet", {})), []
    if "r0" not in inlet:
        inlet["r0"], more_inlet = (
            max(float(wheel.r1s), float(np.sqrt(mass_flow / density / (25 * np.pi)))),
            ["inlet.r0"],
        )
    estimated += more_inlet

    volute_given = dict(given.get("volute", {}))
    volute, more = _volute(
        volute_given,
        wheel,
        diffuser,
        section,
        gas=gas,
        density=density,
        mass_flow=mass_flow,
        speed=speed,
        models=models,
    )
    estimated += [f"volute.{name}" for name in more]
    return Blower(r0=inlet["r0"], impeller=wheel, diffuser=diffuser, volute=volute), tuple(estimated)


def _impeller(
    given: dict[str, Any], *, density: Density, mass_flow: MassFlow, speed: Speed
) -> tuple[Impeller, list[str]]:
    r2, r1s, b2 = (float(given[name]) for name in ("r2", "r1s", "b2"))
    b1 = float(given.get("b1") or 0.0)
    radial_inlet = b1 > 0
    r1h = float(given["r1h"] if given.get("r1h") is not None else r1s if radial_inlet else 0.35 * r1s)
    area = 2 * np.pi * r1s * b1 if radial_inlet else np.pi * (r1s**2 - r1h**2)
    cm1 = mass_flow / (density * area)
    guesses = {
        "r1h": r1h,
        "axial_length": b2 if radial_inlet else 0.3 * 2 * r2,
        "beta1h_blade": np.arctan(speed * r1h / cm1),
        "beta1s_blade": np.arctan(speed * r1s / cm1),
        "thickness_hub": 0.018 * r2,
        "thickness_shroud": 0.010 * r2,
        "clearance": 0.003 * r2,
        "fillet": np.minimum(0.012 * r2, b2 / 5),
    }
    wheel, names = _complete(Impeller, given, guesses)
    return wheel, [f"impeller.{name}" for name in names]


def _volute(
    given: dict[str, Any],
    wheel: Impeller,
    diffuser: Diffuser,
    section: Section,
    *,
    gas: Gas,
    density: Density,
    mass_flow: MassFlow,
    speed: Speed,
    models: Models,
) -> tuple[Volute, list[str]]:
    shape = dict(r3=diffuser.r3, b3=diffuser.b3)
    estimated = []
    if "size4" in given:
        size4 = given["size4"]
    elif "A4" in given:
        size4 = _size_of_area(section, given["A4"], **shape)
    else:
        K = _swirl(wheel, diffuser, gas=gas, density=density, mass_flow=mass_flow, speed=speed, models=models)
        size4 = section.size_for(angular_integral=mass_flow / (1.1 * density * K), **shape)
        estimated.append("size4")
    A4: Values = given.get("A4", section.area(size=size4, **shape))
    r5: Values = given.get("r5", np.sqrt(1.1 * A4 / np.pi))
    guesses = {
        "size4": size4,
        "A4": A4,
        "r4": section.centroid_radius(size=size4, **shape),
        "r5": r5,
        "cone_length": abs(r5 - np.sqrt(A4 / np.pi)) / np.tan(np.radians(3.5)) + 1e-6,
        "tongue_radius": 0.012 * wheel.r2,
    }
    volute, names = _complete(Volute, given | {"section": section}, guesses)
    return volute, estimated + [name for name in names if name not in ("size4", "A4", "r4")]


def _size_of_area(section: Section, area: Values, *, r3: Values, b3: Values) -> Values:
    """Size of the section with a given area, by Newton's method on logarithms."""
    size = np.sqrt(area)
    for _ in range(12):
        value = section.area(size=size, r3=r3, b3=b3)
        slope = np.log(section.area(size=size * 1.0001, r3=r3, b3=b3) / value) / np.log(1.0001)
        size = size * np.exp(np.log(area / value) / slope)
    return size


def _swirl(
    wheel: Impeller,
    diffuser: Diffuser,
    *,
    gas: Gas,
    density: Density,
    mass_flow: MassFlow,
    speed: Speed,
    models: Models,
) -> Values:
    """Angular momentum at the volute of a wheel whose volute is not known, with any volute in its place."""
    Tt0 = gas.T_ref
    anything = Volute(
        size4=wheel.r2,
        A4=wheel.r2**2,
        r4=2 * wheel.r2,
        r5=wheel.r2,
        cone_length=wheel.r2,
        tongue_radius=wheel.r2,
        section=Circle(),
    )
    stage = meanline.solve(
        Blower(r0=wheel.r1s, impeller=wheel, diffuser=diffuser, volute=anything),
        gas=gas,
        pt0=density * gas.R * Tt0,
        Tt0=Tt0,
        mass_flow=mass_flow,
        speed=speed,
        models=models,
    )
    return diffuser.r3 * stage.cu3


def _complete(kind: type, given: Mapping[str, Any], guesses: Mapping[str, Any]) -> tuple[Any, list[str]]:
    """A record from given values, else guesses, else its own defaults; and the names that were guessed."""
    guessed = [name for name in guesses if name not in given]
    known = {f.name for f in fields(kind) if f.default is not MISSING or f.name in guesses or f.name in given}
    lacking = [f.name for f in fields(kind) if f.name not in known]
    if lacking:
        raise CaseError(f"[{kind.__name__.lower()}] lacks {', '.join(lacking)}")
    return kind(**{**guesses, **given}), guessed
