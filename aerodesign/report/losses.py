"""Where the work goes: the loss book in points of efficiency, in the order of the flow, under names that a person reads."""

from typing import NamedTuple

from aerodesign.aero.stage import Stage

NAMES = {
    "inlet": "inlet bell",
    "incidence": "incidence at the leading edge",
    "loading": "blade loading",
    "curvature": "passage curvature",
    "friction": "friction in the impeller",
    "clearance": "blade tip clearance",
    "mixing": "mixing behind the blades",
    "recirculation": "recirculation at the exit",
    "leakage": "leakage back to the eye",
    "windage": "windage of the disc",
    "diffuser": "vaneless diffuser",
    "volute_dump": "radial velocity lost in the volute",
    "volute_mismatch": "volute off its design flow",
    "volute_friction": "friction in the volute",
    "cone": "exit cone",
}
"""Losses in the order of the flow; what the stage books beyond them is printed under its own name, at the end."""

LEAVING = "velocity at the discharge flange"


class Loss(NamedTuple):
    """One loss: readable name, energy in J/kg, and its part of the work."""

    name: str
    energy: float
    share: float


def loss_book(stage: Stage, *, basis: str) -> list[Loss]:
    """All losses in the order of the flow. On the static basis the velocity left at the flange is the last of them.

    Together with the efficiency of that basis the shares add to one.
    """
    work = float(stage.work)
    order = [name for name in NAMES if name in stage.losses] + [name for name in stage.losses if name not in NAMES]
    book = [(NAMES.get(name, name.replace("_", " ")), float(stage.losses[name])) for name in order]
    if basis == "static":
        book.append((LEAVING, float((stage.efficiency_total - stage.efficiency_static) * stage.work)))
    return [Loss(name, energy, energy / work) for name, energy in book]
