"""Machines that a blower may replace, each by its kind's curve of efficiency: common practice, no source, no maker's machine.

Efficiency is isentropic, on the shaft of the machine, bearings and internal gears counted.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.quantities import Power, Ratio

FLOWS = np.array([0.25, 0.5, 0.75, 1.0, 1.1])
"""Flows over the rated one at which a kind's efficiency is known; beyond them the last holds."""


@dataclass(frozen=True)
class Kind:
    """A kind of machine: its best efficiency, and the parts of it that are left at :data:`FLOWS` with its usual control."""

    name: str
    efficiency: float
    parts: tuple[float, ...]
    control: str


KINDS = {
    kind.name: kind
    for kind in (
        Kind("worn blower", 0.50, (0.45, 0.75, 0.93, 1.0, 0.98), "throttled at a fixed speed, clearances worn"),
        Kind("regenerative", 0.40, (0.25, 0.50, 0.75, 1.0, 0.98), "blows off what is not wanted: its power stays"),
        Kind("positive displacement", 0.58, (0.70, 0.88, 0.97, 1.0, 0.99), "follows by speed, inner leakage stays"),
        Kind("multistage", 0.68, (0.40, 0.72, 0.92, 1.0, 0.98), "throttled at its inlet at a fixed speed"),
    )
}


def efficiency_at(flow_ratio: Ratio, *, kind: str, best: Ratio) -> Ratio:
    """Efficiency of a kind of machine at a part of its rated flow, straight between the known points."""
    return best * np.interp(flow_ratio, FLOWS, KINDS[kind].parts)


def shaft_power(*, air_power: Power, efficiency: Ratio) -> Power:
    """Power that a machine takes for an isentropic power of the air."""
    return air_power / efficiency


def power_saved(*, before: Ratio, after: Ratio) -> Ratio:
    r"""Part of the power that a better efficiency saves at the same duty, :math:`1 - \eta_0/\eta_1`."""
    return 1 - before / after
