"""Impeller solids: closed, of the expected volume, and the same after a way through a STEP file."""

import re

import numpy as np
import pytest
from conftest import WHEEL

from aerodesign.cad import kernel
from aerodesign.cad.boundary import Boundary, Use
from aerodesign.cad.gate import accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.revolution import Revolution
from aerodesign.cad.shapes import edges_not_shared, faces, volume
from aerodesign.cad.step import read_step, step_names, write_step
from aerodesign.cad.surfaces import circle, circle2d, line, line2d, surface_of_poles
from aerodesign.cad.tessellate import tessellate
from aerodesign.core.errors import MissingLibrary, RejectedSolid

pytestmark = pytest.mark.solids

deg = np.radians

OPEN = WHEEL.but(blades=3, splitters=3)
COVERED = OPEN.but(blades=4, splitters=0, covered=True, bore=0.0, rake=deg(10))
SHARP = OPEN.but(blades=4, splitters=0, fillet=0.0)
COVERED_SPLIT = OPEN.but(blades=3, splitters=3, covered=True)


@pytest.fixture(scope="module")
def wheel():
    return impeller_solid(OPEN)


def cylinder(*, radius=10.0, height=20.0, leave_open=False, gap=0.0):
    """A cylinder built face by face, the simplest use of the builder."""
    boundary = Boundary()
    for name, z in (("foot", 0.0), ("head", height)):
        boundary.edge(name, circle(z=z, r=radius, angle=0), start=name, end=name, first=0.0, last=2 * np.pi)
    boundary.edge("seam", line((radius + gap, 0, 0), (0, 0, 1)), start="foot", end="head", first=0.0, last=height)
    side = Revolution(np.array([[0.0, radius], [height, radius]]), 0.0)
    loop = [
        Use("foot", side.circle2d(0, 0)),
        Use("seam", side.meridian2d(0, 2 * np.pi)),
        Use("head", side.circle2d(0, 1)),
        Use("seam", side.meridian2d(0)),
    ]
    boundary.face("side", side.surface, [loop], lambda p: np.array([p[0], p[1], 0]))
    for name, z, up in (("foot", 0.0, -1.0), ("head", height, 1.0)):
        if not (leave_open and name == "head"):
            plane = Revolution(np.array([[z, 0.0], [z, radius]]), 0.0)
            boundary.face(
                name, plane.surface, [[Use(name, circle2d(radius, 0))]], lambda p, up=up: np.array([0, 0, up])
            )
    return boundary.solid()


def test_builder_makes_a_cylinder_of_the_closed_form_volume():
    shape = cylinder()
    exact = np.pi * 0.01**2 * 0.02
    assert accept(shape, volume=exact).volume == pytest.approx(exact, rel=1e-9)
    skin = tessellate(shape, deflection=1e-6, angle=0.05)
    assert skin.open_edges == 0
    assert skin.volume == pytest.approx(exact, rel=1e-3)


def test_builder_refuses_what_does_not_meet():
    with pytest.raises(RejectedSolid, match=r"ends 0\.5 mm away from vertex foot"):
        cylinder(gap=0.5)
    boundary = Boundary()
    boundary.edge("a", line((0, 0, 0), (1, 0, 0)), start="p", end="q", first=0.0, last=1.0)
    plane = Revolution(np.array([[0.0, 0.0], [0.0, 1.0]]), 0.0)
    with pytest.raises(RejectedSolid, match="open by 1 in its parameter plane"):
        boundary.face("f", plane.surface, [[Use("a", line2d((0, 0), (1, 0)))]], lambda p: np.array([0, 0, 1]))
    with pytest.raises(RejectedSolid, match="parameters must grow"):
        boundary.edge("b", line((0, 0, 0), (1, 0, 0)), start="p", end="q", first=1.0, last=0.0)


def test_a_failure_of_the_kernel_names_the_feature():
    boundary = Boundary()
    flawed = surface_of_poles(np.zeros((2, 2, 3)), np.array([0, 0, 1, 1.0]), np.array([0, 0, 1, 1.0]), 1, 1)
    boundary.edge("rim", circle(z=0, r=1, angle=0), start="p", end="p", first=0.0, last=2 * np.pi)

    def fails(_):
        raise occ.Standard.Standard_Failure("no normal")

    with pytest.raises(RejectedSolid, match="face patch: the CAD kernel failed"):
        boundary.face("patch", flawed, [[Use("rim", circle2d(0.4, 0, (0.5, 0.5)))]], fails)


@pytest.mark.parametrize(
    ("build", "expected", "message"),
    [
        (cylinder, 1.01, "volume against the integral"),
        (lambda: cylinder().Reversed(), 1.0, "volume in m3: got -"),
        (lambda: cylinder(leave_open=True), 1.0, "edges that do not join two faces: got 1, allowed 0"),
    ],
    ids=["volume", "inside out", "open"],
)
def test_gate_refuses_and_names_the_reason(build, expected, message):
    with pytest.raises(RejectedSolid, match=message):
        accept(build(), volume=expected * np.pi * 0.01**2 * 0.02)


def test_gate_refuses_a_wrong_size_and_a_loose_tolerance():
    shape, exact = cylinder(), np.pi * 0.01**2 * 0.02
    box = np.array([[-0.01, -0.01, 0], [0.01, 0.01, 0.02]])
    accept(shape, volume=exact, bounds=box)
    with pytest.raises(RejectedSolid, match="bounding box"):
        accept(shape, volume=exact, bounds=box * 1.1)
    with pytest.raises(RejectedSolid, match="largest tolerance"):
        accept(shape, volume=exact, tolerance=1e-12)


def test_semi_open_wheel_with_splitters_passes_the_gate(wheel):
    judged = accept(wheel.shape, volume=wheel.volume, bounds=wheel.bounds)
    assert judged.volume == pytest.approx(wheel.volume, rel=2e-5)
    assert judged.tolerance < 3e-6
    assert wheel.flags == []
    # A pitch: 2 blades of 2 strips of 2 sides and a tip, a hub patch, a rim; then nose, front, bore, boss, cone, back.
    assert len(faces(wheel.shape)) == 3 * (2 * (2 * 2 + 1) + 1 + 1) + 6


@pytest.mark.slow
@pytest.mark.parametrize("impeller", [COVERED, SHARP, COVERED_SPLIT], ids=["covered", "sharp", "covered split"])
def test_other_wheels_pass_the_gate(impeller):
    solid = impeller_solid(impeller)
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds)
    assert judged.volume == pytest.approx(solid.volume, rel=5e-5)
    assert judged.tolerance < 3e-6


def test_step_keeps_volume_names_and_millimetres(wheel, tmp_path):
    path = write_step({"impeller": wheel.shape, "spare": cylinder()}, tmp_path / "stage.step", "aerodesign test")
    assert step_names(path)[1:] == ["impeller", "spare"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["stage.step"]

    impeller, spare = read_step(path)
    before, after = (volume(shape, within=1e-3) for shape in (wheel.shape, impeller))  # one rule, the same error
    assert after == pytest.approx(before, rel=1e-6)
    assert volume(spare) == pytest.approx(np.pi * 0.01**2 * 0.02, rel=1e-9)
    box = occ.Bnd.Bnd_Box()
    occ.BRepBndLib.BRepBndLib.AddOptimal_s(impeller, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    np.testing.assert_allclose([x1 - x0, y1 - y0], 2 * 150.0, atol=1e-3)  # r2 = 0.15 m is a diameter of 300 mm
    np.testing.assert_allclose([z0, z1], MM * wheel.bounds[:, 2], atol=1e-3)


def test_step_is_the_same_twice_and_carries_the_stamp(tmp_path, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    first, second, third = (
        write_step(
            {"part": cylinder(), "other": cylinder(height=5.0)}, tmp_path / folder / "part.step", "aerodesign it's 1"
        )
        for folder in ("a", "b", "c")
        if (tmp_path / folder).mkdir() is None
    )
    assert first.read_bytes() == second.read_bytes() == third.read_bytes()
    assert [round(1e9 * volume(shape)) for shape in read_step(third)] == [6283, 1571]
    header = first.read_text().split("DATA;")[0]
    assert "FILE_NAME('part.step','2023-11-14T22:13:20',(''),(''),'aerodesign it''s 1','','');" in header
    assert str(tmp_path) not in first.read_text()
    assert "CASCADE" not in header.upper()


def test_step_that_is_none_is_refused(tmp_path):
    (tmp_path / "x.step").write_text("not a STEP file")
    with pytest.raises(RejectedSolid, match=r"x\.step: not a STEP file"):
        read_step(tmp_path / "x.step")


def test_triangles_of_a_wheel_are_closed_and_reach_the_rim(wheel):
    skin = tessellate(wheel.shape, deflection=3e-4, angle=0.7)
    assert skin.open_edges == 0
    assert skin.volume == pytest.approx(wheel.volume, rel=0.01)
    assert np.hypot(skin.points[:, 0], skin.points[:, 1]).max() == pytest.approx(OPEN.r2, abs=1e-8)
    punched = replace_triangles(skin)
    assert punched.open_edges == 3


def replace_triangles(skin):
    """The same skin with one triangle left out."""
    return skin._replace(triangles=skin.triangles[1:])


def test_every_edge_of_a_wheel_joins_two_faces(wheel):
    assert edges_not_shared(wheel.shape) == 0
    assert edges_not_shared(faces(wheel.shape)[0]) == 4


def test_missing_system_library_names_the_packages(monkeypatch):
    def no_library(name):
        raise ImportError("libGL.so.1: cannot open shared object file")

    monkeypatch.setattr(kernel, "import_module", no_library)
    with pytest.raises(MissingLibrary) as caught:
        kernel.load("cadquery")
    message = str(caught.value)
    assert re.search(r"libGL\.so\.1.*apt-get install -y libgl1 libx11-6", message)
    assert "\n" not in message
