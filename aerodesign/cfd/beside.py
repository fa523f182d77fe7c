"""Simulated beside predicted: the meanline's numbers for what a simulation contains, and what it leaves out added for the whole machine.

A simulation of the passage has no disc friction, no leakage, no recirculation, no inlet loss and no volute. So its work stands
beside the meanline's Euler work, its loss beside the sum within the wheel, without the clearance's where the tips were closed.
"""

from typing import Any

import numpy as np

from aerodesign.aero.duty import Site
from aerodesign.aero.operation import static_pressure
from aerodesign.aero.stage import PARASITIC, WITHIN_IMPELLER, Stage
from aerodesign.cfd.answer import Answer
from aerodesign.gas.perfect import isentropic_pressure_ratio, isentropic_work

LEVER = np.radians(10)
"""Least blade angle at the exit from which blockage shows in the swirl."""
DOWNSTREAM = ("volute_dump", "volute_mismatch", "volute_friction", "cone")
COMPARED = {
    "work": "work, J/kg",
    "slip": "slip factor",
    "exit_blockage": "exit blockage",
    "needed_blockage": "blockage that the swirl asks for with the meanline's slip",
    "cu2": "swirl behind the wheel, m/s",
    "pressure_ratio_impeller": "total pressure ratio of the wheel",
    "pressure_ratio": "total pressure ratio to r3",
    "static_ratio": "static pressure at r3 over total at the inlet",
    "loss_impeller": "loss within the wheel, J/kg",
    "loss_diffuser": "loss in the vaneless diffuser, J/kg",
    "efficiency_impeller": "efficiency of the wheel",
    "efficiency": "efficiency to r3",
}
"""Quantities that stand side by side, with words for them."""


def needed_blockage(answer: Answer, stage: Stage) -> float:
    """The blockage with which the meanline, its slip factor kept, would find the simulated swirl; nan for blades that end nearly radially.

    Slip and blockage of a simulation are one pair: gas near the walls is slow in the wheel, so it fills the passage (blockage) and is
    carried along (less slip). A correlated slip is that of an even flow, and its blockage all that lowers the swirl. Only this number
    stands like beside like.
    """
    beta = stage.blower.impeller.beta2_blade
    if np.abs(beta) < LEVER:
        return float("nan")
    clear = answer.cm2_blocked * (1 - answer.exit_blockage)
    return float(1 - clear * np.tan(beta) / (stage.slip * stage.u2 - answer.cu2))


def simulated(answer: Answer, stage: Stage) -> dict[str, float]:
    """A simulation's side of the comparison."""
    own = {
        name: float(getattr(answer, name))
        for name in ("work", "slip", "exit_blockage", "cu2", "loss_impeller", "loss_diffuser", "efficiency_impeller", "efficiency")
    }  # fmt: skip
    return own | {
        "needed_blockage": needed_blockage(answer, stage),
        "pressure_ratio_impeller": float(answer.pt2 / answer.pt1),
        "pressure_ratio": float(answer.pt3 / answer.pt1),
        "static_ratio": float(answer.p3 / answer.pt1),
    }


def predicted(stage: Stage, *, clearance: bool = False) -> dict[str, float]:
    """The meanline's side: the same quantities, the loss of the tip clearance taken out of them unless it is simulated too."""
    gas, losses = stage.gas, stage.losses
    within = sum(losses[name] for name in ("incidence", *WITHIN_IMPELLER) if clearance or name != "clearance")
    head2 = stage.euler_work - within
    head3 = head2 - losses["diffuser"]
    ratio2, ratio3 = (isentropic_pressure_ratio(gas=gas, Tt=stage.Tt0, work=head) for head in (head2, head3))
    found = {
        "work": stage.euler_work,
        "slip": stage.slip,
        "exit_blockage": stage.exit_blockage,
        "needed_blockage": stage.exit_blockage if np.abs(stage.blower.impeller.beta2_blade) >= LEVER else float("nan"),
        "cu2": stage.exit.cu,
        "pressure_ratio_impeller": ratio2,
        "pressure_ratio": ratio3,
        "static_ratio": ratio3 * stage.p3 / stage.pt3,
        "loss_impeller": within,
        "loss_diffuser": losses["diffuser"],
        "efficiency_impeller": head2 / stage.euler_work,
        "efficiency": head3 / stage.euler_work,
    }
    return {name: float(value) for name, value in found.items()}


def whole_machine(
    answer: Answer, stage: Stage, *, site: Site, service: str, clearance: bool = False
) -> dict[str, float]:
    """Flow, rise, power and efficiency between the flanges, as a test rig would read them.

    Wheel and diffuser are the simulation's, with its ``clearance`` where the tips were open; what is left is the meanline's: else the
    clearance, and disc friction, recirculation, leakage, inlet and volute.
    """
    gas, losses = stage.gas, stage.losses
    reached = isentropic_work(gas=gas, Tt=stage.Tt0, pressure_ratio=answer.pt3 / answer.pt1)
    useful = reached - sum(losses[name] for name in ("inlet", *(() if clearance else ("clearance",)), *DOWNSTREAM))
    work = answer.work + sum(losses[name] for name in PARASITIC)
    ratio = isentropic_pressure_ratio(gas=gas, Tt=stage.Tt0, work=useful)
    rise: Any = stage.pt0 * (ratio - 1)
    if service == "vacuum":
        ahead = site.pressure / ratio
        area = stage.blower.A0
        rise = site.pressure - static_pressure(
            gas=gas, pt=ahead, Tt=stage.Tt0, mass_flow=stage.mass_flow, area=area
        )  # as the suction is read
    found = {
        "flow": stage.flow,
        "speed": stage.speed,
        "pressure_rise": rise,
        "power": answer.mass_flow * work,
        "efficiency": useful / work,
    }
    return {name: float(value) for name, value in found.items()}
