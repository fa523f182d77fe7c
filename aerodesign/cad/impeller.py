"""An impeller as one closed solid: blades with fillets, hub and cover walls, rim, nose, bore, back.

Everything is known beforehand and handed to :class:`~aerodesign.cad.boundary.Boundary`; nothing is fused or sewn.
"""

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Impeller
from aerodesign.cad.solid import Solid
from aerodesign.cad.wheel import Wheel
from aerodesign.core.flags import raised
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import Body, body, body_volume, points
from aerodesign.geometry.row import BladeRow, blade_row, inlet_lead
from aerodesign.geometry.volume import blade_volume

Array = NDArray[np.float64]


def impeller_solid(impeller: Impeller) -> Solid:
    """The solid of a single impeller, semi-open or covered, with expectations for the gate.

    The solid is not yet judged: see :func:`aerodesign.cad.gate.accept`. Flags tell of fillets that had to shrink and of
    blade angles out of bounds. Raises :class:`RejectedSolid` where it cannot be built.
    """
    blading = Blading(impeller)
    row = blade_row(blading)
    wheel = body(impeller, blading.meridional, lead=inlet_lead(blading, row))
    shape = Wheel(row, wheel, count=round(float(impeller.blades))).boundary.solid()
    flags = blading.flags + row.flags
    return Solid(shape, _volume(impeller, row, wheel), _bounds(impeller, wheel), raised(flags))


def _volume(impeller: Impeller, row: BladeRow, wheel: Body) -> float:
    """Expected volume in m3: body of revolution and blades."""
    parts = [(row.full, float(impeller.blades)), (row.splitter, float(impeller.splitters))]
    r2 = float(impeller.r2)
    blades = sum(n * blade_volume(skin, wheel.hub, wheel.shroud, r2) for skin, n in parts if skin is not None)
    return body_volume(wheel) + blades


def _bounds(impeller: Impeller, wheel: Body) -> Array:
    r2 = float(impeller.r2)
    z = np.concatenate([points(curve)[:, 0] for curve in wheel.outline])
    return np.array([[-r2, -r2, z.min()], [r2, r2, z.max()]])
