"""The solver's settings as text: what is solved, by which schemes, how it is relaxed. Each deviation from its habits has its reason.

They were found by trials on wheels of this kind. What was tried and failed: density unrelaxed (diverges on fine meshes), limited
Laplacians (stable, but wrong by two points of efficiency on sheared cells), upwind velocity (three points).
"""

from aerodesign.cfd.foam import header
from aerodesign.cfd.point import FlowPoint
from aerodesign.cfd.polymesh import BLADES
from aerodesign.cfd.volute_point import VolutePoint

MEAN = ("U", "p", "T", "phi")
"""Fields that are averaged."""
STEPS = 5
"""Iterations between two entries of the histories."""
WRITE = 100
"""Iterations between two states on disc, from which a killed run goes on."""

BRISK, CALM = (0.3, 0.1, 0.7), (0.2, 0.05, 0.5)
"""Relaxation of pressure, of density, and of velocity and turbulence: to begin with, and once a run has wavered for long."""
AVERAGED = 250
"""Iterations at a run's end over which its fields are averaged: those of a run that wavers are read from them."""

SOLVER = "rhoSimpleFoam"
RUNNING = "running"
"""The file of a run that holds the number of its process."""


def script(purpose: str, first: str) -> str:
    """The file ``run`` of a case: what it does (lines of comment), and what comes ahead of the solver (lines of shell)."""
    return f"""#!/bin/sh
{purpose}
# It goes on from the latest state on disc. To end it early with everything written: touch stop
cd "$(dirname "$0")" || exit 1
WM_PROJECT_DIR="${{WM_PROJECT_DIR:-/usr/share/openfoam}}"
export WM_PROJECT_DIR
command -v {SOLVER} >/dev/null || {{ echo "{SOLVER} is not installed; on Debian: apt-get install --no-install-recommends openfoam" >&2; exit 7; }}
echo $$ >{RUNNING}
rm -f stop
{first}
exec {SOLVER} >>log.solver 2>&1
"""


def dictionary(name: str, body: str, *, folder: str = "system", note: str = "") -> str:
    """A file of settings."""
    return header("dictionary", name, folder, note) + body.strip("\n") + "\n"


def control(point: FlowPoint, *, iterations: int, still: tuple[str, ...], turning: tuple[str, ...]) -> str:
    """``system/controlDict``: how long, what is written, and what is computed beside the solver.

    The solver's energy equation leaves the work of rotation out. So temperature is imposed, from constant rothalpy:
    T = Tt + (u^2 - w^2) / (2 cp), with the blade speed u and the relative velocity w of every iteration.
    """
    blades = [name for name in turning if name in BLADES]
    lowest, highest = 0.75 * point.Tt, point.Tt + (point.speed * point.r3) ** 2 / (2 * point.cp) + 30
    before = f"""
    // Temperature from constant rothalpy; the order matters. T_rest counts in K: the solver's subtraction asks for its dimensions.
    frame {{ type readFields; libs (fieldFunctionObjects); fields (U_frame T_rest T_rothalpy); readOnStart true; }}
    relative {{ type subtract; libs (fieldFunctionObjects); fields (U U_frame); result U_relative; writeControl none; }}
    square {{ type magSqr; libs (fieldFunctionObjects); field U_relative; result U_square; writeControl none; }}
    dynamic {{ type reference; libs (fieldFunctionObjects); field U_square; scale {0.5 / point.cp:.10g}; result T_dynamic; writeControl none; }}
    rothalpy {{ type subtract; libs (fieldFunctionObjects); fields (T_rest T_dynamic); result T_rothalpy; writeControl none; }}
    keep {{ type limitFields; libs (fieldFunctionObjects); fields (T_rothalpy); limit both; writeControl none; min {lowest:.6g}; max {highest:.6g}; }}

"""
    after = f"""
    // Moments about the axis on this one passage, of the walls on the gas with the sign turned.
    {forces("moment_wheel", turning, point.rho_t, STEPS)}
    {forces("moment_blades", tuple(blades), point.rho_t)}
    {"".join(forces(f"moment_{name}", (name,), point.rho_t, STEPS) + chr(10) + "    " for name in still)}
    // Mass flow through inlet and outlet, static pressure at the outlet.
    {average("flow_inlet", "inlet", "sum", "phi")}
    {average("flow_outlet", "outlet", "sum", "phi")}
    {average("pressure_outlet", "outlet", "weightedAverage; weightField phi", "p")}
    // A run that wavers to its end is judged by its mean fields.
    mean
    {{
        type fieldAverage; libs (fieldFunctionObjects); timeStart {max(iterations - AVERAGED, 1)}; writeControl writeTime; log no;
        fields ( {" ".join(f"{name} {{ mean on; prime2Mean off; base time; }}" for name in MEAN)} );
    }}
"""
    return steps(iterations, before=before, after=after)


def steps(iterations: int, *, before: str, after: str) -> str:
    """``system/controlDict`` of a steady run that a file named stop ends, with function objects ``before`` and ``after`` that one."""
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
{before.strip(chr(10))}

    // A file named stop in this folder ends the run after its next iteration, with everything written.
    stop {{ type abort; libs (utilityFunctionObjects); file "<case>/stop"; action writeNow; }}

{after.strip(chr(10))}
    wall_distance {{ type yPlus; libs (fieldFunctionObjects); writeControl writeTime; log no; }}
}}
""",
    )


def average(name: str, patch: str, operation: str, field: str, every: int = STEPS) -> str:
    """A number over the faces of a patch, every few iterations."""
    return (
        f"{name} {{ type surfaceFieldValue; libs (fieldFunctionObjects); regionType patch; name {patch}; operation {operation}; "
        f"fields ({field}); writeFields no; writeControl timeStep; writeInterval {every}; log no; }}"
    )


def forces(name: str, patches: tuple[str, ...], density: float, every: int = 0) -> str:
    """Forces and moments on some patches, every few iterations or whenever the fields are written."""
    times = (
        f"timeStep; writeInterval {every}; executeControl timeStep; executeInterval {every}"
        if every
        else "writeTime; executeControl writeTime"
    )
    return (
        f"{name} {{ type forces; libs (forces); patches ({' '.join(patches)}); rho rho; rhoInf {density:.6g}; "
        f"CofR (0 0 0); writeControl {times}; log no; }}"
    )  # fmt: skip


def schemes() -> str:
    """``system/fvSchemes`` of the passage."""
    return schemes_with("corrected", note="    // not limited: limiting costs points of efficiency on sheared cells")


def schemes_with(correction: str, *, note: str = "") -> str:
    """``system/fvSchemes``: second order for velocity and pressure, first for turbulence; ``correction`` for angles between cells and faces."""
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
laplacianSchemes { default Gauss linear CORRECTION; }NOTE
interpolationSchemes { default linear; }
snGradSchemes { default CORRECTION; }
wallDist { method meshWave; }
""".replace("CORRECTION", correction).replace("NOTE", note),
    )


def solution(point: FlowPoint, *, calm: bool = False) -> str:
    """``system/fvSolution``: linear solvers and relaxation; density is relaxed strongly, or fine meshes diverge.

    ``calm`` steps shorter: a flow that wavers a little comes to rest (0.14 % of torque with an open clearance became 0.05 %), one that
    separates does not.
    """
    pressure, density, rest = CALM if calm else BRISK
    return solution_within(
        density=(0.4 * point.rho_t, 2.5 * point.rho_t),
        pressure=(0.3, 2),
        ended_by="torque and flow balance",
        relax=(pressure, density, rest, 1),
    )


def solution_within(
    *,
    density: tuple[float, float],
    pressure: tuple[float, float],
    ended_by: str,
    relax: tuple[float, float, float, float],
) -> str:
    """``system/fvSolution`` with bounds of density and of pressure (over that at the boundary), relaxing p, rho, U and turbulence, and h."""
    p, rho, rest, h = relax
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
    rhoMin {density[0]:.5g};
    rhoMax {density[1]:.5g};
    pMinFactor {pressure[0]:g};
    pMaxFactor {pressure[1]:g};
    residualControl {{ p 1e-7; U 1e-7; "(k|omega)" 1e-7; }}    // not reached as a rule: {ended_by} end a run
}}
relaxationFactors
{{
    fields {{ p {p:g}; rho {rho:g}; }}
    equations {{ U {rest:g}; h {h:g}; "(k|omega)" {rest:g}; }}
}}
""",
    )


def options() -> str:
    """``system/fvOptions``: the temperature that the function objects made is imposed on the energy equation."""
    return dictionary(
        "fvOptions",
        "rothalpy { type fixedTemperatureConstraint; active yes; selectionMode all; mode lookup; T T_rothalpy; }",
    )


def rotation(point: FlowPoint, *, resting: tuple[str, ...]) -> str:
    """``constant/MRFProperties``: all cells in the rotating frame. Inlet and outlet must be named, or nothing flows through."""
    return dictionary(
        "MRFProperties",
        f"wheel\n{{\n    cellZone fluid;\n    active yes;\n    nonRotatingPatches ({' '.join(resting)});\n"
        f"    origin (0 0 0);\n    axis (0 0 1);\n    omega constant {point.speed:.10g};\n}}",
        folder="constant",
    )


def gas(point: FlowPoint | VolutePoint) -> str:
    """``constant/thermophysicalProperties``: perfect gas; Sutherland's law through the viscosity and its slope at the inlet."""
    share = point.mu_exponent - 0.5
    sutherland = point.Tt * share / (1 - share)
    constant = point.mu * (1 + sutherland / point.Tt) / point.Tt**0.5
    return dictionary(
        "thermophysicalProperties",
        f"""
thermoType
{{
    type hePsiThermo;
    mixture pureMixture;
    transport sutherland;
    thermo hConst;
    equationOfState perfectGas;
    specie specie;
    energy sensibleEnthalpy;
}}
mixture
{{
    specie {{ molWeight {8314.47 / point.R:.8g}; }}
    thermodynamics {{ Cp {point.cp:.8g}; Hf 0; }}
    transport {{ As {constant:.6g}; Ts {sutherland:.6g}; }}
}}
""",
        folder="constant",
    )


def turbulence() -> str:
    """``constant/turbulenceProperties``: k-omega SST with wall functions."""
    return dictionary(
        "turbulenceProperties",
        "simulationType RAS;\nRAS { RASModel kOmegaSST; turbulence on; printCoeffs off; }",
        folder="constant",
    )
