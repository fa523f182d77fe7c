"""Reading and writing of quantities with units, against pint and the exact factors."""

import math

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aerodesign.core import quantities, units
from aerodesign.core.errors import UnitError
from aerodesign.core.quantities import Quantity, quantity_of
from aerodesign.core.units import UNITS, parse, unit_named, unit_of

KINDS: dict[str, Quantity] = {
    q.name: q for q in (quantity_of(value) for value in vars(quantities).values()) if isinstance(q, Quantity)
}


@pytest.mark.parametrize(
    ("text", "value", "kind", "reference"),
    [
        ("1800 cfm", 1800 * 0.3048**3 / 60, "volume flow", "unspecified"),
        ("2 m3/h", 2 / 3600, "volume flow", "unspecified"),
        ("2 m³/h", 2 / 3600, "volume flow", "unspecified"),
        ("2 m^3/hr", 2 / 3600, "volume flow", "unspecified"),
        ("2000 scfm", 2000 * 0.3048**3 / 60, "volume flow", "standard"),
        ("2000 ACFM", 2000 * 0.3048**3 / 60, "volume flow", "actual"),
        ("900 Nm3/h", 0.25, "volume flow", "normal"),
        ("900 nm3/h", 0.25, "volume flow", "normal"),
        ("3.5 psi", 24131.650520, "pressure", "unspecified"),
        ("3.5 psig", 24131.650520, "pressure", "gauge"),
        ("14.7 psia", 101352.932, "pressure", "absolute"),
        ("14.7 PSIA", 101352.932, "pressure", "absolute"),
        ("22 kPa(g)", 22e3, "pressure", "gauge"),
        ("22 kPa (g)", 22e3, "pressure", "gauge"),
        ("1.2 bara", 1.2e5, "pressure", "absolute"),
        ("1.2 bar abs", 1.2e5, "pressure", "absolute"),
        ("250 mbar", 25e3, "pressure", "unspecified"),
        ("40 inH2O", 9963.5564, "pressure", "unspecified"),
        ("40 in H2O", 9963.5564, "pressure", "unspecified"),
        ("40 in. WC", 9963.5564, "pressure", "unspecified"),
        ("15 inHg", 50795.8296, "pressure", "unspecified"),
        ("15 inHg vac", 50795.8296, "pressure", "vacuum"),
        ("500 mmH2O", 4903.325, "pressure", "unspecified"),
        ("59 degF", 288.15, "temperature", "unspecified"),
        ("59 F", 288.15, "temperature", "unspecified"),
        ("59 °F", 288.15, "temperature", "unspecified"),
        ("20 degC", 293.15, "temperature", "unspecified"),
        ("-40 degF", 233.15, "temperature", "unspecified"),
        ("40 deg", math.radians(40), "angle", "unspecified"),
        ("40°", math.radians(40), "angle", "unspecified"),
        ("30 hp", 22370.996147, "power", "unspecified"),
        ("22 kW", 22e3, "power", "unspecified"),
        ("3550 rpm", 3550 * math.pi / 30, "speed", "unspecified"),
        ("12 inch", 0.3048, "length", "unspecified"),
        ("12 in", 0.3048, "length", "unspecified"),
        ('12"', 0.3048, "length", "unspecified"),
        ("150 mm", 0.15, "length", "unspecified"),
        ("3.2 µm", 3.2e-6, "length", "unspecified"),
        ("70 %", 0.7, "ratio", "unspecified"),
        ("0.7", 0.7, "ratio", "unspecified"),
        ("8000 h", 2.88e7, "time", "unspecified"),
        ("60 Hz", 60.0, "frequency", "unspecified"),
        ("85 dB", 85.0, "level", "unspecified"),
        ("1.8e-5 Pa s", 1.8e-5, "viscosity", "unspecified"),
        ("0.24 BTU/(lb degF)", 1004.832, "specific heat", "unspecified"),
    ],
)
def test_what_an_engineer_types(text, value, kind, reference):
    got = parse(text)
    assert got.value == pytest.approx(value, rel=1e-8)
    assert (got.quantity, got.reference) == (kind, reference)


PINT = {
    "%": "percent", "cfm": "foot**3/minute", "ft3/s": "foot**3/second", "l/s": "liter/second", "l/min": "liter/minute",
    "m3/h": "m**3/hour", "m3/min": "m**3/minute", "m3/s": "m**3/s",
    "cm3/min": "cm**3/minute", "in3/min": "inch**3/minute", "um": "micrometer", "in": "inch", "ft": "foot",
    "thou": "thou", "in2": "inch**2", "ft2": "foot**2", "m2": "m**2", "cm2": "cm**2", "mm2": "mm**2", "ft/s": "foot/s",
    "ft/min": "foot/minute", "lb/s": "pound/s", "lb/min": "pound/minute", "lb/h": "pound/hour", "kg/h": "kg/hour",
    "kg/min": "kg/minute", "mmH2O": "cmH2O / 10", "mH2O": "cmH2O * 100", "lb/ft3": "pound/foot**3",
    "kg/m3": "kg/m**3", "Pa s": "Pa*s", "mPa s": "cP", "J/(kg K)": "J/kg/K", "kJ/(kg K)": "kJ/kg/K",
    "BTU/(lb degF)": "Btu_it/pound/delta_degF", "BTU/lb": "Btu_it/pound", "ft lbf/lb": "foot*lbf/pound",
    "m2/s": "m**2/s", "d": "day", "h": "hour", "min": "minute", "deg": "degree", "lbf": "pound_force",
    "kg m2": "kg*m**2", "lb ft2": "lb*foot**2",
}  # fmt: skip
"""Our spelling to pint's, where they differ. inH2O and inHg are pint's conventional ones, water at 4 C."""


REGISTRY = pint.UnitRegistry()
PLAIN = [row[1].split(", ")[0] for row in units.ROWS if len(row) < 5 and row[0] != "level"]


@pytest.mark.parametrize("unit", PLAIN)
def test_every_factor_equals_pint(unit):
    theirs = REGISTRY.parse_expression(PINT.get(unit, unit))
    theirs = REGISTRY.Quantity(7.5, theirs.units) if unit in ("degC", "degF") else 7.5 * theirs
    assert UNITS[unit].to_si(7.5) == pytest.approx(theirs.to_base_units().magnitude, rel=1e-8)


def test_factors_that_are_exact_by_definition():
    # NIST SP 811 (from memory): foot and pound exact, psi, horsepower, conventional water and mercury from them.
    assert UNITS["psi"].factor == pytest.approx(6894.757293168361, rel=1e-15)
    assert UNITS["hp"].factor == pytest.approx(745.69987158227022, rel=1e-15)
    assert UNITS["inH2O"].factor == pytest.approx(249.08891, rel=1e-12)
    assert UNITS["inHg"].factor == pytest.approx(3386.389, rel=2e-7)
    assert UNITS["cfm"].factor == pytest.approx(4.719474432e-4, rel=1e-15)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_quantity_has_its_si_unit(kind):
    si = KINDS[kind].unit
    if si:
        assert UNITS[si].quantity == units.LIKE.get(kind, kind)
        assert UNITS[si].to_si(3.0) == 3.0
    assert unit_of(KINDS[kind], "us") in UNITS or unit_of(KINDS[kind], "us") == ""


@pytest.mark.parametrize("system", ["si", "us"])
def test_a_difference_of_temperatures_is_printed_without_an_offset(system):
    kind = KINDS["temperature difference"]
    assert UNITS[unit_of(kind, system)].from_si(0.0) == 0.0
    assert units.format(250e6, KINDS["stress"], unit_of(KINDS["stress"], system)) in ("250.0 MPa", "36.26 ksi")


def test_a_spelling_means_one_unit():
    spelled = [(row[0], name) for row in units.ROWS for name in row[1].split(", ")]
    endings = [ending for many in units.SUFFIXES.values() for ending in many]
    names = [name for _, name in spelled]
    names += [name + ending for kind, name in spelled if kind == "pressure" for ending in endings]
    assert len(names) == len(set(names))


def test_case_is_forgiven_only_where_it_is_safe():
    assert unit_named("KPA").name == "kPa"
    assert unit_named("MPa").factor == 1e6
    assert unit_named("mPa").factor == 1e-3
    for ambiguous in ("mpa", "Mpa", "MPA", "mw"):
        with pytest.raises(UnitError, match=r"could be m.* or M.*; write one of them"):
            unit_named(ambiguous)
    doubtful = [set(meant) for meant in units._FOLDED.values() if len(meant) > 1]
    assert {"mW", "MW"} in doubtful
    assert all(any("Pa" in name for name in meant) or meant == {"mW", "MW"} for meant in doubtful)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("3,5 psi", "pressure", "decimal point only"),
        ("1,800 cfm", "volume flow", "decimal point only"),
        ("1 800 cfm", "volume flow", "decimal point only"),
        ("1'800 cfm", "volume flow", "decimal point only"),
        ("5'3\"", "length", "decimal point only"),
        ("1.2.3 bar", "pressure", "decimal point only"),
        ("10² Pa", "pressure", "unknown unit"),
        ("1800 cfn", "volume flow", 'unknown unit "cfn"; did you mean .*cfm'),
        ("1800 cm", "volume flow", "cm is a unit of length; a volume flow in m3/h, .* is asked"),
        ("22 kW", "pressure", "kW is a unit of power; a pressure in Pa, "),
        ("1800", "volume flow", "no unit; a volume flow in m3/h"),
        ("12 mm", "count", "mm is a unit of length; a count stands without a unit"),
        ("", "length", 'no number to read; write a length as in "12 m"'),
        ("about 3 m", "length", "no number"),
        ("nan m", "length", "no number"),
        ("−5 Pa", "pressure", "no number"),
        ("1e400 Pa", "pressure", "exponent"),
        ("1e31", "ratio", "exponent"),
        ("5 " + "x" * 500, "length", 'unknown unit "xxxxxxxxxxxxxxxxxxxxx..."'),
    ],
)
def test_what_cannot_be_read_says_what_to_write(text, kind, said):
    with pytest.raises(UnitError, match=said) as refusal:
        parse(text, KINDS[kind])
    assert "\n" not in str(refusal.value)
    assert len(str(refusal.value)) < 200


@given(st.text())
def test_any_text_is_read_or_refused(text):
    for kind in (None, KINDS["pressure"]):
        try:
            said = parse(text, kind)
        except UnitError as refusal:
            said = refusal
        assert math.isfinite(said.value) if isinstance(said, units.Parsed) else len(str(said).splitlines()) == 1


@given(st.floats(-1e20, 1e20), st.sampled_from(sorted(UNITS)))
def test_every_unit_comes_back(number, name):
    unit, got = UNITS[name], parse(f"{number!r} {name}")
    assert got.quantity == unit.quantity
    assert unit.from_si(got.value) == pytest.approx(number, rel=1e-12, abs=1e-9)


@given(st.floats(1e-6, 1e6), st.sampled_from(sorted(UNITS)), st.sampled_from(sorted(UNITS)))
def test_two_units_of_a_quantity_agree(number, one, other):
    a, b = UNITS[one], UNITS[other]
    if a.quantity == b.quantity:
        assert b.to_si(b.from_si(a.to_si(number))) == pytest.approx(a.to_si(number), rel=1e-12)


def test_units_take_arrays():
    assert UNITS["degF"].to_si(np.array([32.0, 212.0])) == pytest.approx([273.15, 373.15])
    assert UNITS["cfm"].from_si(np.array([[1.0]])).shape == (1, 1)


@pytest.mark.parametrize(
    ("value", "kind", "unit", "text"),
    [
        (0.8495, "volume flow", "cfm", "1800 cfm"),
        (24131.65, "pressure", "psig", "3.500 psig"),
        (22e3, "pressure", None, "22.00 kPa"),
        (288.15, "temperature", "degF", "59.0 degF"),
        (288.15, "temperature", None, "15.0 degC"),
        (1292.823, "speed", "rpm", "12346 rpm"),
        (0.0254, "length", "in", "1.000 in"),
        (0.8123, "ratio", "%", "81.23%"),
        (0.8123, "ratio", None, "0.8123"),
        (13.0, "count", None, "13"),
        (math.nan, "length", None, "-"),
        (0.0, "length", None, "0.000 mm"),
        (-150.0, "pressure", "Pa", "-150.0 Pa"),
    ],
)
def test_writing(value, kind, unit, text):
    assert units.format(value, KINDS[kind], unit) == text


@given(
    st.floats(1e-3, 1e6),
    st.sampled_from(["volume flow", "pressure", "length", "power"]),
    st.sampled_from(["si", "us"]),
)
def test_what_is_written_is_read_again(value, kind, system):
    quantity = KINDS[kind]
    text = units.format(value, quantity, unit_of(quantity, system), digits=6)
    smallest = UNITS[unit_of(quantity, system)].to_si(1e-9)
    assert parse(text, quantity).value == pytest.approx(value, rel=1e-5, abs=smallest)
