"""Which mesh and settings a result came from: a short mark that changes when what they make of one fixed wheel changes."""

import hashlib
from functools import cache

import numpy as np

from aerodesign.aero.impeller import Diffuser, Impeller
from aerodesign.cfd import settings
from aerodesign.cfd.conditions import field_texts, still_walls, turning_walls
from aerodesign.cfd.point import FlowPoint
from aerodesign.cfd.start import start_fields
from aerodesign.mesh.passage import passage_mesh
from aerodesign.mesh.size import SIZES, Size

WHEEL = Impeller(
    r1h=0.03, r1s=0.08, r2=0.15, b2=0.02, axial_length=0.06, beta1h_blade=0.6, beta1s_blade=1.0, beta2_blade=0.6, blades=10,
    splitters=10, thickness_hub=0.003, thickness_shroud=0.002, clearance=5e-4, fillet=0.002,
)  # fmt: skip
DIFFUSER = Diffuser(r3=0.22, b3=0.018)
SMALL = Size(inlet=6, blade=12, diffuser=8, across=8, layers=6, wall=1 / 120)
POINT = FlowPoint(
    R=287.0, cp=1005.0, mu=1.8e-5, mu_exponent=0.76, pt=1e5, Tt=300.0, speed=1000.0, mass_flow=1.0, blades=10, r2=0.15, r3=0.22,
    inlet_area=0.0173, covered=False, rho1=1.1, rho2=1.3, cu2=100.0, Tt2=315.0,
)  # fmt: skip


@cache
def edition() -> str:
    """Eight digits from the mesh, the settings and the start of a fixed wheel, and from the counts of cells of each size."""
    mesh = passage_mesh(WHEEL, DIFFUSER, SMALL)
    start = start_fields(mesh, POINT)
    turning, still = turning_walls(mesh, POINT), still_walls(mesh, POINT)
    texts = [
        settings.control(POINT, iterations=1000, still=still, turning=turning),
        settings.schemes(),
        settings.solution(POINT),
        settings.solution(POINT, calm=True),
        settings.options(),
        settings.turbulence(),
        *field_texts(mesh, POINT, start.but(velocity=0 * start.velocity, temperature=300.0, pressure=1e5)).values(),
        repr(SIZES),
    ]
    mark = hashlib.sha256("\n".join(texts).encode())
    mark.update(
        np.round(mesh.points, 9).tobytes() + mesh.hexes.tobytes()
    )  # to a nanometre: last bits differ between machines
    return mark.hexdigest()[:8]
