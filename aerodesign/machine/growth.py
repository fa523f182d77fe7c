"""What speed, heat and load take from the gap between wheel and casing."""

from aerodesign.core.quantities import Density, Length, Speed, Stress, TemperatureDifference, Values


def thermal_growth(*, length: Length, expansion: Values, rise: TemperatureDifference) -> Length:
    r"""Growth of a length that grows warmer by ``rise``, :math:`\alpha l\,\Delta T`."""
    return expansion * length * rise


def blade_stretch(*, r_root: Length, r_tip: Length, speed: Speed, density: Density, modulus: Stress) -> Length:
    r"""Stretch of a radial blade of even thickness by its own pull.

    .. math:: \frac{\rho\omega^2}{E}\int_{r_r}^{r_t}\frac{r_t^2 - r^2}{2}\,dr
    """
    return density * speed**2 / modulus * ((r_tip**2 * (r_tip - r_root)) / 2 - (r_tip**3 - r_root**3) / 6)


def clearance_left(*, clearance: Length, growth: Length, sag: Length = 0.0) -> Length:
    """What growth, and the shaft's sag where it counts, leave of the cold clearance: their difference."""
    return clearance - growth - sag
