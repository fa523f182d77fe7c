"""What a simulation of the volute is asked: the flow that the wheel gives, and the pressure behind the flange."""

from typing import Any

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.cfd.answer import Answer
from aerodesign.cfd.point import gas_numbers
from aerodesign.core.quantities import (
    Density,
    Length,
    MassFlow,
    Pressure,
    Ratio,
    SpecificHeat,
    Temperature,
    Velocity,
    Viscosity,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas


@record
class VolutePoint(Record):
    """One operating point of one volute: gas, the flow behind the wheel, the static pressure at the flange, sizes.

    The wheel gives the same mass flow and swirl all round; total temperature stays. ``mu`` holds at that temperature.
    """

    R: SpecificHeat
    cp: SpecificHeat
    mu: Viscosity
    mu_exponent: Ratio
    mass_flow: MassFlow
    cu2: Velocity
    cm2: Velocity
    Tt: Temperature
    p5: Pressure
    rho2: Density
    r2: Length
    r3: Length
    b2: Length
    b3: Length

    @property
    def gas(self) -> Gas:
        """The gas, for the functions that take one."""
        return Gas(R=self.R, cp=self.cp, mu_ref=self.mu, T_ref=self.Tt, mu_exponent=self.mu_exponent)

    @property
    def spin(self) -> Ratio:
        """Swirl as turns a minute of the gas on the wheel's exit cylinder."""
        return self.cu2 / self.r2 * 30 / np.pi

    @property
    def dynamic(self) -> Pressure:
        """Dynamic pressure behind the wheel: a scale."""
        return self.rho2 * (self.cu2**2 + self.cm2**2) / 2


def volute_point(stage: Stage, *, answer: Answer | None = None) -> VolutePoint:
    """The point of a solved stage; with the answer of a simulated passage its swirl and temperature replace the meanline's."""
    gas, wheel, diffuser = stage.gas, stage.blower.impeller, stage.blower.diffuser
    Tt: Any = stage.Tt2 if answer is None else stage.Tt0 + answer.work / gas.cp
    cu2 = stage.exit.cu if answer is None else answer.cu2
    return VolutePoint(
        **gas_numbers(gas, Tt),
        mass_flow=float(stage.mass_flow),
        cu2=float(cu2),
        cm2=float(stage.exit.cm),
        Tt=float(Tt),
        p5=float(stage.p5),
        rho2=float(stage.rho2),
        r2=float(wheel.r2),
        r3=float(diffuser.r3),
        b2=float(wheel.b2),
        b3=float(diffuser.b3),
    )
