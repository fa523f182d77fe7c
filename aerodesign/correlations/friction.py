"""Skin friction in the blade passage, and the friction factor of rough walls."""

import numpy as np

from aerodesign.core.correlation import PRACTICE, Source, correlation
from aerodesign.core.quantities import Angle, Count, Density, Length, Ratio, SpecificEnergy, Speed, Velocity, Viscosity
from aerodesign.gas.perfect import power


@correlation(
    source=Source(
        "S. E. Haaland",
        1983,
        "Simple and explicit formulas for the friction factor in turbulent pipe flow",
        "J. Fluids Eng. 105",
        from_memory=True,
    ),
    valid={"reynolds": (4e3, 1e8), "relative_roughness": (0, 0.05)},
    scatter=0.02,
    phenomenon="pipe_friction",
)
def haaland(*, reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    r"""Fanning friction factor of a pipe, a quarter of Darcy's: :math:`f^{-1/2} = -1.8\lg[(k/3.7d)^{1.11} + 6.9/Re]`.

    Below Re = 2000 the laminar 16/Re takes over; between, the larger of the two.
    """
    rough = np.maximum(relative_roughness / 3.7, 1e-12)
    root = -1.8 / np.log(10) * np.log(np.exp(1.11 * np.log(rough)) + 6.9 / reynolds)
    return np.where(reynolds > 2000, 0.25 / root**2, 16 / reynolds)[()]


def blade_length(
    *,
    r1h: Length,
    r1s: Length,
    r2: Length,
    b2: Length,
    axial_length: Length,
    beta1h_blade: Angle,
    beta1s_blade: Angle,
    beta2_blade: Angle,
) -> Length:
    r"""Length of the blade passage after Jansen (from memory):
    :math:`\frac{\pi}{8}[D_2-\frac{D_{1s}+D_{1h}}{2}-b_2+2L]\,\frac{2}{(\cos\beta_{1s}+\cos\beta_{1h})/2+\cos\beta_2}`.
    """
    path = meridional_length(r1h=r1h, r1s=r1s, r2=r2, b2=b2, axial_length=axial_length)
    return path * 2 / ((np.cos(beta1s_blade) + np.cos(beta1h_blade)) / 2 + np.cos(beta2_blade))


def meridional_length(*, r1h: Length, r1s: Length, r2: Length, b2: Length, axial_length: Length) -> Length:
    r"""Mean meridional length as a quarter circle's through the mean extents: :math:`\frac{\pi}{8}[D_2-\frac{D_{1s}+D_{1h}}{2}-b_2+2L]`."""
    return np.pi / 8 * (2 * r2 - (r1s + r1h) - b2 + 2 * axial_length)


def hydraulic_diameter(
    *,
    r1h: Length,
    r1s: Length,
    r2: Length,
    b2: Length,
    inlet_height: Length,
    beta1h_blade: Angle,
    beta1s_blade: Angle,
    beta2_blade: Angle,
    blades_effective: Count,
    blades: Count,
) -> Length:
    """Hydraulic diameter of the passage after Jansen (from memory): the mean of the exit's and the inlet's."""
    cosine1 = (np.cos(beta1s_blade) + np.cos(beta1h_blade)) / 2
    cosine2 = np.cos(beta2_blade)
    at_exit = cosine2 / (blades_effective / np.pi + 2 * r2 * cosine2 / b2)
    slenderness = (r1s + r1h) / inlet_height
    at_inlet = (r1s + r1h) / (2 * r2) * cosine1 / (blades / np.pi + slenderness * cosine1)
    return 2 * r2 * (at_exit + at_inlet)


@correlation(
    source=Source(
        "W. Jansen",
        1967,
        "A method for calculating the flow in a centrifugal impeller when entropy gradients are present",
        "Royal Society Conf. on Internal Aerodynamics",
        from_memory=True,
    ),
    valid={},
)
def jansen(
    *,
    blade_length: Length,
    hydraulic_diameter: Length,
    roughness: Length,
    cm1: Velocity,
    c2: Velocity,
    w1h: Velocity,
    w1s: Velocity,
    w2: Velocity,
    rho1: Density,
    mu1: Viscosity,
) -> SpecificEnergy:
    r"""Skin-friction loss :math:`2 c_f (L_B/D_h) \bar W^2` with :math:`\bar W = (C_1 + C_2 + W_{1s} + 2W_{1h} + 3W_2)/8`."""
    velocity = (cm1 + c2 + w1s + 2 * w1h + 3 * w2) / 8
    factor = haaland(
        reynolds=rho1 * velocity * hydraulic_diameter / mu1, relative_roughness=roughness / hydraulic_diameter
    )
    return 2 * factor * blade_length / hydraulic_diameter * velocity**2


@correlation(
    source=Source(
        "H. Ito, K. Nanbu",
        1971,
        "Flow in rotating straight pipes of circular cross section",
        "J. Basic Eng. 93",
        from_memory=True,
    ),
    valid={},
    scatter=0.1,
    phenomenon="rotation",
)
def ito_nanbu(*, speed: Speed, hydraulic_diameter: Length, w1: Velocity, rho1: Density, mu1: Viscosity) -> Ratio:
    r"""Friction of a turbulent flow in a pipe that turns about an axis across it, over that of the same pipe at rest.

    :math:`0.942 + 0.058K^{0.282}` up to :math:`K = 500`, :math:`0.942K^{0.05}` beyond, with
    :math:`K = (\Omega d^2/\nu)^2/Re`: Coriolis forces drive a secondary flow that carries fast fluid to the wall. A blower's
    passage has K of some 10 000 and half as much friction again. The exponent is so small that the velocity at entry will do.
    """
    turning = rho1 * speed * hydraulic_diameter**2 / mu1
    number = np.maximum(turning**2 / (rho1 * w1 * hydraulic_diameter / mu1), 1)
    return np.where(number < 500, 0.942 + 0.058 * power(number, 0.282), 0.942 * power(number, 0.05))[()]


@correlation(source=PRACTICE, valid={}, phenomenon="rotation")
def at_rest(*, hydraulic_diameter: Length) -> Ratio:
    """One: the passage's friction as that of a pipe at rest, for comparison."""
    return 1 + 0 * hydraulic_diameter
