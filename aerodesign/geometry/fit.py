"""Whether the machine fits the place of an existing one: envelope, shaft height, flanges; over the flow path and a given room.

Seen along the shaft so that the wheel turns counter-clockwise; x across, y up, the shaft at the origin.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.limit import Limit, guideline
from aerodesign.core.quantities import Length
from aerodesign.form import FitForm
from aerodesign.geometry.discharge import Plan, discharge, plan
from aerodesign.machine.asme_flanges import STANDARDS, TUBES, flange_of, nearest_size
from aerodesign.machine.flanges import Flange

ASKED = Source("the case", None, "table [fit]")
ALIKE = 0.10
"""Bores that differ by no more than this part are joined without a reducer: common practice, no source."""


@dataclass(frozen=True)
class Connection:
    """A flange of the machine: its clear bore, the nearest nominal size with its flange (None where the standard ends) and tube."""

    name: str
    bore: Length
    nominal: int
    flange: Flange | None
    tube: Length
    standard: str
    source: Source


@dataclass(frozen=True)
class Fit:
    """The machine in its place; ``outline`` is the flow path as it stands, ``across`` and ``tall`` count the room beyond it.

    ``tall`` counts from the floor where the height of the shaft is given.
    """

    outline: Plan
    across: Length
    tall: Length
    below: Length
    discharge_x: Length
    discharge_y: Length
    connections: tuple[Connection, ...]
    findings: list[Limit]

    @property
    def asked(self) -> bool:
        """True where the case names anything to fit."""
        return bool(self.findings)


def fit(blower: Blower, form: FitForm) -> Fit:
    """Hold a machine against the place that a case describes."""
    flow_path, exit_ = plan(blower.volute, blower.diffuser), discharge(blower.volute, blower.diffuser)
    turned = _turned(flow_path.x, flow_path.y, form.orientation)
    mouth = _turned(exit_.axis, exit_.flange_distance, form.orientation)
    across = np.ptp(turned.x, axis=0) + 2 * form.room
    below = -np.min(turned.y, axis=0) + form.room
    # With the shaft at a given height the machine does not end where its casing does.
    tall = np.max(turned.y, axis=0) + form.room + (below if np.isnan(form.shaft_height) else form.shaft_height)
    bores = {"inlet": 2 * blower.r0, "discharge": 2 * blower.volute.r5}

    def placed(name: str, value: Length, wanted: Length) -> Limit:
        return guideline(
            name, value, low=wanted - form.tolerance, high=wanted + form.tolerance, quantity="length", source=ASKED,
            advice="a piece of pipe between both flanges, or the machine turned and set anew",
        )  # fmt: skip

    def at_most(name: str, value: Length, most: Length, advice: str) -> Limit:
        return guideline(name, value, high=most, quantity="length", source=ASKED, advice=advice)

    found = [
        (form.across, at_most("size across", across, form.across, "a smaller diffuser ratio, or a higher speed")),
        (form.tall, at_most("height", tall, form.tall, "a wider exit cone, or a smaller diffuser ratio")),
        (form.shaft_height, at_most("below the shaft", below, form.shaft_height, "a pedestal, or another orientation")),
        (form.discharge_offset, placed("discharge flange across from the shaft", mouth.x, form.discharge_offset)),
        (form.discharge_height, placed("discharge flange over the shaft", mouth.y, form.discharge_height)),
    ]
    for name, existing in (("inlet", form.inlet_bore), ("discharge", form.discharge_bore)):
        finding = guideline(
            f"bore at the {name}", bores[name], low=(1 - ALIKE) * existing, high=(1 + ALIKE) * existing, quantity="length", source=PRACTICE,
            advice=f"a reducer, or another {name} velocity",
        )  # fmt: skip
        found.append((existing, finding))
    return Fit(
        outline=turned, across=across, tall=tall, below=below, discharge_x=mouth.x, discharge_y=mouth.y,
        connections=tuple(_connection(name, float(bore), form.flanges) for name, bore in bores.items()),
        findings=[finding for asked, finding in found if not np.isnan(asked)],
    )  # fmt: skip


def _turned(x: Length, y: Length, angle: float) -> Plan:
    """Points turned counter-clockwise about the shaft."""
    c, s = np.cos(angle), np.sin(angle)
    return Plan(x=c * x - s * y, y=s * x + c * y)


def _connection(name: str, bore: Length, standard: str) -> Connection:
    nominal = nearest_size(bore)
    return Connection(
        name, bore, nominal, flange_of(standard, nominal), TUBES[nominal] / 1e3, standard, STANDARDS[standard][1]
    )
