"""A family of frames: laws of similarity, cover without gaps, and no frame too many."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from conftest import BENCH
from test_meanline import scaled as by_hand

from aerodesign.aero.choices import Drive
from aerodesign.aero.design import Design
from aerodesign.aero.family import DROP, Family, _run_round, family, scaled
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.cli import cli
from aerodesign.core.errors import AerodesignError, CaseError
from aerodesign.core.record import leaves
from aerodesign.report.family import flow_range


@pytest.fixture(scope="module")
def made() -> Design:
    return design_case(case_from_text(BENCH))


@pytest.fixture(scope="module")
def found(made: Design) -> Family:
    return family(made, least=0.3 * made.flow, most=4 * made.flow)


@pytest.mark.parametrize("size", [1.7, np.array([1.0, 2.5])])
def test_every_length_and_area_of_a_larger_machine_is_scaled(typical, size) -> None:
    """Against the list by hand of the meanline's own test of similarity; beside it scale what the meanline does not read."""
    one = scaled(typical.blower, size)
    other = by_hand(typical, size, viscosity=1.0).blower
    wheel = typical.blower.impeller
    other = other.but(
        impeller=other.impeller.but(
            roughness=wheel.roughness, fillet=wheel.fillet * size, bore=wheel.bore * size, b1=wheel.b1 * size
        ),
        volute=other.volute.but(tongue_radius=other.volute.tongue_radius * size),
    )
    for ours, theirs in zip(leaves(one), leaves(other), strict=True):
        assert ours == pytest.approx(theirs, rel=1e-14)


def test_tips_come_no_nearer_to_the_shroud_in_a_smaller_machine(typical) -> None:
    assert scaled(typical.blower, 0.5).impeller.clearance == typical.blower.impeller.clearance
    assert scaled(typical.blower, 0.5).impeller.b2 == typical.blower.impeller.b2 / 2


def test_the_frame_of_size_one_is_the_machine_itself(made: Design) -> None:
    """Its curve goes through the design point: speed by the pressure asked, efficiency and power as the design found them."""
    chosen = family(made, least=0.8 * made.flow, most=1.15 * made.flow)
    assert len(chosen.frames.scale) == 1
    size = chosen.frames.scale[0]
    assert chosen.frames.r2[0] == pytest.approx(size * made.blower.impeller.r2)
    same = family(made, least=chosen.frames.least_flow[0] / size**2, most=1.1 * made.flow)
    assert same.frames.scale[0] == pytest.approx(1, rel=0.01)
    assert same.frames.speed[0] == pytest.approx(made.speed, rel=0.01)
    assert same.frames.efficiency[0] == pytest.approx(made.points.efficiency[made.design_index], abs=0.002)
    assert same.frames.shaft_power[0] == pytest.approx(made.points.shaft_power[made.design_index], rel=0.02)


def test_similar_frames_turn_with_one_tip_speed_and_larger_ones_are_better(found: Family) -> None:
    """The fan laws: flow as the square of the size and speed as its inverse at one pressure; what is left is Reynolds and clearance."""
    frames = found.frames
    tip = frames.r2 * frames.speed
    assert np.ptp(tip) < 0.02 * tip.mean()
    assert frames.design_flow / frames.scale**2 == pytest.approx(
        frames.design_flow[0] / frames.scale[0] ** 2, rel=1e-12
    )
    assert np.all(np.diff(frames.best_efficiency) > 0)
    assert frames.shaft_power[-1] / frames.shaft_power[0] == pytest.approx(
        frames.design_flow[-1] / frames.design_flow[0], rel=0.06
    )


def test_frames_cover_all_flows_overlap_evenly_and_are_the_fewest(found: Family) -> None:
    frames = found.frames
    step = 0.015  # flows are tried in steps of a hundredth of the design flow
    assert frames.least_flow[0] == pytest.approx(found.least, rel=step)
    assert frames.most_flow[-1] == pytest.approx(found.most, rel=step)
    reach = frames.most_flow[:-1] / frames.least_flow[1:] - 1
    assert reach == pytest.approx(found.overlap, abs=2 * step)
    assert found.overlap >= 0.05 - 1e-9
    span = np.log(frames.most_flow / frames.least_flow)
    fewer = len(span) - 1
    assert fewer * span.max() - (fewer - 1) * np.log(1.05) < np.log(found.most / found.least)


def test_a_frame_is_used_out_of_the_stall_band_and_near_its_best_only(found: Family) -> None:
    for row, used, best in zip(found.efficiency, found.used, found.frames.best_efficiency, strict=True):
        assert np.all(row[used] >= best - DROP)
        assert np.all(np.diff(np.flatnonzero(used)) == 1)
    generous = found.frames.most_flow / found.frames.least_flow
    assert np.all(generous > 1.2)


def test_a_larger_drop_takes_no_more_frames(made: Design, found: Family) -> None:
    wider = family(made, least=found.least, most=found.most, drop=0.08)
    assert len(wider.frames.scale) < len(found.frames.scale)


def test_the_run_round_a_place() -> None:
    good = np.array([[1, 1, 0, 1, 1, 1, 0, 1], [0, 0, 0, 0, 1, 0, 0, 0], [1, 1, 1, 1, 0, 1, 1, 1]], bool)
    kept = _run_round(good, np.array([4, 4, 4]))
    assert kept.tolist() == [[False] * 3 + [True] * 3 + [False] * 2, [False] * 4 + [True] + [False] * 3, [False] * 8]


def test_what_makes_no_family_is_refused_in_words(made: Design) -> None:
    flow = float(made.flow)
    with pytest.raises(CaseError, match="turns every frame at the same speed"):
        family(replace(made, drive=Drive(kind="direct")), least=flow, most=2 * flow)
    with pytest.raises(CaseError, match="hold no range"):
        family(made, least=2 * flow, most=flow)
    with pytest.raises(CaseError, match="no longer than the overlap"):
        family(made, least=flow, most=20 * flow, overlap=3.0)
    with pytest.raises(CaseError, match="more than 30 frames"):
        family(made, least=flow / 300, most=300 * flow, drop=0.005)


def test_a_slow_drive_is_told(made: Design) -> None:
    belt = family(replace(made, drive=Drive(kind="belt")), least=0.02 * made.flow, most=0.03 * made.flow)
    assert np.all(belt.frames.too_fast)


@pytest.mark.parametrize(
    "text", ["600 m3/h", "600, 900 m3/h", "900 m3/h, 600 m3/h", "1 m3/s, 2 kPa", "-1 m3/s, 2 m3/s"]
)
def test_flows_that_make_no_range_are_one_line(text: str) -> None:
    with pytest.raises(AerodesignError, match="--flows"):
        flow_range(text)


def test_the_command_leaves_table_picture_and_record(tmp_path: Path) -> None:
    out = tmp_path / "family"
    case = Path(__file__).parents[1] / "cases" / "trout-hatchery.toml"
    asked = ["family", str(case), "--flows", "600 m3/h, 9000 m3/h", "--out", str(out)]
    done = CliRunner().invoke(cli, asked)
    assert done.exit_code == 0, done.output
    assert {path.name for path in out.iterdir()} == {"family.csv", "family.json", "family.svg"}
    assert len((out / "family.csv").read_text().splitlines()) == 2 + 6
    assert "6 similar frames hold pressure rise 22.00 kPa from 600.0 m³/h to 9000 m³/h" in done.output
    refused = CliRunner().invoke(cli, [*asked[:3], "a lot", *asked[4:]], standalone_mode=False)
    assert "two flows" in str(refused.exception)
    assert len(list(out.iterdir())) == 3
