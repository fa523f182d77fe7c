"""Numbers as a reader wants them: the units of one system, spelled as in print, and the other system's beside where asked."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.core import quantities, units
from aerodesign.core.quantities import Quantity, quantity_of

KINDS: dict[str, Quantity] = {
    quantity.name: quantity for quantity in map(quantity_of, vars(quantities).values()) if quantity is not None
}
"""Quantities by name; two more kinds are made of them: "pressure rise" (its unit goes with the duty) and "percent"."""

SPELLED = {
    "m3/h": "m³/h", "cm2": "cm²", "in2": "in²", "degC": "°C", "degF": "°F", "deg": "°", "kg/m3": "kg/m³", "lb/ft3": "lb/ft³",
    "inH2O": "inH₂O", "m2/s": "m²/s",
}  # fmt: skip

LOW_RISE = 7000.0
"""Below it a fan engineer thinks in inches of water, above it in pounds: common practice, no source."""


@dataclass(frozen=True)
class Units:
    """The units that a page is written in: a system of :mod:`aerodesign.core.units` and the unit of pressure rises."""

    system: str = "si"
    rise: str = "kPa"

    @classmethod
    def of(cls, system: str, *, service: str, rise: float) -> "Units":
        """Units for a duty: a suction reads in inches of mercury and a fan's pressure in inches of water, where US units are asked."""
        if system not in units.SYSTEMS:
            allowed = ", ".join(units.SYSTEMS)
            raise units.UnitError(f"units = {system!r}: no such system of units; choose one of {allowed}")
        if system == "us":
            return cls("us", "inH2O" if rise < LOW_RISE else "inHg" if service == "vacuum" else "psi")
        return cls("si", "kPa")

    def name(self, kind: str) -> str:
        """The unit of a kind as the units table writes it; empty for plain numbers."""
        special = {"pressure rise": self.rise, "percent": "%"}
        return special[kind] if kind in special else units.unit_of(KINDS[kind], self.system)

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
        quantity = KINDS[{"pressure rise": "pressure", "percent": "ratio"}.get(kind, kind)]
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
        rise = {"kPa": "psi", "psi": "kPa", "inHg": "kPa", "inH2O": "kPa"}[self.rise]
        return Units("us" if self.system == "si" else "si", rise)
