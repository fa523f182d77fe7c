"""Which orders and settings the result of a volute came from: a short mark that changes when what they are for one fixed volute changes."""

import hashlib
from functools import cache

import numpy as np

from aerodesign.aero.impeller import Blower, Volute
from aerodesign.aero.sections import Circle
from aerodesign.cfd import settings
from aerodesign.cfd.edition import DIFFUSER, WHEEL
from aerodesign.cfd.volute_mesh import SIZES, box, features, lattice, mesher
from aerodesign.cfd.volute_point import VolutePoint
from aerodesign.cfd.volute_settings import volute_control, volute_fields, volute_schemes, volute_solution

BLOWER = Blower(
    r0=0.08, impeller=WHEEL, diffuser=DIFFUSER,
    volute=Volute(size4=0.1, A4=0.008, r4=0.27, r5=0.07, cone_length=0.3, tongue_radius=0.002, section=Circle()),
)  # fmt: skip
POINT = VolutePoint(
    R=287.0, cp=1005.0, mu=1.8e-5, mu_exponent=0.76, mass_flow=1.0, cu2=100.0, cm2=30.0, Tt=315.0, p5=1.1e5, rho2=1.3,
    r2=0.15, r3=0.22, b2=0.02, b3=0.018,
)  # fmt: skip


@cache
def volute_edition() -> str:
    """Eight digits from the orders to the mesher at each size, the settings and the conditions of a fixed volute."""
    corner = np.array([0.4, 0.4, 0.1])
    made = [lattice(BLOWER, size, -corner, corner) for size in SIZES.values()]
    texts = [
        features(),
        *(text for one in made for text in (box(one), mesher(BLOWER, one))),
        volute_control(POINT, iterations=1000),
        volute_schemes(),
        volute_solution(POINT),
        settings.gas(POINT),
        settings.turbulence(),
        *volute_fields(POINT).values(),
    ]
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()[:8]
