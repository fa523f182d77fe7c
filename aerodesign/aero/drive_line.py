"""From the wheel's shaft to the wire: transmission, motor, and what of the electrical power reaches the air."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from aerodesign.aero.choices import Drive
from aerodesign.aero.points import Points
from aerodesign.core.book import Book, Step
from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.errors import CaseError
from aerodesign.core.limit import Limit, guideline
from aerodesign.core.quantities import Count, Current, Force, Power, Ratio, Speed, Voltage
from aerodesign.form import BeltForm, MotorForm
from aerodesign.machine import belt as belts
from aerodesign.machine import fan_energy_index as index
from aerodesign.machine import motor as motors
from aerodesign.machine.drive import DRIVES, motor_power, synchronous_speed, wire_power, wire_to_air
from aerodesign.machine.motor_tables import IEC_CURVE, IEC_SOURCE, NEC_SOURCE, NEMA_SOURCE

SIXTY = 55.0
"""Supplies above this frequency in Hz are taken as American ones."""


@dataclass(frozen=True)
class DriveLine:
    """The drive at the duty points (arrays of their number), and the motor's plate.

    ``standard`` is "IEC" or "NEMA", or "" for the motor of a wheel that an inverter turns: no table is made for it, its
    efficiency counts the inverter and is that at ``full_load``, the design point. ``table_current`` is that of the NEC, nan
    where its table has none. ``energy_index`` is that of AMCA 208.
    """

    kind: str
    standard: str
    grade: str
    poles: Count
    motor_speed: Speed
    rated: Power
    full_load: Power
    efficiency: Ratio
    voltage: Voltage
    current: Current
    table_current: Current
    transmission_efficiency: Ratio
    belt: belts.Belt | None
    motor_power: Power
    wire_power: Power
    wire_to_air: Ratio
    energy_index: Ratio
    findings: list[Limit]
    steps: Mapping[str, Step]

    def wire(self, shaft_power: Power) -> Power:
        """Electrical power for any power at the wheel's shaft, part load counted."""
        at_motor = motor_power(shaft_power=shaft_power, transmission_efficiency=self.transmission_efficiency)
        load = at_motor / self.full_load
        return wire_power(
            motor_power=at_motor, motor_efficiency=motors.part_load_efficiency(efficiency=self.efficiency, load=load)
        )


def transmission_efficiency(kind: str, belt: BeltForm) -> Ratio:
    """Part of the motor's power that reaches the wheel's shaft."""
    return 1 - belt.loss if kind == "belt" else 1.0 if kind == "inverter" else DRIVES[kind].efficiency


def whole_efficiency(kind: str, belt: BeltForm) -> Ratio:
    """The same, down to the supply where the drive is an inverter: its motor has no plate of its own."""
    return DRIVES[kind].efficiency if kind == "inverter" else transmission_efficiency(kind, belt)


def drive_line(
    points: Points,
    *,
    drive: Drive,
    motor: MotorForm,
    belt: BeltForm,
    design_index: int,
    largest: Power,
    pull: Force = np.nan,
) -> DriveLine:
    """The drive of one machine at its duty points; ``largest`` is the greatest shaft power that it meets at its speed.

    ``pull`` is that of the belt on its shafts where the case gives one; else it follows from the belt.

    Raises CaseError for a motor below the duty's power and for a belt that cannot be.
    """
    book, design = Book(), points[design_index]
    kept = transmission_efficiency(drive.kind, belt)
    at_motor = book.note(
        "motor_power", motor_power, shaft_power=points.shaft_power, transmission_efficiency=kept, source=PRACTICE
    )

    standard, poles, speed = _motor_asked(drive, motor, design.speed)
    rated, full_load = _rated(book, motor, standard, drive, needed=np.max(at_motor), design=at_motor[design_index])
    efficiency, grade, source = _efficiency(book, motor, standard, drive, rated=rated, poles=poles)

    found = book.note(
        "motor_efficiency",
        motors.part_load_efficiency,
        efficiency=efficiency,
        load=at_motor / full_load,
        source=PRACTICE,
    )
    wire = book.note("wire_power", wire_power, motor_power=at_motor, motor_efficiency=found)
    operation = points.operation
    book.note("wire_to_air", wire_to_air, air_power=points.efficiency * operation.stage.power, wire_power=wire)
    book.note(
        "fan_energy_index", index.fan_energy_index, flow=operation.flow, rise_total=operation.stage.rise_total,
        density=operation.stage.mass_flow / operation.flow, power=wire, source=index.SOURCE,
    )  # fmt: skip

    usual = 460.0 if drive.frequency > SIXTY else 400.0
    voltage = usual if np.isnan(motor.voltage) else motor.voltage
    current = book.note(
        "full_load_current",
        motors.full_load_current,
        power=rated,
        voltage=voltage,
        efficiency=efficiency,
        power_factor=motor.power_factor,
    )
    by_table = (
        book.note("table_current", motors.nec_current, power=rated, voltage=voltage, source=NEC_SOURCE)
        if standard == "NEMA"
        else np.nan
    )
    running = (
        _belt(book, belt, design=design, power=at_motor[design_index] * kept, motor_speed=speed, pull=pull)
        if drive.kind == "belt"
        else None
    )
    findings = [
        guideline(
            "motor's power over the largest of the duty points", rated / np.max(at_motor), low=1 + motor.reserve - 1e-9,
            advice="a larger motor, or less reserve",
        ),
        guideline(
            "motor's power over the largest at full speed", rated * kept / largest, low=1.0,
            advice="a larger motor, or a control that keeps the machine off the open end of its line",
        ),
        *(_belt_findings(running, belt) if running is not None else []),
    ]  # fmt: skip
    if standard:
        largest_size = motors.STANDARDS[standard][-1]
        findings += [
            guideline("load of the motor at the least duty", np.min(at_motor) / rated, low=0.25, source=PRACTICE, advice="a smaller motor"),
            guideline(
                "motor's power over the largest standard size", rated / largest_size, high=1 + 1e-9, source=source,
                advice="a motor made to order; its efficiency is the maker's to say",
            ),
        ]  # fmt: skip
    return DriveLine(
        kind=drive.kind, standard=standard, grade=grade, poles=poles, motor_speed=speed, rated=rated, full_load=full_load,
        efficiency=efficiency, voltage=voltage, current=current, table_current=by_table, transmission_efficiency=kept, belt=running,
        motor_power=at_motor, wire_power=wire, wire_to_air=book.steps["wire_to_air"].value,
        energy_index=book.steps["fan_energy_index"].value, findings=findings, steps=book.steps,
    )  # fmt: skip


def _motor_asked(drive: Drive, motor: MotorForm, wheel_speed: Speed) -> tuple[str, int, Speed]:
    """The motor's standard, poles and speed at full load."""
    usual = "NEMA" if drive.frequency > SIXTY else "IEC"
    standard = usual if motor.standard == "supply" else motor.standard
    if drive.kind == "inverter":
        return "", 2, wheel_speed
    if drive.kind == "direct":
        poles = 2 * max(1, round(float(2 * np.pi * drive.frequency * (1 - drive.slip) / wheel_speed)))
        return standard, poles, wheel_speed
    poles = 2 if np.isnan(drive.poles) else int(drive.poles)
    return standard, poles, synchronous_speed(frequency=drive.frequency, poles=poles) * (1 - drive.slip)


def _rated(
    book: Book, motor: MotorForm, standard: str, drive: Drive, *, needed: Power, design: Power
) -> tuple[Power, Power]:
    """The motor's rated power, and the load at which its efficiency is known."""
    reserved = needed * (1 + motor.reserve)
    if not np.isnan(motor.rated):
        if motor.rated < needed:
            raise CaseError(
                f"motor.rated = {motor.rated / 1e3:.4g} kW: is less than the {needed / 1e3:.4g} kW that the duty takes at the motor's "
                "shaft; give a larger one or take the key out"
            )
        rated = motor.rated
    elif standard:
        rated = book.note(
            "rated",
            motors.standard_size,
            power=reserved,
            standard=standard,
            source=IEC_SOURCE if standard == "IEC" else NEMA_SOURCE,
        )
        # Beyond the largest standard size motors are built to order.
        rated = float(reserved) if np.isnan(rated) else float(rated)
    else:
        rated = float(reserved)
    return rated, rated if standard else float(design)


def _efficiency(
    book: Book, motor: MotorForm, standard: str, drive: Drive, *, rated: Power, poles: int
) -> tuple[Ratio, str, Source]:
    """Full-load efficiency, its class and the source; of a wheel on an inverter that of common practice for both."""
    if not standard:
        return DRIVES[drive.kind].efficiency, "with its inverter", PRACTICE
    if standard == "NEMA":
        found = book.note(
            "full_load_efficiency", motors.nema_premium_efficiency, power=rated, poles=poles, source=NEMA_SOURCE
        )
        if not np.isnan(found):
            return float(found), "NEMA Premium", NEMA_SOURCE
    source = IEC_CURVE if poles == 2 else IEC_SOURCE
    found = book.note(
        "full_load_efficiency",
        motors.iec_efficiency,
        power=max(rated, 120.0),
        ie_class=motor.efficiency_class,
        poles=poles,
        source=source,
    )
    return float(found), motor.efficiency_class, source


def _belt(book: Book, belt: BeltForm, *, design: Points, power: Power, motor_speed: Speed, pull: Force) -> belts.Belt:
    """The belt at the design point, with the ``pull`` on its shafts that the case gives, if any.

    Raises CaseError for one that its kind does not bear or that cannot be laid.
    """
    kind = belts.BELTS[belt.kind]
    pulley = belts.wheel_pulley(kind=belt.kind, speed=design.speed, pulley=belt.pulley)
    motor_pulley, velocity = pulley * design.speed / motor_speed, belts.belt_speed(pulley=pulley, speed=design.speed)
    asked = f"belt.pulley = {1e3 * belt.pulley:.4g} mm"
    if not np.isnan(belt.pulley) and velocity > kind.speed:
        raise CaseError(
            f"{asked}: runs the belt at {velocity:.4g} m/s, a {belt.kind} belt bears {kind.speed:.4g} m/s; take at most "
            f"{2e3 * kind.speed / design.speed:.4g} mm, another kind of belt or a gear"
        )
    least = (pulley + motor_pulley) / 2
    if belt.centre <= least:
        raise CaseError(
            f"belt.centre = {1e3 * belt.centre:.4g} mm: the pulleys of {1e3 * pulley:.4g} and {1e3 * motor_pulley:.4g} mm would touch; "
            f"take more than {1e3 * least:.4g} mm"
        )
    running = book.note(
        "belt", belts.run_belt, kind=belt.kind, power=power, speed=design.speed, motor_speed=motor_speed, pulley=belt.pulley,
        centre=belt.centre, width=belt.width, loss=belt.loss, source=PRACTICE,
    )  # fmt: skip
    return running if np.isnan(pull) else running.but(pull=pull)


def _belt_findings(running: belts.Belt, form: BeltForm) -> list[Limit]:
    kind = belts.BELTS[form.kind]
    return [
        guideline("belt speed", running.speed, high=kind.speed, quantity="velocity", advice="a smaller pulley on the wheel, or a gear"),
        guideline("wrap of the small pulley", running.wrap, low=belts.LEAST_WRAP, quantity="angle", advice="centres further apart"),
        guideline("bends of the belt a second", running.bends, high=kind.bends, quantity="frequency", advice="centres further apart"),
        guideline(
            "pull of the belt over what its width bears", running.tight / (kind.pull * running.width), high=1.0 + 1e-9,
            advice="a wider belt, or a larger pulley",
        ),
    ]  # fmt: skip
