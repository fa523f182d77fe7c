"""What many tests share: a typical blower to vary, a wheel to draw, the state that it breathes, and many random machines."""

import ctypes
import os
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from aerodesign.aero import meanline
from aerodesign.aero.choices import Choices
from aerodesign.aero.duty import Inlet
from aerodesign.aero.impeller import Blower, Diffuser, Impeller, Volute
from aerodesign.aero.proposal import Guess, Proposal, draw
from aerodesign.aero.sections import Circle, Section
from aerodesign.gas.air import air
from aerodesign.geometry.profile import BladeSurface

P0, T0 = 101325.0, 293.15

WHEEL = Impeller(
    r1h=0.035, r1s=0.085, r2=0.15, b2=0.02, axial_length=0.09,
    beta1h_blade=np.radians(35), beta1s_blade=np.radians(57), beta2_blade=np.radians(40),
    blades=8, splitters=8, splitter_start=0.35,
    thickness_hub=0.003, thickness_shroud=0.0016, clearance=0.0005, fillet=0.002, bore=0.012,
)  # fmt: skip
"""A semi-open wheel of 300 mm with splitters, to be drawn and made solid."""

BENCH = """
title = "A test bench"
service = "pressure"
[duty]
flow = "1800 m3/h"
pressure_rise = "15 kPa"
[site]
altitude = "100 m"
temperature = "20 degC"
[choices]
search_effort = 64
"""
"""A case that is sized in a second; its last table may be added to."""


@dataclass(frozen=True)
class Machine:
    """A flow path with the point at which it runs; ``solve`` takes changes of the point and of the models."""

    blower: Blower
    point: dict[str, Any]

    def solve(self, **changes: Any) -> Any:
        """The stage at the machine's point, with some of the arguments changed."""
        return meanline.solve(self.blower, **{**self.point, **changes})

    def known(self, **changes: Any) -> dict[str, Any]:
        """Everything known at the machine's point, with some of the arguments changed."""
        return meanline.known_quantities(self.blower, **{**self.point, **changes})

    def wheel(self, **changes: Any) -> "Machine":
        """The machine with another wheel in the same casing."""
        return Machine(self.blower.but(impeller=self.blower.impeller.but(**changes)), self.point)


def _typical() -> Machine:
    """A semi-open wheel of 260 mm with 14 blades: 1 m3/s of air lifted by about a quarter bar at 14 000 rpm."""
    wheel = Impeller(
        r1h=0.025,
        r1s=0.0715,
        r2=0.130,
        b2=0.026,
        axial_length=0.075,
        beta1h_blade=np.radians(22),
        beta1s_blade=np.radians(54),
        beta2_blade=np.radians(40),
        blades=14,
        thickness_hub=0.0023,
        thickness_shroud=0.0013,
        clearance=0.0004,
        fillet=0.0015,
    )
    volute = Volute(
        size4=0.140,
        A4=Circle().area(size=0.140, r3=0.190, b3=0.0234),
        r4=Circle().centroid_radius(size=0.140, r3=0.190, b3=0.0234),
        r5=0.107,
        cone_length=0.60,
        tongue_radius=0.0016,
        section=Circle(),
    )
    blower = Blower(r0=0.113, impeller=wheel, diffuser=Diffuser(r3=0.190, b3=0.0234), volute=volute)
    return Machine(blower, dict(gas=air(), pt0=P0, Tt0=T0, mass_flow=1.2, speed=14000 * np.pi / 30))


def volute_and_diffuser(
    section: Section, *, size4=0.11, r3=0.225, b3=0.019, r5=0.075, **changes
) -> tuple[Volute, Diffuser]:
    """A volute of a cross-section for a wheel like :data:`WHEEL`, and the diffuser before it."""
    slot = {"r3": r3, "b3": b3}
    volute = Volute(
        size4=size4,
        A4=section.area(size=size4, **slot),
        r4=section.centroid_radius(size=size4, **slot),
        r5=r5,
        cone_length=0.25,
        tongue_radius=0.0025,
        opening=0.06,
        section=section,
    )
    return volute.but(**changes), Diffuser(**slot)


def _many(count: int, seed: int) -> Machine:
    """Machines over the range that the sizing draws from, each at 0.6 to 1.2 times the flow that it was drawn for."""
    rng = np.random.default_rng(seed)

    def between(low: float, high: float) -> np.ndarray:
        return low + (high - low) * rng.random(count)

    gas, flow, work = air(), between(0.05, 3.0), between(8e3, 35e3)
    at_rest = P0 / (gas.R * T0)
    proposal = Proposal(
        speed=between(0.4, 1.2) * work**0.75 / np.sqrt(flow),
        flow_coefficient_exit=between(0.2, 0.35),
        blades=np.round(between(9, 20)),
        backsweep=np.radians(between(20, 55)),
        diffuser_ratio=between(1.3, 1.75),
        inducer_scale=between(0.98, 1.12),
    )
    guess = Guess(
        u2=np.sqrt(work / between(0.45, 0.55)),
        rho2=1.12 * at_rest,
        angular_integral=flow / 1.15 / (0.5 * work / proposal.speed),
    )
    inlet = Inlet(pt0=P0, Tt0=T0, p5=P0 + at_rest * work, gas=gas)
    blower = draw(proposal, guess, inlet=inlet, mass_flow=flow * at_rest, choices=Choices(), section=Circle())
    covered = rng.random(count) < 0.3
    blower = blower.but(impeller=blower.impeller.but(covered=covered))
    point = dict(gas=gas, pt0=P0, Tt0=T0, mass_flow=flow * at_rest * between(0.6, 1.2), speed=proposal.speed)
    return Machine(blower, point)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip what needs the CAD kernel on a machine without its system libraries; CI has them, and is told when it has not."""
    try:
        for library in ("libGL.so.1", "libX11.so.6"):
            ctypes.CDLL(library)
    except OSError as missing:
        if os.environ.get("CI"):
            return
        skip = pytest.mark.skip(reason=f"solids need Debian's libgl1 libx11-6 ({missing})")
        for item in items:
            if "solids" in item.keywords:
                item.add_marker(skip)


@pytest.fixture(scope="session")
def typical() -> Machine:
    """A typical machine near its best point."""
    return _typical()


@pytest.fixture(scope="session")
def many() -> Machine:
    """Two thousand random machines, semi-open and covered."""
    return _many(2000, seed=7)


@pytest.fixture(scope="session")
def maps() -> Machine:
    """Ten thousand random machines with a map of three speeds by five flows each; designs last."""
    machine = _many(10_000, seed=13)
    share = np.linspace(0.4, 1.4, 5)[:, None, None]
    pace = np.array([0.6, 0.9, 1.1])[:, None]
    point = machine.point | dict(
        mass_flow=machine.point["mass_flow"] * share * pace, speed=machine.point["speed"] * pace + 0 * share
    )
    return Machine(machine.blower, point)


@pytest.fixture(scope="session")
def fifty() -> Machine:
    """Fifty random machines."""
    return _many(50, seed=11)


@pytest.fixture
def gmsh():
    """Another program with an import and a mesher of its own, started and ended."""
    try:
        import gmsh
    except (ImportError, OSError) as missing:
        pytest.skip(f"gmsh is not there, or lacks Debian's libglu1-mesa libxcursor1 libxft2 libxinerama1 ({missing})")
    gmsh.initialize(interruptible=False)
    gmsh.option.setNumber("General.Terminal", 0)
    yield gmsh
    gmsh.finalize()


def largest_step_of_curvature(surface: BladeSurface, sigma: np.ndarray) -> float:
    """Between neighbours of even stations along the middle of a blade's surface, over the largest curvature there."""
    p, h = surface.at(np.full(len(sigma), 0.5), sigma), sigma[1] - sigma[0]
    d1, d2 = (p[2:] - p[:-2]) / (2 * h), (p[2:] - 2 * p[1:-1] + p[:-2]) / h**2
    bent = np.linalg.norm(np.cross(d1, d2), axis=1) / np.linalg.norm(d1, axis=1) ** 3
    return float(np.abs(np.diff(bent)).max() / bent.max())
