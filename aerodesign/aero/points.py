"""The duty points on the sized machine: by speed where the drive can change it, else by throttling."""

import numpy as np

from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import Operation, flange_velocity, inlet_density, inlet_state, operate
from aerodesign.core.quantities import Power, Pressure, Ratio, Speed, Temperature, Time, Values, VolumeFlow
from aerodesign.core.record import Record, record


@record
class Points(Record):
    """The duty points at work. ``shaft_power`` includes bearings; ``met`` tells whether the machine reaches the pressure.

    Where the speed is fixed the machine makes ``pressure_rise`` and the surplus over ``wanted`` is throttled away.
    """

    flow: VolumeFlow
    wanted: Pressure
    hours: Time
    speed: Speed
    pressure_rise: Pressure
    shaft_power: Power
    drive_power: Power
    efficiency: Ratio
    discharge_temperature: Temperature
    met: Values
    operation: Operation


def run_points(
    blower: Blower,
    duty: Duty,
    site: Site,
    *,
    design_speed: Speed,
    variable_speed: bool,
    fastest: Speed,
    mechanical_efficiency: Ratio,
    drive_efficiency: Ratio,
    models: Models,
) -> Points:
    """Run all duty points. With variable speed a secant on log speed against log pressure, ten passes, finds each speed."""
    wanted = np.atleast_1d(duty.pressure_rise)
    inlet = inlet_state(duty, site, inlet_velocity=flange_velocity(duty, site, blower.A0))
    flow = np.atleast_1d(duty.mass_flow / inlet_density(inlet))
    speed = design_speed + 0 * flow

    def run(speed: Speed) -> Operation:
        return operate(blower, site, service=duty.service, basis=duty.basis, flow=flow, speed=speed, models=models)

    operation = run(speed)
    if variable_speed:
        slope: Values = 2.0
        x, y = np.log(speed), np.log(np.maximum(operation.pressure_rise, 1.0) / wanted)
        for _ in range(10):
            x_new = np.clip(x - np.clip(y / slope, -0.3, 0.3), np.log(0.2 * design_speed), np.log(fastest))
            operation = run(np.exp(x_new))
            y_new = np.log(np.maximum(operation.pressure_rise, 1.0) / wanted)
            step = x_new - x
            slope = np.clip(np.where(np.abs(step) > 1e-12, (y_new - y) / np.where(step == 0, 1, step), 2.0), 0.7, 12)
            x, y = x_new, y_new
        speed = np.exp(x)
        met = np.abs(y) < 1e-6
    else:
        met = operation.pressure_rise >= wanted * (1 - 1e-6)
    stage = operation.stage
    shaft = stage.power / mechanical_efficiency
    efficiency = stage.efficiency_static if duty.basis == "static" else stage.efficiency_total
    return Points(
        flow=np.atleast_1d(duty.flow),
        wanted=wanted,
        hours=np.broadcast_to(duty.hours, flow.shape),
        speed=speed,
        pressure_rise=operation.pressure_rise,
        shaft_power=shaft,
        drive_power=shaft / drive_efficiency,
        efficiency=efficiency,
        discharge_temperature=stage.T5,
        met=met & stage.solved,
        operation=operation,
    )
