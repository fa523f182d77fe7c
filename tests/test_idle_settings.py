"""Settings without effect: each is told, and has none; beside what it needs it is not told, and has one."""

from pathlib import Path

import numpy as np
import pytest
from conftest import BENCH

from aerodesign.case import Case, case_from_text, read_case
from aerodesign.case.fields import fields_of
from aerodesign.case.idle import NEEDS, SIZES_ONLY, without_effect
from aerodesign.case.parts import OPTIONS
from aerodesign.case.run import design_case, rate_case
from aerodesign.geometry.blade import Blading
from aerodesign.report.page import page_text
from aerodesign.whole import machine_check

CASES = Path(__file__).parent.parent / "cases"

# Idle settings of a need, and beside them what makes them count.
SETTINGS = {
    'belt.kind = "flat"\nbelt.pulley = "75 mm"\nbelt.centre = "700 mm"\nbelt.width = "60 mm"\nbelt.loss = 0.05': 'drive.kind = "belt"',
    'replaces.efficiency = 0.4\nreplaces.flow = "1700 m3/h"\nreplaces.drive_efficiency = 0.8': 'replaces.kind = "multistage"',
    'wheel.back_at = [0.5, 1.0]\nwheel.back_thickness = ["12 mm", "4 mm"]': 'wheel.back = "points"',
    "wheel.taper = 0.03": 'wheel.mounting = "taper"',
    'wheel.pilot_depth = "2 mm"\nwheel.pilot_diameter = "24 mm"': 'wheel.mounting = "tie bolt"\nchoices.bore = "12 mm"',
    'wheel.vane_height = "3 mm"': 'wheel.back_vanes = 6\nwheel.back = "flat"',
    'wheel.hole_at = 0.6\nwheel.hole_diameter = "3 mm"': 'wheel.balance_holes = true\nwheel.back = "flat"',
    "blade.hub_angles = [0.4]\nblade.shroud_angles = [0.4]\nblade.angles_at = [0.5]": 'blade.angles = "points"',
    "blade.hub_loading = 0.3\nblade.shroud_loading = 0.6": 'blade.angles = "loading"',
    "blade.trailing_edge_ratio = 4.0": 'blade.trailing_edge = "rounded"',
    "blade.splitter_position = 0.4": "choices.splitters = true",
    'casing.centre_height = "900 mm"': 'casing.mount = "feet"',
    "choices.volute_width = 3.0": 'choices.volute_section = "rectangle"',
    "choices.volute_aspect = 1.2": 'choices.volute_section = "ellipse"',
}
# Settings that the second line makes idle.
MADE_IDLE = {
    'rotor.series = "63"': 'rotor.bearing = "6306"',
    "wheel.nose_length = 0.9": 'wheel.nose = "blunt"',
    'blade.clearance_inlet = "0.9 mm"': "choices.covered = true",
}
RATED = BENCH.replace(
    "[choices]",
    """[rate]
speed = "14000 rpm"
[rate.impeller]
r1s = "70 mm"
r2 = "130 mm"
b2 = "22 mm"
beta2_blade = "40 deg"
blades = 13
[choices]""",
)


def case_with(*settings: str, bench: str = BENCH) -> Case:
    """The bench with more settings, each written as ``table.key = value``."""
    lines = "\n".join(settings).splitlines()
    choices = [line.removeprefix("choices.") for line in lines if line.startswith("choices.")]
    others = [line for line in lines if not line.startswith("choices.")]
    return case_from_text("\n".join([*others, bench, *choices]))


def seen(case: Case) -> tuple[str, bytes]:
    """All that the page says, and where the blades and the clearance's wall stand."""
    design = design_case(case)
    page = page_text(design=design, title="Bench", machine=machine_check(design), drawings={})
    blading = Blading(design.blower.impeller, design.form.blade)
    wall = blading.casing().at(np.linspace(0, 1, 11))
    edges = [blading.span(s).half_thickness for s in (0.0, 1.0)]
    return page, np.concatenate(
        [np.ravel(wall), *edges, [blading.splitter_turn * blading.impeller.splitters]]
    ).tobytes()


@pytest.fixture(scope="module")
def plain() -> tuple[str, bytes]:
    return seen(case_with())


@pytest.mark.slow
@pytest.mark.parametrize("setting", SETTINGS)
def test_a_setting_without_effect_is_told_and_has_none(setting, plain):
    case, need = case_with(setting), SETTINGS[setting]
    (told,) = without_effect(case)
    assert all(line.split(" = ")[0] in told for line in setting.splitlines())
    assert need.split(" = ")[0].rsplit(".", 1)[-1].split("_")[-1].rstrip("s") in told
    assert seen(case) == plain
    assert without_effect(case_with(setting, need)) == []
    bare = plain if need.endswith('"points"') else seen(case_with(need))  # points are not points without them
    assert seen(case_with(setting, need)) != bare


@pytest.mark.slow
@pytest.mark.parametrize("setting", MADE_IDLE)
def test_settings_that_another_one_makes_idle(setting, plain):
    (told,) = without_effect(case_with(setting, MADE_IDLE[setting]))
    assert told.startswith(setting.split(" = ")[0])
    assert seen(case_with(setting, MADE_IDLE[setting])) == seen(case_with(MADE_IDLE[setting]))
    assert without_effect(case_with(setting)) == []
    assert seen(case_with(setting)) != plain


def test_every_key_of_every_need_is_tried():
    tried = "\n".join([*SETTINGS, *MADE_IDLE, "\nchoices.volute_section = \nchoices.volute_side = "])
    for need in NEEDS:
        for key in need.keys or fields_of(OPTIONS[need.table]):
            assert need.keys == SIZES_ONLY or f"{need.table}.{key} = " in tried, (need.table, key)


def test_choices_that_size_are_idle_for_a_described_machine_and_change_nothing():
    """The wheel of [rate] has its own splitters and cover; the same file sizes one from the choices where that is asked."""
    choices = ['choices.backsweep = "30 deg"', "choices.splitters = true", 'choices.clearance = "1 mm"']
    splitting = ["blade.splitter_position = 0.4"]
    case, bare = (case_with(*more, *splitting, bench=RATED) for more in (choices, []))
    assert without_effect(case, rated=False) == []
    told = without_effect(case, rated=True)
    assert len(told) == 2
    assert "blade.splitter_position" in told[0]
    assert all(line.split(" = ")[0] in told[1] for line in choices)
    mine, theirs = (rate_case(one).design for one in (case, bare))
    assert float(mine.stage.efficiency_static) == float(theirs.stage.efficiency_static)
    assert dict(mine.blower.impeller.items()) == dict(theirs.blower.impeller.items())
    assert float(design_case(case).blower.impeller.splitters) > 0


def test_a_covered_choice_does_not_cover_a_described_wheel():
    case = case_with("choices.covered = true", 'blade.clearance_inlet = "0.9 mm"', bench=RATED)
    assert "clearance_inlet" not in "".join(without_effect(case, rated=True))
    assert "clearance_inlet" in "".join(without_effect(case, rated=False))
    covered = case_with(
        'blade.clearance_inlet = "0.9 mm"', bench=RATED.replace("blades = 13", "blades = 13\ncovered = true")
    )
    assert "clearance_inlet" in "".join(without_effect(covered, rated=True))


def test_a_described_section_leaves_none_to_choose():
    bench = RATED.replace("[choices]", '[rate.volute]\nsection = "ellipse"\n[choices]')
    case = case_with('choices.volute_section = "rectangle"', "choices.volute_width = 3.0", bench=bench)
    told = "".join(without_effect(case, rated=True))
    assert "choices.volute_section" in told
    assert "choices.volute_width" in told
    assert without_effect(case, rated=False) == []


@pytest.mark.parametrize("path", sorted(CASES.glob("*.toml")), ids=lambda path: path.stem)
def test_our_own_cases_have_none(path):
    assert without_effect(read_case(path)) == []
