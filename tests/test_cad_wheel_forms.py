"""Solids of wheels by choices of form: each passes the gate, with the volume of its parts and the faces that were asked for."""

import numpy as np
import pytest
from test_cad_impeller import COVERED, OPEN
from test_cad_impeller import volume as volume_of

from aerodesign.cad.gate import accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.shapes import faces
from aerodesign.cad.step import read_step, write_step
from aerodesign.form import BladeForm, Form, WheelForm

pytestmark = pytest.mark.solids

BORED = OPEN.but(blades=4, splitters=0, bore=0.03)
PLAIN = 4 * (2 * 2 + 1 + 1 + 1) + 6
"""Faces of that wheel without choices: see the test of the plain one."""

WHEELS = {
    "keyway": (WheelForm(mounting="keyway"), 3),
    "blunt keyway": (WheelForm(mounting="keyway", nose="blunt"), 2),
    "blind keyway": (WheelForm(mounting="keyway", keyway_length=0.03), 5),
    "blunt blind keyway": (WheelForm(mounting="keyway", keyway_length=0.03, nose="blunt", nose_stock=0.002), 5),
    "taper": (WheelForm(mounting="taper"), 0),
    "tie bolt": (WheelForm(mounting="tie bolt", pilot_diameter=0.038), 2),
    "cone": (WheelForm(nose="cone"), 0),
    "points": (WheelForm(back="points", back_at=(0.4, 0.7, 1.0), back_thickness=(0.03, 0.012, 0.005)), 1),
    "stock": (WheelForm(balance_stock=0.002), 4),
    "stock on both faces": (WheelForm(balance_stock=0.002, nose_stock=0.003), 5),
    "vanes": (WheelForm(back="flat", back_vanes=6), 30),
    "holes": (WheelForm(back="flat", balance_holes=True), 4),
    "all": (WheelForm(back="flat", balance_holes=True, hole_at=0.45, back_vanes=6, mounting="keyway"), 37),
}


@pytest.mark.parametrize("name", WHEELS)
def test_every_form_of_the_body_passes_the_gate(name):
    form, more = WHEELS[name]
    solid = impeller_solid(BORED, Form(wheel=form))
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds)
    assert judged.volume == pytest.approx(solid.volume, rel=2e-5)
    assert judged.tolerance < 3e-6
    assert len(faces(solid.shape)) == PLAIN + more


@pytest.mark.slow
def test_a_covered_wheel_takes_every_form_at_once(tmp_path):
    form = Form(wheel=WHEELS["all"][0], blade=BladeForm(surface="ruled", lean=0.05, thickness_along=(1, 1.2, 0.9)))
    solid = impeller_solid(COVERED.but(bore=0.03), form)
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds)
    assert judged.volume == pytest.approx(solid.volume, rel=5e-5)
    assert judged.tolerance < 3e-6
    (again,) = read_step(write_step({"wheel": solid.shape}, tmp_path / "wheel.step", "test"))
    before, after = (volume_of(shape, within=1e-3) for shape in (solid.shape, again))
    assert after == pytest.approx(before, rel=1e-6)


BLADES = {
    "points": BladeForm(angles="points", angles_at=(0.3, 0.7), hub_angles=(0.2, 0.8), shroud_angles=(0.4, 0.7)),
    "loading": BladeForm(angles="loading", hub_loading=0.4, shroud_loading=0.6),
    "ruled": BladeForm(surface="ruled"),
    "rounded": BladeForm(trailing_edge="rounded"),
    "off the middle": BladeForm(splitter_position=0.45, wrap=np.radians(85)),
}


@pytest.mark.parametrize("name", BLADES)
def test_every_form_of_the_blades_passes_the_gate(name):
    solid = impeller_solid(OPEN, Form(blade=BLADES[name]))
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds)
    assert judged.volume == pytest.approx(solid.volume, rel=2e-5)
    assert judged.tolerance < 3e-6
