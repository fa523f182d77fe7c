"""A solved stage: all stations of one operating point, or of many, with its losses and flags."""

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.aero.triangles import Triangle
from aerodesign.core.flags import Flag
from aerodesign.core.quantities import (
    Angle,
    Density,
    MassFlow,
    Power,
    Pressure,
    Ratio,
    SpecificEnergy,
    Speed,
    Temperature,
    Values,
    Velocity,
    VolumeFlow,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas, isentropic_work, power

WITHIN_IMPELLER = ("loading", "curvature", "friction", "clearance", "mixing")
"""Losses of pressure between leading edge and mixed-out exit."""

INTERNAL = (
    "inlet",
    "incidence",
    *WITHIN_IMPELLER,
    "diffuser",
    "volute_dump",
    "volute_mismatch",
    "volute_friction",
    "cone",
)
"""Losses that lower the pressure, in the order of the flow."""

PASSAGES = {
    "inducer": "the inducer",
    "exit": "the impeller exit",
    "diffuser": "the vaneless diffuser",
    "volute": "the volute throat",
}
"""Passages that may choke, in the order of the flow: names of the fields ``choke_...``, and words."""

PARASITIC = ("windage", "recirculation", "leakage")
"""Losses that add work."""


@record
class Stage(Record):
    """One operating point from the inlet flange (0) to the discharge flange (5).

    ``losses`` in J/kg, so that ``work = useful_work + sum of losses``. Digits of names are stations, see the
    vocabulary; ``h`` and ``s`` hub and shroud, nothing for mean. Every field broadcasts over the operating points.
    """

    blower: Blower
    gas: Gas
    mass_flow: MassFlow
    speed: Speed
    alpha1: Angle

    pt0: Pressure
    Tt0: Temperature
    pt1: Pressure
    p1: Pressure
    T1: Temperature
    rho1: Density
    hub: Triangle
    mean: Triangle
    shroud: Triangle
    incidence: Angle
    incidence_shroud: Angle
    mach1s: Ratio

    slip: Ratio
    exit_blockage: Ratio
    exit: Triangle
    pt2: Pressure
    Tt2: Temperature
    p2: Pressure
    T2: Temperature
    rho2: Density
    cm2_blocked: Velocity
    diffusion_factor: Ratio
    blade_loading: Ratio

    pt3: Pressure
    p3: Pressure
    rho3: Density
    cm3: Velocity
    cu3: Velocity
    pt4: Pressure
    c4: Velocity
    volute_mismatch: Ratio
    pt5: Pressure
    p5: Pressure
    T5: Temperature
    c5: Velocity

    euler_work: SpecificEnergy
    work: SpecificEnergy
    losses: dict[str, Values]

    choke_inducer: MassFlow
    choke_exit: MassFlow
    choke_diffuser: MassFlow
    choke_volute: MassFlow
    critical_angle: Angle
    solved: Values
    flags: tuple[Flag, ...] = ()

    @property
    def flow(self) -> VolumeFlow:
        """Volume flow at the total state of the inlet flange."""
        return self.mass_flow * self.gas.R * self.Tt0 / self.pt0

    @property
    def u2(self) -> Velocity:
        """Tip speed."""
        return self.exit.u

    @property
    def power(self) -> Power:
        """Power that the gas takes from the shaft, bearings and drive not counted."""
        return self.mass_flow * self.work

    @property
    def rise_total(self) -> Pressure:
        """Total pressure rise, inlet flange to discharge flange."""
        return self.pt5 - self.pt0

    @property
    def rise_static(self) -> Pressure:
        """Rise from the total pressure at the inlet flange to the static pressure at the discharge flange."""
        return self.p5 - self.pt0

    @property
    def useful_work(self) -> SpecificEnergy:
        """Isentropic work between the total pressures of the flanges."""
        return isentropic_work(gas=self.gas, Tt=self.Tt0, pressure_ratio=self.pt5 / self.pt0)

    @property
    def efficiency_total(self) -> Ratio:
        """Isentropic efficiency between the total states of the flanges, on the work of the gas."""
        return self.useful_work / self.work

    @property
    def efficiency_static(self) -> Ratio:
        """Isentropic efficiency from total state at the inlet to static pressure at the discharge flange."""
        return isentropic_work(gas=self.gas, Tt=self.Tt0, pressure_ratio=self.p5 / self.pt0) / self.work

    @property
    def efficiency_polytropic(self) -> Ratio:
        """Polytropic efficiency between the total states of the flanges."""
        temperature_ratio = 1 + self.work / (self.gas.cp * self.Tt0)
        return self.gas.kappa * np.log(self.pt5 / self.pt0) / np.log(temperature_ratio)

    @property
    def efficiency_impeller(self) -> Ratio:
        """Isentropic efficiency of the impeller, total to total, parasitic work counted."""
        return isentropic_work(gas=self.gas, Tt=self.Tt0, pressure_ratio=self.pt2 / self.pt1) / self.work

    @property
    def work_coefficient(self) -> Ratio:
        """Work over the tip speed's square."""
        return self.work / self.u2**2

    @property
    def flow_coefficient(self) -> Ratio:
        """Volume flow over ``u2 D2**2``."""
        return self.flow / (self.u2 * 4 * self.blower.impeller.r2**2)

    @property
    def pressure_coefficient(self) -> Ratio:
        """Isentropic work over the tip speed's square."""
        return self.useful_work / self.u2**2

    @property
    def diffusion_ratio(self) -> Ratio:
        """Relative velocity at the inducer's tip over that at the exit, ``w1s / w2``."""
        return self.shroud.w / self.exit.w

    @property
    def de_haller(self) -> Ratio:
        """Relative velocity at the exit over that at the mean inlet, ``w2 / w1``."""
        return self.exit.w / self.mean.w

    @property
    def alpha2(self) -> Angle:
        """Flow angle behind the impeller, from meridional."""
        return self.exit.alpha

    @property
    def mach2(self) -> Ratio:
        """Absolute Mach number behind the impeller."""
        return self.exit.c / np.sqrt(self.gas.gamma * self.gas.R * self.T2)

    @property
    def choke_flow(self) -> MassFlow:
        """The least of the choking mass flows of the passages."""
        return np.minimum.reduce(np.broadcast_arrays(*(getattr(self, f"choke_{name}") for name in PASSAGES)))

    @property
    def choke_margin(self) -> Ratio:
        """Part by which the mass flow could grow before the first passage chokes."""
        return self.choke_flow / self.mass_flow - 1

    @property
    def stall_margin(self) -> Angle:
        """Critical angle of the vaneless diffuser less the flow angle at its inlet."""
        return self.critical_angle - self.alpha_diffuser

    @property
    def alpha_diffuser(self) -> Angle:
        """Flow angle at the diffuser's inlet, behind the pinch."""
        ratio = self.blower.impeller.b2 / self.blower.diffuser.b3
        return np.arctan2(self.exit.cu, self.exit.cm * ratio)


def head(stage_gas: Gas, Tt0: Temperature, pressure_ratio: Ratio) -> SpecificEnergy:
    """Isentropic work from ``Tt0``; the measure in which the losses downstream of the impeller are booked."""
    return stage_gas.cp * Tt0 * power(pressure_ratio, stage_gas.kappa)
