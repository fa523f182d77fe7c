"""The envelope of a shaft as a stepped outline (z, r): the room that the wheel's mounting takes, not a shaft design.

Wheel seat, shoulder and bearing seat in proportion to the bore, common practice, no source; or the pieces that the check of the rotor
was made with.
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


Pieces = tuple[tuple[float, float], ...]
"""Diameter and length of cylinders, one behind the other, going away from the wheel."""


def shaft_outline(
    *, bore: Length, r1h: Length, front: float, back: float, ahead: Pieces = (), behind: Pieces = ()
) -> Array:
    """Corners (z, r) in metres from the axis ahead of the wheel to the axis behind it, shape (n, 2).

    ``front`` and ``back`` are the axial positions where the wheel begins and ends; ``bore`` is a diameter, 0 for a wheel without
    a hole, behind which the shaft then begins. ``ahead`` and ``behind`` are its pieces where they are
    known. Raises :class:`RejectedSolid` for a wheel of no length.
    """
    bore, front, back = float(bore), float(front), float(back)
    if not front < back or bore < 0:
        raise RejectedSolid(
            f"shaft: the wheel reaches from z = {front:.4g} m to {back:.4g} m with a bore of {bore:.4g} m; "
            "it must have a length, and a bore of 0 or more"
        )
    seat = bore or STUB * float(r1h)
    z, corners = back, [(back, 0.0)]
    before: Pieces = ()
    if bore > 0:
        before = (*reversed(ahead or ((seat, NUT * seat),)), (seat, back - front))
        z = back - sum(length for _, length in before)
        corners = [(z, 0.0)]
    for diameter, length in (*before, *(behind or tuple((d * seat, part * seat) for d, part in STEPS))):
        if corners[-1][1] == diameter / 2:  # the same cylinder goes on
            corners[-1] = (z + length, diameter / 2)
        else:
            corners += [(z, diameter / 2), (z + length, diameter / 2)]
        z += length
    return np.array([*corners, (z, 0.0)])
