"""What a simulation is asked: the state ahead of the wheel, its speed, the mass flow, and the meanline's guess of the rest."""

from dataclasses import asdict
from typing import Any

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.cfd.domain import simulated_diffuser
from aerodesign.core.quantities import (
    Count,
    Density,
    Length,
    MassFlow,
    Pressure,
    Ratio,
    SpecificHeat,
    Speed,
    Temperature,
    Values,
    Velocity,
    Viscosity,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas, viscosity


@record
class FlowPoint(Record):
    """One operating point of one wheel, a single design: all that the files of a case are written from.

    ``pt`` and ``Tt`` are the total state at the inlet, without swirl; ``mass_flow`` is that of the whole wheel. ``cu2`` and
    the densities are the meanline's: a start, which the answer does not depend on.
    """

    R: SpecificHeat
    cp: SpecificHeat
    mu: Viscosity
    mu_exponent: Ratio
    pt: Pressure
    Tt: Temperature
    speed: Speed
    mass_flow: MassFlow
    blades: Count
    r2: Length
    r3: Length
    inlet_area: Values
    covered: Values
    rho1: Density
    rho2: Density
    cu2: Velocity
    Tt2: Temperature

    @property
    def gas(self) -> Gas:
        """The gas, for the functions that take one."""
        return Gas(R=self.R, cp=self.cp, mu_ref=self.mu, T_ref=self.Tt, mu_exponent=self.mu_exponent)

    @property
    def rho_t(self) -> Density:
        """Total density at the inlet."""
        return self.pt / (self.R * self.Tt)

    @property
    def u2(self) -> Velocity:
        """Tip speed."""
        return self.speed * self.r2

    @property
    def inlet_velocity(self) -> Velocity:
        """Velocity in the pipe, from its total density: a scale."""
        return self.mass_flow / (self.rho_t * self.inlet_area)


def same_point(one: Any, other: Any) -> bool:
    """True where two points of one kind ask the same, but for last digits, which differ between machines."""
    pairs = zip(asdict(one).values(), asdict(other).values(), strict=True)
    return all(np.isclose(float(a), float(b), rtol=1e-9, atol=0) for a, b in pairs)


def gas_numbers(gas: Gas, T: Temperature) -> dict[str, float]:
    """The fields of a point that say what its gas is, with the viscosity at a temperature."""
    return {
        "R": float(gas.R),
        "cp": float(gas.cp),
        "mu": float(viscosity(gas=gas, T=T)),
        "mu_exponent": float(gas.mu_exponent),
    }


def flow_point(stage: Stage) -> FlowPoint:
    """The point that a solved stage stands for. The gas breathes without swirl: pre-swirl is not simulated."""
    wheel = stage.blower.impeller
    return FlowPoint(
        **gas_numbers(stage.gas, stage.Tt0),
        pt=float(stage.pt0),
        Tt=float(stage.Tt0),
        speed=float(stage.speed),
        mass_flow=float(stage.mass_flow),
        blades=int(wheel.blades),
        r2=float(wheel.r2),
        r3=float(simulated_diffuser(stage.blower).r3),
        inlet_area=float(wheel.inlet_area),
        covered=bool(wheel.covered),
        rho1=float(stage.rho1),
        rho2=float(stage.rho2),
        cu2=float(stage.exit.cu),
        Tt2=float(stage.Tt2),
    )
