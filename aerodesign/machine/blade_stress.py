"""Stress at the roots of blades: pull where they stand radially, bending where they lean."""

import numpy as np

from aerodesign.core.quantities import Angle, Area, Density, Length, Power, Pressure, Ratio, Speed, Stress


def root_pull(
    *, r_root: Length, r_tip: Length, thickness_root: Length, thickness_tip: Length, speed: Speed, density: Density
) -> Stress:
    r"""Tension at the root of a radial blade whose thickness falls linearly from root to tip.

    Bending and the fillet are left out: in the first fifth of the roots of 32 sized wheels a sector of finite elements, cold, had
    2.2 to 10 times as much (most with splitters and few blades), though still less than at the exit.

    .. math:: \frac{\rho\omega^2}{t_r} \int_{r_r}^{r_t} t\,r\,dr
        = \rho\omega^2 l\,\Big[\frac{r_r + r_t}{2} - \Big(1 - \frac{t_t}{t_r}\Big)\Big(\frac{r_r}{2} + \frac l3\Big)\Big], \quad l = r_t - r_r
    """
    length = r_tip - r_root
    taper = 1 - thickness_tip / thickness_root
    return density * speed**2 * length * ((r_root + r_tip) / 2 - taper * (r_root / 2 + length / 3))


def exit_bending(
    *,
    r: Length,
    width: Length,
    lean: Angle,
    thickness_root: Length,
    thickness_tip: Length,
    speed: Speed,
    density: Density,
    gas_load: Pressure = 0.0,
    held: Ratio = 0.0,
) -> Stress:
    r"""Bending at the root of a blade that stands axially on the disc at radius r and leans by ``lean`` from the radial plane.

    A strip of the blade is a cantilever of length ``width``; the part :math:`\sin\beta` of its centrifugal load and the gas's
    pressure bend it. ``held`` is 1 where a cover holds the tips too: both ends clamped take a sixth of the moment. The stiffness of
    the blade along itself is left out, which is on the safe side: this is 1.3 to 1.6 times
    the highest stress at the roots of 32 sized wheels in a sector of finite elements with fillets, cold, gas load counted.

    .. math:: M = \rho\omega^2 r\sin\beta\,b^2\Big(\frac{t_r}{6} + \frac{t_t}{3}\Big) + \frac{\Delta p\,b^2}{2}, \quad \sigma = \frac{6M}{t_r^2}
    """
    load = density * speed**2 * r * np.sin(np.abs(lean))
    moment = load * width**2 * (thickness_root / 6 + thickness_tip / 3) + gas_load * width**2 / 2
    return 6 * moment / thickness_root**2 * np.where(held, 1 / 6, 1.0)[()]


def mean_gas_load(*, power: Power, speed: Speed, area: Area, radius: Length) -> Pressure:
    r"""Pressure difference across the blades, spread evenly, that makes the wheel's torque: :math:`P / (\omega A r_m)`.

    ``area`` is that of all blades projected on the meridional plane, ``radius`` its mean one.
    """
    return power / (speed * area * radius)
