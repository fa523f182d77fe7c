"""The stress of a design's wheel: its sector written for the solver, solved, and read back beside the machine check's estimates."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.design import Design
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import Length, Pressure, Speed, Stress, Torque
from aerodesign.geometry.blade import Blading
from aerodesign.machine.growth import blade_stretch
from aerodesign.stress.deck import Load, deck
from aerodesign.stress.sector import Sector, mesh_sector
from aerodesign.stress.solver import Answer, run
from aerodesign.whole import MachineCheck, machine_check
from aerodesign.whole.wheel_check import wheel_temperature

Array = NDArray[Any]

COLD = 293.15
"""Temperature of assembly, as in the machine check."""


@dataclass(frozen=True, eq=False)
class Model:
    """A wheel ready to be solved: its sector, the loads, and where its text lies. ``even`` says that the gas pushes evenly on the blades, else as
    simulated.
    """

    check: MachineCheck
    sector: Sector
    load: Load
    path: Path
    size: str
    even: bool = True

    @property
    def speed(self) -> Speed:
        """Speed of the wheel, the fastest it runs."""
        return self.load.speed


@dataclass(frozen=True)
class Compared:
    """One result: what the sector says, what the machine check's model of it says (nan: it has none), and which model that is."""

    name: str
    words: str
    sector: float
    estimate: float
    model: str
    quantity: str

    @property
    def ratio(self) -> float:
        """Sector over estimate."""
        return self.sector / self.estimate if self.estimate else np.nan


@dataclass(frozen=True, eq=False)
class Stressed:
    """A solved wheel. ``highest`` is the highest von Mises stress at a node, ``where`` its (r, z); ``strength`` the yield strength when hot."""

    model: Model
    answer: Answer
    highest: Stress
    where: tuple[Length, Length]
    strength: Stress
    compared: list[Compared]


def write_model(
    design: Design,
    folder: Path,
    *,
    size: str = "look",
    heat: bool = True,
    pushes: Callable[[Sector], Array] | None = None,
) -> Model:
    """The sector of a design's wheel at its fastest running speed, written to ``wheel.inp`` in a folder.

    Loads: the pull of rotation, the gas's pressure on the blades, and where ``heat`` is True the temperatures of the machine check.
    ``pushes`` gives for each pushed face of a sector the pressure there less that behind it; without it the even pressure that makes the
    meanline's torque pushes.
    Raises RejectedSolid where the wheel cannot be meshed, AerodesignError where the file cannot be written.
    """
    impeller, stage = design.blower.impeller, design.stage
    blading = Blading(impeller, design.form.blade)
    check = machine_check(design, blading)
    sector = mesh_sector(impeller, blading, design.form.wheel, size)
    r = np.hypot(sector.points[:, 0], sector.points[:, 1])
    warm = wheel_temperature(nodes=r, r2=float(impeller.r2), T_cold=float(stage.Tt0), T_hot=hottest(design)) - COLD
    torque: Torque = stage.work * stage.mass_flow / stage.speed / sector.pitches
    even: Pressure = torque / sector.push_moment
    load = Load(float(check.fastest), warm if heat else None, float(even) if pushes is None else pushes(sector))
    text = deck(
        points=sector.points, hexes=sector.hexes, low=sector.low, high=sector.high, held=sector.sets["HELD"], turned=sector.sets["TURNED"],
        pitches=sector.pitches,        material=check.material, load=load, pushed=sector.pushed,
        title=f"wheel at {30 / np.pi * load.speed:.1f} rpm, {'warm' if heat else 'cold'}",
    )  # fmt: skip
    path = folder / "wheel.inp"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="ascii", errors="replace")
    except OSError as cause:
        raise AerodesignError(f"{path}: cannot be written: {cause.strerror}") from cause
    return Model(check, sector, load, path, size, pushes is None)


def hottest(design: Design) -> float:
    """The gas's highest total temperature behind the wheel at the duty points."""
    return float(np.max(design.points.operation.stage.Tt2))


def solve_model(model: Model, design: Design) -> Stressed:
    """Run the solver on a written model. Raises MissingProgram or StressFailed."""
    answer = run(model.path)
    mises = answer.mises
    if len(mises) != len(model.sector.points):
        raise AerodesignError(
            f"{model.path}: the answer has {len(mises)} nodes, the model {len(model.sector.points)}; was it edited?"
        )
    top = int(mises.argmax())
    x, y, z = model.sector.points[top]
    strength = float(model.check.material.yield_strength(hottest(design)))
    where = (float(np.hypot(x, y)), float(z))
    return Stressed(model, answer, float(mises[top]), where, strength, _compared(model, answer, design))


def _compared(model: Model, answer: Answer, design: Design) -> list[Compared]:
    """Key points beside the estimates: the disc as a body of revolution, the blade root's pull and its bending."""
    sector, check, impeller = model.sector, model.check, design.blower.impeller
    wheel, section, metal = check.wheel, check.wheel.section, check.material
    warm = model.load.warmth is not None
    field = section.at(model.speed, heat=warm)
    middle = float(impeller.r1h + impeller.r1s) / 2
    grown, at_eye = (
        warm * metal.expansion * float(np.interp(r, section.r[:, 0], wheel.warmth) - COLD)
        for r in (impeller.r2, middle)
    )
    mises, sets, outward = answer.mises, sector.sets, radial(sector.points, answer.moved)

    hoop = metal.modulus * (
        field.displacement[0, :, 0] / section.r[0] - warm * metal.expansion * (wheel.warmth[0] - COLD)
    )
    eye = float(np.interp(impeller.r1h, section.r[:, 0], field.displacement[:, 0, 0])) + float(
        blade_stretch(
            r_root=impeller.r1h, r_tip=impeller.r1s, speed=model.speed, density=metal.density, modulus=metal.modulus
        )
    )
    # The sector of a solid hub has a hole, whose edge is twice as stressed as the middle of a hub without.
    bore = float(np.abs(hoop).max()) if sector.hole == 0 else np.nan
    moved = field.displacement[-1, -1, 0] / section.r[-1, -1]
    rim = metal.modulus * abs(moved - warm * metal.expansion * (wheel.warmth[-1] - COLD))
    # The sector is held along the axis at the nose's end, whose supports disturb nothing that counts; the body of revolution at its back edge.
    back = float(answer.moved[sets["BACK"], 2].mean())
    stresses = (
        ("bore", "highest stress on the bore", "BORE", bore, "body of revolution"),
        ("rim", "highest stress on the back edge of the rim", "RIMBACK", rim, "body of revolution"),
        ("root", "highest stress at the blade roots", "ROOT", np.nan, ""),
        ("root_inlet", "blade roots, first fifth of their length", "ROOTINLET", wheel.pull, "pull of a radial blade"),
        ("root_exit", "blade roots, last fifth of their length", "ROOTEXIT", wheel.bending, "a strip that bends alone"),
    )
    growths = (
        ("rim_growth", "growth of the rim, outward", outward[sets["RIM"]], field.displacement[-1, :, 0].mean(), "body of revolution"),
        ("tip_inlet", "blade tip at the inlet, outward", outward[sets["TIPINLET"]], eye + at_eye * (impeller.r1s - impeller.r1h),
         "body of revolution, stretch"),
        ("tip_exit", "blade tip at the exit, towards the inlet", back - answer.moved[sets["TIPEXIT"], 2],
         grown * impeller.b2 - field.displacement[-1, 0, 1],
         "body of revolution"),
    )  # fmt: skip
    return [
        *(
            Compared(n, words, float(mises[sets[at]].max()), float(said), by, "stress")
            for n, words, at, said, by in stresses
        ),
        *(Compared(n, words, float(moved.mean()), float(said), by, "length") for n, words, moved, said, by in growths),
    ]


def radial(points: Array, moved: Array) -> Array:
    """Radial part of displacements."""
    return np.asarray(np.sum(points[:, :2] * moved[:, :2], axis=1) / np.hypot(points[:, 0], points[:, 1]))
