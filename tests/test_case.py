"""Case files: what is read, what is refused and in which words."""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.impeller import Diffuser, Impeller, Volute
from aerodesign.case import Case, Measured, StandardState, case_from_text, read_case
from aerodesign.case.duties import VacuumKeys
from aerodesign.case.fields import fields_of
from aerodesign.case.lines import lines_of
from aerodesign.core.bounds import OneOf, Within, mark_of
from aerodesign.core.errors import CaseError
from aerodesign.core.units import parse, unit_of
from aerodesign.gas.perfect import density

CASES = sorted((Path(__file__).parent.parent / "cases").glob("*.toml"))
BASE = """\
title = "A blower"
service = "pressure"

[duty]
flow = "1800 m3/h"
pressure_rise = "20 kPa"

[site]
altitude = "0 m"
temperature = "20 degC"
relative_humidity = 0.5
"""


def changed(*pairs: tuple[str, str], more: str = "") -> str:
    """The base text with replacements, each of which must apply, and an end."""
    text = BASE
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text + more


def complaints(text: str) -> list[str]:
    with pytest.raises(CaseError) as refusal:
        case_from_text(text, name="x.toml")
    return str(refusal.value).splitlines()


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_cases_that_come_with_the_project_are_read(path):
    case = read_case(path)
    assert case.title
    assert case.path == str(path)
    if case.duty is not None:
        assert np.all(case.duty.mass_flow > 0)


@pytest.mark.parametrize("name", ["trout-hatchery", "tissue-felt-suction"])
def test_invented_cases_say_so(name):
    case = read_case(next(path for path in CASES if path.stem == name))
    assert case.invented
    assert "Invented data" in case.notes


def test_a_plain_case():
    case = case_from_text(BASE)
    assert case.duty.flow == pytest.approx([0.5])
    assert case.duty.pressure_rise == pytest.approx([20e3])
    assert case.site.pressure == pytest.approx(101325)
    rho = density(gas=case.site.gas, p=101325.0, T=293.15)
    assert case.duty.mass_flow == pytest.approx([0.5 * rho], rel=1e-12)
    assert case.design_duty.shape == ()
    assert case.flow_references == ("actual",)
    assert "choices.backsweep" in case.defaults
    assert "duty.hours" in case.defaults
    assert "site.relative_humidity" not in case.defaults


def test_what_is_given_is_no_default_and_free_is_nan():
    case = case_from_text(
        changed(more='[choices]\nbacksweep = "free"\nblades = 15\nsplitters = true\nspeed = "free"\n')
    )
    assert np.isnan(case.choices.backsweep)
    assert case.choices.blades == 15
    assert case.choices.splitters is True
    assert not {"choices.backsweep", "choices.blades", "choices.splitters"} & set(case.defaults)


def test_several_points_with_one_design_point():
    text = BASE.replace("[duty]", '[[duty]]\nhours = "1000 h"\n') + (
        '[[duty]]\nflow = "1 kg/s"\npressure_rise = "3 psig"\ndesign = true\n'.replace("flow", "mass_flow")
    )
    case = case_from_text(text)
    assert case.design_index == 1
    assert case.duty.shape == (2,)
    assert case.duty.mass_flow[1] == 1
    assert case.duty.pressure_rise[1] == pytest.approx(20684.27, rel=1e-6)
    assert case.duty.hours == pytest.approx([3.6e6, 0])
    assert case.flow_references == ("actual", "mass")


def test_vacuum_counts_the_flow_at_the_thinned_inlet():
    case = case_from_text(changed(('"pressure"', '"vacuum"'), ('pressure_rise = "20 kPa"', 'suction = "6 inHg vac"')))
    suction = 6 * 3386.38864
    assert case.duty.pressure_rise == pytest.approx([suction], rel=1e-8)
    rho = density(gas=case.site.gas, p=101325.0 - suction, T=293.15)
    assert case.duty.mass_flow == pytest.approx([0.5 * rho], rel=1e-8)
    assert case.duty.service == case.service == "vacuum"


def test_standard_flow_conserves_the_dry_air():
    # ACFM = SCFM (Ps - RHs PVs) / (Pb - RHb PVb) Tb / Ts, the conversion of the compressed-air trade, with saturation
    # pressures of 2338.8 Pa (20 C) and 5627 Pa (35 C) from steam tables (from memory).
    text = changed(("1800 m3/h", "1000 scfm"), ("20 degC", "35 degC"), ('"0 m"', '"1000 m"'), ("0.5", "0.6"))
    case = case_from_text(text)
    scfm = 1000 * 0.3048**3 / 60
    acfm = scfm * (101352.9 - 0.36 * 2338.8) / (case.site.pressure - 0.6 * 5627) * 308.15 / 293.15
    assert case.duty.flow == pytest.approx([acfm], rel=1e-3)
    assert case.flow_references == ("standard",)
    assert case.standard_states["standard"].relative_humidity == 0.36


def test_normal_flow_and_the_state_that_the_user_gives():
    case = case_from_text(changed(("1800 m3/h", "3600 Nm3/h"), ("0.5", "0.0")))
    assert case.duty.mass_flow == pytest.approx([1.29307], rel=2e-4)  # dry air at 273.15 K, 101 325 Pa: CoolProp 8.0.0
    state = '[standard]\npressure = "1 atm"\ntemperature = "60 degF"\nrelative_humidity = 0.0\n'
    other = case_from_text(changed(("1800 m3/h", "1000 scfm"), ("0.5", "0.0"), more=state))
    assert other.duty.mass_flow == pytest.approx([0.4719474 * 1.2233], rel=5e-4)  # 1.2233 kg/m3 at 288.71 K
    assert isinstance(other.standard_states["standard"], StandardState)


def test_other_gases():
    biogas = changed(("relative_humidity = 0.5", "gas = {CH4 = 0.6, CO2 = 0.4}"))
    assert pytest.approx(8.314463 / (0.6 * 0.016043 + 0.4 * 0.04401), rel=5e-3) == case_from_text(biogas).site.gas.R
    nitrogen = case_from_text(changed(("relative_humidity = 0.5", 'gas = "N2"'), ("1800 m3/h", "1800 Nm3/h")))
    assert nitrogen.duty.mass_flow == pytest.approx([0.5 * 1.2504], rel=1e-3)
    assert case_from_text(changed(("relative_humidity = 0.5", 'gas = "air"'))).site.gas.name == "air"


RATE = """
[rate]
speed = "3000 rpm"
[rate.impeller]
r2 = "153 mm"
beta2_blade = "45 deg"
blades = 7
covered = true
[rate.volute]
section = "rectangle"
[rate.inlet]
r0 = "100 mm"

[[measured]]
speed = "600 rpm"
flow = {values = [0, 100, 200], unit = "m3/h"}
pressure_rise = ["20 Pa", "0.19 mbar", "10 Pa"]
efficiency = [0.0, 0.4, 0.5]
definition = "total to static"
source = "a bench"
tolerance = "2 %"
"""


def test_a_geometry_to_rate_with_measurements_needs_no_duty():
    text = BASE.replace('[duty]\nflow = "1800 m3/h"\npressure_rise = "20 kPa"\n', "") + RATE
    case = case_from_text(text)
    assert case.duty is None
    assert case.given.speed == pytest.approx(314.159265)
    assert case.given.parts["impeller"] == pytest.approx(
        {"r2": 0.153, "beta2_blade": np.pi / 4, "blades": 7, "covered": True}
    )
    assert case.given.parts["volute"]["section"].name == "rectangle"
    assert case.given.parts["inlet"] == {"r0": 0.1}
    (measured,) = case.measured
    assert measured.flow == pytest.approx([0, 1 / 36, 2 / 36])
    assert measured.pressure_rise == pytest.approx([20, 19, 10])
    assert measured.tolerance == pytest.approx(0.02)
    assert measured.definition == "total to static"


def test_the_digest_is_of_the_content_not_of_the_layout():
    one, other = case_from_text(BASE), case_from_text("# a comment\n" + BASE.replace(" = ", "=") + "\n\n")
    assert one.digest == other.digest
    assert len(one.digest) == 64
    assert one.digest != case_from_text(changed(("1800", "1801"))).digest


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            changed(("20 kPa", "-4 psi")),
            'x.toml:6 duty.pressure_rise = "-4 psi": must be positive; for suction set service = "vacuum"',
        ),
        (
            changed(("20 kPa", "4 psia")),
            'x.toml:6 duty.pressure_rise = "4 psia": psia is absolute, which has no meaning here; give the rise above'
            " the site's pressure",
        ),
        (changed(("20 kPa", "5 bar")), "must lie between 1 mbar and 2 bar"),
        (changed(("1800 m3/h", "1800 cfn")), 'x.toml:5 duty.flow = "1800 cfn": unknown unit "cfn"; did you mean'),
        (changed(('"1800 m3/h"', "1800")), 'x.toml:5 duty.flow = 1800: needs its unit in quotes, as in "1800 m3/h"'),
        (changed(("1800 m3/h", "18 kPa")), "kPa is a unit of pressure; a volume flow in m3/h"),
        (changed(("1800 m3/h", "-1 m3/h")), 'x.toml:5 duty.flow = "-1 m3/h": must be positive'),
        (
            changed(("pressure_rise", "presure_rise")),
            'x.toml:6 duty.presure_rise = "20 kPa": unknown key; did you mean',
        ),
        (
            changed(("pressure_rise", "presure_rise")),
            "x.toml:4 duty.pressure_rise: is missing; pressure service needs it",
        ),
        (changed(("pressure_rise", "suction")), 'x.toml:6 duty.suction = "20 kPa": unknown key'),
        (
            changed(('"pressure"', '"vacum"')),
            'x.toml:2 service = "vacum": must be one of pressure, vacuum; did you mean',
        ),
        (changed(("0.5", "70")), "x.toml:11 site.relative_humidity = 70: must lie between 0 and 1"),
        (changed(("20 degC", "200 degC")), 'x.toml:10 site.temperature = "200 degC": must lie between 200 K and 400 K'),
        (changed(('"0 m"', '"7000 m"')), "must lie between -500 m and 6000 m"),
        (changed(('"0 m"', '"free"')), 'x.toml:9 site.altitude = "free": cannot be left to the search'),
        (
            changed(('altitude = "0 m"', 'pressure = "2 psig"')),
            "psig is gauge, which has no meaning here; give it absolute",
        ),
        (changed(('altitude = "0 m"\n', "")), 'x.toml:8 site.altitude: is missing; give it as in "340 m"'),
        (changed(more='pressure = "1 bar"\n'), 'x.toml:9 site.altitude = "0 m": stands beside site.pressure'),
        (changed(('temperature = "20 degC"\n', "")), "x.toml:8 site.temperature: is missing"),
        (changed(more='gas = "N3"\n'), "is for air only"),
        (
            changed(("relative_humidity = 0.5", 'gas = "nitrogn"')),
            'site.gas = "nitrogn": unknown gas "nitrogn": did you mean',
        ),
        (changed(("relative_humidity = 0.5", "gas = {CH4 = 0.6, CO2 = 0.3}")), "sum to 0.9: must sum to 1"),
        (changed(("relative_humidity = 0.5", "gas = 3")), "x.toml:11 site.gas = 3: must be a name"),
        (changed(("20 degC", "120 degC")), 'x.toml:10 site.temperature = "120 degC": humid air: no such state'),
        (changed(("0.5", '"3,5 %"')), "decimal point only"),
        (changed(more="[choices]\nblades = 2\n"), "x.toml:13 choices.blades = 2: must lie between 3 and 40"),
        (changed(more="[choices]\nblades = 15.5\n"), "must be a whole number"),
        (changed(more='[choices]\nblades = "15"\n'), "must be a plain number, without quotes"),
        (
            changed(more='[choices]\nbackswep = "40 deg"\n'),
            'x.toml:13 choices.backswep = "40 deg": unknown key; did you mean backsweep?',
        ),
        (changed(more='[choices]\nbacksweep = "80 deg"\n'), "must lie between -10 deg and 75 deg"),
        (changed(more='[choices]\npinch = "free"\n'), "cannot be left to the search; give a value or take the key out"),
        (changed(more='[choices]\ncovered = "yes"\n'), "must be true or false, without quotes"),
        (changed(more='[choices]\nvolute_section = "circl"\n'), "must be one of circle, .*; did you mean circle?"),
        (changed(more="[choices]\npinch = nan\n"), "choices.pinch = nan: must be a finite number"),
        (changed(more='[drive]\nkind = "steam"\n'), 'x.toml:13 drive.kind = "steam": must be one of direct, belt'),
        (
            changed(more='[models]\nslip = "wisner"\n'),
            'x.toml:13 models.slip = "wisner": no such correlation; there are',
        ),
        (
            changed(more='[models]\nslop = "wiesner"\n'),
            'x.toml:13 models.slop = "wiesner": no such phenomenon; there are',
        ),
        (changed(more="[limts]\n"), "x.toml:12 limts = a table: unknown key; did you mean limits?"),
        (changed(more="limits = 3\n[x]\n"), "x.toml:12 site.limits = 3: unknown key"),
        ("duty = 3\n" + BASE.split("[duty]")[0], "x.toml:1 site.altitude: is missing"),
        (changed(('title = "A blower"', "title = 3")), "x.toml:1 title = 3: must be text in quotes"),
        (
            changed(("[duty]", "[[duty]]"), more='[[duty]]\nflow = "1 m3/s"\npressure_rise = "1 psi"\n'),
            "no point is marked",
        ),
        (changed(("[duty]", "[[duty]]\ndesign = true"), more="[[duty]]\ndesign = true\n"), "2 points are marked"),
        (
            changed(("[duty]", "[[duty]]\ndesign = 1"), more="[[duty]]\n"),
            "x.toml:5 duty[1].design = 1: must be true or false",
        ),
        (changed(more='mass_flow = "1 kg/s"\n'), "unknown key"),
        (changed(('flow = "18', 'mass_flow = "1 kg/s"\nflow = "18')), "stands beside flow; keep one of the two"),
        ("", "x.toml:1 duty: is missing; say what is asked in a table [duty]"),
        (BASE + "[site]\n", "x.toml:12 is not valid TOML: Cannot declare ('site',) twice"),
        (changed(('"20 kPa"', '"20 kPa')), "x.toml:6 is not valid TOML: Illegal character"),
        (changed(("[duty]", "[duty")), "x.toml:4 is not valid TOML"),
        ("a = " + "[" * 5000, "x.toml:1 is not valid TOML: nested too deeply"),
        ("a = " + "9" * 5000, "is not valid TOML"),
        (
            changed(more=RATE.replace("r2 =", "r22 =")),
            'x.toml:16 rate.impeller.r22 = "153 mm": unknown key; did you mean',
        ),
        (changed(more=RATE.replace('"rectangle"', '"oval"')), "no such cross-section"),
        (changed(more=RATE.replace("[0, 100, 200]", "[0, 100]")), "arrays of different lengths"),
        (changed(more=RATE.replace("flow =", "# flow =")), "x.toml:25 measured[1].flow: is missing"),
        (
            changed(more=RATE.replace('"0.19 mbar"', '"0.19 mbr"')),
            "measured[1].pressure_rise = an array of 3: unknown unit",
        ),
    ],
)
def test_what_is_wrong_is_said_with_line_key_and_remedy(text, said):
    pattern = re.compile(re.escape(said).replace(r"\.\*", ".*"))
    assert any(pattern.search(line) for line in complaints(text)), complaints(text)


def test_vacuum_has_its_own_refusals():
    vacuum = [('"pressure"', '"vacuum"')]
    said = complaints(changed(*vacuum))
    assert said[0].startswith("x.toml:4 duty.suction: is missing")
    assert said[1].startswith('x.toml:6 duty.pressure_rise = "20 kPa": unknown key')
    (deep,) = complaints(changed(*vacuum, ('pressure_rise = "20 kPa"', 'suction = "27.5 inHg"'), ('"0 m"', '"800 m"')))
    assert deep.startswith('x.toml:6 duty.suction = "27.5 inHg": must be below ')
    (gauge,) = complaints(changed(*vacuum, ('pressure_rise = "20 kPa"', 'suction = "2 psig"')))
    assert "psig is gauge" in gauge
    (negative,) = complaints(changed(*vacuum, ('pressure_rise = "20 kPa"', 'suction = "-2 psi"')))
    assert negative.endswith("must be positive; the suction is a positive number")


def test_all_problems_are_told_in_the_order_of_the_file():
    text = changed(("1800 m3/h", "x"), ("20 kPa", "y"), ("20 degC", "z"), more="[choices]\nblades = 99\n[oops]\n")
    lines = [int(re.match(r"x\.toml:([0-9]+) ", line)[1]) for line in complaints(text)]
    assert lines == [5, 6, 10, 13, 14]


def test_files_that_are_no_case_are_refused_in_one_line(tmp_path):
    (tmp_path / "binary.toml").write_bytes(bytes(range(256)))
    (tmp_path / "large.toml").write_bytes(b"#" * 1_000_001)
    for name, said in {
        "absent.toml": "no such file",
        "": "is a folder",
        "binary.toml": "is not UTF-8 text",
        "large.toml": "is larger than",
        "nul\0.toml": "cannot be read",
    }.items():
        with pytest.raises(CaseError, match=said) as refusal:
            read_case(tmp_path / name)
        assert len(str(refusal.value).splitlines()) == 1


def test_a_file_with_a_byte_order_mark_is_read(tmp_path):
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BASE.replace("\n", "\r\n").encode())
    assert read_case(path).digest == case_from_text(BASE).digest


RECORDS = [Choices, Drive, Limits, Site, Duty, VacuumKeys, StandardState, Measured, Impeller, Diffuser, Volute]


def test_every_field_of_a_choice_is_a_key_and_its_default_is_allowed():
    # A new field needs no line in the reader: the key, its bounds and its words come from the type.
    for record in (Choices, Drive, Limits):
        fields = fields_of(record)
        assert set(fields) == set(record.__dataclass_fields__)
        for field in fields.values():
            within, words = mark_of(field.hint, Within), mark_of(field.hint, OneOf)
            assert field.is_switch or within or words, field.name
            if within and not np.isnan(field.default):
                assert within.complaint(field.default) is None, field.name
            if words:
                assert field.default in words.words


@pytest.mark.parametrize("record", RECORDS)
def test_bounds_are_of_the_field_s_quantity(record):
    for field in fields_of(record).values():
        within = mark_of(field.hint, Within)
        if within:
            assert within.span[0] < within.span[1], field.name
            for bound in (within.low, within.high):
                if isinstance(bound, str):
                    parse(bound, field.quantity)


@given(st.data())
def test_choices_come_back_as_they_were_written(data):
    fields = {name: f for name, f in fields_of(Choices).items() if f.quantity is not None}
    name = data.draw(st.sampled_from(sorted(fields)))
    field = fields[name]
    low, high = mark_of(field.hint, Within).span
    value = data.draw(st.floats(low, high))
    if field.quantity.name == "count":
        value = round(value)
    written = f'"{value!r} {field.quantity.unit}"' if field.quantity.unit else repr(value)
    case = case_from_text(changed(more=f"[choices]\n{name} = {written}\n"))
    assert getattr(case.choices, name) == pytest.approx(value, rel=1e-12)
    assert unit_of(field.quantity) is not None


@given(st.sampled_from([("m3/h", 3600.0), ("cfm", 60 / 0.3048**3), ("l/s", 1e3)]), st.floats(0.01, 100))
def test_the_unit_of_the_flow_does_not_matter(unit, flow):
    name, per_si = unit
    case = case_from_text(changed(("1800 m3/h", f"{flow * per_si!r} {name}")))
    assert case.duty.flow == pytest.approx([flow], rel=1e-12)


@given(st.text())
def test_any_text_is_a_case_or_a_case_error(text):
    try:
        assert isinstance(case_from_text(text), Case)
    except CaseError as refusal:
        said = str(refusal)
        check_lines(said)


def check_lines(said: str) -> None:
    assert said
    for line in said.split("\n"):
        assert re.match(r"(\S+):([0-9]+) ", line), line
        assert line.isprintable(), line
        assert len(line) < 700


VALUES = st.one_of(
    st.sampled_from(['"free"', '"1 m"', '"-3 psig"', '"1e29 kPa"', "1e308", "-inf", "nan", "9" * 400, "1979-05-27"]),
    st.sampled_from(["[]", "{}", "[[]]", "{a = 1}", '["1 m", 2]', "true", '""', "'''\nx\n'''", "[{a = 1}, {b = [2]}]"]),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=8).map(
        lambda s: '"' + s.replace("\\", "").replace('"', "") + '"'
    ),
    st.integers(-5, 50).map(str),
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=200)
@given(st.data())
def test_any_value_in_any_place_is_a_case_or_a_case_error(data):
    source = data.draw(st.sampled_from([BASE, BASE.replace('"pressure"', '"vacuum"'), BASE + RATE]))
    lines = source.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[at].partition(" = ")
        action = data.draw(st.sampled_from(["value", "value", "value", "drop", "repeat"]))
        if action == "value" and equals:
            lines[at] = f"{key} = {data.draw(VALUES)}"
        elif action == "drop":
            lines[at] = ""
        else:
            lines.insert(at, lines[at])
    try:
        assert isinstance(case_from_text("\n".join(lines), name="x"), Case)
    except CaseError as refusal:
        check_lines(str(refusal))


LAYOUT = '''\
top = 1 # comment with "quotes" and [brackets]
"quoted key" = 'it''s = no'
multi = """
[not.a.table]
a = 1 \\""" still \\
"""""
dotted.inner."x.y" = [1, # one
  2, [3,
  { deep = 4 }], "]",
]
inline = { a = 1, b = { c = [ 5 ] } }

[table]
 [ table . "sub" ]
key = 1979-05-27 07:32:00

[[many]]
a = 1
[many.child]
b = 2
[[many]]
[[many.grand]]
c = \'\'\'a
b\'\'\'\'
[[many.grand]]
d = -inf
'''.replace("'it''s = no'", "'its = no'")


def test_lines_of_a_file_with_every_trick():
    lines = lines_of(LAYOUT)
    expected = {
        ("top",): 1, ("quoted key",): 2, ("multi",): 3, ("dotted", "inner", "x.y"): 7, ("dotted", "inner", "x.y", 1): 8,
        ("dotted", "inner", "x.y", 2, 1, "deep"): 9, ("inline", "b", "c", 0): 11, ("table",): 13, ("table", "sub"): 14,
        ("table", "sub", "key"): 15, ("many",): 17, ("many", 0, "a"): 18, ("many", 0, "child", "b"): 20,
        ("many", 1): 21,
        ("many", 1, "grand", 0, "c"): 23, ("many", 1, "grand", 1): 25, ("many", 1, "grand", 1, "d"): 26,
    }  # fmt: skip
    assert {path: lines.get(path) for path in expected} == expected
    assert set(paths(tomllib.loads(LAYOUT))) <= set(lines)


def paths(content, path=()):
    """Every path to a value in what the standard library reads."""
    if path:
        yield path
    for key, value in (
        content.items() if isinstance(content, dict) else enumerate(content) if isinstance(content, list) else ()
    ):
        yield from paths(value, (*path, key))


KEYS = st.one_of(
    st.from_regex(r"[A-Za-z0-9_-]{1,4}", fullmatch=True), st.sampled_from(['"a.b"', "'#'", '"\\u00e9\\""', '""'])
)
SCALARS = st.one_of(
    st.sampled_from(
        ['"#"', "'\"'", '"""\n]"""', "'''\n}'''", '"\\\\"', "1e3", "true", "2020-01-01 00:00:00", '""', "''"]
    )
)
VALUE = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda v: "[ # ]\n" + ",\n".join(v) + " ]"),
        st.lists(st.tuples(KEYS, inner), max_size=2, unique_by=lambda pair: pair[0]).map(
            lambda v: "{" + ", ".join(f"{k}={x}" for k, x in v) + "}"
        ),
    ),
    max_leaves=6,
)
STATEMENT = st.one_of(
    st.tuples(st.lists(KEYS, min_size=1, max_size=2), VALUE).map(lambda kv: " . ".join(kv[0]) + " = " + kv[1]),
    st.lists(KEYS, min_size=1, max_size=2).map(lambda k: "[" + ".".join(k) + "]"),
    st.lists(KEYS, min_size=1, max_size=2).map(lambda k: "[[" + ".".join(k) + "]] # x"),
)


@settings(deadline=None, max_examples=300)
@given(st.lists(STATEMENT, max_size=6).map("\n".join))
def test_every_key_of_any_valid_file_has_its_line(text):
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = lines_of(text)
    for path in paths(content):
        assert path in lines
        key = path[-1]
        if isinstance(key, str) and key.isalnum() and key.isascii():
            assert key in text.split("\n")[lines[path] - 1]
