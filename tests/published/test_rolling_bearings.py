"""Rolling bearings: T. H. Wentzell, Machine Design, ch. 20 (as re-solved in FOSSEE's textbook companions), ISO 281's factors,
a guide's relubrication interval, and the two rules for the temperature of grease.
"""

import numpy as np
import pytest

from aerodesign.machine.bearing_table import BEARINGS, SERIES
from aerodesign.machine.bearing_temperature import bearing_warmth, friction_torque, seat_surface
from aerodesign.machine.bearings import (
    A1,
    RELIABILITY,
    equivalent_load,
    film_factor,
    in_series,
    life_hours,
    pair_axial_loads,
    preloaded_pair,
    radial_stiffness,
    rating_for_life,
    rating_life,
    speed_factor,
)
from aerodesign.machine.grease import (
    CATALOGUE_RULE,
    GREASES,
    STRICT_RULE,
    catalogue_factor,
    grease_life,
    oil_viscosity,
    strict_factor,
    wanted_viscosity,
)

RPM, HOUR = np.pi / 30, 3600.0


def test_wentzell_p431_life():
    # C 5050 lb, P 2400 lb, 1750 rpm: 88.73 h; only the ratio of both counts
    turns = rating_life(dynamic=5050.0, load=2400.0)
    assert turns == pytest.approx(9.31623e6, rel=1e-5)
    assert life_hours(revolutions=turns, speed=1750 * RPM) / HOUR == pytest.approx(88.7260, rel=1e-5)


def test_wentzell_p432_rating_for_a_life():
    assert rating_for_life(load=2400.0, life=200 * HOUR, speed=1750 * RPM) == pytest.approx(6621.42, rel=1e-5)


def test_wentzell_p434_combined_load():
    # R 1200 lb, thrust 500 lb, X 0.56, Y 1.6: P 1472; 5000 h at 1500 rpm ask C 11 280
    static = 13 * 500 / np.interp(-1.6, [-1.71, -1.55], [0.689, 1.03])
    found = equivalent_load(radial=1200.0, axial=500.0, static=static)
    assert (found.X, found.Y) == pytest.approx((0.56, 1.6))
    assert found.load == pytest.approx(1472, rel=1e-6)
    assert rating_for_life(load=found.load, life=5000 * HOUR, speed=1500 * RPM) == pytest.approx(11280, rel=2e-4)


def test_wentzell_p436_revolutions_and_interpolated_y():
    assert rating_life(dynamic=3350.0, load=1095.0) == pytest.approx(28_634_662, rel=1e-6)
    # Its table has Fa / C0 itself, to two digits: f0 = 12.3 turns ISO 281's into it; Y 1.40 at 0.1293
    found = equivalent_load(radial=100.0, axial=1000.0, static=1000 / 0.1293, f0=12.3, rotation=1.2)
    assert pytest.approx(1.40, abs=0.01) == found.Y
    assert found.load == pytest.approx(0.56 * 1.2 * 100 + found.Y * 1000)


def test_roller_bearings_go_with_the_power_ten_thirds():
    assert rating_life(dynamic=2.0, load=1.0, exponent=10 / 3) == pytest.approx(2 ** (10 / 3) * 1e6)


@pytest.mark.parametrize(("reliability", "a1"), list(zip(RELIABILITY, A1, strict=True)))
def test_iso_281_reliability(reliability, a1):
    assert rating_life(dynamic=2.0, load=1.0, reliability=reliability) == pytest.approx(8e6 * a1)


def test_what_it_takes_to_gain_eight_to_ten_times_the_life():
    # Life goes with the cube of the load: half the load gives eight times, 0.464 of it ten times the life
    base = rating_life(dynamic=10.0, load=2.0)
    assert rating_life(dynamic=10.0, load=1.0) / base == pytest.approx(8)
    assert rating_life(dynamic=10.0, load=2 / 10 ** (1 / 3)) / base == pytest.approx(10)
    assert 10 ** (-1 / 3) == pytest.approx(0.464, abs=5e-4)


def test_a_light_thrust_does_not_count_and_never_helps():
    static = 11200.0
    assert equivalent_load(radial=1000.0, axial=100.0, static=static).load == 1000.0
    axial = np.linspace(0, 5000, 501)
    load = equivalent_load(radial=1000.0, axial=axial, static=static).load
    assert np.all(np.diff(load) > -60)  # ISO's table steps down a little where e is passed
    assert np.all(load >= 1000.0)


def test_angular_contact_of_forty_degrees():
    found = equivalent_load(radial=100.0, axial=200.0, static=1e4, contact=np.radians(40))
    assert found.load == pytest.approx(0.35 * 100 + 0.57 * 200)
    assert equivalent_load(radial=100.0, axial=110.0, static=1e4, contact=np.radians(40)).load == 100.0


def test_preloaded_pair_keeps_hertz_and_balance():
    loaded, other = preloaded_pair(thrust=np.array([0.0, 300.0, 900.0]), preload=500.0)
    assert loaded - other == pytest.approx([0, 300, 900])
    assert loaded ** (2 / 3) + other ** (2 / 3) == pytest.approx(2 * 500 ** (2 / 3), rel=1e-9)
    assert loaded[0] == pytest.approx(500)
    lifted = preloaded_pair(thrust=2**1.5 * 500.0, preload=500.0)
    assert lifted == pytest.approx((2**1.5 * 500, 0), abs=1e-6)


def test_bearings_set_against_each_other():
    front, rear = pair_axial_loads(radial_front=400.0, radial_rear=100.0, thrust=-50.0, preload=200.0)
    assert (front, rear) == pytest.approx((400 / 1.14, 400 / 1.14 + 50))


def test_stiffness_goes_with_the_cube_root_of_the_load():
    common = dict(ball=9.5e-3, balls=9.0)
    k = radial_stiffness(load=np.array([100.0, 800.0]), **common)
    assert k[1] / k[0] == pytest.approx(2)
    # Gargiulo's estimate for ball bearings (1980, from memory): 0.0325e6 (D F Z^2)^(1/3) lbf/in, D in inch, F in lbf
    lbf, inch = 4.4482216, 0.0254
    other = 0.0325e6 * (9.5e-3 / inch * 100 / lbf * 81) ** (1 / 3) * lbf / inch
    assert k[0] == pytest.approx(other, rel=0.2)
    assert in_series(2e8, 2e8) == pytest.approx(1e8)


def test_iso_15_dimensions_grow_with_the_size():
    for series, rows in SERIES.items():
        bores = [row.bore for row in rows]
        assert bores == sorted(bores), series
        assert all(row.bore < row.outside and row.dynamic > row.static > 0 for row in rows), series
        assert np.all(np.diff([row.dynamic for row in rows]) > 0), series
        assert np.all(np.diff([row.static for row in rows]) > 0), series
    assert (BEARINGS["6206"].bore, BEARINGS["6206"].outside, BEARINGS["6206"].width) == pytest.approx(
        (0.030, 0.062, 0.016)
    )
    assert BEARINGS["6206"].balls == 9
    assert BEARINGS["6308"].balls == 8
    assert BEARINGS["7208B"].contact == pytest.approx(np.radians(40))


def test_the_size_in_a_name_is_a_fifth_of_the_bore():
    for name, row in BEARINGS.items():
        if row.bore >= 0.020:
            assert int(name.rstrip("B")[-2:]) * 5 == pytest.approx(1e3 * row.bore)


def test_speed_factor():
    assert speed_factor(speed=15000 * RPM, mean_diameter=0.046) == pytest.approx(690_000)


@pytest.mark.parametrize(
    ("bore", "rpm", "hours"), [(40, 3000, 5778.65), (50, 3000, 4599.66), (20, 15000, 1287.00), (30, 12000, 930.03)]
)
def test_guide_to_relubrication_intervals(bore, rpm, hours):
    found = grease_life(speed=rpm * RPM, bore=1e-3 * bore, T=343.15)
    assert found.at_70 / HOUR == pytest.approx(hours, abs=0.006)
    assert found.by(CATALOGUE_RULE) == found.by(STRICT_RULE) == pytest.approx(found.at_70)


def test_the_interval_ends_at_zero_not_below():
    # 3.5e6 / d^1.5
    bore = 0.025
    end = 3.5e6 / 25**1.5 * RPM
    assert grease_life(speed=0.999 * end, bore=bore, T=343.15).at_70 > 0
    assert grease_life(speed=1.5 * end, bore=bore, T=343.15).at_70 == 0


def test_catalogue_rule_fifteen_kelvins():
    # tpsbearing.com catalogue p. 117: every 15 C above 70 C halve; 15 C below double, once at most
    assert catalogue_factor(T=273.15 + np.array([70.0, 85.0, 100.0, 115.0, 55.0, 30.0])) == pytest.approx(
        [1, 0.5, 0.25, 0.125, 2, 2]
    )


def test_strict_rule_fifteen_fahrenheits():
    # Common practice, no source: 45 degF cooler is eight times the life
    warm = 273.15 + 96.0
    assert strict_factor(T=warm - 45 / 1.8) / strict_factor(T=warm) == pytest.approx(8)
    T = 273.15 + np.linspace(0, 150, 301)
    assert np.all(strict_factor(T=T) <= catalogue_factor(T=T))


def test_both_rules_are_named_in_the_result():
    found = grease_life(speed=12000 * RPM, bore=0.03, T=273.15 + 100)
    assert found.halving_per_15_K == pytest.approx(found.at_70 / 4)
    assert found.halving_per_15_degF == pytest.approx(found.at_70 * 2 ** (-30 * 1.8 / 15))
    assert found.by("halving per 15 degF") == found.halving_per_15_degF


def test_oil_has_its_two_viscosities_and_thins():
    grease = GREASES["lithium, mineral oil"]
    assert oil_viscosity(grease=grease, T=313.15) == pytest.approx(grease.viscosity_40, rel=1e-9)
    assert oil_viscosity(grease=grease, T=373.15) == pytest.approx(grease.viscosity_100, rel=1e-9)
    assert np.all(np.diff(oil_viscosity(grease=grease, T=np.linspace(300, 400, 50))) < 0)


def test_rated_viscosity_is_one_curve():
    # 4500 (n dm)^-0.5 above 1000 rpm; both branches meet there within 3 %
    assert wanted_viscosity(speed=4000 * RPM, mean_diameter=0.05) == pytest.approx(4500 / np.sqrt(4000 * 50))
    at = [wanted_viscosity(speed=n * RPM, mean_diameter=0.05) for n in (999.99, 1000.01)]
    assert at[0] == pytest.approx(at[1], rel=0.03)
    assert film_factor(viscosity_ratio=np.array([1e-4, 0.25, 4.0])) == pytest.approx([0.1, 0.5, 1.0])


WARM = dict(
    ambient=300.0, hot=340.0, conductance=0.3, surface=seat_surface(bore=0.03, outside=0.062, width=0.016), load=500.0, static=11200.0,
    mean_diameter=0.046, speed=1500.0, grease=GREASES["lithium, mineral oil"],
)  # fmt: skip


def test_heat_of_a_bearing_balances():
    found = bearing_warmth(**WARM)
    assert found.friction + found.from_shaft == pytest.approx(320 * WARM["surface"] * (found.T - 300), rel=1e-6)


def test_no_friction_and_no_shaft_leave_the_bearing_at_ambient():
    # at a crawl only the wheel's heat counts: two conductances in series
    cold = bearing_warmth(**WARM | dict(speed=1e-6))
    out = 320 * WARM["surface"]
    assert cold.T == pytest.approx((out * 300 + 0.3 * 340) / (out + 0.3), abs=1e-4)


def test_friction_torque_of_palmgren():
    # below nu n = 2000 the drag is 160e-7 f0 dm^3 N mm: 46 mm, f0 2: 3.115 N mm
    drag = friction_torque(load=1e-9, static=1e4, mean_diameter=0.046, speed=10 * RPM, viscosity=20.0)
    assert drag == pytest.approx(160e-7 * 2 * 46**3 * 1e-3, rel=1e-6)
    fast = friction_torque(load=1e-9, static=1e4, mean_diameter=0.046, speed=10000 * RPM, viscosity=20.0)
    assert fast == pytest.approx(1e-7 * 2 * 46**3 * 200000 ** (2 / 3) * 1e-3, rel=1e-6)


def test_everything_broadcasts():
    speed, load = np.array([[800.0], [1500.0]]), np.array([300.0, 600.0, 900.0])
    warm = bearing_warmth(**WARM | dict(speed=speed, load=load))
    assert warm.T.shape == (2, 3)
    one = bearing_warmth(**WARM | dict(speed=1500.0, load=600.0))
    assert warm.T[1, 1] == pytest.approx(one.T, rel=1e-12)
    assert np.ndim(one.T) == 0
    assert equivalent_load(radial=load, axial=speed, static=11200.0).load.shape == (2, 3)
    assert grease_life(speed=speed, bore=0.03, T=warm.T).halving_per_15_K.shape == (2, 3)
    assert np.ndim(grease_life(speed=800.0, bore=0.03, T=360.0).at_70) == 0


# Boundary dimensions of JIS B 1520 (ISO 15), from a public list: bore, outside, width in mm by the number's last two digits.
ISO_15 = {
    "60": {10: (26, 8), 12: (28, 8), 15: (32, 9), 17: (35, 10), 20: (42, 12), 25: (47, 12), 30: (55, 13), 35: (62, 14), 40: (68, 15),
           45: (75, 16), 50: (80, 16)},
    "62": {10: (30, 9), 12: (32, 10), 15: (35, 11), 17: (40, 12), 20: (47, 14), 25: (52, 15), 30: (62, 16), 35: (72, 17), 40: (80, 18),
           45: (85, 19), 50: (90, 20)},
    "63": {10: (35, 11), 12: (37, 12), 15: (42, 13), 17: (47, 14), 20: (52, 15), 25: (62, 17), 30: (72, 19)},
}  # fmt: skip
# Dynamic and static ratings in kN of two other public lists: a maker's catalogue (yumpu.com 36627153) and a teaching table of the 62 series.
OTHERS = {
    "6000": (4.55, 1.96), "6200": (5.10, 2.39), "6300": (8.20, 3.50), "6001": (5.10, 2.39), "6201": (6.8, 3.05), "6202": (7.8, 3.75),
    "6203": (9.55, 4.8), "6204": (12.8, 6.65), "6205": (14.0, 7.8), "6206": (19.5, 11.2), "6207": (25.5, 15.3), "6208": (29.1, 17.8),
    "6209": (32.5, 20.4), "6210": (35.0, 23.2), "6211": (43.6, 29.0), "6212": (52.0, 36.0),
}  # fmt: skip


@pytest.mark.parametrize("series", ISO_15)
def test_dimensions_row_by_row(series):
    rows = {round(1e3 * one.bore): one for one in SERIES[series]}
    for bore, (outside, width) in ISO_15[series].items():
        assert (1e3 * rows[bore].outside, 1e3 * rows[bore].width) == pytest.approx((outside, width))


@pytest.mark.parametrize("name", OTHERS)
def test_ratings_lie_near_those_of_other_makers(name):
    dynamic, static = OTHERS[name]
    assert BEARINGS[name].dynamic / 1e3 == pytest.approx(dynamic, rel=0.12)
    assert BEARINGS[name].static / 1e3 == pytest.approx(static, rel=0.07)
