"""The state of the gas at the six stations of a solved stage."""

from typing import NamedTuple

import numpy as np

from aerodesign.aero.operation import static_pressure
from aerodesign.aero.stage import Stage

NAN = float("nan")


class State(NamedTuple):
    """One station at the mean radius. Pressures in Pa, temperatures in K, velocities in m/s, angle in rad; nan where not defined."""

    name: str
    p: float
    pt: float
    T: float
    Tt: float
    c: float
    alpha: float
    w: float
    mach: float
    mach_relative: float


def states(stage: Stage) -> list[State]:
    """The stations of one operating point, 0 to 5."""
    gas, Tt0, Tt2 = stage.gas, stage.Tt0, stage.Tt2

    def state(
        name: str, p: float, pt: float, T: float, Tt: float, c: float, alpha: float = NAN, w: float = NAN
    ) -> State:
        sound = np.sqrt(gas.gamma * gas.R * T)
        return State(name, *(float(x) for x in (p, pt, T, Tt, c, alpha, w, c / sound, w / sound)))

    p0 = static_pressure(gas=gas, pt=stage.pt0, Tt=Tt0, mass_flow=stage.mass_flow, area=stage.blower.A0)
    T0 = Tt0 * (p0 / stage.pt0) ** gas.kappa
    c0 = stage.mass_flow * gas.R * T0 / (p0 * stage.blower.A0)
    T3 = stage.p3 / (gas.R * stage.rho3)
    c3, alpha3 = np.hypot(stage.cm3, stage.cu3), np.arctan2(stage.cu3, stage.cm3)
    T4 = Tt2 - stage.c4**2 / (2 * gas.cp)
    p4 = stage.pt4 * (T4 / Tt2) ** (1 / gas.kappa)
    eye, tip = stage.mean, stage.exit
    return [
        state("0 inlet flange", p0, stage.pt0, T0, Tt0, c0),
        state("1 leading edge", stage.p1, stage.pt1, stage.T1, Tt0, eye.c, eye.alpha, eye.w),
        state("2 impeller exit", stage.p2, stage.pt2, stage.T2, Tt2, tip.c, tip.alpha, tip.w),
        state("3 diffuser exit", stage.p3, stage.pt3, T3, Tt2, c3, alpha3),
        state("4 volute throat", p4, stage.pt4, T4, Tt2, stage.c4),
        state("5 discharge flange", stage.p5, stage.pt5, stage.T5, Tt2, stage.c5),
    ]
