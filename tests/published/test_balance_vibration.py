"""Balance grades after ISO 21940-11 and vibration after ISO 14694 and ISO 10816-3, and the loads that come of them."""

import numpy as np
import pytest

from aerodesign.machine.balance import GRADES, permissible_eccentricity, permissible_unbalance
from aerodesign.machine.loads import CORE, reactions, ring_force, thrust, unbalance_force, vane_relief, vaned_core
from aerodesign.machine.vibration import CATEGORIES, ZONES, allowed_at_maker, category_for, rms_velocity, zone

RPM = np.pi / 30


@pytest.mark.parametrize(
    ("grade", "rpm", "mass", "eccentricity_um", "unbalance_gmm"),
    [
        ("G2.5", 3000, 20, 7.9577, 159.15),
        ("G6.3", 3000, 20, None, 401.06),
        ("G2.5", 12000, 8, 1.98944, 15.915),
        ("G2.5", 20000, 5, None, 5.968),
        ("G1", 20000, 5, None, 2.387),
    ],
)
def test_iso_21940_11(grade, rpm, mass, eccentricity_um, unbalance_gmm):
    # e[um] = 1000 G / w, U[g mm] = 9549 G m / n
    known = dict(grade=GRADES[grade], speed=rpm * RPM)
    assert permissible_unbalance(mass=mass, **known) == pytest.approx(
        1e-6 * unbalance_gmm, rel=2e-4
    )  # printed to four digits
    assert permissible_unbalance(mass=mass, **known) == pytest.approx(
        1e-6 * 9549 * GRADES[grade] * 1e3 * mass / rpm, rel=1e-4
    )
    if eccentricity_um:
        assert permissible_eccentricity(**known) == pytest.approx(1e-6 * eccentricity_um, rel=1e-4)


def test_the_force_of_the_permissible_unbalance():
    unbalance = permissible_unbalance(grade=GRADES["G2.5"], mass=8.0, speed=12000 * RPM)
    assert unbalance_force(unbalance=unbalance, speed=12000 * RPM) == pytest.approx(25.13, rel=1e-3)


def test_iso_14694_category_three_goes_with_grade_6_3():
    assert CATEGORIES["BV-3"].grade == "G6.3"
    assert allowed_at_maker(category="BV-3", mounting="rigid") == CATEGORIES["BV-3"].rigid
    for kind in ("rigid", "flexible"):
        limits = [getattr(category, kind) for category in CATEGORIES.values()]
        assert limits == sorted(limits, reverse=True)


def test_amca_204_industrial_fans_up_to_400_hp():
    assert category_for(power=298e3) == "BV-3"
    assert category_for(power=299e3) == "BV-4"


@pytest.mark.parametrize(
    ("power", "mounting", "ends"),
    [
        (200e3, "rigid", (2.8, 4.5)), (200e3, "flexible", (4.5, 7.1)),
        (400e3, "rigid", (4.5, 7.1)), (400e3, "flexible", (7.1, 11.0)),
    ],
)  # fmt: skip
def test_iso_10816_3_ends_of_zones_b_and_c(power, mounting, ends):
    # a fan maker's manual, quoting DIN ISO 10816-3
    b, c = (1e-3 * end for end in ends)
    for velocity, expected in ((0.99 * b, 1), (1.01 * b, 2), (0.99 * c, 2), (1.01 * c, 3)):
        assert zone(velocity=velocity, power=power, mounting=mounting) == expected
    assert zone(velocity=1e-6, power=power, mounting=mounting) == 0


def test_zones_of_many_points():
    assert zone(velocity=np.array([1e-3, 2e-3, 3e-3, 9e-3]), power=50e3, mounting="rigid").tolist() == [0, 1, 2, 3]
    assert len(ZONES) == 4


def test_a_circle_of_a_micron_at_12000_rpm():
    assert rms_velocity(radius=1e-6, speed=12000 * RPM) == pytest.approx(1.2566e-3 / np.sqrt(2), rel=1e-4)


def test_reactions_balance_forces_and_moments():
    z, force = np.array([0.0, 0.2, 0.5]), np.array([30.0, -10.0, 50.0])
    front, rear = reactions(force=force, z=z, front=0.1, rear=0.4)
    assert front + rear == pytest.approx(force.sum())
    assert front * 0.1 + rear * 0.4 == pytest.approx((force * z).sum())
    # an overhung load a ahead of a span s: (a + s) / s and -a / s
    assert reactions(force=np.array([10.0]), z=np.array([0.0]), front=0.1, rear=0.4) == pytest.approx((40 / 3, -10 / 3))


PRESSED = dict(
    p1=95e3, p2=112e3, ambient=101e3, r1h=0.024, r1s=0.068, r2=0.115, r_shaft=0.015, rho2=1.2, speed=1500.0, mass_flow=0.85, cm1=55.0
)  # fmt: skip


def test_pressure_on_a_ring_is_that_of_quadrature():
    r = np.linspace(0.02, 0.115, 20001)
    pressure = 112e3 - 1.2 * (0.5 * 1500) ** 2 * (0.115**2 - r**2) / 2
    numeric = np.trapezoid(2 * np.pi * r * pressure, r)
    assert ring_force(p_out=112e3, r_out=0.115, r_in=0.02, density=1.2, speed=1500.0) == pytest.approx(
        numeric, rel=1e-8
    )


def test_no_flow_and_one_pressure_make_no_thrust():
    still = PRESSED | dict(p1=1e5, p2=1e5, ambient=1e5, speed=0.0, mass_flow=0.0)
    for covered in (False, True):
        assert thrust(**still, covered=covered).total == pytest.approx(0, abs=1e-8)
        assert thrust(**still, covered=covered, through=True).total == pytest.approx(0, abs=1e-8)


def test_thrust_of_a_semi_open_wheel_by_hand():
    found = thrust(**PRESSED)
    back = np.pi * (0.115**2 - 0.015**2) * (112e3 - 1.2 * 750**2 * (0.115**2 - 0.015**2) / 4) + np.pi * 0.015**2 * 101e3
    front = np.pi * (0.115**2 - 0.024**2) * (95e3 + 112e3) / 2 + np.pi * 0.024**2 * 95e3
    assert found.back == pytest.approx(back)
    assert found.front == pytest.approx(front)
    assert found.momentum == pytest.approx(46.75)
    assert found.total == pytest.approx(back - front - 46.75)
    assert found.total > 0


def test_a_cover_and_balance_holes_ease_the_thrust():
    bare = thrust(**PRESSED).total
    assert thrust(**PRESSED, covered=True).total < bare
    eased = [thrust(**PRESSED, r_holes=r).total for r in (0.0, 0.03, 0.05, 0.07)]
    assert np.all(np.diff(eased) < 0)
    assert eased[0] == pytest.approx(bare)


def test_what_a_labyrinth_leaves_is_a_part_of_what_was_over_the_inlet():
    """By rings: within it the back feels p1 and a tenth of the rest, without it all of it."""
    bare, sealed, all_of_it = (
        thrust(**PRESSED, r_holes=r, held=held).back for r, held in ((0, 1), (0.09, 0.1), (0.09, 0))
    )
    assert sealed - all_of_it == pytest.approx(0.1 * (bare - all_of_it))
    ring = np.pi * (0.09**2 - 0.015**2)
    within = ring_force(p_out=112e3, r_out=0.115, r_in=0.015, density=1.2, speed=1500.0) - ring_force(
        p_out=112e3, r_out=0.115, r_in=0.09, density=1.2, speed=1500.0
    )
    assert bare - all_of_it == pytest.approx(within - ring * 95e3)


def test_thrust_broadcasts():
    many = thrust(**PRESSED | dict(speed=np.array([[1000.0], [1500.0]]), p2=np.array([110e3, 112e3, 114e3])))
    assert many.total.shape == (2, 3)
    assert many.total[1, 1] == pytest.approx(thrust(**PRESSED).total)


def test_back_vanes_take_what_the_quadrature_says():
    """Gas that turns faster between two radii: pressure by rho (k w)^2 r dr outwards of each radius, force by rings."""
    low, high, shaft, rho, speed, core = 0.07, 0.11, 0.015, 1.3, 1200.0, 0.8
    r = np.linspace(shaft, high, 200001)
    k = np.where(r >= low, core, CORE)
    inward = np.cumsum((rho * speed**2 * r * (k**2 - CORE**2))[::-1])[::-1] * (r[1] - r[0])
    numeric = np.trapezoid(2 * np.pi * r * inward, r)
    found = vane_relief(low=low, high=high, r_shaft=shaft, density=rho, speed=speed, core=core)
    assert found == pytest.approx(numeric, rel=1e-4)
    assert vane_relief(low=0.0, high=0.0, r_shaft=shaft, density=rho, speed=speed, core=core) == 0
    assert vaned_core(height=3.0, gap=1.0) == pytest.approx(0.875)  # Stepanoff: (1 + 3/4)/2
    assert vaned_core(height=0.0, gap=1.0) == CORE
    plain, eased = (thrust(**PRESSED, vanes=vanes, vaned_core=core) for vanes in ((0.0, 0.0), (low, high)))
    relief = vane_relief(
        low=low, high=high, r_shaft=PRESSED["r_shaft"], density=PRESSED["rho2"], speed=PRESSED["speed"], core=core
    )
    assert plain.total - eased.total == pytest.approx(relief)


@pytest.mark.parametrize("low", [0.03, 0.05, 0.08])
def test_back_vanes_within_balance_holes_take_their_part_of_what_these_leave(low):
    """By rings: over p1 there is left ``held`` of the pressure that the vanes have lowered; counted apart the two would ease more than is there."""
    high, holes, held, core, rho, speed, shaft = 0.11, 0.06, 0.15, 0.85, 1.2, 1500.0, PRESSED["r_shaft"]
    edges = np.unique(np.r_[np.linspace(shaft, 0.115, 400001), low, high, holes])
    r = (edges[1:] + edges[:-1]) / 2
    k = np.where((r > low) & (r < high), core, CORE)
    fallen = np.cumsum((rho * (k * speed) ** 2 * r * np.diff(edges))[::-1])[::-1]
    over = 112e3 - fallen - PRESSED["p1"]
    ring = np.pi * np.diff(edges**2)
    left = np.where(r < holes, held, 1.0) * over + PRESSED["p1"]
    found = thrust(**PRESSED, r_holes=holes, held=held, vanes=(low, high), vaned_core=core).back
    assert found == pytest.approx(np.sum(left * ring) + np.pi * shaft**2 * PRESSED["ambient"], rel=1e-5)
