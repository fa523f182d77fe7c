"""How the efficiency follows the Reynolds number, from the test to the agreed conditions. All forms are from memory."""

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Length, Ratio
from aerodesign.gas.perfect import power

ACKERET = Source("J. Ackeret", 1948, "half of the losses fall with the Reynolds number's fifth root", from_memory=True)
PTC10 = Source("ASME", 1997, "PTC 10, Reynolds number correction of centrifugal compressors", from_memory=True)

FOOT = 0.3048


def ackeret(*, efficiency: Ratio, reynolds_ratio: Ratio) -> Ratio:
    r"""Efficiency at ``reynolds_ratio`` times the Reynolds number: :math:`\frac{1-\eta'}{1-\eta} = 0.5 + 0.5\,(Re/Re')^{0.2}`."""
    return 1 - (1 - efficiency) * (0.5 + 0.5 * power(reynolds_ratio, -0.2))


def ptc10(
    *, efficiency: Ratio, reynolds: Ratio, reynolds_agreed: Ratio, exit_width: Length, roughness: Length
) -> Ratio:
    r"""Efficiency at ``reynolds_agreed`` after PTC 10; the Reynolds number counts tip speed and exit width.

    :math:`\frac{1-\eta'}{1-\eta} = \frac{RA'}{RA}\frac{RB'}{RB}`, :math:`RA = 0.066 + 0.934\,(4.8\cdot10^6\,b/Re)^{RC}` with b in
    feet, :math:`RC = 0.988/Re^{0.243}`, :math:`RB = \log(0.000125 + 13.67/Re)/\log(\epsilon + 13.67/Re)` with the roughness
    in inches.
    """
    return 1 - (1 - efficiency) * _losses(reynolds_agreed, exit_width, roughness) / _losses(
        reynolds, exit_width, roughness
    )


def _losses(reynolds: Ratio, exit_width: Length, roughness: Length) -> Ratio:
    exponent = 0.988 / power(reynolds, 0.243)
    size = 0.066 + 0.934 * power(4.8e6 * exit_width / FOOT / reynolds, exponent)
    return size * np.log(0.000125 + 13.67 / reynolds) / np.log(roughness * 12 / FOOT + 13.67 / reynolds)
