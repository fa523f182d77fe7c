"""The inducer's throat between real blade surfaces: closed forms for plates and helical blades, invariance."""

import numpy as np
import pytest
from test_geometry import WHEEL

from aerodesign.aero.choke import inducer_choke, passage_choke
from aerodesign.form import BladeForm
from aerodesign.gas.air import air
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.throat import between_spans, estimated_area, shortest, throat, turned


def test_shortest_way_between_parallel_plates_is_their_distance():
    x = np.linspace(0, 1, 41)
    low = np.stack([x, 0 * x, 0 * x], axis=1)
    high = np.stack([x + 0.3, 0 * x + 0.2, 0 * x + 0.1], axis=1)
    p, q = shortest(low, high)
    assert np.linalg.norm(q - p) == pytest.approx(np.hypot(0.2, 0.1))
    # One that ends ahead of the other: from its end to the other's line.
    p, q = shortest(low[:3], low + np.array([0.5, 0.5, 0]))
    np.testing.assert_allclose([p, q], [[0.05, 0, 0], [0.5, 0.5, 0]])


def test_distance_between_spans_is_the_height_of_the_channel():
    """Ahead of the bend, where the walls are cylinders, by radius; wherever the points stand along the flow."""
    blading, spans = Blading(WHEEL), np.linspace(0, 1, 9)
    r = WHEEL.r1h + spans * (WHEEL.r1s - WHEEL.r1h)
    z = -0.004 - 0.002 * np.sin(9 * spans)
    steps = between_spans(blading, spans, np.stack([r * np.cos(0.3), r * np.sin(0.3), z], axis=1))
    np.testing.assert_allclose(steps, np.diff(r), rtol=1e-6)


def test_straight_blades_of_constant_angle_leave_the_pitch_times_cosine_less_the_thickness():
    """A long axial inducer with many thin blades: helices whose angles follow tan(beta) over the radius, as the meanline has it.

    The opening at a radius is ``2 pi r cos(beta) - Z t``; what curvature of the cylinder and the wall's bend change goes with the
    square of the pitch, so 60 blades come within 1 %, and doubling them quarters the rest.
    """
    wheel = WHEEL.but(
        r2=0.3, axial_length=0.5, b2=0.04, rake=0.0, beta1h_blade=np.radians(30), beta1s_blade=np.arctan(np.tan(np.radians(30)) * 0.085 / 0.035),
        thickness_hub=2e-4, thickness_shroud=2e-4, leading_edge_ratio=2.0, splitters=0,
    )  # fmt: skip
    straight = BladeForm(
        angles="points", angles_at=(0.2, 0.5), hub_angles=(0.0, 0.0), shroud_angles=(0.0, 0.0), exact_angles=True
    )
    off = []
    for blades in (60, 120):
        many = wheel.but(blades=blades)
        off.append(throat(Blading(many, straight)).area / estimated_area(many) - 1)
    assert abs(off[0]) < 0.01
    assert abs(off[1]) < 0.5 * abs(off[0])


def test_the_estimate_is_the_area_that_the_meanline_chokes():
    """At standstill nothing but the area decides: flow through it over flow through a square metre."""
    gas, state = air(), dict(pt1=1e5, Tt1=300.0)
    through = inducer_choke(gas=gas, wheel=WHEEL, speed=0.0, **state)
    assert estimated_area(WHEEL) == pytest.approx(
        through / passage_choke(gas=gas, area=1.0, pt=1e5, Tt=300.0), rel=1e-12
    )


@pytest.mark.parametrize("form", [BladeForm(), BladeForm(surface="ruled")], ids=["free", "ruled"])
def test_no_way_across_is_shorter_than_the_throat(form):
    blading = Blading(WHEEL.but(splitters=0), form)
    found = throat(blading)
    np.testing.assert_allclose(np.linalg.norm(found.suction - found.pressure, axis=1), found.width)
    # Ends lie on both blades: at the half thickness from their camber lines, or at the nose.
    line = blading.span(0.5).at(np.linspace(-0.01, 1, 8001))
    camber = np.stack([line.r * np.cos(line.theta), line.r * np.sin(line.theta), line.z], axis=1)
    middle = len(found.width) // 2
    half = blading.span(0.5).thickness / 2
    to_pressure = np.linalg.norm(camber - found.pressure[middle], axis=1).min()
    to_suction = np.linalg.norm(turned(camber, 2 * np.pi / 8) - found.suction[middle], axis=1).min()
    assert to_pressure < 1.01 * half
    assert to_suction == pytest.approx(half, rel=0.03)
