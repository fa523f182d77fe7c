"""The machine of a case calibrated to a test of it."""

from dataclasses import replace

import numpy as np

from aerodesign.aero.calibration import FITTED, Calibration, calibrate
from aerodesign.aero.duty import Inlet
from aerodesign.aero.impeller import Blower
from aerodesign.aero.operation import inlet_state
from aerodesign.case.calibration_file import CALIBRATION, uncalibrated_models
from aerodesign.case.contents import Case
from aerodesign.case.points_file import TestFile
from aerodesign.case.run import described_machine, design_case
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Speed


def calibrate_case(case: Case, test: TestFile, *, coefficients: tuple[str, ...] = FITTED) -> Calibration:
    """Fit coefficients to test points of the machine that a case describes, or that its duty is sized to.

    An earlier calibration that the case names has no part in it. Pressure rise and efficiency are static or total as the
    test says, else as the duty, else total. Power measured at the shaft is lowered to the gas by the case's mechanical
    efficiency. Raises CaseError.
    """
    case = replace(case, models={name: value for name, value in case.models.items() if name != CALIBRATION})
    blower, speed = _machine(case, test)
    points = test.points.but(speed=np.where(np.isfinite(test.points.speed), test.points.speed, speed))
    if not np.all(np.isfinite(points.speed)):
        raise _no_speed(case)
    if test.power_at == "shaft":
        part = case.choices.mechanical_efficiency
        points = points.but(power=points.power * part, power_uncertainty=points.power_uncertainty * part)
    return calibrate(
        blower,
        case.site,
        service=case.service,
        basis=test.basis or (case.duty.basis if case.duty is not None else "total"),
        points=points,
        models=uncalibrated_models(case.models),
        coefficients=coefficients,
    )


def _machine(case: Case, test: TestFile) -> tuple[Blower, Speed]:
    """The machine and its speed; what [rate] leaves open is estimated for the duty, else for the test's middle flow."""
    if case.given is None:
        sized = design_case(case)
        return sized.blower, sized.speed
    if case.duty is not None:
        inlet, mass_flow = (
            inlet_state(case.design_duty, case.site, inlet_velocity=case.choices.inlet_velocity),
            case.design_duty.mass_flow,
        )
    else:
        site = case.site
        inlet = Inlet(pt0=site.pressure, Tt0=site.temperature, p5=site.pressure, gas=site.gas)
        mass_flow = float(np.median(test.points.flow)) * site.pressure / (site.gas.R * site.temperature)
    given, tested = case.given, test.points.column("speed")
    if not np.isfinite(given.speed) and not np.isfinite(tested).any():
        raise _no_speed(case)
    speed = given.speed if np.isfinite(given.speed) else float(np.nanmedian(tested))
    case = replace(case, given=replace(given, speed=speed))
    return described_machine(case, inlet=inlet, mass_flow=mass_flow)[0], given.speed


def _no_speed(case: Case) -> CaseError:
    return CaseError(
        f"{case.path or case.title}: [rate] gives no speed and the test has points without; add a column speed [rpm] to the test"
    )
