"""Whether the machine fits the place of an existing one: envelope with walls, flanges and feet, shaft height, connections.

Seen from the side of the drive; x across to the right, y up, the shaft at the origin.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.impeller import Blower
from aerodesign.core.correlation import PRACTICE, Source
from aerodesign.core.limit import Limit, guideline
from aerodesign.core.quantities import Angle, Length, Values
from aerodesign.form import CasingForm, FitForm
from aerodesign.form.casing import POSITIONS
from aerodesign.geometry.casing import FREE_HEIGHT, LEAST_HEIGHT, casing_sizes
from aerodesign.geometry.discharge import Plan, behind_bend, discharge, plan
from aerodesign.machine.asme_flanges import TUBES, flange_of, nearest_size, source_of
from aerodesign.machine.flanges import Flange, flange_for

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
    """The machine in its place; ``outline`` is the flow path as it stands, ``across`` and ``tall`` count its walls and flanges and the room
    wanted. ``facing`` is where the discharge faces, from straight up, counter-clockwise.

    ``low`` and ``high`` (x, y) are the corners of what walls and flanges reach; ``below`` reaches to the feet's soles where the casing
    has feet. ``tall`` counts from the floor where the height of the shaft is given.
    """

    outline: Plan
    across: Length
    tall: Length
    below: Length
    low: Values
    high: Values
    facing: Angle
    discharge_x: Length
    discharge_y: Length
    connections: tuple[Connection, ...]
    findings: list[Limit]

    @property
    def asked(self) -> bool:
        """True where the case names anything to fit."""
        return bool(self.findings)


def fit(blower: Blower, form: FitForm, casing: CasingForm | None = None) -> Fit:
    """Hold a machine in a casing against the place that a case describes."""
    casing = casing or CasingForm()
    stands = form.orientation + POSITIONS.index(casing.position) * np.pi / 4
    flow_path = plan(blower.volute, blower.diffuser, turn=casing.discharge_turn)
    turned = _turned(casing, flow_path.x, flow_path.y, stands)
    mouth = _flange_line(blower, casing, np.zeros(1), stands)
    low, high = _outside(blower, casing, turned, stands)
    across = high[0] - low[0] + 2 * form.room
    below = np.maximum(-low[1], _soles(casing, -low[1])) + form.room
    # With the shaft at a given height the machine does not end where its casing does.
    tall = high[1] + form.room + (below if np.isnan(form.shaft_height) else form.shaft_height)
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
        (form.discharge_offset, placed("discharge flange across from the shaft", mouth.x[0], form.discharge_offset)),
        (form.discharge_height, placed("discharge flange over the shaft", mouth.y[0], form.discharge_height)),
    ]
    for name, existing in (("inlet", form.inlet_bore), ("discharge", form.discharge_bore)):
        finding = guideline(
            f"bore at the {name}", bores[name], low=(1 - ALIKE) * existing, high=(1 + ALIKE) * existing, quantity="length", source=PRACTICE,
            advice=f"a reducer, or another {name} velocity",
        )  # fmt: skip
        found.append((existing, finding))
    return Fit(
        outline=turned, across=across, tall=tall, below=below, low=low, high=high, facing=_hand(casing) * (stands + casing.discharge_turn),
        discharge_x=mouth.x[0], discharge_y=mouth.y[0],
        connections=tuple(_connection(name, float(bore), form.flanges) for name, bore in bores.items()),
        findings=[finding for asked, finding in found if not np.isnan(asked)],
    )  # fmt: skip


def _outside(blower: Blower, casing: CasingForm, flow_path: Plan, angle: float) -> tuple[Values, Values]:
    """Lowest and highest (x, y) of the casing: the flow path with its walls, and the discs of both flanges."""
    wall = float(casing_sizes(blower, casing).wall)
    reaches = [(flow_path.x, flow_path.y, wall)]
    flange = _radius(casing, 2 * float(blower.volute.r5) + 2 * wall)
    ends = _flange_line(blower, casing, flange * np.array([-1.0, 1.0]), angle)
    reaches.append((ends.x, ends.y, 0.0))
    reaches.append((np.zeros(1), np.zeros(1), _radius(casing, 2 * float(blower.r0) + 2 * wall)))
    low = np.array([[np.min(x) - r, np.min(y) - r] for x, y, r in reaches]).min(axis=0)
    high = np.array([[np.max(x) + r, np.max(y) + r] for x, y, r in reaches]).max(axis=0)
    return low, high


def _flange_line(blower: Blower, casing: CasingForm, across: Length, angle: float) -> Plan:
    """Points on the face of the discharge flange, ``across`` from its middle, in a casing turned by an angle.

    Behind a bend the flange stands on a straight piece as long as it is thick.
    """
    turn = float(casing.discharge_turn)
    line = behind_bend(discharge(blower.volute, blower.diffuser), turn)
    sizes = casing_sizes(blower, casing)
    tube = 2 * float(blower.volute.r5 + sizes.wall)
    neck = float(sizes.flange) if turn and _flanged(casing, tube) else 0.0
    c, s = np.cos(turn), np.sin(turn)
    return _turned(casing, line.x[-1] - neck * s + across * c, line.y[-1] + neck * c + across * s, angle)


def _flanged(casing: CasingForm, tube: float) -> Flange | None:
    return None if casing.flange == "tube" else flange_for(casing.flange, tube=tube)


def _radius(casing: CasingForm, tube: float) -> float:
    """Outside of the flange on a tube: of its standard, or the tube itself where there is none."""
    found = _flanged(casing, tube)
    return (found.outside if found else tube) / 2


def _soles(casing: CasingForm, reach: Length) -> Length:
    """How far the feet stand below the shaft; 0 without feet."""
    if casing.mount != "feet":
        return 0.0
    return (
        float(casing.centre_height)
        if casing.centre_height == casing.centre_height
        else reach + max(LEAST_HEIGHT, FREE_HEIGHT * reach)
    )


def _hand(casing: CasingForm) -> float:
    """1 where the wheel turns counter-clockwise, else -1."""
    return -1.0 if casing.rotation == "clockwise" else 1.0


def _turned(casing: CasingForm, x: Length, y: Length, angle: float) -> Plan:
    """Points of a casing for a wheel that turns counter-clockwise, of its own hand and turned with the rotation about the shaft."""
    c, s = np.cos(angle), np.sin(angle)
    return Plan(x=_hand(casing) * (c * x - s * y), y=s * x + c * y)


def _connection(name: str, bore: Length, standard: str) -> Connection:
    nominal = nearest_size(bore)
    return Connection(
        name, bore, nominal, flange_of(standard, nominal), TUBES[nominal] / 1e3, standard, source_of(standard, nominal)
    )
