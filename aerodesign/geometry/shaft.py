"""The envelope of a shaft as a stepped outline (z, r): the room that the wheel's mounting takes, not a shaft design.

Wheel seat, shoulder and bearing seat in proportion to the bore; the proportions are common practice, no source. Bending,
critical speed, fits and the torque that the seat carries are not looked at.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length

Array = NDArray[np.float64]

NUT = 0.8
"""Length of the thread and nut ahead of the wheel, in bores."""
STEPS = ((1.25, 1.5), (1.5, 4.0))
"""Behind the wheel: diameter and length of the shoulder with the seal, and of the bearing seats, in bores."""
STUB = 0.8
"""Bore that a solid wheel is shown with, as a part of its hub's diameter at the inlet: it ends flush with the back."""


def shaft_outline(*, bore: Length, r1h: Length, front: float, back: float) -> Array:
    """Corners (z, r) in metres from the axis ahead of the wheel to the axis behind it, shape (n, 2).

    ``front`` and ``back`` are the axial positions where the wheel begins and ends; ``bore`` is a diameter, 0 for a wheel without
    a hole, behind which the shaft then begins. Raises :class:`RejectedSolid` for a wheel of no length.
    """
    bore, front, back = float(bore), float(front), float(back)
    if not front < back or bore < 0:
        raise RejectedSolid(
            f"shaft: the wheel reaches from z = {front:.4g} m to {back:.4g} m with a bore of {bore:.4g} m; "
            "it must have a length, and a bore of 0 or more"
        )
    seat = bore or STUB * float(r1h)
    z, corners = back, [(back, 0.0)]
    if bore > 0:
        z = front - NUT * seat
        corners = [(z, 0.0), (z, seat / 2), (back, seat / 2)]
        z = back
    for diameter, length in STEPS:
        corners += [(z, diameter * seat / 2), (z + length * seat, diameter * seat / 2)]
        z += length * seat
    return np.array([*corners, (z, 0.0)])
