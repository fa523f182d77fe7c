"""The wheel's body by the choices of form: closed forms of what is cut away and added, refusals in words of the case file."""

import numpy as np
import pytest
from test_geometry import WHEEL

from aerodesign.case import case_from_text
from aerodesign.core.errors import AerodesignError, CaseError, RejectedSolid
from aerodesign.form import BladeForm, WheelForm
from aerodesign.geometry.back import hub_at
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body, body_volume, points
from aerodesign.geometry.bore import Slot
from aerodesign.geometry.holes import Hole, balance_holes, hole_volume
from aerodesign.geometry.meridional import meridional
from aerodesign.geometry.possible import refuse_impossible
from aerodesign.geometry.row import blade_row
from aerodesign.machine.keys import key_for

BORED = WHEEL.but(bore=0.03)
CHANNEL = meridional(BORED)


def made(form=None, wheel=BORED):
    return body(wheel, CHANNEL, lead=0.2, form=form)


def corners(wheel):
    return np.concatenate([points(curve)[[0, -1]] for curve in wheel.outline])


def test_keys_are_those_of_the_standard():
    """DIN 6885 sheet 1, from memory: bore 30 mm, 8 x 7 mm, 3.3 mm deep in the hub; 50 mm, 14 x 9 mm, 3.8 mm."""
    assert key_for(0.030) == pytest.approx((0.008, 0.007, 0.0033))
    assert key_for(0.050) == pytest.approx((0.014, 0.009, 0.0038))
    assert key_for(0.0301) == pytest.approx((0.010, 0.008, 0.0033))
    assert key_for(0.005) is None
    assert key_for(0.2) is None


def test_keyway_takes_its_section_times_the_length_of_the_bore():
    slot = Slot(bore=0.015, half_width=0.004, floor=0.0183)
    y = np.linspace(-0.004, 0.004, 200001)
    assert slot.area == pytest.approx(np.trapezoid(0.0183 - np.sqrt(0.015**2 - y**2), y), rel=1e-9)
    plain, keyed = made(WheelForm(nose="blunt")), made(WheelForm(nose="blunt", mounting="keyway", boss_diameter=0.06))
    assert keyed.slot == slot
    length = np.ptp(corners(keyed)[:, 0])
    same_boss = made(WheelForm(nose="blunt", boss_diameter=0.06))
    assert body_volume(same_boss) - body_volume(keyed) == pytest.approx(slot.area * length, rel=1e-9)
    assert plain.slot is None


def test_a_blind_keyway_takes_its_own_length_and_a_long_one_goes_through():
    form = WheelForm(mounting="keyway", boss_diameter=0.06)
    through, blind, long = (made(form.but(**k)) for k in ({}, dict(keyway_length=0.02), dict(keyway_length=0.9)))
    length = float(np.ptp(through.outline[through.bored][:, 0]))
    assert body_volume(blind) - body_volume(through) == pytest.approx(through.slot.area * (length - 0.02), rel=1e-9)
    assert body_volume(long) == body_volume(through)


def test_a_collar_ahead_of_the_nose_adds_its_ring():
    for nose, outer in (("round", None), ("cone", None), ("blunt", WHEEL.r1h)):
        plain, stock = made(WheelForm(nose=nose)), made(WheelForm(nose=nose, nose_stock=0.003))
        r = outer or corners(plain)[np.isclose(corners(plain)[:, 0], corners(plain)[:, 0].min()), 1].max()
        ring = np.pi * (r**2 - 0.015**2) * 0.003
        assert body_volume(stock) - body_volume(plain) == pytest.approx(ring, rel=1e-9)
        assert corners(stock)[:, 0].min() == pytest.approx(corners(plain)[:, 0].min() - 0.003)


def test_taper_and_pilot_take_their_frusta():
    plain = made(WheelForm(boss_diameter=0.06))
    length = np.ptp(corners(plain)[:, 0])
    tapered = made(WheelForm(boss_diameter=0.06, mounting="taper", taper=0.05))
    r, end = 0.015, 0.015 + 0.025 * length
    frustum = np.pi * length / 3 * (r**2 + r * end + end**2)
    assert body_volume(plain) - body_volume(tapered) == pytest.approx(frustum - np.pi * r**2 * length, rel=1e-9)
    pilot = made(WheelForm(boss_diameter=0.06, mounting="tie bolt", pilot_diameter=0.04, pilot_depth=0.01))
    assert body_volume(plain) - body_volume(pilot) == pytest.approx(np.pi * (0.02**2 - 0.015**2) * 0.01, rel=1e-9)


def test_disc_has_the_thickness_that_was_asked_for():
    form = WheelForm(back="points", back_at=(0.5, 0.7, 1.0), back_thickness=(0.02, 0.012, 0.006))
    line = corners(made(form))
    for part, thickness in zip(form.back_at, form.back_thickness, strict=True):
        z = line[np.isclose(line[:, 1], part * WHEEL.r2), 0]
        assert z[-1] - hub_at(CHANNEL.hub, part * WHEEL.r2)[1] == pytest.approx(thickness, abs=1e-9)
    # What hub_at says lies on the hub.
    t, z = hub_at(CHANNEL.hub, np.array([0.06, 0.1, 0.15]))
    np.testing.assert_allclose(CHANNEL.hub.at(t), np.c_[z, [0.06, 0.1, 0.15]], atol=1e-8)


def test_rim_boss_and_nose_are_as_asked():
    line = corners(
        made(WheelForm(back="flat", rim=0.007, boss_length=0.011, boss_diameter=0.05, nose="cone", nose_length=1.0))
    )
    assert line[-1, 0] == pytest.approx(WHEEL.axial_length + 0.007)
    assert line[:, 0].max() == pytest.approx(WHEEL.axial_length + 0.018)
    assert line[np.isclose(line[:, 0], line[:, 0].max()), 1].max() == pytest.approx(0.025)
    assert line[0, 0] - line[:, 0].min() == pytest.approx(WHEEL.r1h)


def test_stock_vanes_and_holes_add_and_take_their_volume():
    flat = made(WheelForm(back="flat"))
    stock = made(WheelForm(back="flat", balance_stock=0.002))
    ring = np.pi * WHEEL.r2**2 * (0.94**2 - 0.85**2) * 0.002
    assert body_volume(stock) - body_volume(flat) == pytest.approx(ring, rel=1e-9)
    ribs = made(WheelForm(back="flat", back_vanes=8, vane_height=0.004))
    assert body_volume(ribs) - body_volume(flat) == pytest.approx(8 * 0.004 * 0.35 * 0.015 * WHEEL.r2**2, rel=1e-9)
    # Where the hub is a plane across the axis the hole is a cylinder; elsewhere its depth, integrated on a fine raster.
    hole = Hole(pitch=0, angle=0.3, centre=0.1, radius=0.004, back=0.1)
    x, y = np.meshgrid(np.linspace(-1, 1, 801), np.linspace(-1, 1, 801))
    inside = x**2 + y**2 < 1
    depth = 0.1 - hub_at(CHANNEL.hub, np.hypot(0.1 + 0.004 * x[inside], 0.004 * y[inside]))[1]
    assert hole_volume(hole, CHANNEL.hub) == pytest.approx(depth.mean() * np.pi * 0.004**2, rel=1e-5)


def test_holes_stand_clear_of_the_blades():
    blading = Blading(BORED.but(splitters=0))
    row = blade_row(blading)
    form = WheelForm(back="flat", balance_holes=True, hole_at=0.6)
    holes = balance_holes(blading.impeller, form, row, CHANNEL.hub, back=0.1, boss=0.03)
    assert len(holes) == 8
    r, theta = holes[0].mouth(np.linspace(0, 2 * np.pi, 100))
    mouth = np.stack([r * np.cos(theta), r * np.sin(theta)], axis=1)
    for turn in (0, np.pi / 4):
        root = row.full.hub.track
        t, along = root[:, 1], root[:, 0] + turn
        radius = CHANNEL.hub.at(t)[:, 1]
        track = np.stack([radius * np.cos(along), radius * np.sin(along)], axis=1)
        assert np.linalg.norm(mouth[:, None] - track, axis=2).min() > 0.5 * holes[0].radius


@pytest.mark.parametrize(
    ("form", "wheel", "said"),
    [
        (WheelForm(), dict(bore=0.06), "a bore of 60 mm leaves no wall in a hub of 70 mm"),
        (WheelForm(mounting="keyway"), dict(bore=0.0), 'mounting = "keyway" needs a bore'),
        (WheelForm(mounting="keyway"), dict(bore=0.004), "no key of DIN 6885 for a bore of 4 mm; allowed above 6 mm"),
        (WheelForm(mounting="keyway"), dict(bore=0.055), "keyway of a bore of 55 mm reaches"),
        (WheelForm(mounting="taper", taper=0.5), {}, "lower bore, taper or pilot_diameter"),
        (WheelForm(mounting="tie bolt", pilot_diameter=0.02), {}, "pilot_diameter = 20 mm must exceed the bolt's hole of 30 mm"),
        (WheelForm(mounting="tie bolt", pilot_diameter=0.04, pilot_depth=0.19), {}, "pilot_depth = 190 mm goes through"),
        (WheelForm(boss_diameter=0.03), {}, "a boss_diameter of 30 mm leaves no wall"),
        (WheelForm(boss_diameter=0.29), {}, "boss_diameter = 290 mm must stay below 225 mm"),
        (WheelForm(back="points", back_at=(0.2, 1.0), back_thickness=(0.02, 0.01)), {}, "back_at begins with 0.2 of the radius"),
        (WheelForm(back="flat", back_vanes=24, boss_diameter=0.2), {}, "24 back_vanes have no room"),
    ],
)  # fmt: skip
def test_bodies_that_cannot_be_are_refused(form, wheel, said):
    with pytest.raises(RejectedSolid) as refused:
        made(form, BORED.but(**wheel))
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("wheel", "form", "said"),
    [
        (dict(clearance=0.02), {}, "clearance = 20 mm is as large as the blade, which is 20 mm high at the exit (b2)"),
        ({}, dict(clearance_inlet=0.06), "clearance_inlet = 60 mm is as large as the blade, which is 50 mm high at the inlet"),
        (dict(fillet=0.02), {}, "fillet = 20 mm fills the passage, which is 20 mm high at the exit (b2); allowed below 20 mm"),
        (dict(fillet=0.011, covered=True), {}, "allowed below 10 mm"),
        (dict(fillet=0.01, blades=16, splitters=16), {}, "fillet = 10 mm fills the passage, which is 19.56 mm wide"),
        (dict(blades=30, splitters=30, thickness_hub=0.02), {}, "60 blades of thickness_hub = 20 mm leave no passage at the exit"),
        (dict(r1h=0.09), {}, "the hub lies above the shroud: r1h = 90 mm must be below r1s = 85 mm"),
        (dict(splitters=5), {}, "splitters = 5 must be 0 or as many as blades = 8"),
        (dict(blades=7.5, splitters=0), {}, "blades = 7.5 must be a whole number"),
        (dict(splitter_start=0.95), {}, "splitter_start = 0.95 must lie between 0.05 and 0.9"),
        (dict(thickness_hub=0.0), {}, "thickness_hub = 0 mm must be positive"),
        (dict(fillet=-0.001), {}, "fillet = -1 mm must not be negative"),
    ],
)  # fmt: skip
def test_wheels_that_cannot_be_are_refused_before_anything_is_computed(wheel, form, said):
    refuse_impossible(WHEEL, BladeForm())
    changed = dict(fillet=0.0) | wheel if "blades" in wheel and "fillet" not in wheel else wheel
    with pytest.raises(RejectedSolid) as refused:
        refuse_impossible(WHEEL.but(**changed), BladeForm(**form))
    assert said in str(refused.value)
    assert "\n" not in str(refused.value)


def test_everything_wrong_is_said_at_once_and_a_covered_wheel_needs_no_clearance_over_its_blades():
    with pytest.raises(RejectedSolid, match=r"bore = -1 mm must not be negative; clearance.*; fillet"):
        refuse_impossible(WHEEL.but(bore=-0.001, clearance=0.03, fillet=0.03), BladeForm())
    refuse_impossible(WHEEL.but(clearance=0.03, covered=True), BladeForm())


def test_a_hub_above_the_shroud_is_refused_by_the_channel_too():
    with pytest.raises(AerodesignError, match=r"hub lies above the shroud: r1h = 0\.09 m"):
        meridional(WHEEL.but(r1h=0.09))


def test_holes_without_room_are_refused():
    blading = Blading(BORED)
    row = blade_row(blading)
    form = WheelForm(back="flat", balance_holes=True)
    for changed, said in (
        (dict(hole_at=0.2), "do not fit between boss and rim"),
        (dict(hole_diameter=0.03), "do not fit between the blades"),
    ):
        with pytest.raises(RejectedSolid, match=said):
            balance_holes(BORED, form.but(**changed), row, CHANNEL.hub, back=0.1, boss=0.03)


@pytest.mark.parametrize(
    ("wheel", "said"),
    [
        ('back = "points"', 'wheel.back_at: is missing; back = "points" needs it'),
        ('back = "points"\nback_at = [0.5, 0.9]\nback_thickness = ["9 mm", "5 mm"]', "and end with 1, the rim"),
        ('back = "points"\nback_at = [0.5, 1]\nback_thickness = ["9 mm", "5 mm", "4 mm"]', "lists 3 values for 2 in back_at"),
        ('back = "points"\nback_at = [0.5, 1]\nback_thickness = [9, 5]', 'needs its unit in quotes, as in "9 m"'),
        ('keyway_length = "20 mm"', 'wheel.keyway_length = "20 mm": needs a keyway; write mounting = "keyway"'),
        ("back_vanes = 8", 'wheel.back_vanes = 8: needs a flat back of the disc; write back = "flat"'),
        ("balance_holes = true", 'wheel.balance_holes = true: needs a flat back of the disc; write back = "flat"'),
        ("back_labyrinth = 0.8", "wheel.back_labyrinth = 0.8: needs balance_holes"),
        ('back = "flat"\nbalance_holes = true\nback_labyrinth = 0.4', "must lie outside of hole_at = 0.5"),
        ('back = "flat"\nback_vanes = 8\nbalance_stock = "2 mm"', "has no room beside back_vanes"),
        ('mounting = "keyways"', "did you mean keyway?"),
    ],
)  # fmt: skip
def test_wrong_choices_are_named_with_their_line(wheel, said):
    text = f'title = "x"\n[duty]\nflow = "1 m3/s"\npressure_rise = "20 kPa"\n[site]\naltitude = "0 m"\ntemperature = "20 degC"\n[wheel]\n{wheel}'
    with pytest.raises(CaseError) as refused:
        case_from_text(text)
    assert said in str(refused.value)
