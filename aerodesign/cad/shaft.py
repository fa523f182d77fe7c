"""The envelope of the shaft as a solid of planes and cylinders."""

from itertools import pairwise

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.cad.boundary import Boundary
from aerodesign.cad.kernel import MM
from aerodesign.cad.solid import Solid
from aerodesign.cad.surfaces import circle
from aerodesign.cad.turned import Junction, add_turned
from aerodesign.geometry.body import revolved_volume
from aerodesign.geometry.shaft import Pieces, shaft_outline


def shaft_solid(impeller: Impeller, wheel: Solid, ahead: Pieces = (), behind: Pieces = ()) -> Solid:
    """The shaft through the bore of a wheel that is known as a solid, with expectations for the gate; its pieces where they are known."""
    front, back = wheel.bounds[:, 2]
    corners = shaft_outline(bore=impeller.bore, r1h=impeller.r1h, front=front, back=back, ahead=ahead, behind=behind)
    boundary = Boundary()
    # The outline is closed: it begins and ends with the circle of its second corner.
    z, r = MM * corners[1]
    boundary.edge("edge", circle(z=z, r=r, angle=0.0), start="corner", end="corner", first=0.0, last=2 * np.pi)
    joint = Junction([("edge", 0.0)], "corner", 0.0)
    round_ = [*corners[1:], *corners[:2]]
    curves = [MM * np.array(pair) for pair in pairwise(round_) if pair[0][1] > 0 or pair[1][1] > 0]
    add_turned(boundary, "shaft", curves, first=joint, last=joint, side=-1.0)
    largest = corners[:, 1].max()
    bounds = np.array([[-largest, -largest, corners[0, 0]], [largest, largest, corners[-1, 0]]])
    return Solid(boundary.solid(), revolved_volume(corners), bounds)
