"""The simulated volute beside the meanline's: losses, pressure round the base circle, radial force."""

import numpy as np

from aerodesign.aero.radial_force import STATIONS, pressure_round, radial_force
from aerodesign.aero.spiral import TURN
from aerodesign.aero.stage import Stage
from aerodesign.cfd.beside import DOWNSTREAM
from aerodesign.cfd.volute_answer import VoluteAnswer

COMPARED = {
    "loss_diffuser": "loss in the vaneless diffuser, J/kg",
    "loss_volute": "loss from base circle to flange, J/kg",
    "loss_coefficient": "the same over the dynamic pressure there",
    "recovery": "rise of static pressure over the same",
    "cu3": "swirl at the base circle, m/s",
    "distortion3": "pressure round the base circle, highest less lowest",
    "force": "radial force on the wheel, N (moment balance)",
    "force_rule": "radial force on the wheel, N (Stepanoff's rule)",
}
"""Quantities that stand side by side, with words for them."""


def volute_simulated(answer: VoluteAnswer) -> dict[str, float]:
    """A simulation's side of the comparison; its force stands beside either estimate."""
    names = [name for name in COMPARED if name != "force_rule"]
    return {name: float(getattr(answer, name)) for name in names} | {"force_rule": float(answer.force)}


def volute_predicted(stage: Stage) -> dict[str, float]:
    """The meanline's side: the losses behind the base circle together, for a simulation cannot tell them apart."""
    dynamic = stage.pt3 - stage.p3
    force = radial_force(stage)
    found = {
        "loss_diffuser": stage.losses["diffuser"],
        "loss_volute": sum(stage.losses[name] for name in DOWNSTREAM),
        "loss_coefficient": (stage.pt3 - stage.pt5) / dynamic,
        "recovery": (stage.p5 - stage.p3) / dynamic,
        "cu3": stage.cu3,
        "distortion3": np.ptp(pressure_round(stage, np.linspace(0, TURN, STATIONS))) / dynamic,
        "force": force.force,
        "force_rule": force.by_rule,
    }
    return {name: float(value) for name, value in found.items()}


def loss_parts(stage: Stage) -> dict[str, float]:
    """The parts of the meanline's loss behind the base circle, J/kg."""
    return {name: float(stage.losses[name]) for name in DOWNSTREAM}
