"""Settings without effect: each is told, and has none."""

from pathlib import Path

import pytest
from conftest import BENCH

from aerodesign.aero.design import Design
from aerodesign.case import Case, case_from_text, read_case
from aerodesign.case.idle import NEEDS, without_effect
from aerodesign.case.run import design_case
from aerodesign.report.page import page_text
from aerodesign.whole import machine_check

# Each idle setting, and beside it what makes it count.
SETTINGS = {
    'belt.kind = "narrow V"': 'drive.kind = "belt"',
    'belt.pulley = "200 mm"': 'drive.kind = "belt"',
    "replaces.efficiency = 0.4": 'replaces.kind = "multistage"',
    'wheel.back_at = [0.5, 1.0]\nwheel.back_thickness = ["12 mm", "4 mm"]': 'wheel.back = "points"',
    "wheel.taper = 0.2": 'wheel.mounting = "taper"',
    'wheel.pilot_depth = "2 mm"': 'wheel.mounting = "tie bolt"',
    'wheel.vane_height = "3 mm"': 'wheel.back_vanes = 6\nwheel.back = "flat"',
    "wheel.hole_at = 0.6": 'wheel.balance_holes = true\nwheel.back = "flat"',
    "blade.hub_angles = [0.4]\nblade.shroud_angles = [0.4]\nblade.angles_at = [0.5]": 'blade.angles = "points"',
    "blade.hub_loading = 0.3": 'blade.angles = "loading"',
    "blade.trailing_edge_ratio = 4.0": 'blade.trailing_edge = "rounded"',
    "blade.splitter_position = 0.4": "choices.splitters = true",
    'casing.centre_height = "900 mm"': 'casing.mount = "feet"',
    "choices.volute_width = 3.0": 'choices.volute_section = "rectangle"',
    "choices.volute_aspect = 1.2": 'choices.volute_section = "ellipse"',
}
ALONE = {
    'rotor.series = "63"\nrotor.bearing = "6306"': 'rotor.series = "63"',
    'wheel.nose_length = 0.9\nwheel.nose = "blunt"': "wheel.nose_length = 0.9",
    'blade.clearance_inlet = "0.4 mm"\nchoices.covered = true': 'blade.clearance_inlet = "0.4 mm"',
}
"""Settings that are idle with the second line, and count without it."""


def case_with(*settings: str) -> Case:
    """The bench with more settings, each written as ``table.key = value``."""
    lines = "\n".join(settings).splitlines()
    choices = [line.removeprefix("choices.") for line in lines if line.startswith("choices.")]
    others = [line for line in lines if not line.startswith("choices.")]
    return case_from_text("\n".join([*others, BENCH, *choices]))


def page_of(case: Case) -> str:
    design: Design = design_case(case)
    return page_text(design=design, title="Bench", machine=machine_check(design), drawings={})


@pytest.fixture(scope="module")
def plain() -> str:
    return page_of(case_with())


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_setting_without_effect_is_told_and_has_none(setting, plain):
    case = case_with(setting)
    told = without_effect(case)
    assert len(told) == 1
    assert all(line.split(" = ")[0] in told[0] for line in setting.splitlines())
    assert SETTINGS[setting].split(" = ")[0] in told[0]
    assert page_of(case) == plain
    assert without_effect(case_with(setting, SETTINGS[setting])) == []


@pytest.mark.parametrize("settings", ALONE)
def test_settings_that_another_one_makes_idle(settings):
    told = without_effect(case_with(settings))
    assert len(told) == 1
    assert told[0].startswith(settings.split(" = ")[0])
    assert without_effect(case_with(ALONE[settings])) == []
    assert page_of(case_with(settings)) == page_of(case_with(settings.splitlines()[1]))


def test_every_need_is_tried():
    tried = "\n".join([*SETTINGS, *ALONE])
    assert all(any(f"{need.table}.{key} = " in tried for key in need.keys or ("kind",)) for need in NEEDS)


@pytest.mark.parametrize(
    "path", sorted((Path(__file__).parent.parent / "cases").glob("*.toml")), ids=lambda path: path.stem
)
def test_our_own_cases_have_none(path):
    assert without_effect(read_case(path)) == []
