"""What holds at the boundaries, patch by patch, and with which fields a run starts."""

import numpy as np

from aerodesign.cfd.foam import field_text
from aerodesign.cfd.point import FlowPoint
from aerodesign.cfd.polymesh import OPEN, PERIODIC, ROTATING, SMOOTH
from aerodesign.cfd.start import StartFields
from aerodesign.mesh.passage import Mesh

TURBULENCE = 0.05  # intensity at the inlet
EDDY = 0.027  # of r2: length scale at the inlet
START_VELOCITY, START_EDDY = 0.45, 0.02  # of u2 and r2: turbulence to start with
C_MU = 0.09
AT_REST = "type rotatingWallVelocity; origin (0 0 0); axis (0 0 1); omega 0; value uniform (0 0 0);"
"""A wall at rest. To the solver it is one of the frame's own, so that no flux crosses it; the condition gives its velocity back.

Named as resting it would get the flux of the frame through its flat faces, which leaks (6e-4 of the flow at 20 000 cells).
"""


def walls(mesh: Mesh) -> list[str]:
    """Patches that are walls."""
    return [name for name in mesh.patches if name not in (*OPEN, *PERIODIC)]


def turning_walls(mesh: Mesh, point: FlowPoint) -> tuple[str, ...]:
    """Walls that turn with the wheel: hub and blades, the shroud of a covered one."""
    return tuple(name for name in walls(mesh) if name in ROTATING or (point.covered and name == "shroud"))


def still_walls(mesh: Mesh, point: FlowPoint) -> tuple[str, ...]:
    """Walls at rest that the gas rubs on."""
    return tuple(name for name in walls(mesh) if name not in (*turning_walls(mesh, point), *SMOOTH))


def field_texts(mesh: Mesh, point: FlowPoint, start: StartFields) -> dict[str, str]:
    """All files of the folder ``0``."""
    gamma, cin = point.gas.gamma, point.inlet_velocity

    def on(inlet: str, outlet: str, wall: str, smooth: str) -> dict[str, str]:
        kinds = (
            dict.fromkeys(OPEN[:1], inlet) | dict.fromkeys(OPEN[1:], outlet) | dict.fromkeys(PERIODIC, "type cyclic;")
        )
        kinds |= dict.fromkeys(SMOOTH, smooth)
        return {name: kinds.get(name, wall) for name in mesh.patches}

    k_in, omega_in = turbulence_of(TURBULENCE * cin, EDDY * point.r2)
    k, omega = turbulence_of(TURBULENCE * START_VELOCITY * point.u2, START_EDDY * point.r2)
    level, nothing = "type zeroGradient;", "type calculated; value uniform 0;"
    either = "type inletOutlet; inletValue uniform {0:.6g}; value uniform {0:.6g};"
    still = "type calculated; value uniform (0 0 0);"
    scalar = "[0 2 -2 0 0 0 0]"
    return {
        "U": field_text(
            "U",
            start.velocity,
            on(
                f"type pressureInletVelocity; value uniform (0 0 {cin:.6g});",
                f"type flowRateOutletVelocity; massFlowRate {point.mass_flow / point.blades:.10g}; "
                f"rhoOutlet {point.rho2:.6g}; value uniform (0 0 0);",
                "type noSlip;",
                "type slip;",
            )
            | dict.fromkeys(still_walls(mesh, point), AT_REST),
        ),
        "p": field_text(
            "p",
            start.pressure,
            on(
                f"type totalPressure; p0 uniform {point.pt:.10g}; rho rho; psi thermo:psi; gamma {gamma:.8g}; value uniform {point.pt:.10g};",
                level,
                level,
                level,
            ),
        ),
        "T": field_text(
            "T",
            start.temperature,
            on(
                f"type totalTemperature; T0 uniform {point.Tt:.8g}; gamma {gamma:.8g}; value uniform {point.Tt:.8g};",
                either.format(point.Tt2),
                level,
                level,
            ),
        ),
        "k": field_text(
            "k",
            k if np.any(np.isnan(start.k)) else start.k,
            on(
                f"type fixedValue; value uniform {k_in:.6g};",
                either.format(k_in),
                f"type kqRWallFunction; value uniform {k:.6g};",
                level,
            ),
        ),
        "omega": field_text(
            "omega",
            omega if np.any(np.isnan(start.omega)) else start.omega,
            on(
                f"type fixedValue; value uniform {omega_in:.6g};",
                either.format(omega_in),
                f"type omegaWallFunction; value uniform {omega:.6g};",
                level,
            ),
        ),
        "nut": field_text("nut", 0.0, on(nothing, nothing, "type nutkWallFunction; value uniform 0;", level)),
        "alphat": field_text(
            "alphat", 0.0, on(nothing, nothing, "type compressible::alphatWallFunction; value uniform 0;", level)
        ),
        "U_frame": field_text("U_frame", start.turning, on(still, still, level, level), dimensions="[0 1 -1 0 0 0 0]"),
        "T_rest": field_text("T_rest", start.base, on(nothing, nothing, level, level), dimensions=scalar),
        "T_rothalpy": field_text(
            "T_rothalpy", start.temperature, on(nothing, nothing, level, level), dimensions=scalar
        ),
    }


def turbulence_of(velocity: float, length: float) -> tuple[float, float]:
    """Kinetic energy and specific dissipation of turbulence with a fluctuation and an eddy size."""
    k = 1.5 * velocity**2
    return k, k**0.5 / (C_MU**0.25 * length)
