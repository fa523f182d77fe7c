"""What carries the casing, as the room that it takes: for the arrangement on a drawing, not to be cut.

Feet: a box from the floor to the casing's lowest point. Flange: a ring behind the back wall that a drive's flange bolts
to. Plates, bolts, stiffness and the bearing of loads are the designer's; proportions are common practice, no source.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.solid import Solid
from aerodesign.cad.turned import turned_solid
from aerodesign.core.errors import RejectedSolid
from aerodesign.form import CasingForm
from aerodesign.geometry.casing import FREE_HEIGHT, LEAST_HEIGHT
from aerodesign.geometry.cavity import Wheelhouse

Array = NDArray[np.float64]

RING = 2.0
"""Outside of a mounting ring over the shaft's opening, and its length in walls."""


def mount_solid(house: Wheelhouse, form: CasingForm, casing: Solid) -> Solid:
    """The envelope of the mount of a ``casing`` in its place in the machine. Raises RejectedSolid where it has no room."""
    return _feet(form, casing) if form.mount == "feet" else _ring(house, casing)


def _feet(form: CasingForm, casing: Solid) -> Solid:
    low, high = casing.bounds
    reach = -float(low[1])
    height = reach + max(LEAST_HEIGHT, FREE_HEIGHT * reach)
    height = height if np.isnan(form.centre_height) else float(form.centre_height)
    if height < reach + LEAST_HEIGHT:
        raise RejectedSolid(
            f"casing: centre_height = {1e3 * height:.4g} mm leaves no room for feet under the casing, which reaches "
            f"{1e3 * reach:.4g} mm below the axis; allowed from {1e3 * (reach + LEAST_HEIGHT):.4g} mm, "
            'or another position of the discharge, or mount = "flange"'
        )
    bounds = np.array([[low[0], -height, low[2]], [high[0], -reach, high[2]]])
    corners = [occ.gp.gp_Pnt(*(float(MM * x) for x in corner)) for corner in bounds]
    shape = occ.BRepPrimAPI.BRepPrimAPI_MakeBox(*corners).Solid()
    return Solid(shape, float(np.prod(bounds[1] - bounds[0])), bounds)


def _ring(house: Wheelhouse, casing: Solid) -> Solid:
    inner, wall = float(house.sizes.opening), float(house.sizes.wall)
    outer, start = max(RING * inner, inner + 2 * wall), float(casing.bounds[1, 2])
    if outer >= float(house.blower.impeller.r2):
        raise RejectedSolid(
            f'casing: mount = "flange" needs a ring of {2e3 * outer:.4g} mm round the shaft, wider than the wheel; '
            "take a smaller shaft_opening"
        )
    end = start + RING * wall
    corners = MM * np.array([[start, inner], [start, outer], [end, outer], [end, inner], [start, inner]])
    shape = turned_solid([np.array(pair) for pair in pairwise(corners)], side=-1.0)
    bounds = np.array([[-outer, -outer, start], [outer, outer, end]])
    return Solid(shape, float(np.pi * (outer**2 - inner**2) * (end - start)), bounds)
