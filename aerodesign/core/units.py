"""Units at the edge: "1800 cfm" to 0.8495 m3/s and back. Inside, everything is SI and no unit exists.

Three traps of the trade are kept apart here. A pressure may be a difference, gauge, absolute or vacuum, and a volume
flow actual, standard or normal: that ``reference`` is part of what is parsed, never guessed. Decimal commas are
refused, because ``3,5`` has two meanings. Upper and lower case is forgiven only where nothing else is meant (mPa, MPa).
"""

import math
import re
from dataclasses import dataclass, replace
from typing import Any

from aerodesign.core.errors import UnitError
from aerodesign.core.quantities import Quantity
from aerodesign.core.texts import did_you_mean, nearest, printed

UNSPECIFIED, GAUGE, ABSOLUTE, VACUUM = "unspecified", "gauge", "absolute", "vacuum"
ACTUAL, STANDARD, NORMAL = "actual", "standard", "normal"


@dataclass(frozen=True)
class Unit:
    """A unit of a quantity: SI value = (number + offset) * factor. ``reference`` says what the number counts from."""

    name: str
    quantity: str
    factor: float
    offset: float = 0.0
    reference: str = UNSPECIFIED

    def to_si(self, number: Any) -> Any:
        """SI values of numbers in this unit."""
        return (number + self.offset) * self.factor

    def from_si(self, value: Any) -> Any:
        """Numbers in this unit of SI values."""
        return value / self.factor - self.offset


@dataclass(frozen=True)
class Parsed:
    """What a string said: the value in SI units, the quantity's name, what it counts from, and the unit's name."""

    value: float
    quantity: str
    reference: str
    unit: str


FOOT, POUND, G = 0.3048, 0.45359237, 9.80665
PSI = POUND * G / 0.0254**2
CUBIC_FOOT = FOOT**3
BTU = 1055.05585262

# Quantity, names (the first is printed), factor to SI, offset, reference. Factors: SI brochure and NIST SP 811 (from
# memory), which make all of them exact numbers; water at its conventional 1000 kg/m3 (4 C), mercury at 13 595.1 kg/m3.
ROWS: tuple[tuple[Any, ...], ...] = (
    ("ratio", "%, percent", 0.01),
    ("level", "dB, dB(A), dBA", 1.0),
    ("angle", "deg, degree, degrees, °", math.pi / 180),
    ("angle", "rad", 1.0),
    ("length", "m, metre, meter", 1.0),
    ("length", "mm", 1e-3),
    ("length", "cm", 1e-2),
    ("length", "um, micron", 1e-6),
    ("length", 'in, inch, inches, "', 0.0254),
    ("length", "ft, feet, foot, '", FOOT),
    ("length", "thou, mil", 0.0254e-3),
    ("area", "m2", 1.0),
    ("area", "cm2", 1e-4),
    ("area", "mm2", 1e-6),
    ("area", "in2, sq in", 0.0254**2),
    ("area", "ft2, sq ft", FOOT**2),
    ("speed", "rpm, r/min, rev/min, 1/min", math.pi / 30),
    ("speed", "rad/s", 1.0),
    ("velocity", "m/s", 1.0),
    ("velocity", "mm/s", 1e-3),
    ("velocity", "ft/s, fps", FOOT),
    ("velocity", "in/s", 0.0254),
    ("velocity", "ft/min, fpm", FOOT / 60),
    ("velocity", "m/min", 1 / 60),
    ("velocity", "mm/min", 1e-3 / 60),
    ("velocity", "in/min, ipm", 0.0254 / 60),
    ("volume flow", "m3/h, m3/hr", 1 / 3600),
    ("volume flow", "m3/min", 1 / 60),
    ("volume flow", "m3/s", 1.0),
    ("volume flow", "l/s", 1e-3),
    ("volume flow", "l/min", 1e-3 / 60),
    ("volume flow", "cm3/min", 1e-6 / 60),
    ("volume flow", "in3/min", 0.0254**3 / 60),
    ("volume flow", "cfm, ft3/min", CUBIC_FOOT / 60),
    ("volume flow", "ft3/s", CUBIC_FOOT),
    ("volume flow", "acfm", CUBIC_FOOT / 60, 0.0, ACTUAL),
    ("volume flow", "icfm", CUBIC_FOOT / 60, 0.0, ACTUAL),
    ("volume flow", "scfm", CUBIC_FOOT / 60, 0.0, STANDARD),
    ("volume flow", "scfh", CUBIC_FOOT / 3600, 0.0, STANDARD),
    ("volume flow", "Nm3/h, Nm3/hr", 1 / 3600, 0.0, NORMAL),
    ("volume flow", "Nm3/min", 1 / 60, 0.0, NORMAL),
    ("volume flow", "Nm3/s", 1.0, 0.0, NORMAL),
    ("mass flow", "kg/s", 1.0),
    ("mass flow", "kg/min", 1 / 60),
    ("mass flow", "kg/h, kg/hr", 1 / 3600),
    ("mass flow", "lb/s, lbm/s", POUND),
    ("mass flow", "lb/min, lbm/min", POUND / 60),
    ("mass flow", "lb/h, lb/hr, lbm/h", POUND / 3600),
    ("pressure", "Pa", 1.0),
    ("pressure", "mPa", 1e-3),
    ("pressure", "hPa", 100.0),
    ("pressure", "kPa", 1e3),
    ("pressure", "MPa", 1e6),
    ("pressure", "mbar", 100.0),
    ("pressure", "bar", 1e5),
    ("pressure", "atm", 101325.0),
    ("pressure", "psi, lbf/in2", PSI),
    ("pressure", "ksi", 1000 * PSI),
    ("pressure", "inH2O, inWC, inWG", 1000 * G * 0.0254),
    ("pressure", "mmH2O, mmWC, mmWG", G),
    ("pressure", "cmH2O", 10 * G),
    ("pressure", "mH2O", 1000 * G),
    ("pressure", "inHg", 13595.1 * G * 0.0254),
    ("pressure", "mmHg", 13595.1 * G * 1e-3),
    ("pressure", "torr", 101325 / 760),
    ("temperature", "K", 1.0),
    ("temperature", "degC, °C, C", 1.0, 273.15),
    ("temperature", "degF, °F, F", 5 / 9, 459.67),
    ("temperature", "degR, °R", 5 / 9),
    ("density", "kg/m3", 1.0),
    ("density", "lb/ft3", POUND / CUBIC_FOOT),
    ("viscosity", "Pa s, Pa*s, Pas", 1.0),
    ("viscosity", "mPa s, mPa*s, cP", 1e-3),
    ("specific heat", "J/(kg K), J/kg/K", 1.0),
    ("specific heat", "kJ/(kg K), kJ/kg/K", 1e3),
    ("specific heat", "BTU/(lb degF), BTU/lb/degF", BTU / POUND * 1.8),
    ("specific energy", "J/kg", 1.0),
    ("specific energy", "kJ/kg", 1e3),
    ("specific energy", "BTU/lb", BTU / POUND),
    ("specific energy", "ft lbf/lb, ft*lbf/lb", FOOT * G),
    ("specific angular momentum", "m2/s", 1.0),
    ("power", "W", 1.0),
    ("power", "kW", 1e3),
    ("power", "mW", 1e-3),
    ("power", "MW", 1e6),
    ("power", "hp, bhp", 550 * FOOT * POUND * G),
    ("energy", "J", 1.0),
    ("energy", "kJ", 1e3),
    ("energy", "kWh", 3.6e6),
    ("energy", "MWh", 3.6e9),
    ("voltage", "V", 1.0),
    ("voltage", "kV", 1e3),
    ("current", "A", 1.0),
    ("time", "s", 1.0),
    ("time", "min", 60.0),
    ("time", "h, hr, hours", 3600.0),
    ("time", "d, days", 86400.0),
    ("frequency", "Hz", 1.0),
    ("frequency", "kHz", 1e3),
    ("force", "N", 1.0),
    ("force", "kN", 1e3),
    ("force", "lbf", POUND * G),
    ("torque", "N m, Nm, N*m", 1.0),
    ("torque", "lbf ft, lbf*ft", POUND * G * FOOT),
    ("torque", "lbf in, lbf*in", POUND * G * 0.0254),
    ("mass", "kg", 1.0),
    ("mass", "g", 1e-3),
    ("mass", "lb, lbm", POUND),
    ("moment of inertia", "kg m2", 1.0),
    ("moment of inertia", "lb ft2", POUND * FOOT**2),
    ("stiffness", "N/um", 1e6),
    ("stiffness", "N/mm", 1e3),
    ("stiffness", "N/m", 1.0),
    ("stiffness", "lbf/in", POUND * G / 0.0254),
    ("unbalance", "g mm", 1e-6),
    ("unbalance", "kg m", 1.0),
    ("unbalance", "oz in", POUND / 16 * 0.0254),
)

SUFFIXES = {
    GAUGE: ("g", "(g)", " gauge", " g"),
    ABSOLUTE: ("a", "(a)", " abs", " absolute", " a"),
    VACUUM: (" vac", "vac", "(vac)", " vacuum"),
    UNSPECIFIED: ("d", " difference"),
}
"""What may follow every unit of pressure: psig, kPa(g), inHg vac, psid."""


def _table() -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for quantity, names, *rest in ROWS:
        spelled = names.split(", ")
        unit = Unit(spelled[0], quantity, *rest)
        table.update(dict.fromkeys(spelled, unit))
        if quantity == "pressure":
            for reference, endings in SUFFIXES.items():
                other = replace(unit, name=unit.name + endings[0], reference=reference)
                table.update({name + ending: other for name in spelled for ending in endings})
    return table


UNITS = _table()
LIKE = {"stress": "pressure", "temperature difference": "temperature"}
"""Quantities in units of another one; a difference of temperatures only in those that count from absolute zero."""
_FOLDED: dict[str, dict[str, Unit]] = {}
for _name, _unit in UNITS.items():
    _FOLDED.setdefault(_name.casefold(), {})[_unit.name] = _unit

LARGEST = 1e30
"""Beyond it a number is a slip of the exponent, and the arithmetic that follows would overflow."""

_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*(.*?)\s*", re.DOTALL)
_SPELLING = str.maketrans({"³": "3", "²": "2", "₂": "2", "µ": "u", "μ": "u", "·": "*", "^": None, "º": "°"})


def parse(text: str, quantity: Quantity | None = None) -> Parsed:
    """Read a number with its unit; of a given quantity, where one is asked. Ratios and counts may stand without a unit.

    Raises UnitError in one line that says what was got, what is asked and what to write.
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise UnitError(f"no number to read; write {_example(quantity)}")
    number, rest = float(match[1]), match[2]
    if abs(number) > LARGEST:
        raise UnitError("no such number exists here; check its exponent")
    if re.match(r"[,'_.]?[0-9]", rest) and rest not in UNITS:  # one unit, 1/min, begins with a digit
        raise UnitError('write the number with digits and a decimal point only, as in "3.5 psi" or "1800 cfm"')
    if not rest:
        if quantity is None or quantity.name in ("ratio", "count"):
            return Parsed(number, "ratio" if quantity is None else quantity.name, UNSPECIFIED, "")
        raise UnitError(f"no unit; {_asked(quantity)}")

    unit = unit_named(rest, quantity)
    value = unit.to_si(number)
    if quantity is not None and not _serves(unit, quantity):
        raise UnitError(f"{unit.name} is a unit of {unit.quantity}; {_asked(quantity)}")
    return Parsed(value, unit.quantity, unit.reference, unit.name)


def unit_named(name: str, quantity: Quantity | None = None) -> Unit:
    """The unit of a given spelling. Raises UnitError for an unknown one, with the nearest, and for mpa: mPa or MPa?"""
    spelled = re.sub(r"\s*([/()*])\s*", r"\1", " ".join(name.translate(_SPELLING).split()))
    spelled = re.sub(r"(?<=m|n)\.? ?(?=H2O|Hg|WC|WG)", "", spelled)
    if spelled in UNITS:
        return UNITS[spelled]
    folded = _FOLDED.get(spelled.casefold(), {})
    if len(folded) == 1:
        return next(iter(folded.values()))
    if folded:
        raise UnitError(f'"{_short(name)}" could be {" or ".join(folded)}; write one of them')
    pool = [n for n, u in UNITS.items() if quantity is None or _serves(u, quantity)]
    hint = did_you_mean(nearest(spelled, pool)) or (_asked(quantity) if quantity else "see the units table")
    raise UnitError(f'unknown unit "{_short(name)}"; {hint}')


def _serves(unit: Unit, quantity: Quantity) -> bool:
    kind = LIKE.get(quantity.name, quantity.name)
    return unit.quantity == kind and not (quantity.name in LIKE and unit.offset)


def common_units(quantity: Quantity) -> list[str]:
    """Names of the units of a quantity, without the variants of pressure."""
    names = dict.fromkeys(unit.name for unit in UNITS.values() if _serves(unit, quantity))
    return [name for name in names if name in {str(row[1]).split(", ")[0] for row in ROWS}]


def _asked(quantity: Quantity) -> str:
    names = [n for n in common_units(quantity) if n not in ("mPa", "mW")]
    if not names:
        return f"a {quantity.name} stands without a unit"
    return f"a {quantity.name} in {', '.join(names[:8])}{' ...' if len(names) > 8 else ''} is asked"


def _example(quantity: Quantity | None) -> str:
    if quantity is None:
        return 'it as in "1800 cfm"'
    names = common_units(quantity)
    return f'a {quantity.name} as in "12 {names[0]}"' if names else f"a {quantity.name} as a plain number"


def _short(text: str) -> str:
    return printed(text if len(text) <= 24 else text[:21] + "...")


SYSTEMS = {
    "si": {
        "angle": "deg", "length": "mm", "area": "cm2", "speed": "rpm", "velocity": "m/s", "volume flow": "m3/h",
        "mass flow": "kg/s", "pressure": "kPa", "stress": "MPa", "temperature": "degC", "temperature difference": "K",
        "density": "kg/m3", "power": "kW",
        "specific energy": "kJ/kg", "time": "h", "frequency": "Hz", "force": "N", "torque": "N m", "ratio": "", "count": "",
        "viscosity": "Pa s", "specific heat": "J/(kg K)", "specific angular momentum": "m2/s", "level": "dB",
        "energy": "kWh", "voltage": "V", "current": "A",
        "mass": "kg", "moment of inertia": "kg m2", "stiffness": "N/um", "unbalance": "g mm",
    },
    "us": {
        "length": "in", "area": "in2", "velocity": "ft/s", "volume flow": "cfm", "mass flow": "lb/s", "pressure": "psi", "stress": "ksi",
        "temperature difference": "degR",
        "temperature": "degF", "density": "lb/ft3", "power": "hp", "specific energy": "BTU/lb", "force": "lbf", "torque": "lbf ft",
        "specific heat": "BTU/(lb degF)", "mass": "lb", "moment of inertia": "lb ft2", "stiffness": "lbf/in",
        "unbalance": "oz in",
    },
}  # fmt: skip
"""Units of output by quantity; what "us" lacks is as in "si"."""


def unit_of(quantity: Quantity, system: str = "si") -> str:
    """The unit in which a system prints a quantity; empty for plain numbers."""
    return SYSTEMS[system].get(quantity.name) or SYSTEMS["si"][quantity.name]


def format(value: float, quantity: Quantity, unit: str | None = None, *, digits: int = 4) -> str:
    """An SI value as text in a unit (the SI system's by default), to so many significant digits; "-" for nan.

    Digits before the point are never rounded away, and temperatures keep one after it: "12345 rpm", "59.0 degF".
    """
    name = unit_of(quantity) if unit is None else unit
    number = float(UNITS[name].from_si(value)) if name else float(value)
    if math.isnan(number):
        return "-"
    if quantity.name == "temperature":
        decimals = 1
    elif quantity.name == "count":
        decimals = 0 if number == round(number) else 2
    else:
        magnitude = math.floor(math.log10(abs(number))) if number and math.isfinite(number) else 0
        decimals = min(max(digits - 1 - magnitude, 0), 9)
    return f"{number:.{decimals}f}" + (f" {name}" if name and name != "%" else name)
