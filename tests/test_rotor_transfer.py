"""The rotor solved a second time, by transfer matrices along the shaft (Myklestad and Prohl), which share nothing with the elements."""

import numpy as np
import pytest
from scipy.optimize import brentq

from aerodesign.machine.rotor import (
    critical_speeds,
    deflection,
    mode_shapes,
    rotor,
    separation,
    unbalance_response,
    whirl,
)

E, RHO = 206e9, 7850.0


def residual(speed, lengths, diameters, mass, tilt, support):
    """Determinant of the free end's shear and moment: zero at a critical speed. State: y, slope, moment, shear by start; many speeds."""
    square = np.asarray(speed, float) ** 2
    y, slope, moment, shear = (np.zeros((2, *square.shape)) for _ in range(4))
    y[0], slope[1] = 1.0, 1.0
    for i in range(len(mass)):
        shear = shear + (mass[i] * square - support[i]) * y
        moment = moment - tilt[i] * square * slope
        if i < len(lengths):
            a, EI = lengths[i], E * np.pi * diameters[i] ** 4 / 64
            y = y + a * slope + a**2 / (2 * EI) * moment + a**3 / (6 * EI) * shear
            slope = slope + a / EI * moment + a**2 / (2 * EI) * shear
            moment = moment + a * shear
    return moment[0] * shear[1] - moment[1] * shear[0]


def second_solution(lengths, diameters, mass, polar, diametral, support, count, top=30000.0, fine=40):
    """Critical speeds by the sign changes of the residual, the shaft cut into fine pieces with their mass and inertia lumped."""
    piece, size = np.repeat(lengths / fine, fine), np.repeat(diameters, fine)
    line, turn = RHO * np.pi / 4 * size**2 * piece, RHO * np.pi / 64 * size**4 * piece
    lump, tilt = np.zeros(len(piece) + 1), np.zeros(len(piece) + 1)
    lump[:-1] += line / 2
    lump[1:] += line / 2
    tilt[:-1] -= turn / 2  # diametral less polar inertia of a thin slice
    tilt[1:] -= turn / 2
    springs = np.zeros_like(lump)
    lump[::fine] += mass
    tilt[::fine] += np.asarray(diametral) - polar
    springs[::fine] = support
    args = (piece, size, lump, tilt, springs)
    grid = np.linspace(20, top, 3000)
    values = residual(grid, *args)
    found = [
        brentq(residual, a, b, args=args, xtol=1e-6)
        for a, b, x, y in zip(grid, grid[1:], values, values[1:], strict=False)
        if x * y < 0
    ]
    return found[:count]


OVERHUNG = dict(
    lengths=np.array([0.03, 0.045, 0.06, 0.06, 0.06, 0.03]),
    diameters=np.array([0.028, 0.030, 0.036, 0.036, 0.036, 0.027]),
    mass=np.array([6.0, 0, 0, 0, 3.0, 0, 0]),
    polar=np.array([0.05, 0, 0, 0, 0.003, 0, 0]),
    diametral=np.array([0.03, 0, 0, 0, 0.004, 0, 0]),
    support=np.array([0, 0, 5e7, 0, 0, 4e7, 0]),
)
BETWEEN = dict(
    lengths=np.array([0.10, 0.08, 0.07, 0.05]),
    diameters=np.array([0.035, 0.040, 0.035, 0.03]),
    mass=np.array([0, 12.0, 0, 0, 1.5]),
    polar=np.array([0, 0.12, 0, 0, 0.002]),
    diametral=np.array([0, 0.07, 0, 0, 0.002]),
    support=np.array([6e7, 0, 0, 6e7, 0]),
)


def by_elements(lengths, diameters, split=6, **on_nodes):
    """The same rotor by beam elements that do not shear, each piece in ``split``."""

    def spread(values):
        full = np.zeros(split * len(lengths) + 1)
        full[::split] = values
        return full

    return rotor(
        length=np.repeat(lengths / split, split), diameter=np.repeat(diameters, split), modulus=E, density=RHO, poisson=-1.0,
        **{name: spread(values) for name, values in on_nodes.items()},
    )  # fmt: skip


@pytest.mark.parametrize("case", [OVERHUNG, BETWEEN], ids=["overhung", "between bearings"])
def test_critical_speeds_by_transfer_matrices(case):
    other = second_solution(**case, count=2)
    assert len(other) == 2
    assert critical_speeds(by_elements(**case), 2) == pytest.approx(other, rel=2e-4)


def test_the_second_method_finds_a_known_overhang():
    # A mass overhung by a on a massless shaft with a span s: k = 3 E I / (a^2 (a + s))
    a, span = 0.15, 0.1
    exact = np.sqrt(3 * E * np.pi * 0.05**4 / 64 / (a**2 * (a + span)) / 8)
    args = (np.array([span, a]), np.array([0.05, 0.05]), np.array([0, 0, 8.0]), np.zeros(3), np.array([1e13, 1e13, 0]))
    below, above = residual(np.array([0.999, 1.001]) * exact, *args)
    assert below * above < 0


def test_the_response_peaks_at_the_critical_speed():
    made = by_elements(**OVERHUNG)
    critical = critical_speeds(made, 1)[0]
    speeds = np.linspace(0.9, 1.1, 401) * critical
    swing = unbalance_response(made, speed=speeds, unbalance=1e-5, node=0, loss=0.01)[0]
    assert speeds[swing.argmax()] == pytest.approx(critical, rel=2e-3)


def test_whirl_meets_the_speed_at_the_critical_speed():
    made = by_elements(**OVERHUNG)
    critical = critical_speeds(made, 1)[0]
    backward, forward = whirl(made, critical, 3)
    assert forward[0] == pytest.approx(critical, rel=1e-6)
    assert backward[0] < critical


def test_without_speed_both_whirls_are_one():
    backward, forward = whirl(by_elements(**BETWEEN), np.array(0.0), 4)
    assert backward == pytest.approx(forward, rel=1e-9)


def test_the_mode_shape_solves_the_problem():
    made = by_elements(**OVERHUNG)
    shape = mode_shapes(made, 1)[0]
    assert np.abs(shape).max() == 1.0
    assert np.abs(shape).argmax() == 0  # the overhung wheel swings most


def test_deflection_of_a_simple_beam():
    made = by_elements(np.full(4, 0.25), np.full(4, 0.05), support=np.array([1e13, 0, 0, 0, 1e13]))
    force = np.zeros(25)
    force[12] = 1000.0
    assert deflection(made, force)[12] == pytest.approx(1000 / (48 * E * np.pi * 0.05**4 / 64), rel=1e-5)


def test_separation_counts_both_sides_and_is_zero_inside():
    critical = np.array([[800.0, 1500.0, 1300.0], [3000.0, 9000.0, 9000.0]])
    found = separation(critical, slowest=1000.0, fastest=1200.0)
    assert found == pytest.approx([0.2, 0.25, 1 / 12])
    assert separation(np.array([1100.0]), slowest=1000.0, fastest=1200.0) == 0


def test_many_rotors_at_once_equal_one_by_one():
    diameter = np.array([[0.03, 0.04], [0.05, 0.06], [0.045, 0.055]]).T  # (2 elements, 3 designs)
    together = rotor(
        length=np.full((2, 1), 0.2), diameter=diameter, modulus=E, density=RHO, mass=np.array([5.0, 0, 1.0])[:, None],
        polar=np.array([0.03, 0, 0])[:, None], diametral=np.array([0.02, 0, 0])[:, None], support=np.array([1e6, 3e7, 2e7])[:, None],
    )  # fmt: skip
    found = critical_speeds(together, 2)
    assert found.shape == (2, 3)
    for j in range(3):
        alone = rotor(
            length=np.full(2, 0.2), diameter=diameter[:, j], modulus=E, density=RHO, mass=[5.0, 0, 1.0], polar=[0.03, 0, 0],
            diametral=[0.02, 0, 0], support=[1e6, 3e7, 2e7],
        )  # fmt: skip
        assert found[:, j] == pytest.approx(critical_speeds(alone, 2), rel=1e-9)
    both = unbalance_response(together, speed=np.array([[100.0], [200.0]]), unbalance=1e-5, node=0, loss=0.02)
    assert both.shape == (3, 2, 3)


def test_an_open_rotordynamics_library():
    # ross-rotordynamics 3.1.0 (shear, rotary inertia and gyroscopic terms on), run beside this once: it asks for more than a gigabyte
    # of libraries and an older plotly, too much for every run of the tests. The overhung rotor, four elements a piece.
    split, case = 4, OVERHUNG
    place = {name: np.zeros(25) for name in ("mass", "polar", "diametral", "support")}
    for name, values in place.items():
        values[::split] = case[name]
    made = rotor(
        length=np.repeat(case["lengths"] / split, split), diameter=np.repeat(case["diameters"], split), modulus=E, density=RHO, **place
    )  # fmt: skip
    theirs = {
        500.0: [896.507, 1269.641, 2513.527, 2875.157, 3834.301, 3926.054],
        1500.0: [614.222, 1569.270, 2338.215, 3367.421, 3798.606, 4292.521],
        3000.0: [385.654, 1784.430, 2217.979, 3626.998, 3772.593, 5909.245],
    }
    for speed, values in theirs.items():
        found = np.sort(np.concatenate(whirl(made, np.array(speed), 3)))
        assert found == pytest.approx(values, rel=2e-5)
    assert critical_speeds(made, 2) == pytest.approx([1588.62747, 3657.85678], rel=2e-5)
