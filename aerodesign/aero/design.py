"""The whole aerodynamic design: from duty and choices to machine, duty points, map, bands and flags."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.coefficients import CalibratedModels
from aerodesign.aero.control import Control, control
from aerodesign.aero.design_flags import flags_of
from aerodesign.aero.drive_line import whole_efficiency
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.feasibility import explain
from aerodesign.aero.impeller import Blower
from aerodesign.aero.inside import Look
from aerodesign.aero.models import Models
from aerodesign.aero.operation import inlet_state, required_work
from aerodesign.aero.performance_map import Map, performance_map
from aerodesign.aero.points import Points, run_points
from aerodesign.aero.radial_force import RadialForce, radial_force
from aerodesign.aero.running import Running, running
from aerodesign.aero.site_curves import Conditions, SiteCurves, site_curves
from aerodesign.aero.sizing import Sized, Task, resize, size
from aerodesign.aero.stage import Stage
from aerodesign.aero.system import System
from aerodesign.aero.uncertainty import Bands, bands
from aerodesign.core.correlation import Card, card
from aerodesign.core.flags import Flag
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Ratio, Speed, VolumeFlow
from aerodesign.correlations.cordier import specific_diameter, specific_speed
from aerodesign.form import Form
from aerodesign.machine.drive import fastest_speed

SPEEDS = 21
"""Speed lines of the map, from 0.6 to 1.1 of the design speed; the chart shows every other one."""

CURVE = 41
"""Points of a curve of the machine on another site, the design flow among them."""

FULL_EFFORT = 1024
"""Candidates of the search before a duty is refused, however few the case asks for."""


Progress = Callable[[str], None]


@dataclass(frozen=True)
class Design:
    """A finished design. It exists only solved.

    ``stage`` is the design point; ``points`` all duty points; ``map`` the speed lines; ``limits`` every limit with its value;
    ``form`` the choices of form; ``running`` the machine's drive, sound and year; ``radial`` the volute's force on the wheel at the duty points;
    ``flags`` what the user must know; ``sources`` the correlations that this run used.
    """

    duty: Duty
    site: Site
    limits_asked: Limits
    drive: Drive
    choices: Choices
    models: Models
    design_index: int
    blower: Blower
    stage: Stage
    points: Points
    map: Map
    bands: Bands
    radial: RadialForce
    control: Control
    conditions: Conditions
    form: Form
    site_curves: SiteCurves
    running: Running
    limits: list[Limit]
    flags: list[Flag]
    sources: dict[str, Card]
    specific_speed: Ratio
    specific_diameter: Ratio
    sized: Sized | None = None
    estimated: tuple[str, ...] = ()

    @property
    def speed(self) -> Speed:
        """Wheel speed at the design point."""
        return self.stage.speed

    @property
    def flow(self) -> VolumeFlow:
        """Volume flow of the design point at the inlet flange."""
        return self.stage.flow

    @property
    def meets_duty(self) -> bool:
        """True where every duty point is met and no grave flag is raised."""
        return bool(np.all(self.points.met)) and not any(flag.grave and flag.raised for flag in self.flags)


def silent(step: str) -> None:
    """A progress report that goes nowhere."""


def design(
    duty: Duty,
    site: Site,
    *,
    limits: Limits | None = None,
    drive: Drive | None = None,
    choices: Choices | None = None,
    models: Models | None = None,
    system: System | None = None,
    conditions: Conditions | None = None,
    form: Form | None = None,
    design_index: int = 0,
    look: Look | None = None,
    progress: Progress = silent,
) -> Design:
    """Size a blower for a duty, or for several of which ``design_index`` is the design point, and analyse it.

    ``look`` tells of a sized wheel what only its real blades show (see :func:`aerodesign.geometry.look.look_inside`): the wheel is
    then brought to the duty with it.

    Raises :class:`~aerodesign.core.errors.InfeasibleDuty` where no single stage meets it.
    """
    limits, drive, choices, models = limits or Limits(), drive or Drive(), choices or Choices(), models or Models()
    point = duty[design_index] if duty.shape else duty
    progress("sizing")
    task = Task(
        inlet=inlet_state(point, site, inlet_velocity=choices.inlet_velocity),
        mass_flow=point.mass_flow,
        rise=point.pressure_rise,
        service=duty.service,
        basis=duty.basis,
        limits=limits,
        drive=drive,
        choices=choices,
        models=models,
    )
    sized = size(task)
    if not sized.feasible and choices.search_effort < FULL_EFFORT:
        sized = size(replace(task, choices=choices.but(search_effort=FULL_EFFORT)))
    if not sized.feasible:
        progress("looking for the nearest duty that works")
        raise explain(task, sized)
    if look is not None:
        found = look(sized.stage)
        models = models if isinstance(models, CalibratedModels) else models.distorted(found.distortion)
        task = replace(task, models=models)
        sized = resize(sized, task, throat_ratio=found.throat_ratio)
        if not sized.feasible:
            raise explain(task, sized)
    return analyse(
        sized.blower,
        sized.stage,
        duty,
        site,
        limits=limits,
        drive=drive,
        choices=choices,
        models=models,
        system=system,
        conditions=conditions,
        form=form,
        design_index=design_index,
        found=sized.limits,
        sized=sized,
        progress=progress,
    )


def analyse(
    blower: Blower,
    stage: Stage,
    duty: Duty,
    site: Site,
    *,
    limits: Limits,
    drive: Drive,
    choices: Choices,
    models: Models,
    design_index: int,
    found: list[Limit],
    system: System | None = None,
    conditions: Conditions | None = None,
    form: Form | None = None,
    sized: Sized | None = None,
    estimated: tuple[str, ...] = (),
    progress: Progress = silent,
) -> Design:
    """Duty points, map, bands and flags of a given flow path with its solved design point."""
    form = form or Form()
    common: dict[str, Any] = dict(service=duty.service, basis=duty.basis, models=models)
    fastest = float(
        np.nanmin([fastest_speed(kind=drive.kind, frequency=drive.frequency, slip=drive.slip), limits.speed])
    )
    progress("duty points")
    points = run_points(
        blower,
        duty,
        site,
        design_speed=stage.speed,
        variable_speed=drive.kind == "inverter",
        fastest=fastest,
        mechanical_efficiency=choices.mechanical_efficiency,
        drive_efficiency=whole_efficiency(drive.kind, form.belt),
        models=models,
    )
    progress("map")
    chart = performance_map(
        blower,
        site,
        speeds=stage.speed * np.linspace(0.6, 1.1, SPEEDS),
        design_flow=stage.flow,
        design_speed=stage.speed,
        **common,
    )
    nearest = int(np.argmin(np.abs(chart.speed[:, 0] - stage.speed)))
    spread = bands(
        blower,
        site,
        flow=stage.flow,
        speed=stage.speed,
        line=chart.operation.flow[nearest],
        estimated=estimated,
        **common,
    )
    progress("control and site")
    controls = control(
        blower,
        site,
        duty,
        system or System(),
        design_index=design_index,
        design_speed=stage.speed,
        fastest=fastest,
        mechanical_efficiency=choices.mechanical_efficiency,
        models=models,
    )
    point = duty[design_index] if duty.shape else duty
    conditions = (conditions or Conditions()).for_duty(rise=point.pressure_rise)
    curves = site_curves(
        blower,
        site,
        conditions,
        basis=duty.basis,
        flow=np.sort(np.append(np.linspace(0.3 * stage.flow, 1.05 * chart.end_flow[nearest], CURVE - 1), stage.flow)),
        design_flow=stage.flow,
        speed=stage.speed,
        models=models,
    )
    work = required_work(inlet_state(point, site, inlet_velocity=choices.inlet_velocity))
    return Design(
        duty=duty,
        site=site,
        limits_asked=limits,
        drive=drive,
        choices=choices,
        models=models,
        design_index=design_index,
        blower=blower,
        stage=stage,
        points=points,
        map=chart,
        radial=radial_force(points.operation.stage),
        bands=spread,
        control=controls,
        conditions=conditions,
        form=form,
        site_curves=curves,
        running=running(
            blower,
            duty,
            site,
            points=points,
            chart=chart,
            line=nearest,
            control=controls,
            drive=drive,
            form=form,
            design_index=design_index,
            mechanical_efficiency=choices.mechanical_efficiency,
        ),
        limits=found,
        flags=flags_of(stage, points, chart, found, models, sized=sized is not None),
        sources={name: card(f) for name, f in models.functions().items()},
        specific_speed=specific_speed(speed=stage.speed, flow=stage.flow, work=work),
        specific_diameter=specific_diameter(diameter=2 * blower.impeller.r2, flow=stage.flow, work=work),
        sized=sized,
        estimated=estimated,
    )
