"""Files for other programs: assembly, triangles, page model; read by programs that are not ours, and the same bytes twice."""

import json
import os
import re
import struct
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import trimesh

from aerodesign.cad import exchange
from aerodesign.cad.exchange import DEFLECTION, LARGEST_GLB, assembly_parts, make_exchange
from aerodesign.cad.export import Part, make
from aerodesign.cad.gltf import SHARP, Shown, shaded, write_glb
from aerodesign.cad.kernel import MM, occ
from aerodesign.cad.shapes import parts, valid, volume
from aerodesign.cad.step import read_step, step_names, write_step
from aerodesign.cad.stl import write_stl
from aerodesign.cad.tessellate import Triangles, in_single, tessellate
from aerodesign.core.errors import AerodesignError, RejectedSolid
from aerodesign.form import Form
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import revolved_volume
from aerodesign.geometry.inspection import inspection_points
from aerodesign.geometry.row import blade_row
from aerodesign.geometry.shaft import shaft_outline

pytestmark = pytest.mark.solids

CASES = Path(__file__).parent.parent / "cases"
PARTS = ["impeller", "casing", "volute", "inlet-gas", "wheel-gas", "passage-gas", "shaft"]
STAMP = "aerodesign test, input 0123456789ab"


@pytest.fixture(scope="module")
def blower(typical):
    """The typical machine with few blades, so that the kernel is soon done."""
    return typical.blower.but(impeller=typical.blower.impeller.but(blades=3, splitters=3, bore=0.02))


@pytest.fixture(scope="module")
def made(blower, tmp_path_factory):
    """Everything made twice: the folders and what was found on the way."""
    folders = [tmp_path_factory.mktemp(name) for name in ("first", "second")]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", "1700000000")
        return folders, [make_exchange(blower, Form(), folder, STAMP) for folder in folders]


@pytest.fixture(scope="module")
def folder(made):
    return made[0][0]


@pytest.fixture(scope="module")
def checks(made):
    return made[1][0].checks


def test_every_part_passed_and_every_file_is_there(folder, made, blower):
    names = list(assembly_parts(blower, Form()))
    assert made[1][0].missing == []
    assert names == PARTS
    wanted = {f"{name}.{kind}" for name in names for kind in ("step", "stl")} | {"assembly.step", "assembly.glb"}
    assert {path.name for path in folder.iterdir()} == wanted


def test_two_runs_give_the_same_bytes(made):
    (first, second), _ = made
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes(), path.name


def test_uses_of_parts_stand_on_a_line_each_and_are_numbered_from_one(tmp_path):
    """The kernel counts them through the process and breaks the line by the number's length: others with 9 than with 10 before."""
    box = occ.BRepPrimAPI.BRepPrimAPI_MakeBox(1.0, 1.0, 1.0).Shape()
    names = ["a part; with a long name, told", "the other part of the two of them"]
    for _ in range(2):
        lines = write_step(dict.fromkeys(names, box), tmp_path / "two.step", "test").read_text().splitlines()
        uses = [line for line in lines if "NEXT_ASSEMBLY_USAGE_OCCURRENCE" in line]
        for number, (name, use) in enumerate(zip(names, uses, strict=True), 1):
            assert re.fullmatch(rf"#\d+ = NEXT_ASSEMBLY_USAGE_OCCURRENCE\('{number}','{name}','',#\d+,#\d+,\$\);", use)


def test_assembly_has_all_parts_in_their_places(folder, checks, blower):
    text = (folder / "assembly.step").read_text()
    whole = {name: check for name, check in checks.items() if assembly_parts(blower, Form())[name].assembled}
    assert step_names(folder / "assembly.step")[1:] == list(whole)
    assert STAMP in text.split("DATA;")[0]
    assert "AUTOMOTIVE_DESIGN" in text.split("DATA;")[0]  # the name of AP214's schema
    assert len(set(part.colour for part in assembly_parts(blower, Form()).values())) == 4
    assert text.count("COLOUR_RGB") >= 4

    solids = dict(zip(whole, read_step(folder / "assembly.step"), strict=True))
    for name, solid in solids.items():
        assert volume(solid) == pytest.approx(checks[name].volume, rel=1e-6)
    # The volute's middle plane stands at the middle of the wheel's exit.
    wheel = blower.impeller
    box = occ.Bnd.Bnd_Box()
    occ.BRepBndLib.BRepBndLib.AddOptimal_s(solids["volute"], box, False, False)
    middle = (box.Get()[2] + box.Get()[5]) / 2
    assert middle == pytest.approx(MM * float(wheel.axial_length - wheel.b2 / 2), abs=1e-3)


def test_parts_of_one_colour_do_not_share_it_in_an_order_of_chance(blower, tmp_path, monkeypatch):
    """The kernel writes a shared colour with the part whose address comes first."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    shaft = assembly_parts(blower, Form())["shaft"].build().shape
    colours = {f"part {i}": (0.2, 0.3, 0.1 * (i % 2)) for i in range(6)}
    written = set()
    for run in range(6):
        shapes = {name: occ.BRepBuilderAPI.BRepBuilderAPI_Copy(shaft).Shape() for name in colours}
        (tmp_path / str(run)).mkdir()
        path = write_step(shapes, tmp_path / str(run) / "x.step", STAMP, colours=colours)
        text = path.read_text()
        written.add(text)
        numbers = re.findall(r"^#(\d+) =", text, flags=re.MULTILINE)
        assert len(numbers) == len(set(numbers))
        assert set(re.findall(r"#(\d+)", text)) <= set(numbers)
    assert len(written) == 1
    assert text.count("COLOUR_RGB") == 6
    assert len(read_step(path)) == 6


def test_protocol_is_a_choice(tmp_path, blower):
    shaft = assembly_parts(blower, Form())["shaft"].build()
    later = write_step({"shaft": shaft.shape}, tmp_path / "later.step", STAMP, schema="ap242")
    usual = write_step({"shaft": shaft.shape}, tmp_path / "usual.step", STAMP)
    assert "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING" in later.read_text().split("DATA;")[0]
    assert "AUTOMOTIVE_DESIGN" in usual.read_text().split("DATA;")[0]
    with pytest.raises(AerodesignError, match='schema = "ap203": no such application protocol; choose one of ap214'):
        write_step({"shaft": shaft.shape}, tmp_path / "x.step", STAMP, schema="ap203")


def test_a_part_that_fails_is_named_and_the_others_are_made(tmp_path, blower, monkeypatch):
    def no_room():
        raise RejectedSolid("tongue: no room")

    def broken():
        raise RuntimeError("Standard_ConstructionError")

    parts = assembly_parts(blower, Form()) | {"volute": Part(no_room), "casing": Part(broken)}
    done = []
    made = make({name: parts[name] for name in ("volute", "casing", "shaft")}, lambda one: done.append(one.name))
    assert done == ["shaft"]
    assert made.missing == [
        "volute.step: tongue: no room",
        "casing.step: the CAD kernel failed (RuntimeError: Standard_ConstructionError)",
    ]
    assert list(made.checks) == ["shaft"]

    again = parts["shaft"]._replace(assembled=False)
    some = {"volute": Part(no_room), "shaft": parts["shaft"], "shaft again": again}
    monkeypatch.setattr(exchange, "assembly_parts", lambda *_: some)
    make_exchange(blower, Form(), tmp_path, STAMP)
    assert step_names(tmp_path / "assembly.step")[1:] == ["shaft"]
    assert (tmp_path / "shaft again.step").is_file()


def test_shaft_fills_the_bore_and_steps_up_behind_the_wheel(blower):
    corners = shaft_outline(bore=0.02, r1h=0.025, front=-0.02, back=0.08)
    assert corners[:, 1].max() > 0.01
    within = (corners[:, 0] > -0.02) & (corners[:, 0] < 0.08)
    assert np.all(corners[within, 1] <= 0.01)
    cylinders = sum(np.pi * r**2 * (z1 - z0) for (z0, r), (z1, r1) in pairwise(corners) if z1 > z0 and r1 == r)
    assert revolved_volume(corners) == pytest.approx(cylinders, rel=1e-12)
    shaft = assembly_parts(blower, Form())["shaft"].build()
    assert volume(shaft.shape) == pytest.approx(shaft.volume, rel=1e-9)


def test_shaft_of_a_solid_wheel_begins_behind_it():
    corners = shaft_outline(bore=0.0, r1h=0.025, front=-0.02, back=0.08)
    assert corners[:, 0].min() == 0.08
    with pytest.raises(RejectedSolid, match="must have a length"):
        shaft_outline(bore=0.02, r1h=0.025, front=0.1, back=0.08)


@pytest.mark.parametrize("name", PARTS)
def test_stl_is_watertight_for_an_independent_reader(folder, checks, name):
    mesh = trimesh.load(folder / f"{name}.stl")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    exact = MM**3 * checks[name].volume
    assert mesh.volume == pytest.approx(exact, abs=MM * DEFLECTION * mesh.area)
    assert mesh.volume == pytest.approx(exact, rel=0.01)
    header = (folder / f"{name}.stl").read_bytes()[:80]
    assert header.startswith(b"binary STL, mm, deflection 0.1 mm, aerodesign test")
    count = struct.unpack("<I", (folder / f"{name}.stl").read_bytes()[80:84])[0]
    assert (folder / f"{name}.stl").stat().st_size == 84 + 50 * count


def test_stl_with_a_hole_is_not_written(tmp_path):
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float)
    closed = Triangles(corners, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]))
    write_stl(closed, tmp_path / "whole.stl", STAMP, deflection=1e-4)
    assert trimesh.load(tmp_path / "whole.stl").volume == pytest.approx(1e9 / 6)
    with pytest.raises(RejectedSolid, match="leave 3 edges open"):
        write_stl(closed._replace(triangles=closed.triangles[1:]), tmp_path / "hole.stl", STAMP, deflection=1e-4)
    assert [path.name for path in tmp_path.iterdir()] == ["whole.stl"]


def test_glb_is_small_named_closed_and_in_metres(folder, checks):
    path = folder / "assembly.glb"
    assert path.stat().st_size < LARGEST_GLB == 3_000_000
    scene = trimesh.load(path)
    assert set(scene.geometry) == set(checks) - {"passage-gas"}
    for name, mesh in scene.geometry.items():
        # corners on sharp edges occur once a side: made one again where they are the same to the last bit
        mesh.merge_vertices(merge_norm=True, digits_vertex=12)
        assert mesh.is_watertight, name
        assert mesh.volume == pytest.approx(checks[name].volume, rel=0.02)
        assert mesh.visual.material.metallicFactor == 0


def test_glb_follows_the_layout_of_the_format(folder):
    content = (folder / "assembly.glb").read_bytes()
    magic, version, length = struct.unpack("<4sII", content[:12])
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack("<I4s", content[12:20])
    assert kind == b"JSON"
    scene = json.loads(content[20 : 20 + size])
    blob, kind = struct.unpack("<I4s", content[20 + size : 28 + size])
    assert kind == b"BIN\0"
    assert scene["buffers"][0]["byteLength"] <= blob
    assert all(view["byteOffset"] % 4 == 0 for view in scene["bufferViews"])
    assert scene["asset"]["generator"] == STAMP
    assert [node["name"] for node in scene["nodes"]] == [name for name in PARTS if name != "passage-gas"]


def test_normals_are_sharp_at_edges_and_smooth_between(tmp_path):
    box = trimesh.creation.box()
    points, normals, _ = shaded(Triangles(np.asarray(box.vertices), np.asarray(box.faces)))
    assert len(points) == 24
    np.testing.assert_allclose(np.abs(normals).max(axis=1), 1, atol=1e-12)
    ball = trimesh.creation.icosphere(subdivisions=3)
    points, normals, _ = shaded(Triangles(np.asarray(ball.vertices), np.asarray(ball.faces)))
    assert len(points) == len(ball.vertices)
    assert np.einsum("ij,ij->i", points, normals).min() > np.cos(0.05) > np.cos(SHARP)
    write_glb({"ball": Shown(Triangles(np.asarray(ball.vertices), np.asarray(ball.faces)))}, tmp_path / "b.glb", STAMP)
    assert trimesh.load(tmp_path / "b.glb").geometry["ball"].volume == pytest.approx(4 / 3 * np.pi, rel=0.02)


def test_glb_gets_coarser_until_it_is_small_enough(tmp_path, blower, monkeypatch):
    parts = {"shaft": assembly_parts(blower, Form())["shaft"]}
    passed = {}
    make(parts, lambda one: passed.update({one.name: one}))
    large = exchange.write_page_model(passed, tmp_path / "large.glb", STAMP).stat().st_size
    monkeypatch.setattr(exchange, "LARGEST_GLB", large)
    small = exchange.write_page_model(passed, tmp_path / "small.glb", STAMP).stat().st_size
    assert small < large


@pytest.mark.slow
def test_step_is_the_same_for_an_independent_reader(folder, checks, gmsh):
    """As many solids of the same volumes."""
    found = gmsh.model.occ.importShapes(str(folder / "assembly.step"))
    gmsh.model.occ.synchronize()
    solids = [tag for dimension, tag in found if dimension == 3]
    assert len(solids) == len(checks) - 1
    masses = [gmsh.model.occ.getMass(3, tag) for tag in solids]
    # both integrate by the rule of their kernel's default, which errs alike on the same surfaces
    ours = [mass(solid) for solid in read_step(folder / "assembly.step")]
    np.testing.assert_allclose(masses, ours, rtol=1e-6)
    np.testing.assert_allclose(
        masses, [MM**3 * check.volume for name, check in checks.items() if name != "passage-gas"], rtol=1e-4
    )


@pytest.mark.slow
@pytest.mark.parametrize(("name", "round_"), [("impeller", 8), ("shaft", 24)])
def test_an_independent_mesher_finds_the_skin_closed(folder, checks, gmsh, name, round_):
    """Its triangles join two by two and hold the solid's volume. Volute and casing: ``test_cad_other_reader.py``."""
    ((_, tag),) = gmsh.model.occ.importShapes(str(folder / f"{name}.step"))
    gmsh.model.occ.synchronize()
    for option, value in (("Mesh.MeshSizeFromCurvature", round_), ("Mesh.MeshSizeMax", 15), ("Mesh.MeshSizeMin", 0.5)):
        gmsh.option.setNumber(option, value)
    gmsh.model.mesh.generate(2)
    number, place, _ = gmsh.model.mesh.getNodes()
    points = np.zeros((int(number.max()) + 1, 3))
    points[number.astype(int)] = place.reshape(-1, 3)
    corners = []
    for _, face in gmsh.model.getBoundary([(3, tag)], oriented=False):
        _, _, nodes = gmsh.model.mesh.getElements(2, face)
        corners.append(nodes[0].reshape(-1, 3).astype(int))
    mesh = trimesh.Trimesh(points, np.concatenate(corners), process=False)
    assert mesh.is_watertight
    mesh.fix_normals()
    assert abs(mesh.volume) == pytest.approx(MM**3 * checks[name].volume, rel=0.03)


def mass(solid):
    """Volume in mm3 by the kernel's rule without adaptation."""
    properties = occ.GProp.GProp_GProps()
    occ.BRepGProp.BRepGProp.VolumeProperties_s(solid, properties)
    return properties.Mass()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["impeller", "casing", "volute"])
def test_halves_cut_by_a_plane_through_the_axis_add_up(folder, name):
    (solid,) = read_step(folder / f"{name}.step")
    whole = volume(solid)
    halves = []
    for side in (-1, 1):
        # turned a little, so that the plane meets no seam
        direction = occ.gp.gp_Dir(float(np.cos(0.3)), float(np.sin(0.3)), 0.0)
        plane = occ.gp.gp_Pln(occ.gp.gp_Pnt(0, 0, 0), direction)
        face = occ.BRepBuilderAPI.BRepBuilderAPI_MakeFace(plane, -2000.0, 2000.0, -2000.0, 2000.0).Face()
        beyond = occ.gp.gp_Pnt(*(side * 100 * np.array([np.cos(0.3), np.sin(0.3), 0.0])))
        space = occ.BRepPrimAPI.BRepPrimAPI_MakeHalfSpace(face, beyond).Solid()
        half = occ.BRepAlgoAPI.BRepAlgoAPI_Common(solid, space).Shape()
        assert valid(half)
        halves.append(volume(half))
    assert min(halves) > 0.1 * whole
    assert sum(halves) == pytest.approx(whole, rel=1e-5)


def test_triangles_in_single_precision_stay_closed(blower):
    skin = tessellate(assembly_parts(blower, Form())["shaft"].build().shape)
    for unit in (1.0, MM):
        assert in_single(skin, unit=unit).open_edges == 0


def test_inspection_points_lie_on_the_solid_and_their_normals_point_out(folder, blower):
    """Within 0.005 mm of the STEP file's faces, between the nodes that its splines were made from."""
    blading = Blading(blower.impeller)
    found = inspection_points(blading, blade_row(blading))
    assert set(found.side) == {"suction", "pressure"}
    assert set(found.blade) == {"full", "splitter"}
    assert len(found.points) > 500
    np.testing.assert_allclose(np.linalg.norm(found.normals, axis=1), 1, rtol=1e-9)

    (solid,) = read_step(folder / "impeller.step")
    (shell,) = parts(solid, "SHELL")
    inside = occ.BRepClass3d.BRepClass3d_SolidClassifier(solid)
    for i in range(0, len(found.points), 9):
        here, out = MM * found.points[i], found.normals[i]
        vertex = occ.BRepBuilderAPI.BRepBuilderAPI_MakeVertex(occ.gp.gp_Pnt(*here)).Vertex()
        distance = occ.BRepExtrema.BRepExtrema_DistShapeShape(vertex, shell).Value()
        assert distance < 0.005, (found.blade[i], found.side[i], found.span[i], found.station[i])
        for way, state in ((0.02, "TopAbs_OUT"), (-0.02, "TopAbs_IN")):
            inside.Perform(occ.gp.gp_Pnt(*(here + way * out)), 1e-6)
            assert inside.State() == getattr(occ.TopAbs.TopAbs_State, state)


@pytest.mark.slow
def test_two_runs_of_the_command_give_the_same_folder(tmp_path):
    """Every file of 'aerodesign draw', in two processes with other seeds, with the time fixed."""
    for seed in ("1", "2"):
        subprocess.run(
            [
                sys.executable,
                "-m",
                "aerodesign.cli",
                "draw",
                str(CASES / "trout-hatchery.toml"),
                "--out",
                str(tmp_path / seed),
            ],
            check=True,
            capture_output=True,
            env=os.environ | {"PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": "1700000000"},
        )
    names = sorted(path.name for path in (tmp_path / "1").iterdir())
    assert {"sheet.pdf", "meridional.dxf", "volute-development.svg", "blade-points.csv", "assembly.step"} <= set(names)
    assert names == sorted(path.name for path in (tmp_path / "2").iterdir())
    for name in names:
        assert (tmp_path / "1" / name).read_bytes() == (tmp_path / "2" / name).read_bytes(), name
    head, columns = (tmp_path / "1" / "blade-points.csv").read_text().splitlines()[:2]
    assert "frame: that of the solids, millimetres; z is the axis of rotation" in head
    assert columns == "x,y,z,nx,ny,nz,blade,side,span,station"


@pytest.mark.parametrize(
    ("ahead", "behind"),
    [
        ((), ((0.03, 0.04), (0.036, 0.2), (0.027, 0.03))),
        (((0.02, 0.1),), ((0.03, 0.04), (0.027, 0.03))),
        (((0.03, 0.1), (0.025, 0.05)), ((0.03, 0.04),)),
    ],
)
def test_shaft_of_the_rotors_pieces_passes_the_gate(blower, ahead, behind):
    wheel = blower.but(impeller=blower.impeller.but(bore=0.02))
    part = assembly_parts(wheel, Form(), (ahead, behind))["shaft"]
    made = make({"shaft": part}, lambda one: None)
    assert made.missing == []
    beyond = sum(np.pi / 4 * d**2 * length for d, length in (*ahead, *behind))
    within = np.pi / 4 * 0.02**2 * np.ptp(assembly_parts(wheel, Form())["impeller"].build().bounds[:, 2])
    nut = 0 if ahead else np.pi / 4 * 0.02**2 * 0.8 * 0.02
    assert made.checks["shaft"].volume == pytest.approx(beyond + within + nut, rel=1e-6)
