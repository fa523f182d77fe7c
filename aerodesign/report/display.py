"""Numbers as a reader wants them: the units of one system, spelled as in print, and the other system's beside where asked."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from aerodesign.core import quantities, units
from aerodesign.core.errors import UnitError
from aerodesign.core.quantities import Quantity, quantity_of

KINDS: dict[str, Quantity] = {
    quantity.name: quantity for quantity in map(quantity_of, vars(quantities).values()) if quantity is not None
}
"""Quantities by name; more kinds are made of them: "pressure rise" (its unit goes with the duty), and those of :data:`MADE`."""

MADE: dict[str, tuple[str, dict[str, str]]] = {
    "percent": ("ratio", {"si": "%", "us": "%"}),
    "vibration": ("velocity", {"si": "mm/s", "us": "in/s"}),
}
"""Kinds with other units than their quantity has by itself: the quantity, and the unit in each system."""

SPELLED = {
    "m3/h": "m³/h", "cm2": "cm²", "in2": "in²", "degC": "°C", "degF": "°F", "degR": "°R", "deg": "°", "kg/m3": "kg/m³", "lb/ft3": "lb/ft³",
    "inH2O": "inH₂O", "m2/s": "m²/s", "N/um": "N/µm", "kg m2": "kg m²", "lb ft2": "lb ft²",
}  # fmt: skip

FAN_RISE = {"si": 2000.0, "us": 7000.0}
"""Below these pressures in Pa an engineer thinks in pascals or inches of water: common practice, no source."""

SMALL_POWER = 500.0
"""Below it watts are shown instead of kilowatts."""


@dataclass(frozen=True)
class Units:
    """The units that a page is written in: a system of :mod:`aerodesign.core.units`, the units of pressure rises and of
    power by the size of the machine.
    """

    system: str = "si"
    service: str = "pressure"
    rise: float = 20e3
    power: float = 20e3

    def __post_init__(self) -> None:
        if self.system not in units.SYSTEMS:
            allowed = ", ".join(units.SYSTEMS)
            raise UnitError(f"units = {self.system!r}: no such system of units; choose one of {allowed}")

    def name(self, kind: str) -> str:
        """The unit of a kind as the units table writes it; empty for plain numbers."""
        if kind == "pressure rise":
            return self._rise_unit
        if kind == "power" and self.system == "si" and self.power < SMALL_POWER:
            return "W"
        return MADE[kind][1][self.system] if kind in MADE else units.unit_of(KINDS[kind], self.system)

    @property
    def _rise_unit(self) -> str:
        fan = self.rise < FAN_RISE[self.system]
        if self.system == "us":
            return "inH2O" if fan else "inHg" if self.service == "vacuum" else "psi"
        return "Pa" if fan else "kPa"

    def label(self, kind: str) -> str:
        """The unit of a kind as printed on axes and in table heads: ``m³/h``, ``°C``."""
        return SPELLED.get(self.name(kind), self.name(kind))

    def value(self, values: Any, kind: str) -> Any:
        """SI values as plain numbers in the unit of their kind; arrays stay arrays."""
        name = self.name(kind)
        return units.UNITS[name].from_si(values) if name else np.asarray(values)[()]

    def number(self, value: Any, kind: str, digits: int | None = None) -> str:
        """An SI value as text without its unit; words pass through."""
        if isinstance(value, str):
            return value
        if isinstance(value, (bool, np.bool_)):
            return "yes" if value else "no"
        quantity = KINDS["pressure" if kind == "pressure rise" else MADE[kind][0] if kind in MADE else kind]
        name = self.name(kind)
        digits = digits or {"percent": 3, "angle": 3, "ratio": 3}.get(kind, 4)
        text = units.format(float(value), quantity, name, digits=digits)
        return text.removesuffix(name).strip()

    def text(self, value: Any, kind: str, digits: int | None = None) -> str:
        """An SI value as text with its unit."""
        number, label = self.number(value, kind, digits), self.label(kind)
        return number if not label or number == "-" else f"{number}{'' if label == '°' else ' '}{label}"

    @property
    def other(self) -> "Units":
        """The other system, for the value in brackets beside the answer."""
        return replace(self, system="us" if self.system == "si" else "si")
