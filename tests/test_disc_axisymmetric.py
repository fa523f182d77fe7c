"""The wheel's body of revolution: closed forms where a disc is thin, the plane disc where it is alike on both sides, CalculiX where it is not."""

import shutil
import subprocess

import numpy as np
import pytest
from conftest import WHEEL

from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import body
from aerodesign.geometry.disc_profile import wheel_body
from aerodesign.machine.disc import rotating_disc
from aerodesign.whole.axisymmetric import NUMBERS, solve_section

METAL = dict(density=2810.0, modulus=71.7e9, poisson=0.33)
SPEED = 1900.0
PULL = 2810.0 * SPEED**2


def even(inner, **more):
    nodes = np.linspace(inner, 0.15, 81)
    return solve_section(nodes=nodes, front=0 * nodes, back=0 * nodes + 0.004, across=2, **METAL, **more)


def test_an_even_annular_disc():
    made = even(0.03)
    closed = (3 + 0.33) / 4 * PULL * (0.15**2 + (1 - 0.33) / (3 + 0.33) * 0.03**2)
    moved = made.at(SPEED).displacement
    assert METAL["modulus"] * moved[0, :, 0].mean() / 0.03 == pytest.approx(closed, rel=1e-4)
    assert made.at(SPEED).equivalent.max() == pytest.approx(closed, rel=0.03)  # a little inside the bore


def test_an_even_solid_disc():
    field = even(0.0).at(SPEED)
    assert field.equivalent.max() == pytest.approx((3 + 0.33) / 8 * PULL * 0.15**2, rel=1e-3)


def test_heat_in_a_thin_disc():
    # T = Ta (r/R)^2 in a solid disc: hoop E a Ta (1 - 3 (r/R)^2) / 4, largest in size at the rim
    nodes = np.linspace(0, 0.15, 81)
    made = solve_section(
        nodes=nodes,
        front=0 * nodes,
        back=0 * nodes + 0.004,
        expansion=23e-6,
        warmth=40 * (nodes / 0.15) ** 2,
        across=2,
        **METAL,
    )
    _, _, hoop, _ = made.at(0.0).stress
    scale = 71.7e9 * 23e-6 * 40
    assert hoop == pytest.approx(scale * (1 - 3 * (made.point_r / 0.15) ** 2) / 4, abs=4e-3 * scale)


def test_even_warmth_leaves_no_stress():
    nodes = np.linspace(0.02, 0.15, 41)
    made = solve_section(nodes=nodes, front=-nodes, back=0.3 - nodes, expansion=23e-6, warmth=50.0, across=3, **METAL)
    assert made.at(0.0).equivalent.max() < 1e-6 * 71.7e9 * 23e-6 * 50
    assert made.at(0.0).displacement[-1, :, 0] == pytest.approx(23e-6 * 50 * 0.15)


def test_a_thin_profile_alike_on_both_sides_is_the_plane_disc():
    nodes = np.linspace(0.02, 0.15, 121)
    thickness = 0.012 - 0.06 * nodes
    hung = np.zeros(121)
    hung[-1] = 2e-4
    plane = rotating_disc(nodes=nodes, thickness=thickness, speed=SPEED, hung=hung, **METAL)
    bodily = solve_section(nodes=nodes, front=-thickness / 2, back=thickness / 2, hung=hung, **METAL).at(SPEED)
    assert bodily.displacement[0, :, 0].mean() == pytest.approx(plane.growth[0], rel=0.005)
    assert bodily.displacement[-1, :, 0].mean() == pytest.approx(plane.growth[-1], rel=0.01)


def wheel_section(across=5):
    blading = Blading(WHEEL)
    found = wheel_body(WHEEL, blading, body(WHEEL, blading.meridional, lead=0.05))
    made = solve_section(nodes=found.nodes, front=found.face, back=found.face + found.thickness, across=across, **METAL)
    plane = rotating_disc(nodes=found.nodes, thickness=found.thickness, speed=SPEED, **METAL)
    return made, plane


def test_a_real_wheel_bends_and_the_plane_disc_does_not_see_it():
    made, plane = wheel_section()
    bore = METAL["modulus"] * made.at(SPEED).displacement[0, :, 0] / made.r[0, 0]
    assert bore[-1] > 1.8 * plane.at_bore  # at the back edge, under the disc
    assert bore[0] < 0.2 * plane.at_bore  # the nose carries next to nothing
    assert made.at(SPEED).displacement[-1, 0, 1] < -50e-6  # the rim comes towards the inlet


def test_a_finer_mesh_says_the_same():
    coarse, fine = (wheel_section(across)[0].at(SPEED) for across in (5, 10))
    assert coarse.displacement[-1, 0] == pytest.approx(fine.displacement[-1, 0], rel=0.01)
    assert coarse.displacement[0, -1, 0] == pytest.approx(fine.displacement[0, -1, 0], rel=0.02)


@pytest.mark.skipif(shutil.which("ccx") is None, reason="CalculiX is not installed (Debian: calculix-ccx)")
def test_calculix_on_the_real_wheels_section(tmp_path):
    """The same section by CalculiX with eight-node axisymmetric elements: key points within a per cent."""
    made, _ = wheel_section()
    number = np.arange(made.r.size).reshape(made.r.shape) + 1
    m, n = (np.array(made.r.shape) - 1) // 2
    at = {pair: k for k, pair in enumerate(NUMBERS)}
    ring = [at[pair] for pair in ((0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1))]
    lines = ["*NODE, NSET=ALL"]
    used, elements = set(), []
    for a in range(m):
        for b in range(n):
            cell = [int(number[2 * a + i, 2 * b + j]) for i, j in NUMBERS]
            elements.append([cell[k] for k in ring])
            used |= set(elements[-1])
    lines += [
        f"{k}, {r:.9e}, {z:.9e}"
        for k, r, z in zip(number.ravel(), made.r.ravel(), made.z.ravel(), strict=True)
        if k in used
    ]
    lines += ["*ELEMENT, TYPE=CAX8, ELSET=BODY"] + [
        f"{i + 1}, " + ", ".join(map(str, e)) for i, e in enumerate(elements)
    ]
    lines += [
        "*MATERIAL, NAME=METAL", "*ELASTIC", "71.7e9, 0.33", "*DENSITY", "2810.", "*SOLID SECTION, ELSET=BODY, MATERIAL=METAL",
        "*BOUNDARY", f"{number[0, -1]}, 2, 2", "*STEP", "*STATIC", "*DLOAD", f"BODY, CENTRIF, {SPEED**2:.6e}, 0., 0., 0., 0., 1., 0.",
        "*NODE PRINT, NSET=ALL", "U", "*END STEP",
    ]  # fmt: skip
    (tmp_path / "wheel.inp").write_text("\n".join(lines) + "\n")
    run = subprocess.run(["ccx", "wheel"], cwd=tmp_path, capture_output=True, text=True, timeout=180)
    assert run.returncode == 0, run.stdout[-500:]
    rows = [line.split() for line in (tmp_path / "wheel.dat").read_text().splitlines()]
    moved = {int(row[0]): np.array(row[1:3], float) for row in rows if len(row) == 4 and row[0].isdigit()}
    ours = made.at(SPEED).displacement
    for place in ((0, -1), (0, 0), (-1, 0), (-1, -1), (80, 0)):
        theirs = moved[int(number[place])]
        assert ours[place] == pytest.approx(theirs, rel=0.01, abs=2e-7), place
