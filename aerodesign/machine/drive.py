"""How the wheel is driven: which speeds a drive offers, and what it loses."""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.quantities import Count, Frequency, Power, Ratio, Speed, Values


@dataclass(frozen=True)
class DriveKind:
    """A kind of drive: the fastest wheel speed (rad/s) and the efficiency between motor shaft (or supply) and wheel."""

    name: str
    fastest: float
    efficiency: float
    note: str


RPM = np.pi / 30

DRIVES = {
    kind.name: kind
    for kind in (
        DriveKind("direct", 3600 * RPM, 1.0, "wheel on the motor's shaft or coupled, at a speed of the supply"),
        DriveKind("belt", 12000 * RPM, 0.96, "flat or poly-V belt step-up"),
        DriveKind("gear", 45000 * RPM, 0.97, "step-up gear"),
        DriveKind("inverter", 60000 * RPM, 0.92, "high-speed motor on an inverter, 8 % lost in both: common practice"),
    )
}
"""Speeds and efficiencies of common practice, no source."""


def synchronous_speed(*, frequency: Frequency, poles: Count) -> Speed:
    """Speed of the rotating field, 4 pi f / poles."""
    return 4 * np.pi * frequency / poles


def fastest_speed(*, kind: str, frequency: Frequency, slip: Ratio) -> Speed:
    """Fastest wheel speed of a kind of drive; of a direct one, that of a two-pole motor on its supply."""
    direct = synchronous_speed(frequency=frequency, poles=2) * (1 - slip)
    return direct if kind == "direct" else DRIVES[kind].fastest


def supply_speeds(*, frequency: Frequency, slip: Ratio, poles: tuple[int, ...] = (2, 4, 6)) -> Values:
    """Full-load speeds of induction motors on a supply, fastest first; shape ``(len(poles),)``."""
    return synchronous_speed(frequency=frequency, poles=np.array(poles, dtype=float)) * (1 - slip)


CONVERTER_EFFICIENCY = 0.97
"""Efficiency of an inverter alone at a good load: common practice, no source."""


def motor_power(*, shaft_power: Power, transmission_efficiency: Ratio) -> Power:
    """Power at the motor's shaft for one at the wheel's."""
    return shaft_power / transmission_efficiency


def wire_power(*, motor_power: Power, motor_efficiency: Ratio) -> Power:
    """Electrical power for one at the motor's shaft; with an inverter its loss is in the motor's efficiency."""
    return motor_power / motor_efficiency


def wire_to_air(*, air_power: Power, wire_power: Power) -> Ratio:
    """Isentropic power of the gas over electrical power."""
    return air_power / wire_power
