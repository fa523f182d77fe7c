"""A belt: length against the line drawn round both pulleys, pulls against Euler's rope and the forces on the shafts."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerodesign.machine import belt

LAID = dict(kind="ribbed", power=18e3, speed=1256.6, motor_speed=309.4, loss=0.04)
FREE = dict(pulley=np.nan, centre=np.nan, width=np.nan)


@given(st.floats(0.02, 0.5), st.floats(1.0, 6.0), st.floats(1.01, 5.0))
@settings(max_examples=50)
def test_length_is_that_of_the_line_round_both_pulleys(small, ratio, apart):
    large = small * ratio
    centre = apart * (small + large) / 2
    beta = belt.lean(small=small, large=large, centre=centre)
    # The line as points: half the belt, from the far side of one pulley over the straight part to that of the other.
    # Large pulley at the left: it touches at pi/2 - beta from +x.
    turn_large, turn_small = np.linspace(np.pi, np.pi / 2 - beta, 4001), np.linspace(np.pi / 2 - beta, 0, 4001)
    x = np.concatenate([large / 2 * np.cos(turn_large), centre + small / 2 * np.cos(turn_small)])
    y = np.concatenate([large / 2 * np.sin(turn_large), small / 2 * np.sin(turn_small)])
    drawn = 2 * np.sum(np.hypot(np.diff(x), np.diff(y)))
    assert belt.belt_length(small=small, large=large, centre=centre) == pytest.approx(drawn, rel=1e-6)


def test_equal_pulleys():
    assert belt.belt_length(small=0.2, large=0.2, centre=1.0) == pytest.approx(2 + 0.2 * np.pi, rel=1e-14)


def test_the_handbooks_short_form():
    # L = 2 c + pi (D + d) / 2 + (D - d)^2 / (4 c), as belt catalogues print it (from memory): 1e-4 at usual distances.
    d, large, c = 0.1, 0.3, 0.8
    short = 2 * c + np.pi / 2 * (d + large) + (large - d) ** 2 / (4 * c)
    assert belt.belt_length(small=d, large=large, centre=c) == pytest.approx(short, rel=1e-4)


def test_eulers_rope():
    # A rope half round a post with friction 0.3 holds 2.566 times the pull, once round 6.586 times (closed form).
    assert belt.tension_ratio(friction=0.3, wrap=np.pi) == pytest.approx(2.5663, abs=1e-4)
    assert belt.tension_ratio(friction=0.3, wrap=2 * np.pi) == pytest.approx(6.5861, abs=1e-4)


def test_pulls_carry_the_power_and_balance_on_the_shaft():
    run = belt.run_belt(**LAID, **FREE)
    kind = belt.BELTS["ribbed"]
    # Both pulls make the power with its reserve; beyond the centrifugal pull they stand in Euler's ratio.
    assert (run.tight - run.slack) * run.speed == pytest.approx(belt.RESERVE * LAID["power"], rel=1e-12)
    spun = kind.surface_mass * run.width * run.speed**2
    assert (run.tight - spun) / (run.slack - spun) == pytest.approx(np.exp(kind.friction * run.wrap), rel=1e-12)
    assert run.tight == pytest.approx(kind.pull * run.width, rel=1e-12)
    # The shaft holds the vector sum of both straight parts.
    beta = belt.lean(small=run.pulley, large=run.motor_pulley, centre=run.centre)
    a, b = run.tight - spun, run.slack - spun
    vector = np.array([a * np.cos(beta) + b * np.cos(beta), (a - b) * np.sin(beta)])
    assert run.pull == pytest.approx(np.hypot(*vector), rel=1e-12)
    assert run.motor_pulley * LAID["motor_speed"] == pytest.approx(run.pulley * LAID["speed"], rel=1e-12)
    assert run.speed == pytest.approx(belt.PART_OF_SPEED * kind.speed, rel=1e-12)
    assert run.loss == pytest.approx(LAID["power"] / 0.96 - LAID["power"], rel=1e-12)


def test_it_broadcasts():
    power, speed = np.array([5e3, 20e3, 50e3])[:, None], np.array([600.0, 900.0, 1200.0, 1256.0])
    run = belt.run_belt(**(LAID | dict(power=power, speed=speed)), **FREE)
    one = belt.run_belt(**(LAID | dict(power=20e3, speed=1200.0)), **FREE)
    assert run.shape == (3, 4)
    for name, value in one.items():
        assert np.broadcast_to(getattr(run, name), (3, 4))[1, 2] == pytest.approx(value, rel=1e-12)
        assert not isinstance(value, np.ndarray)
