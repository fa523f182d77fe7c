"""The inducer with the least relative Mach number at its tip."""

from typing import NamedTuple

import numpy as np

from aerodesign.core.quantities import Angle, Length, MassFlow, Pressure, Ratio, Speed, Temperature, Values
from aerodesign.gas.perfect import Gas, power


class Inducer(NamedTuple):
    """Tip of the inducer: relative Mach number, relative flow angle and radius."""

    mach1s: Ratio
    beta1s: Angle
    r1s: Length


def best_angle(*, mach1s: Ratio, gamma: Ratio) -> Angle:
    r"""Relative flow angle that passes the most flow at a relative tip Mach number, without pre-swirl.

    :math:`\cos^2\beta = A - \sqrt{A^2 - 1/M^2}` with :math:`A = \frac{3+\gamma M^2}{2M^2}` (closed form; Dixon treats
    it in his chapter on centrifugal compressors): 55.4 degrees at Mach 0.3, 58.8 at 0.8.
    """
    A = (3 + gamma * mach1s**2) / (2 * mach1s**2)
    # A - sqrt(A^2 - 1/M^2) loses digits at low Mach numbers; its conjugate form does not.
    cos2 = 1 / mach1s**2 / (A + np.sqrt(A**2 - 1 / mach1s**2))
    return np.arccos(np.sqrt(cos2))


def capacity(*, mach1s: Ratio, beta1s: Angle, gamma: Ratio, alpha1s: Angle = 0.0) -> Ratio:
    r"""Flow parameter :math:`\dot m\omega^2/(\pi k\rho_{t}a_{t}^3)` of a tip of relative Mach number and flow angle.

    :math:`M^3\cos^3\beta(\tan\beta+\tan\alpha)^2 / (1+\frac{\gamma-1}{2}M^2\cos^2\beta/\cos^2\alpha)^n` with
    :math:`n = \frac{1}{\gamma-1}+\frac32`, and a pre-swirl at the angle ``alpha1s``.
    """
    cosine = np.cos(beta1s)
    heat = 1 + (gamma - 1) / 2 * (mach1s * cosine / np.cos(alpha1s)) ** 2
    swirl = (np.sin(beta1s) + cosine * np.tan(alpha1s)) ** 2
    return mach1s**3 * cosine * swirl * power(heat, -(1 / (gamma - 1) + 1.5))


def least_mach_inducer(
    *, gas: Gas, pt0: Pressure, Tt0: Temperature, mass_flow: MassFlow, speed: Speed, hub_ratio: Ratio
) -> Inducer:
    """Inducer tip of least relative Mach number for a mass flow and speed; ``hub_ratio`` is r1h / r1s.

    Twelve substitutions on the Mach number reach 1e-10 below Mach 1. Beyond what any inducer passes (about Mach 1.4)
    the result grows without meaning; the choke margin of the solved stage tells.
    """
    gamma = gas.gamma
    a0 = np.sqrt(gamma * gas.R * Tt0)
    wanted = mass_flow * speed**2 / (np.pi * (1 - hub_ratio**2) * pt0 / (gas.R * Tt0) * a0**3)
    mach: Values = np.minimum(np.cbrt(wanted / 0.385), 1.4)
    for _ in range(12):
        beta = best_angle(mach1s=mach, gamma=gamma)
        mach = np.minimum(mach * np.cbrt(wanted / capacity(mach1s=mach, beta1s=beta, gamma=gamma)), 1.4)
    a1 = a0 / np.sqrt(1 + (gamma - 1) / 2 * (mach * np.cos(beta)) ** 2)
    return Inducer(mach1s=mach, beta1s=beta, r1s=mach * np.sin(beta) * a1 / speed)
