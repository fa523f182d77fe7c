"""The vaneless diffuser: a swirling compressible flow between parallel walls with friction."""

import numpy as np

from aerodesign.core.correlation import Source, correlation
from aerodesign.core.quantities import (
    AngularMomentum,
    Density,
    Length,
    MassFlow,
    Pressure,
    Ratio,
    Temperature,
    Velocity,
    Viscosity,
)
from aerodesign.core.record import Record, record
from aerodesign.gas.perfect import Gas, power

STEPS = 10
"""Midpoint steps from r2 to r3.

At 80 degrees from meridional the angular momentum is then within 1e-5 of the exact solution and the loss within 2e-4 of
the dynamic head. In the longest and narrowest diffusers the loss is within 1.2 % of itself. The mass flow at r3 closes to 5e-5 at
Mach 0.8, to 1e-6 at Mach 0.2.
"""


@record
class Swirl(Record):
    """State of the swirling flow at a radius."""

    r: Length
    cm: Velocity
    cu: Velocity
    pt: Pressure
    T: Temperature
    rho: Density


@correlation(
    source=Source(
        "D. Japikse",
        1982,
        "Advanced diffusion levels in turbocharger compressors and component matching",
        "IMechE",
        from_memory=True,
    ),
    valid={"diffuser_reynolds": (1e4, 1e7)},
    scatter=0.3,
)
def japikse(*, rho2: Density, c2: Velocity, b3: Length, mu2: Viscosity) -> Ratio:
    r"""Wall friction factor :math:`c_f = k\,(1.8\cdot10^5/Re)^{0.2}` with :math:`Re = \rho_2C_2b_3/\mu_2`.

    k = 0.005 to 0.010 in the literature; 0.010 here, the upper end: an impeller sends no developed flow but thick, skewed boundary layers,
    and the pressure recovery of vaneless diffusers behind impellers is 0.5 to 0.6 where 0.005 would give 0.65.
    """
    return 0.010 * power(1.8e5 * mu2 / (rho2 * c2 * b3), 0.2)


def swirl_velocities(
    *,
    gas: Gas,
    r: Length,
    b: Length,
    mass_flow: MassFlow,
    K: AngularMomentum,
    pt: Pressure,
    Tt: Temperature,
    rho: Density,
    passes: int = 2,
) -> Swirl:
    """Velocities and density at radius r from continuity, angular momentum and energy; ``rho`` is a first guess.

    A pass multiplies the guess's error by the square of the meridional Mach number.
    """
    cu = K / r
    at_rest = pt / (gas.R * Tt)
    for _ in range(passes):
        cm = mass_flow / (2 * np.pi * r * b * rho)
        T = np.maximum(Tt - (cm**2 + cu**2) / (2 * gas.cp), 0.3 * Tt)
        rho = at_rest * power(T / Tt, 1 / gas.kappa - 1)
    return Swirl(r=r, cm=cm, cu=cu, pt=pt, T=T, rho=rho)


def march(
    *,
    gas: Gas,
    r2: Length,
    r3: Length,
    b3: Length,
    mass_flow: MassFlow,
    cu2: Velocity,
    pt2: Pressure,
    Tt2: Temperature,
    rho2: Density,
    friction_factor: Ratio,
) -> Swirl:
    r"""State at ``r3`` of a flow with wall friction (Stanitz, NACA TN 2610, in the form of two ordinary differential equations).

    Angular momentum: :math:`d\ln(rC_u)/dr = -(c_f/b)\,C/C_m`. Dissipation of both walls at constant total temperature:
    :math:`d\ln p_t/dr = -(c_f/b)\,C^3/(C_m R T)`. For an incompressible flow the first integrates to
    :math:`\operatorname{asinh}\cot\alpha = \operatorname{asinh}\cot\alpha_2 + (c_f/b)(r-r_2)`, which tests hold it against.
    """
    step = (r3 - r2) / STEPS
    drag = friction_factor / b3
    K, log_pt, r = r2 * cu2, np.log(pt2), r2

    def state(r: Length, K: AngularMomentum, log_pt: Ratio, rho: Density, passes: int) -> Swirl:
        return swirl_velocities(
            gas=gas, r=r, b=b3, mass_flow=mass_flow, K=K, pt=np.exp(log_pt), Tt=Tt2, rho=rho, passes=passes
        )

    def slopes(flow: Swirl) -> tuple[Ratio, Ratio]:
        c2 = flow.cm**2 + flow.cu**2
        rate = drag * np.sqrt(c2) / flow.cm
        return -rate, -rate * c2 / (gas.R * flow.T)

    # The guess goes on from the two half steps before in a straight line: one pass from there beats two from the last density.
    here = state(r, K, log_pt, rho2, passes=4)
    guess = here.rho
    for number in range(1, STEPS + 1):
        dlnK, dlnpt = slopes(here)
        half = state(r + step / 2, K * (1 + dlnK * step / 2), log_pt + dlnpt * step / 2, guess, passes=1)
        dlnK, dlnpt = slopes(half)
        K, log_pt, r = K * np.exp(dlnK * step), log_pt + dlnpt * step, r + step
        here = state(r, K, log_pt, 2 * half.rho - here.rho, passes=2 if number == STEPS else 1)
        guess = 2 * here.rho - half.rho
    return here
