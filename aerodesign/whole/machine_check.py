"""The check of a design's machine, from its flow path, its solid wheel and the choices of ``[rotor]``."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.core.book import Step
from aerodesign.core.flags import Flag
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Length, Ratio, Speed
from aerodesign.form.rotor import RotorForm
from aerodesign.form.wheel import WheelForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body
from aerodesign.geometry.casing import casing_sizes
from aerodesign.geometry.disc_profile import WheelBody, wheel_body
from aerodesign.machine.loads import CORE, THROUGH_HOLES, THROUGH_LABYRINTH, vaned_core
from aerodesign.machine.materials import MATERIALS, Material
from aerodesign.whole.shaft import ShaftCheck
from aerodesign.whole.shaft_check import check_shaft
from aerodesign.whole.shaft_proposal import Tried, propose
from aerodesign.whole.wheel_check import WheelCheck, check_wheel

LEAD = 0.05
"""How far the body's cylinder reaches ahead of the blades, in parts of the channel's parameter: about what the solid's fillets need."""


@dataclass(frozen=True, eq=False)
class MachineCheck:
    """Wheel and shaft of a design with their limits, which ``limits`` holds by chapter; ``fastest`` is the highest running speed.

    ``form`` has nothing open; ``tried`` are the bearings, balls and greases that were tried, the best, which is taken, first.
    """

    form: RotorForm
    material: Material
    body: WheelBody
    fastest: Speed
    slowest: Speed
    wheel: WheelCheck
    shaft: ShaftCheck
    tried: list[Tried]
    limits: dict[str, list[Limit]]

    @property
    def steps(self) -> dict[str, Step]:
        """How the numbers of wheel, shaft and bearings came about, by name."""
        return {**self.wheel.steps, **self.shaft.steps}

    @property
    def flags(self) -> list[Flag]:
        """A grave flag for each hard limit that is passed, where the wheel could fail, and one note that names the guidelines that are."""
        every = [limit for group in self.limits.values() for limit in group]
        passed = [limit.name for limit in every if not limit.hard and not limit.passed]
        found = [
            Flag(
                "machine",
                ~np.asarray(limit.passed),
                f"{limit.name} lies outside its range",
                limit.advice,
                value=limit.value,
                limit=limit.high if limit.value > limit.high else limit.low,
                grave=True,
            )
            for limit in every
            if limit.hard
        ]
        note = Flag(
            "machine",
            np.asarray(bool(passed)),
            f"guidelines for shaft, bearings and blades are passed over: {'; '.join(passed)}",
            "see the chapter on wheel, shaft and bearings",
        )
        return [*found, note]


def eased_back(form: WheelForm, r2: Length) -> tuple[Length, Ratio]:
    """The radius within which balance holes ease the pressure on the wheel's back, 0 for none, and the part of it that is left."""
    if not form.balance_holes:
        return 0.0, 1.0
    if np.isfinite(form.back_labyrinth):
        return form.back_labyrinth * r2, THROUGH_LABYRINTH
    return form.hole_at * r2, THROUGH_HOLES


def machine_check(design: Design, blading: Blading | None = None) -> MachineCheck:
    """Check wheel, shaft and bearings of a design at its duty points.

    Raises AerodesignError where the wheel cannot be drawn, and :class:`RejectedMachine` where the choices cannot be.
    """
    impeller, form = design.blower.impeller, design.form.rotor
    material = MATERIALS[design.limits_asked.material]
    blading = blading or Blading(impeller, design.form.blade)
    parts = body(impeller, blading.meridional, lead=LEAD, form=design.form.wheel)
    wheel = wheel_body(impeller, blading, parts).of(material.density)
    stage = design.points.operation.stage
    speed = np.atleast_1d(design.points.speed)
    back, behind = parts.vanes, float(casing_sizes(design.blower, design.form.casing).gap)
    given: dict[str, Any] = dict(
        impeller=impeller,
        stage=stage,
        wheel=wheel,
        eased=eased_back(design.form.wheel, float(impeller.r2)),
        vanes=(back.low, back.high) if back else (0.0, 0.0),
        vaned_core=float(vaned_core(height=back.top - back.foot, gap=behind)) if back else CORE,
        drive=design.drive.kind,
        belt=design.running.drive_line.belt if design.drive.kind == "belt" else None,
        power=np.atleast_1d(design.points.shaft_power),
        radial=np.atleast_1d(np.maximum(design.radial.force, design.radial.by_rule)),
        ambient=design.site.pressure,
        temperature=float(design.site.temperature),
    )
    tried = propose(form, impeller, lambda closed, bearing: check_shaft(form=closed, bearing=bearing, **given))
    form, shaft = tried[0].form, tried[0].check
    rim = check_wheel(
        impeller=impeller,
        stage=design.stage,
        hottest=float(np.max(stage.Tt2)),
        speed=float(speed.max()),
        wheel=wheel,
        blading=blading,
        material=material,
        form=form,
        cold=293.15,
        sag=shaft.sag,
    )
    return MachineCheck(
        form=form,
        material=material,
        body=wheel,
        fastest=float(speed.max()),
        slowest=float(speed.min()),
        wheel=rim,
        shaft=shaft,
        tried=tried,
        limits={"Disc and blades": rim.limits, **shaft.limits},
    )
