"""Settings and conditions of the volute's flow, as text. Walls are at rest, so the solver's own energy equation holds here.

What differs from the passage's settings has its reason; the rest is the same.
"""

from collections.abc import Mapping

from aerodesign.cad.volute_skin import PATCHES
from aerodesign.cfd.conditions import turbulence_of
from aerodesign.cfd.foam import Values, field_text
from aerodesign.cfd.polymesh import OPEN
from aerodesign.cfd.settings import BRISK, STEPS, average, forces, schemes_with, solution_within, steps
from aerodesign.cfd.volute_point import VolutePoint

WALLS = tuple(name for name in PATCHES if name not in OPEN)
TURBULENCE, EDDY = 0.08, 0.1
"""Intensity behind the wheel, where wakes mix, and size of eddies over its exit's width (common practice, no source)."""


def volute_control(point: VolutePoint, *, iterations: int) -> str:
    """``system/controlDict``: how long, what is written, and what is watched."""
    watched = "\n    ".join(
        average(f"{name}_{patch}", patch, operation, field)
        for patch in OPEN
        for name, operation, field in (("flow", "sum", "phi"), ("total", "weightedAverage; weightField phi", "p_total"))
    )
    on_walls = "\n    ".join(forces(f"force_{name}", (name,), point.rho2) for name in WALLS)
    before = f"""
    // Total pressure, of which only averages are watched.
    total
    {{
        type pressure; libs (fieldFunctionObjects); mode isentropic; result p_total; log no;
        executeControl timeStep; executeInterval {STEPS}; writeControl none;
    }}
"""
    after = f"""
    // Force on the wheel's exit cylinder, of pressure and of what the gas rubs there.
    {forces("force_rim", ("inlet",), point.rho2, STEPS)}
    {on_walls}
    {watched}
"""
    return steps(iterations, before=before, after=after)


def volute_schemes() -> str:
    """``system/fvSchemes``: as for the passage, but what the mesher cut and snapped has a few bent cells that ask for a limit."""
    return schemes_with("limited corrected 0.5")


def volute_solution(point: VolutePoint) -> str:
    """``system/fvSolution``: linear solvers and relaxation. Density is relaxed strongly, as for the passage."""
    rho = point.p5 / (point.R * point.Tt)
    return solution_within(
        density=(0.6 * rho, 1.6 * rho),
        pressure=(0.5, 1.6),
        ended_by="losses, force and flow balance",
        relax=(*BRISK, 0.9),
    )


def volute_fields(point: VolutePoint, start: Mapping[str, Values] | None = None) -> dict[str, str]:
    """All files of the folder ``0``: gas at rest in every cell, for the mesh is not there yet, or what a neighbour ended with."""
    k, omega = turbulence_of(TURBULENCE * (point.cu2**2 + point.cm2**2) ** 0.5, EDDY * point.b2)
    gamma, level = point.gas.gamma, "type zeroGradient;"
    either = "type inletOutlet; inletValue uniform {0:.6g}; value uniform {0:.6g};"

    def on(inlet: str, outlet: str, wall: str) -> dict[str, str]:
        return {"inlet": inlet, "outlet": outlet} | dict.fromkeys(WALLS, wall)

    nothing = "type calculated; value uniform 0;"
    conditions = {
        "U": on(
            f"type swirlFlowRateInletVelocity; origin (0 0 0); axis (0 0 1); flowRate constant {point.mass_flow:.10g}; "
            f"rpm constant {point.spin:.10g}; value uniform (0 0 0);",
            "type pressureInletOutletVelocity; value uniform (0 0 0);",
            "type noSlip;",
        ),
        "p": on(level, f"type fixedValue; value uniform {point.p5:.10g};", level),
        "T": on(
            f"type totalTemperature; T0 uniform {point.Tt:.8g}; gamma {gamma:.8g}; value uniform {point.Tt:.8g};",
            either.format(point.Tt),
            level,
        ),
        "k": on(
            f"type fixedValue; value uniform {k:.6g};",
            either.format(k),
            f"type kqRWallFunction; value uniform {k:.6g};",
        ),
        "omega": on(
            f"type fixedValue; value uniform {omega:.6g};",
            either.format(omega),
            f"type omegaWallFunction; value uniform {omega:.6g};",
        ),
        "nut": on(nothing, nothing, "type nutkWallFunction; value uniform 0;"),
        "alphat": on(nothing, nothing, "type compressible::alphatWallFunction; value uniform 0;"),
    }
    begin: dict[str, Values | float] = dict(p=point.p5, T=point.Tt, k=k, omega=omega, nut=0.0, alphat=0.0, U=0.0)
    texts = {name: field_text(name, (start or begin)[name], conditions[name]) for name in begin}
    texts["U"] = texts["U"].replace("internalField uniform 0;", "internalField uniform (0 0 0);")
    return texts
