"""The command ``mesh``: files that others read, a picture, measures, and one line for a wrong wish."""

import json
from dataclasses import replace
from pathlib import Path

import meshio
import numpy as np
import pytest
from click.testing import CliRunner
from conftest import WHEEL

from aerodesign.aero.impeller import Diffuser
from aerodesign.cfd.beside import predicted
from aerodesign.cli import cli
from aerodesign.core.errors import AerodesignError
from aerodesign.mesh.passage import passage_mesh
from aerodesign.report.meshed import MARK, MeshWish, mesh_case, weak_points
from aerodesign.report.simulate import Wish, simulate_case
from aerodesign.report.simulated_table import add_to_table, row_without

CASE = Path(__file__).parents[1] / "cases" / "tissue-felt-suction.toml"


def test_it_writes_files_that_read_back_and_says_how_good_they_are(tmp_path: Path) -> None:
    pytest.importorskip("h5py")
    wish = MeshWish(
        CASE, tmp_path / "mesh", first_cell="y+ 40", clearance=True, formats=("vtu", "cgns", "polymesh", "msh")
    )
    told = mesh_case(wish)
    assert {p.name for p in wish.folder.iterdir()} == {
        "passage.vtu",
        "passage.cgns",
        "passage.msh",
        "polyMesh",
        "mesh.svg",
        MARK,
    }
    record = json.loads((wish.folder / MARK).read_text())
    assert record == told.record
    assert record["y_plus_estimated"] == pytest.approx(40, rel=0.1)
    assert record["patches"]["blade_tip"] > 0
    cells = record["quality"]["cells"]
    for name in ("passage.vtu", "passage.msh"):
        assert len(meshio.read(wish.folder / name).cells_dict["hexahedron"]) == cells
    assert f"nCells:{cells}" in (wish.folder / "polyMesh" / "owner").read_text()[:400]
    assert any("y+ about 4" in line for line in told.lines)
    assert (wish.folder / "mesh.svg").read_text().count("<svg") == 1

    again = mesh_case(MeshWish(CASE, wish.folder))  # takes the place of an earlier result
    assert {p.name for p in wish.folder.iterdir()} == {"passage.vtu", "mesh.svg", MARK}
    assert again.record["made"] != record["made"]
    assert again.record["made"] == mesh_case(MeshWish(CASE, wish.folder)).record["made"]


def test_wrong_wishes_get_one_line(tmp_path: Path) -> None:
    for words, part in (("0.1", "no unit"), ("y+ 9999", "between"), ("50 mm", "not possible"), ("y+ 1.2.3", "between")):
        with pytest.raises(AerodesignError, match=part) as caught:
            mesh_case(MeshWish(CASE, tmp_path / "mesh", first_cell=words))
        assert "\n" not in str(caught.value)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("years of work")
    with pytest.raises(AerodesignError, match="not a result of aerodesign"):
        mesh_case(MeshWish(CASE, tmp_path / "mine"))
    assert list(tmp_path.iterdir()) == [tmp_path / "mine"]


def test_simulations_take_the_same_wishes_and_tell_their_cases_apart(tmp_path: Path) -> None:
    wish = Wish(CASE, tmp_path / "runs", write_only=True, first_cell="y+ 50", clearance=True)
    told = simulate_case(wish)
    assert "look, first cells y+ 50, open clearance" in told.lines[0]
    assert told.record["left_out"].startswith("not simulated: disc friction")
    boundary = (wish.folder / "flow-1.000" / "constant" / "polyMesh" / "boundary").read_text()
    assert "blade_tip" in boundary
    velocity = (wish.folder / "flow-1.000" / "0" / "U").read_text().split("boundaryField")[1]
    assert "rotatingWallVelocity" in next(line for line in velocity.splitlines() if line.split()[:1] == ["shroud"])
    assert "noSlip" in next(line for line in velocity.splitlines() if line.split()[:1] == ["blade_tip"])

    simulate_case(wish)  # the same wish takes its case up
    for other in (replace(wish, clearance=False), replace(wish, first_cell="y+ 60"), replace(wish, first_cell="")):
        with pytest.raises(AerodesignError, match="of another machine, point, size"):
            simulate_case(other)
    leaning = tmp_path / "leaning.toml"
    leaning.write_text(f'{CASE.read_text()}\n[blade]\nlean = "10 deg"\n')
    with pytest.raises(AerodesignError, match="of another machine, point, size"):  # the meanline sees no lean
        simulate_case(replace(wish, case=leaning))
    with pytest.raises(AerodesignError, match="leave out --table"):
        simulate_case(replace(wish, table=tmp_path / "points.csv"))


def test_cases_that_are_only_written_take_no_answer_out_of_a_table(tmp_path: Path) -> None:
    table = tmp_path / "points.csv"
    add_to_table(table, [row_without(CASE.stem, "look", 1.0, "") | {"verdict": "accepted"}])
    before = table.read_text()
    with pytest.raises(AerodesignError, match="leave out --table, or --write-only"):
        simulate_case(Wish(CASE, tmp_path / "runs", write_only=True, table=table))
    assert table.read_text() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--cold"], "--cold is of --stress"),
        (["--swirl", "simulated"], "--swirl is of --volute"),
        (["--stress", "--volute"], "two simulations"),
        (["--stress", "--flow-pressure", "--write-only"], "--flow-pressure needs the flow to be run"),
        (["--stress", "--clearance", "--table", "a.csv"], "--stress has no use for --clearance, --table"),
        (["--volute", "--first-cell", "y+ 30"], "the volute has its own mesher"),
        (["--finer", "--json"], "are for one case"),
        (["--finer"], "several cases need a --table"),
    ],
)
def test_options_that_do_nothing_together_are_refused_in_words(words: list[str], said: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(cli, ["simulate", str(CASE), "--out", str(tmp_path / "out"), *words])
    assert done.exit_code == 2
    assert said in " ".join(done.output.split())
    assert list(tmp_path.iterdir()) == []


def test_the_meanline_keeps_its_clearance_loss_beside_a_simulation_that_has_it(typical) -> None:
    stage = typical.solve()
    closed, opened = predicted(stage), predicted(stage, clearance=True)
    assert opened["loss_impeller"] - closed["loss_impeller"] == pytest.approx(float(stage.losses["clearance"]))
    assert stage.losses["clearance"] > 0


def test_weak_points_are_named_and_a_sound_mesh_has_none() -> None:
    quality = passage_mesh(WHEEL.but(splitters=0, blades=14), Diffuser(r3=0.22, b3=0.018)).quality
    assert weak_points(quality) == []
    weak = quality.but(non_orthogonality_max=1.3, scaled_jacobian_min=0.01, growth_max=20.0, aspect_max=1e4)
    assert len(weak_points(weak)) == 4


def test_the_command_prints_json_alone(tmp_path: Path) -> None:
    said = CliRunner().invoke(cli, ["mesh", str(CASE), "--out", str(tmp_path / "mesh"), "--json"])
    assert said.exit_code == 0
    record = json.loads(said.output)
    assert record["quality"]["jacobian_min"] > 0
    assert np.degrees(record["quality"]["non_orthogonality_max"]) < 75
