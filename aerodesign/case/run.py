"""A case put to work: sized, or rated where it describes a machine."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.design import Design, Progress, analyse, design, silent
from aerodesign.aero.duty import Duty, Inlet
from aerodesign.aero.impeller import Blower
from aerodesign.aero.limits import check
from aerodesign.aero.operation import inlet_density, inlet_state
from aerodesign.aero.proposal import chosen_section
from aerodesign.aero.rating import given_machine
from aerodesign.case.calibration_file import CALIBRATION, calibrated_models, uncalibrated_models
from aerodesign.case.comparison import Comparison, compare
from aerodesign.case.contents import Case
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import MassFlow
from aerodesign.geometry.look import look_inside


@dataclass(frozen=True)
class Rated:
    """A rated machine: the design record where the case has a duty, and the comparisons with measurements."""

    design: Design
    comparisons: tuple[Comparison, ...]


def design_case(case: Case, *, progress: Progress = silent) -> Design:
    """Size a blower for a case. Raises CaseError where it has no duty, InfeasibleDuty where no single stage meets it."""
    if case.duty is None:
        raise CaseError(f"{case.path or case.title}: has no [duty] to design for; add one, or use 'aerodesign rate'")
    with case.locating():
        return design(
            case.duty,
            case.site,
            limits=case.limits,
            drive=case.drive,
            choices=case.choices,
            system=case.system,
            conditions=case.conditions,
            form=case.form,
            models=calibrated_models(case.models),
            design_index=case.design_index,
            look=look_inside(case.form.blade),
            progress=progress,
        )


def rate_case(case: Case, *, progress: Progress = silent) -> Rated:
    """Analyse the machine that a case describes. The design point is that of its duty, else the middle of its measurements.

    Raises CaseError where it describes no machine or leaves no flow to run it at.
    """
    if case.given is None:
        raise CaseError(
            f"{case.path or case.title}: has no [rate] that describes a machine; add one, or use 'aerodesign design'"
        )
    progress("rating")
    duty, index, models = _duty(case), case.design_index, calibrated_models(case.models)
    point = duty[index]
    inlet = inlet_state(point, case.site, inlet_velocity=case.choices.inlet_velocity)
    blower, estimated = described_machine(case, inlet=inlet, mass_flow=point.mass_flow)
    state: dict[str, Any] = dict(
        gas=inlet.gas, pt0=inlet.pt0, Tt0=inlet.Tt0, mass_flow=point.mass_flow, speed=case.given.speed
    )
    stage = meanline.solve(blower, **state, models=models)
    if CALIBRATION not in case.models:  # else a test has measured it
        models = models.distorted(look_inside(case.form.blade)(stage).distortion)
        stage = meanline.solve(blower, **state, models=models)
    found = check(stage, limits=case.limits, drive=case.drive, choices=case.choices, rise=point.pressure_rise)
    with case.locating():
        rated = analyse(
            blower,
            stage,
            duty,
            case.site,
            limits=case.limits,
            drive=case.drive,
            choices=case.choices,
            system=case.system,
            conditions=case.conditions,
            form=case.form,
            models=models,
            design_index=index,
            found=found,
            estimated=estimated,
            progress=progress,
        )
    compared = tuple(
        compare(case, rated.blower, speed=rated.stage.speed, models=models, measured=measured)
        for measured in case.measured
    )
    return Rated(design=rated, comparisons=compared)


def described_machine(case: Case, *, inlet: Inlet, mass_flow: MassFlow) -> tuple[Blower, tuple[str, ...]]:
    """The flow path that a case describes in [rate], and the names of what was estimated: by us for a mass flow, or by the case.

    A calibration has no part in the estimates: the machine is the same before and after its test.
    """
    given = case.given
    if given is None:
        raise CaseError(
            f"{case.path or case.title}: has no [rate] that describes a machine; add one, or use 'aerodesign design'"
        )
    blower, estimated = given_machine(
        given.parts,
        section=chosen_section(case.choices),
        gas=inlet.gas,
        density=inlet_density(inlet),
        mass_flow=mass_flow,
        speed=given.speed,
        models=uncalibrated_models(case.models),
    )
    return blower, tuple(dict.fromkeys((*estimated, *given.estimated)))


def _duty(case: Case) -> Duty:
    """The case's duty, or the measured point of middle flow in its place."""
    if case.duty is not None:
        return case.duty
    vacuum = case.service == "vacuum"
    for measured in case.measured:
        flow = np.atleast_1d(measured.flow)
        rise = np.where(
            np.isfinite(measured.pressure_rise),
            measured.pressure_rise,
            case.site.pressure * (1 - 1 / measured.pressure_ratio if vacuum else measured.pressure_ratio - 1),
        )
        rise = np.broadcast_to(rise, flow.shape)
        known = np.isfinite(rise) & (rise > 0)
        if known.any():
            middle = np.flatnonzero(known)[known.sum() // 2]
            breathed = case.site.pressure - (rise[middle] if vacuum else 0.0)
            density = breathed / (case.site.gas.R * case.site.temperature)
            return Duty(
                flow=flow[middle : middle + 1],
                mass_flow=density * flow[middle : middle + 1],
                pressure_rise=rise[middle : middle + 1],
                service=case.service,
                basis="total",
            )
    raise CaseError(f"{case.path or case.title}: give a [duty], or [[measured]] points, to run the machine at")
