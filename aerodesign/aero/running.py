"""The machine as it is run: drive, sound, and a year of energy and money, from what the meanline found at its duty points."""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.choices import Drive
from aerodesign.aero.control import Control
from aerodesign.aero.drive_line import DriveLine, drive_line
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.money import Money, money
from aerodesign.aero.operation import flange_velocity, inlet_state, required_work
from aerodesign.aero.performance_map import Map
from aerodesign.aero.points import Points
from aerodesign.aero.sound import Sound, sound
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Ratio
from aerodesign.form import Form


@dataclass(frozen=True)
class Running:
    """Drive, sound and money of one machine."""

    drive_line: DriveLine
    sound: Sound
    money: Money

    @property
    def findings(self) -> list[Limit]:
        """What drive and sound were checked for."""
        return [*self.drive_line.findings, *self.sound.findings]


def running(
    blower: Blower, duty: Duty, site: Site, *, points: Points, chart: Map, line: int, control: Control, drive: Drive, form: Form,
    design_index: int, mechanical_efficiency: Ratio,
) -> Running:  # fmt: skip
    """Drive, sound and money of a machine; ``line`` is the map's line at the design speed.

    Raises CaseError for a motor or a belt that cannot be.
    """
    of_line = chart.operation.stage
    works = np.broadcast_to(of_line.solved, np.shape(chart.operation.flow))[line] & (
        chart.operation.pressure_rise[line] > 0
    )
    efficiency = (of_line.efficiency_static if duty.basis == "static" else of_line.efficiency_total)[line]
    best = np.max(np.where(works, efficiency, 0), initial=0.0)
    largest = np.max(np.where(works, of_line.power[line], 0), initial=0.0) / mechanical_efficiency

    driven = drive_line(
        points, drive=drive, motor=form.motor, belt=form.belt, design_index=design_index,
        largest=max(largest, points.shaft_power[design_index]), pull=form.rotor.belt_pull,
    )  # fmt: skip
    heard = sound(
        points,
        blades=blower.impeller.blades + blower.impeller.splitters,
        best=max(best, points.efficiency[design_index]),
        form=form.noise,
    )
    inlet = inlet_state(duty, site, inlet_velocity=flange_velocity(duty, site, blower.A0))
    year = money(
        points, wire_power=driven.wire_power, wire=driven.wire, control=control, air_power=np.atleast_1d(duty.mass_flow * required_work(inlet)),
        design_index=design_index, inverter=drive.kind == "inverter", form=form.money, replaces=form.replaces,
    )  # fmt: skip
    return Running(drive_line=driven, sound=heard, money=year)
