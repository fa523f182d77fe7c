"""Critical speeds: B. K. Sarkar, Theory of Machines, ch. 11 (as re-solved in FOSSEE's textbook companions, pi exact), and closed forms.

The book's shafts are slender and without rotary inertia; elements with Poisson's ratio -1 do not shear, which is that theory.
"""

from dataclasses import replace

import numpy as np
import pytest

from aerodesign.machine.rotor import critical_speeds, rotor, unbalance_response, whirl

RPM = np.pi / 30
RIGID, CLAMP = 1e12, 1e11
NO_SHAFT_MASS = 1e-6


def shaft(length, diameter, masses, *, modulus=200e9, density=NO_SHAFT_MASS, count=50, clamped=()):
    """A shaft on two rigid supports at its ends; ``masses`` by place; ends in ``clamped`` (0, -1) may not turn."""
    at = np.zeros(count + 1)
    for place, mass in masses.items():
        node = place / length * count
        assert node == pytest.approx(round(node)), place
        at[round(node)] += mass
    support = np.zeros(count + 1)
    support[[0, -1]] = RIGID
    made = rotor(
        length=np.full(count, length / count), diameter=np.full(count, diameter), modulus=modulus, density=density,
        poisson=-1.0, mass=at, support=support,
    )  # fmt: skip
    stiffness = made.stiffness.copy()
    for end in clamped:
        slope = 1 if end == 0 else 2 * count + 1
        stiffness[slope, slope] += CLAMP
    return replace(made, stiffness=stiffness)


def first(rotor_made) -> float:
    return float(critical_speeds(rotor_made, 1)[0])


def dunkerley(length, diameter, masses, **more) -> float:
    """Dunkerley's sum over the masses, each alone on the massless shaft, and the shaft alone."""
    density = more.pop("density", NO_SHAFT_MASS)
    parts = [first(shaft(length, diameter, {place: mass}, **more)) for place, mass in masses.items()]
    if density > 1:
        parts.append(first(shaft(length, diameter, {}, density=density, **more)))
    return 1 / np.sqrt(sum(1 / part**2 for part in parts))


def test_sarkar_p290_one_mass_off_the_middle():
    # printed 51.9 Hz
    assert first(shaft(0.9, 0.06, {0.6: 100}, count=48)) / (2 * np.pi) == pytest.approx(51.824, rel=1e-4)


def test_sarkar_p294_three_loads():
    # the book's third deflection uses the second weight; the right value is 4.2760 Hz
    masses = {1.0: 1500 / 9.81, 2.0: 2000 / 9.81, 2.5: 1000 / 9.81}
    assert dunkerley(3.0, 0.06, masses, count=48) / (2 * np.pi) == pytest.approx(4.2760, rel=2e-4)
    # The three together, by their influence coefficients on a simple beam (closed form): Dunkerley's sum is a lower bound.
    places, EI = np.array(list(masses)), 200e9 * np.pi * 0.06**4 / 64
    near, far = np.minimum.outer(places, places), 3.0 - np.maximum.outer(places, places)
    flexibility = near * far * (9.0 - near**2 - far**2) / (6 * EI * 3.0)
    exact = 1 / np.sqrt(np.linalg.eigvals(flexibility * np.array(list(masses.values()))).max())
    assert first(shaft(3.0, 0.06, masses, count=48)) == pytest.approx(exact, rel=1e-5)
    assert dunkerley(3.0, 0.06, masses, count=48) < exact


def test_sarkar_p296_mass_and_heavy_shaft():
    # Dunkerley with the shaft's deflection over 1.27: 39.422 Hz
    case = dict(length=0.8, diameter=0.03, masses={0.4: 10 / 9.81}, density=40000.0)
    assert dunkerley(**case) / (2 * np.pi) == pytest.approx(39.422, rel=1e-3)
    assert 1.0 < first(shaft(**case)) / dunkerley(**case) < 1.01


def test_sarkar_p297_three_masses_and_the_shaft():
    # printed 3111.6 rpm, exactly 3108.9 with the shaft's deflection over 1.27
    density = 1962 / 9.81 / (np.pi / 4 * 0.18**2)
    case = dict(length=2.5, diameter=0.18, masses={0.6: 25, 1.5: 50, 2.0: 20}, modulus=210e9, density=density)
    assert dunkerley(**case) / RPM == pytest.approx(3108.9, rel=1e-3)
    # The book's shaft is without rotary inertia, ours has it: at d/l = 0.07 it takes half a per cent off.
    assert 0.99 < first(shaft(**case)) / dunkerley(**case) < 1.01


def test_sarkar_p300_fixed_ends_and_the_speeds_to_keep_away_from():
    # printed 762.33 rpm, exactly 761.66; 70 MPa by whirl with e = 0.3 mm between 708.93 and 828.22 rpm
    made = shaft(1.0, 0.015, {0.5: 15}, clamped=(0, -1))
    assert first(made) / RPM == pytest.approx(761.66, rel=1e-4)
    allowed = 8 * np.pi * 0.015**3 / 32 * 70e6 / (192 * 200e9 * np.pi * 0.015**4 / 64)
    swing = unbalance_response(made, speed=np.array([708.93, 828.22]) * RPM, unbalance=15 * 0.3e-3, node=25, loss=0.0)
    assert swing[25] == pytest.approx(allowed, rel=2e-3)


def test_jeffcott():
    made = shaft(0.5, 0.04, {0.25: 10})
    assert first(made) == pytest.approx(982.394, rel=1e-5)
    assert first(made) / RPM == pytest.approx(9381.17, rel=1e-5)


def test_jeffcott_response_far_above_turns_about_the_centre_of_mass():
    made = shaft(0.5, 0.04, {0.25: 10})
    swing = unbalance_response(made, speed=np.array([1.0, 9823.94]), unbalance=10 * 1e-4, node=25, loss=0.0)[25]
    assert swing[0] == pytest.approx(1e-4 / 982.394**2, rel=1e-4)
    assert swing[1] == pytest.approx(1e-4 / (1 - 0.01), rel=1e-4)


def test_jeffcott_peak_is_bounded_by_the_loss_factor():
    made = shaft(0.5, 0.04, {0.25: 10})
    peak = unbalance_response(made, speed=np.array([982.394]), unbalance=10 * 1e-4, node=25, loss=0.05)[25]
    assert peak[0] == pytest.approx(1e-4 / 0.05, rel=1e-3)


def test_overhung_mass():
    # 3 E I / L^3: 24 933.9 rpm; only one end is held
    made = shaft(0.15, 0.05, {0.15: 8}, clamped=(0,))
    stiffness = made.stiffness.copy()
    stiffness[-2, -2] -= RIGID
    assert first(replace(made, stiffness=stiffness)) / RPM == pytest.approx(24933.9, rel=2e-4)


def test_uniform_shaft_by_euler():
    made = shaft(2.0, 0.02, {}, density=7850.0)
    euler = np.pi**2 * np.sqrt(200e9 * 0.02**2 / 16 / (7850 * 2.0**4))
    assert critical_speeds(made, 3) / euler == pytest.approx([1, 4, 9], rel=2e-3)


def test_a_short_beam_shears_as_timoshenko_says():
    # Simply supported: with k = n pi/l, r^2 = I/A, s = E/(kappa G), w0 = k^2 sqrt(E I / (rho A)):
    # r^4 s k^4 (w/w0)^4 - (1 + r^2 k^2 (1 + s)) (w/w0)^2 + 1 = 0 (Timoshenko, from memory), at rest
    d, span = 0.1, 0.6
    made = rotor(
        length=np.full(40, span / 40),
        diameter=np.full(40, d),
        modulus=200e9,
        density=7850.0,
        support=np.r_[1e13, np.zeros(39), 1e13],
    )
    r2, k2, s = d**2 / 16, (np.pi / span) ** 2, 2 * 1.3 / 0.886
    w0 = k2 * np.sqrt(200e9 * r2 / 7850)
    a, b = r2**2 * s * k2**2, 1 + r2 * k2 * (1 + s)
    exact = w0 * np.sqrt((b - np.sqrt(b**2 - 4 * a)) / (2 * a))
    assert whirl(made, np.array(0.0), 1)[1][0] == pytest.approx(exact, rel=1e-3)
    assert exact < 0.98 * w0


def test_a_disc_tilts_as_the_rigid_rotor_does():
    # A rigid rotor on two alike springs at +-a: tilting whirl w^2 Id - w W Ip - 2 k a^2 = 0
    a, k, Id, Ip, m = 0.1, 1e6, 0.02, 0.03, 5.0
    made = rotor(
        length=np.full(2, a), diameter=np.full(2, 0.5), modulus=2e15, density=1e-3, mass=[0, m, 0], polar=[0, Ip, 0], diametral=[0, Id, 0],
        support=[k, 0, k],
    )  # fmt: skip
    speed = np.array([0.0, 300.0, 900.0])
    backward, forward = whirl(made, speed, 2)
    tilt = (speed * Ip + np.sqrt((speed * Ip) ** 2 + 8 * Id * k * a**2)) / (2 * Id)
    bounce = np.sqrt(2 * k / m)
    assert np.sort(forward, axis=0) == pytest.approx(np.sort([tilt, 0 * tilt + bounce], axis=0), rel=2e-3)
    assert np.sort(backward, axis=0)[0] == pytest.approx(np.minimum(bounce, 2 * k * a**2 / Id / tilt), rel=2e-3)
    # more polar than diametral inertia: the tilt has no critical speed of its own
    assert critical_speeds(made, 2)[0] == pytest.approx(bounce, rel=2e-3)
    assert critical_speeds(made, 2)[1] > 100 * bounce
