"""Every number that can be explained: the relations hold in solved stages, and what is printed is the design's own."""

import dataclasses
import inspect

import numpy as np
import pytest

from aerodesign.aero import explained as flow
from aerodesign.aero.explained import DEFINITION
from aerodesign.aero.relations import RELATIONS
from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.core.correlation import supply
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import quantities
from aerodesign.core.vocabulary import VOCABULARY
from aerodesign.report.explain_lines import explain_lines, lines_of, list_lines, plain_text
from aerodesign.whole import machine_check
from aerodesign.whole.explained import explain, explainable

CASE = """
title = "A bench"
[duty]
flow = "1800 m3/h"
pressure_rise = "15 kPa"
hours = "4000 h"
[site]
altitude = "100 m"
temperature = "20 degC"
[drive]
kind = "belt"
[replaces]
kind = "multistage"
[money]
price = 15000
[choices]
search_effort = 64
"""


@pytest.fixture(scope="module")
def blower():
    return design_case(case_from_text(CASE))


def test_relations_hold_in_many_solved_stages(many):
    """The meanline solves them together; each must close on what it found, to the step that counts as solved."""
    stage, known = many.solve(), many.known()
    ok = np.broadcast_to(stage.solved, (2000,)) & (stage.efficiency_total > 0.3)
    assert ok.sum() > 1000
    found = {name: value for name, value in known.items() if name not in ("gas", "blower")}
    found |= {name: getattr(stage, name) for name in RELATIONS if hasattr(stage, name)}
    found |= {f"choke_{name}": getattr(stage, f"choke_{name}") for name in ("inducer", "exit", "diffuser", "volute")}
    found |= dict(
        u1=stage.mean.u,
        w1s=stage.shroud.w,
        w2_mixed=stage.exit.w,
        R=stage.gas.R,
        cp=stage.gas.cp,
        critical_angle=stage.critical_angle,
    )
    found |= dict(euler_work=stage.euler_work, work=stage.work, p5=stage.p5, pt5=stage.pt5, c2=stage.exit.c)
    outside = {"shaft_power", "drive_power"}  # their other input is a choice
    for name, function in RELATIONS.items():
        if name in outside:
            continue
        ours = np.broadcast_to(supply(function, found), ok.shape)[ok]
        theirs = np.broadcast_to(getattr(stage, name) if hasattr(stage, name) else found[name], ok.shape)[ok]
        np.testing.assert_allclose(ours, theirs, rtol=3e-5, atol=3e-5, err_msg=name)


def test_relations_speak_the_vocabulary():
    for name, function in RELATIONS.items():
        kinds = quantities(function)
        for parameter in inspect.signature(function).parameters:
            if parameter in VOCABULARY:
                assert kinds[parameter] == VOCABULARY[parameter].quantity, (name, parameter)
        assert "return" in kinds


def test_everything_that_is_listed_can_be_explained(blower):
    names = explainable(blower)
    assert len(names) > 200
    steps = machine_check(blower).steps
    for name in names:
        lines = lines_of(flow.explain(blower, name, steps))
        assert lines[0].startswith(f"{name} = "), name
        assert "\\" not in "\n".join(lines), name
        assert {"equation", "source", "range"} <= set(lines), name
    assert [line.split()[0] for line in list_lines(blower)] == list(names)


def test_wheel_shaft_and_bearings_explain_themselves_with_what_the_check_found(blower):
    """Each number again from its inputs, the design point's of what is known at every duty point; none hides one of the flow."""
    check = machine_check(blower)
    assert not set(check.steps) & set(flow.explainable(blower))
    steps = check.steps
    held = {
        "disc_highest_stress": check.wheel.highest,
        "burst_speed": check.wheel.burst,
        "blade_root_pull": check.wheel.pull,
        "blade_exit_bending": check.wheel.bending,
        "clearance_left_eye": check.wheel.left_eye,
        "critical_speeds": check.shaft.critical,
        "critical_separation": check.shaft.separation,
        "permissible_unbalance": check.shaft.unbalance,
        "speed_factor": check.shaft.speed_factor,
        "bearing_life": check.shaft.life[:, blower.design_index],
    }
    for name, value in held.items():
        found = flow.explain(blower, name, steps)
        np.testing.assert_allclose(np.ravel(found.value), np.ravel(value), rtol=1e-12, err_msg=name)
        again = steps[name].function(**{one.name: one.value for one in found.inputs})
        np.testing.assert_allclose(np.ravel(again), np.ravel(value), rtol=1e-9, err_msg=name)
    assert explain(blower, "thrust").value.total == pytest.approx(check.shaft.thrust.total[blower.design_index])
    assert explain(blower, "bearing_life").quantity == quantities(check.steps["bearing_life"].function)["return"]
    text = "\n".join(explain_lines(blower, "bearing_warmth"))
    assert "Palmgren (1959)" in text
    assert "friction" in text
    assert " degC" in text.splitlines()[0]


def test_a_machine_that_cannot_be_checked_says_why(blower):
    other = dataclasses.replace(blower, form=blower.form.but(rotor=blower.form.rotor.but(bearing="6200")))
    with pytest.raises(CaseError, match=r'explain "critical_speeds": the flow has no such quantity.*rotor.bearing'):
        explain(other, "critical_speeds")
    with pytest.raises(CaseError, match=r'explain "slipp": .*did you mean slip'):
        explain(other, "slipp")
    assert "critical_speeds" not in explainable(other)
    assert "slip" in explainable(other)


def test_a_correlation_gives_its_number_from_the_inputs_that_are_shown(blower):
    for name in ("slip", "loss_clearance", "loss_windage", "critical_angle", "friction_ratio"):
        found = explain(blower, name)
        function = {
            "loss_clearance": "clearance",
            "loss_windage": "windage",
            "critical_angle": "stall",
            "friction_ratio": "rotation",
        }.get(name, name)
        again = blower.models.functions()[function](**{one.name: one.value for one in found.inputs})
        assert found.value == pytest.approx(again, rel=1e-12)
        held = blower.stage.losses[function] if name.startswith("loss_") else None
        if held is not None:
            assert found.value == pytest.approx(float(held), rel=2e-5)
    assert explain(blower, "slip").value == pytest.approx(float(blower.stage.slip), rel=1e-9)
    assert explain(blower, "slip").source.from_memory


def test_a_relation_gives_its_number_from_the_inputs_that_are_shown(blower):
    for name, function in RELATIONS.items():
        found = explain(blower, name)
        again = function(**{one.name: one.value for one in found.inputs})
        assert float(again) == pytest.approx(float(found.value), rel=3e-5, abs=3e-5), name
        assert found.source is DEFINITION


def test_a_step_of_the_machine_gives_its_number_from_the_inputs_that_are_shown(blower):
    line = blower.running.drive_line
    assert explain(blower, "wire_power").value == pytest.approx(float(line.wire_power[0]))
    current = explain(blower, "full_load_current")
    given = {one.name: float(one.value) for one in current.inputs}
    assert given["power"] / (
        np.sqrt(3) * given["voltage"] * given["efficiency"] * given["power_factor"]
    ) == pytest.approx(float(current.value))
    assert "AMCA" in str(explain(blower, "fan_energy_index").source)
    assert explain(blower, "payback").value > 0
    assert len(explain(blower, "octave_bands_madison").value) == 8


def test_what_is_printed(blower):
    text = "\n".join(explain_lines(blower, "slip"))
    assert "Wiesner (1967)" in text
    assert "[from memory]" in text
    assert "beta2_blade" in text
    assert "40.000 deg" in text
    assert "blades_effective 4 to 40: inside" in text
    assert f"{float(blower.stage.slip):.5f}" in text
    tip = "\n".join(explain_lines(blower, "u2", "us"))
    assert "ft/s" in tip
    assert "omega r_2" in tip


def test_a_range_that_is_left_is_told(blower):
    lines = explain_lines(blower, "sound_power_level")
    assert any("pressure_rise" in line and "OUTSIDE" in line for line in lines)


def test_an_unknown_name_is_told_with_the_nearest(blower):
    with pytest.raises(CaseError, match=r'explain "slipp": no such quantity; did you mean'):
        explain(blower, "slipp")


def test_mathematics_as_plain_text():
    assert plain_text(r"It is :math:`1 - \sqrt{\cos\beta_{2b}} / Z^{0.7}`.") == "It is 1 - sqrt(cos beta_2b) / Z^0.7."
    assert plain_text(r":math:`\frac{a}{b} e^{\mu\theta}`") == "(a)/(b) e^(mu theta)"
    assert plain_text("see :func:`~aerodesign.core.x` and ``this``") == "see x and this"
