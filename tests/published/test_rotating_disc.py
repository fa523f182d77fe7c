"""Rotating discs against closed forms of the theory of elasticity.

The solid disc is the analytic solution in the spinning-disc test of the FeenoX solver (opened); the annular disc and the disc of
constant stress are textbook results from memory, which the tests pin down by identities: twice the solid's stress round a pinhole, and
the constant stress itself.
"""

import numpy as np
import pytest

from aerodesign.machine.burst import burst_speed, yield_speed
from aerodesign.machine.disc import mean_hoop, rotating_disc

RPM = np.pi / 30
STEEL = dict(density=7850.0, modulus=200e9, poisson=0.3)
FAST = 10_000 * RPM


def uniform(inner, outer, *, speed=FAST, count=401, **metal):
    nodes = np.linspace(inner, outer, count)
    return rotating_disc(nodes=nodes, thickness=0 * nodes + 0.02, speed=speed, **(metal or STEEL))


def test_feenox_solid_disc_everywhere():
    # E 200 GPa, nu 0.3, 7800 kg/m3, 1000 rpm, plane stress; R 0.1: 0.352838 MPa at the centre
    disc = uniform(0, 0.1, speed=1000 * RPM, density=7800.0, modulus=200e9, poisson=0.3)
    r, pull = disc.r, 7800 * (1000 * RPM) ** 2
    radial = (3 + 0.3) / 8 * pull * (0.1**2 - r**2)
    hoop = pull / 8 * ((3 + 0.3) * 0.1**2 - (1 + 3 * 0.3) * r**2)
    assert disc.at_bore == pytest.approx(0.352838e6, rel=1e-4)
    assert disc.hoop == pytest.approx(hoop, rel=2e-5, abs=1)
    # beside the axis one point of integration an element is off by as much as the element is wide
    assert disc.radial[5:] == pytest.approx(radial[5:], rel=2e-4, abs=30)


@pytest.mark.parametrize(
    ("metal", "rpm", "inner", "outer", "bore", "rim"),
    [
        (STEEL, 10_000, 0.0, 0.25, 221.938, 94.155),
        (STEEL, 10_000, 0.05, 0.25, 447.641, 111.910),
        (dict(density=2810.0, modulus=71e9, poisson=0.33), 20_000, 0.0, 0.18, 166.235, None),
    ],
    ids=["steel, solid", "steel, annular", "aluminium, solid"],
)
def test_uniform_discs(metal, rpm, inner, outer, bore, rim):
    disc = uniform(inner, outer, speed=rpm * RPM, **metal)
    assert disc.at_bore == pytest.approx(1e6 * bore, rel=1e-4)
    if rim:
        assert disc.at_rim == pytest.approx(1e6 * rim, rel=1e-4)


def test_the_annular_disc_pulls_hardest_at_the_geometric_mean_radius():
    disc = uniform(0.05, 0.25)
    at = disc.radial.argmax()
    assert disc.radial[at] == pytest.approx(142.040e6, rel=1e-4)
    assert disc.r[at] == pytest.approx(np.sqrt(0.05 * 0.25), abs=5e-4)


def test_a_pinhole_doubles_the_stress():
    nodes = np.r_[np.geomspace(1e-4, 0.25, 3000)]
    holed = rotating_disc(nodes=nodes, thickness=0 * nodes + 0.02, speed=FAST, **STEEL)
    assert holed.at_bore == pytest.approx(2 * uniform(0, 0.25).at_bore, rel=1e-4)


def test_a_thin_ring_carries_rho_v2():
    assert uniform(0.2499, 0.25, count=11).at_rim == pytest.approx(538.03e6, rel=1e-3)


def test_the_disc_of_constant_stress():
    # 200 MPa: t(R)/t0 = 0.26052; the rim is pulled with 200 MPa by a ring hung on it
    nodes = np.linspace(0, 0.25, 401)
    thickness = 0.05 * np.exp(-7850 * FAST**2 * nodes**2 / (2 * 200e6))
    assert thickness[-1] / thickness[0] == pytest.approx(0.26052, rel=1e-4)
    hung = np.zeros_like(nodes)
    hung[-1] = 200e6 * thickness[-1] * 2 * np.pi * 0.25 / FAST**2
    disc = rotating_disc(nodes=nodes, thickness=thickness, speed=FAST, hung=hung, **STEEL)
    assert disc.hoop == pytest.approx(200e6, rel=2e-5)
    assert disc.radial == pytest.approx(200e6, rel=2e-5)


def test_heat_alone_stresses_by_its_unevenness_only():
    # Timoshenko's disc (from memory): T = Ta (r/R)^2 gives hoop E a Ta (1 - 3 (r/R)^2) / 4, radial E a Ta (1 - (r/R)^2) / 4
    nodes = np.linspace(0, 0.25, 401)
    warm = 40 * (nodes / 0.25) ** 2
    common = dict(nodes=nodes, thickness=0 * nodes + 0.02, speed=0.0, expansion=12e-6, **STEEL)
    disc = rotating_disc(warmth=warm, **common)
    scale, x = 200e9 * 12e-6 * 40, (disc.r / 0.25) ** 2
    assert disc.hoop == pytest.approx(scale * (1 - 3 * x) / 4, abs=2e-4 * scale)
    assert disc.radial == pytest.approx(scale * (1 - x) / 4, abs=2e-3 * scale)
    even = rotating_disc(warmth=0 * nodes + 40.0, **common)
    assert np.abs(even.hoop).max() < 1e-4 * scale
    assert even.growth[-1] == pytest.approx(12e-6 * 40 * 0.25, rel=1e-6)


def test_the_mean_hoop_stress_is_that_of_the_solution():
    nodes = np.linspace(0.02, 0.25, 401)
    thickness = 0.06 - 0.2 * nodes
    hung = np.linspace(0, 2e-4, 401)
    disc = rotating_disc(nodes=nodes, thickness=thickness, speed=FAST, hung=hung, **STEEL)
    h, step = (thickness[1:] + thickness[:-1]) / 2, np.diff(nodes)
    mean = np.sum(disc.hoop * h * step) / np.sum(h * step)
    assert mean_hoop(nodes=nodes, thickness=thickness, speed=FAST, density=7850, hung=hung) == pytest.approx(
        mean, rel=1e-6
    )


def test_many_discs_at_once_equal_one_by_one():
    outer, speed = np.array([0.1, 0.2, 0.3]), np.array([[500.0], [900.0]])
    nodes = np.linspace(0.02, outer, 81)
    together = rotating_disc(nodes=nodes, thickness=0 * nodes + 0.01, speed=speed, **STEEL)
    assert together.at_bore.shape == (2, 3)
    for i, j in np.ndindex(2, 3):
        alone = rotating_disc(nodes=nodes[:, j], thickness=0 * nodes[:, j] + 0.01, speed=speed[i, 0], **STEEL)
        assert together.at_bore[i, j] == pytest.approx(alone.at_bore, rel=1e-12)
        assert together.highest[i, j] == pytest.approx(alone.highest, rel=1e-12)


def test_speeds_of_burst_and_yield_go_with_the_root_of_strength():
    assert burst_speed(speed=1000.0, mean_hoop=100e6, ultimate=400e6, factor=1.0) == pytest.approx(2000)
    assert yield_speed(speed=1000.0, highest=100e6, strength=225e6) == pytest.approx(1500)
