"""Does a skin cross itself: against every pair tried by another way, and on bodies made to cross themselves."""

from dataclasses import replace

import numpy as np
import pytest
from conftest import WHEEL

from aerodesign.cad import impeller as cad_impeller
from aerodesign.cad.crossing import crossings, meeting_boxes
from aerodesign.cad.gate import accept
from aerodesign.cad.shapes import valid
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.cad.turned import turned_solid
from aerodesign.core.errors import RejectedSolid

pytestmark = pytest.mark.solids

OPEN = WHEEL.but(blades=4, splitters=0)


def soup(count, seed):
    """Triangles at random, no two with a common corner."""
    rng = np.random.default_rng(seed)
    points = (rng.uniform(0, 1, (count, 1, 3)) + rng.uniform(-0.15, 0.15, (count, 3, 3))).reshape(-1, 3)
    return Triangles(points, np.arange(3 * count).reshape(-1, 3))


def tetrahedron(shift=(0, 0, 0), size=1.0):
    points = size * np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]) + np.array(shift)
    return points, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])


def together(*bodies):
    points, triangles = zip(*bodies, strict=True)
    return Triangles(np.concatenate(points), np.concatenate([t + 4 * i for i, t in enumerate(triangles)]))


def pierced_by_solving(skin):
    """Edges through triangles, each found by solving p + x (q - p) = a + y (b - a) + z (c - a)."""
    corners, count = skin.points[skin.triangles], 0
    for i, one in enumerate(corners):
        for j, (a, b, c) in enumerate(corners):
            for p, q in zip(one, np.roll(one, -1, axis=0), strict=True):
                if i != j:
                    x, y, z = np.linalg.solve(np.stack([q - p, a - b, a - c], axis=1), a - p)
                    count += 0 < x < 1 and y > 0 and z > 0 and y + z < 1
    return count


@pytest.mark.parametrize("seed", [1, 2])
def test_as_many_as_every_pair_tried_by_linear_equations(seed):
    skin = soup(90, seed)
    assert len(crossings(skin)) == pierced_by_solving(skin) > 20


@pytest.mark.parametrize("count", [1, 2, 63, 64, 65, 500])
def test_every_pair_of_boxes_that_meet_is_found_once(count):
    corners = soup(count, 3).points.reshape(-1, 3, 3)
    low, high = corners.min(axis=1), corners.max(axis=1)
    meet = np.all((low[:, None] <= high) & (low <= high[:, None]), axis=2)
    wanted = {(i, j) for i, j in np.argwhere(meet) if i < j}
    found = [tuple(sorted(pair)) for pair in meeting_boxes(corners).tolist()]
    assert len(found) == len(set(found))
    assert set(found) == wanted


def test_bodies_apart_inside_each_other_and_through_each_other():
    assert len(crossings(together(tetrahedron(), tetrahedron((2, 0, 0))))) == 0
    assert len(crossings(together(tetrahedron(), tetrahedron((0.1, 0.1, 0.1), 0.2)))) == 0
    assert len(crossings(together(tetrahedron(), tetrahedron((0.2, 0.15, 0.1))))) > 0


def test_neighbours_at_a_corner_or_folded_over_an_edge_are_seen():
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0.5, 0.2, 0.3], [0.2, 0.5, -0.3], [1, 1, 0.0]])
    assert len(crossings(Triangles(points, np.array([[0, 1, 2], [0, 3, 4]])))) == 1
    points[4, 2] = 0.1
    assert len(crossings(Triangles(points, np.array([[0, 1, 2], [0, 3, 4]])))) == 0
    flat = np.array([[0, 1, 2], [2, 1, 5]])
    assert len(crossings(Triangles(points, flat))) == 0
    points[5] = [0.1, 0.1, 0.01]
    assert len(crossings(Triangles(points, flat))) == 1


def test_a_turned_body_with_a_loop_in_its_outline_is_refused():
    """Its outline crosses itself once, so the skin crosses along a circle of the radius 20 mm."""
    corners = np.array([[0, 10], [30, 30], [30, 10], [0, 30.0], [-10, 20]])
    shape = turned_solid([np.array(pair) for pair in zip(corners, np.roll(corners, -1, axis=0), strict=True)], side=1.0)
    found = crossings(tessellate(shape, deflection=1e-4))
    assert len(found) > 10
    np.testing.assert_allclose(np.hypot(found[:, 0], found[:, 1]), 0.02, atol=2e-4)
    np.testing.assert_allclose(found[:, 2], 0.015, atol=2e-4)


def swollen(asked):
    """The row of blades, every one swollen at mid-height and mid-length to 1.2 pitches: nothing on hub or tip tells of it."""

    def made(blading):
        row = asked(blading)
        skin = row.full
        pitch = 2 * np.pi / float(blading.impeller.blades)
        along = np.sign(skin.u - 0.5) * np.sin(2 * np.pi * skin.u) ** 2
        turn = 0.6 * pitch * along[:, None] * np.sin(np.pi * skin.v) ** 2
        x, y, z = np.moveaxis(skin.blade, -1, 0)
        c, s = np.cos(turn), np.sin(turn)
        return replace(row, full=replace(skin, blade=np.stack([c * x - s * y, s * x + c * y, z], axis=-1)))

    return made


@pytest.mark.parametrize("covered", [False, pytest.param(True, marks=pytest.mark.slow)], ids=["semi-open", "covered"])
def test_a_wheel_whose_blades_run_into_each_other_is_valid_for_the_kernel_and_refused_by_the_gate(covered, monkeypatch):
    wheel = OPEN.but(blades=9, covered=covered)
    monkeypatch.setattr(cad_impeller, "blade_row", swollen(cad_impeller.blade_row))
    solid = cad_impeller.impeller_solid(wheel)
    assert valid(solid.shape)
    found = crossings(tessellate(solid.shape, deflection=3e-4, angle=0.7))
    assert len(found) > 100
    assert float(np.hypot(*found[:, :2].T).max()) < WHEEL.r2
    with pytest.raises(RejectedSolid, match=r"places where the skin crosses itself: got \d+, allowed 0$"):
        accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=True)
    monkeypatch.undo()
    sound = cad_impeller.impeller_solid(wheel)
    accept(sound.shape, volume=sound.volume, bounds=sound.bounds, crossing=True)
