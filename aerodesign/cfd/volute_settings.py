"""Settings and conditions of the volute's flow, as text. Walls are at rest, so the solver's own energy equation holds here.

What differs from the passage's settings has its reason; the rest is the same.
"""

from collections.abc import Mapping

from aerodesign.cad.volute_skin import PATCHES
from aerodesign.cfd.foam import Values, field_text
from aerodesign.cfd.settings import SOLVER, STEPS, WRITE, dictionary
from aerodesign.cfd.volute_point import VolutePoint

WALLS = tuple(name for name in PATCHES if name not in ("inlet", "outlet"))
TURBULENCE, EDDY = 0.08, 0.1
"""Intensity behind the wheel, where wakes mix, and size of eddies over its exit's width (common practice, no source)."""
C_MU = 0.09


def volute_control(point: VolutePoint, *, iterations: int) -> str:
    """``system/controlDict``: how long, what is written, and what is watched."""
    watched = "\n    ".join(
        _average(f"{name}_{patch}", patch, operation, field)
        for patch in ("inlet", "outlet")
        for name, operation, field in (("flow", "sum", "phi"), ("total", "weightedAverage; weightField phi", "p_total"))
    )
    forces = "\n    ".join(_forces(name, (name,), point) for name in WALLS)
    return dictionary(
        "controlDict",
        f"""
application {SOLVER};
startFrom latestTime;
startTime 0;
stopAt endTime;
endTime {iterations};
deltaT 1;
writeControl timeStep;
writeInterval {WRITE};
purgeWrite 2;
writeFormat ascii;
writePrecision 9;
writeCompression off;
timeFormat general;
timePrecision 8;
runTimeModifiable true;

functions
{{
    // Total pressure, of which only averages are watched.
    total
    {{
        type pressure; libs (fieldFunctionObjects); mode isentropic; result p_total; log no;
        executeControl timeStep; executeInterval {STEPS}; writeControl none;
    }}

    // A file named stop in this folder ends the run after its next iteration, with everything written.
    stop {{ type abort; libs (utilityFunctionObjects); file "<case>/stop"; action writeNow; }}

    // Force on the wheel's exit cylinder, of pressure and of what the gas rubs there.
    {_forces("rim", ("inlet",), point, STEPS)}
    {forces}
    {watched}
    wall_distance {{ type yPlus; libs (fieldFunctionObjects); writeControl writeTime; log no; }}
}}
""",
    )


def _average(name: str, patch: str, operation: str, field: str) -> str:
    return (
        f"{name} {{ type surfaceFieldValue; libs (fieldFunctionObjects); regionType patch; name {patch}; operation {operation}; "
        f"fields ({field}); writeFields no; writeControl timeStep; writeInterval {STEPS}; log no; }}"
    )


def _forces(name: str, patches: tuple[str, ...], point: VolutePoint, every: int = 0) -> str:
    times = (
        f"timeStep; writeInterval {every}; executeControl timeStep; executeInterval {every}"
        if every
        else "writeTime; executeControl writeTime"
    )
    return (
        f"force_{name} {{ type forces; libs (forces); patches ({' '.join(patches)}); rho rho; rhoInf {point.rho2:.6g}; "
        f"CofR (0 0 0); writeControl {times}; log no; }}"
    )


def volute_schemes() -> str:
    """``system/fvSchemes``: as for the passage, but what the mesher cut and snapped has a few bent cells that ask for a limit."""
    return dictionary(
        "fvSchemes",
        """
ddtSchemes { default steadyState; }
gradSchemes
{
    default Gauss linear;
    grad(U) cellLimited Gauss linear 1;
    grad(k) cellLimited Gauss linear 1;
    grad(omega) cellLimited Gauss linear 1;
}
divSchemes
{
    default none;
    div(phi,U) bounded Gauss linearUpwind grad(U);
    div(phi,h) bounded Gauss upwind;
    div(phi,K) bounded Gauss upwind;
    div(phi,k) bounded Gauss upwind;
    div(phi,omega) bounded Gauss upwind;
    div(((rho*nuEff)*dev2(T(grad(U))))) Gauss linear;
    div(phid,p) Gauss upwind;
}
laplacianSchemes { default Gauss linear limited corrected 0.5; }
interpolationSchemes { default linear; }
snGradSchemes { default limited corrected 0.5; }
wallDist { method meshWave; }
""",
    )


def volute_solution(point: VolutePoint) -> str:
    """``system/fvSolution``: linear solvers and relaxation. Density is relaxed strongly, as for the passage."""
    rho = point.p5 / (point.R * point.Tt)
    return dictionary(
        "fvSolution",
        f"""
solvers
{{
    p {{ solver GAMG; smoother DICGaussSeidel; tolerance 1e-9; relTol 0.02; nPreSweeps 1; nPostSweeps 2; nCellsInCoarsestLevel 50; maxIter 50; }}
    "(U|h|k|omega)" {{ solver smoothSolver; smoother symGaussSeidel; tolerance 1e-10; relTol 0.1; nSweeps 2; minIter 1; maxIter 10; }}
}}
SIMPLE
{{
    nNonOrthogonalCorrectors 0;
    consistent no;
    transonic no;
    rhoMin {0.6 * rho:.5g};
    rhoMax {1.6 * rho:.5g};
    pMinFactor 0.5;
    pMaxFactor 1.6;
    residualControl {{ p 1e-7; U 1e-7; "(k|omega)" 1e-7; }}    // not reached as a rule: losses, force and flow balance end a run
}}
relaxationFactors
{{
    fields {{ p 0.3; rho 0.1; }}
    equations {{ U 0.7; h 0.9; "(k|omega)" 0.7; }}
}}
""",
    )


def volute_fields(point: VolutePoint, start: Mapping[str, Values] | None = None) -> dict[str, str]:
    """All files of the folder ``0``: gas at rest in every cell, for the mesh is not there yet, or what a neighbour ended with."""
    k, omega = _turbulence(TURBULENCE * (point.cu2**2 + point.cm2**2) ** 0.5, EDDY * point.b2)
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


def _turbulence(velocity: float, length: float) -> tuple[float, float]:
    k = 1.5 * velocity**2
    return k, k**0.5 / (C_MU**0.25 * length)
