"""The command line: what a user types, reads and finds afterwards; every failure is one line and a status."""

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import BENCH

from aerodesign.cli import main
from aerodesign.report.folder import whole_folder

CASES = Path(__file__).parent.parent / "cases"


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An empty folder to work in, with a quick case in it."""
    (tmp_path / "bench.toml").write_text(BENCH)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(monkeypatch, capsys, *words):
    """Status, standard output and standard error of a command."""
    monkeypatch.setattr(sys, "argv", ["aerodesign", *words])
    with pytest.raises(SystemExit) as end:
        main()
    out, err = capsys.readouterr()
    return end.value.code or 0, out, err


def test_design_leaves_a_whole_folder_and_says_the_answer(here, monkeypatch, capsys):
    status, out, err = run(monkeypatch, capsys, "design", "bench.toml", "--without", "solids")
    assert (status, err) == (0, "")
    assert out.startswith("meets the duty: yes (0.5 m3/s, pressure rise 15 kPa)")
    made = {
        str(path.relative_to(here / "bench-result")) for path in (here / "bench-result").rglob("*") if path.is_file()
    }
    assert {
        "design.json",
        "report.html",
        "map.csv",
        "volute.csv",
        "passage.vtu",
        "milling.json",
        "figures/map.svg",
        "figures/milling.svg",
    } <= made
    assert sorted(path.name for path in here.iterdir()) == ["bench-result", "bench.toml"]
    record = json.loads((here / "bench-result" / "design.json").read_text())
    assert record["stamp"] in (here / "bench-result" / "report.html").read_text()
    assert (here / "bench-result" / "map.csv").read_text().startswith(f"# {record['stamp']}\n")
    assert record["stamp"] in (here / "bench-result" / "figures" / "map.svg").read_text()


def test_a_second_run_gives_the_same_numbers_and_may_replace_the_first(here, monkeypatch, capsys):
    records = []
    for _ in range(2):
        status, out, _ = run(
            monkeypatch, capsys, "design", "bench.toml", "--json", "--without", "solids", "--without", "mesh"
        )
        assert status == 0
        records.append(json.loads(out))
    assert records[0] == records[1]


def test_rating_the_record_solves_the_same_design(here, monkeypatch, capsys):
    _, out, _ = run(monkeypatch, capsys, "design", "bench.toml", "--json", "--without", "solids", "--without", "mesh")
    status, again, _ = run(monkeypatch, capsys, "rate", "bench-result/design.json", "--json")
    first, second = json.loads(out), json.loads(again)
    assert status == 0
    for part in ("blower", "design_point", "points", "limits", "bands"):
        assert first[part] == second[part]


def test_map_prints_a_table_whose_design_line_holds_the_duty(here, monkeypatch, capsys):
    status, out, _ = run(monkeypatch, capsys, "map", "bench.toml")
    rows = list(csv.reader(io.StringIO(out)))
    assert status == 0
    assert len(rows) == 1 + 21 * 41
    assert len({len(row) for row in rows}) == 1


def test_check_and_sources_and_completion_print_and_compute_nothing(here, monkeypatch, capsys):
    assert run(monkeypatch, capsys, "check", "bench.toml")[1].startswith("bench.toml: good; 1 duty point,")
    rows = json.loads(run(monkeypatch, capsys, "sources", "--json")[1])
    assert {"slip", "vaneless", "cone", "noise"} <= {row["phenomenon"] for row in rows}
    assert all(row["source"]["author"] for row in rows)
    authors = {row["source"]["author"] for row in rows if row["phenomenon"].startswith("machine")}
    assert {"ISO 281", "NEC", "ASME B16.5", "Robinson", "ISO 21940-11"} <= authors
    assert "Stepanoff" in run(monkeypatch, capsys, "sources")[1]
    for shell in ("bash", "zsh", "fish"):
        assert "_AERODESIGN_COMPLETE" in run(monkeypatch, capsys, "completion", shell)[1]


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (["design", "nowhere.toml"], 2, "nowhere.toml: no such file"),
        (["design", "."], 2, "is a folder"),
        (["rate", "bench.toml"], 2, "has no [rate]"),
        (["rate", "bad.json"], 2, "bad.json: schema is"),
        (["rate", "worse.json"], 2, "is no design record"),
        (["desing", "bench.toml"], 2, "desing"),
        (["design", "bench.toml", "--out", "occupied", "--without", "solids"], 2, "exists and is not a result"),
        (["design", "bad.toml"], 2, "bad.toml:5"),
        (["design", "beyond.toml"], 4, "no single stage meets this duty"),
    ],
)
def test_a_failure_is_one_line_and_a_status(here, monkeypatch, capsys, words, status, said):
    (here / "bad.json").write_text('{"schema": 3}')
    (here / "worse.json").write_text("[1, 2")
    (here / "bad.toml").write_text(BENCH.replace("1800 m3/h", "1800 m3/hour"))
    (here / "beyond.toml").write_text(BENCH.replace("15 kPa", "60 kPa") + '[drive]\nkind = "direct"\n')
    (here / "occupied").mkdir()
    (here / "occupied" / "letter.txt").write_text("dear")
    got, out, err = run(monkeypatch, capsys, *words)
    assert got == status
    assert said in err
    assert "Traceback" not in out + err
    assert len(err.strip().splitlines()) <= 4
    assert not (here / "bench-result").exists()
    assert (here / "occupied" / "letter.txt").read_text() == "dear"


def test_an_infeasible_duty_names_a_nearer_one(here, monkeypatch, capsys):
    (here / "beyond.toml").write_text(BENCH.replace("15 kPa", "60 kPa") + '[drive]\nkind = "direct"\n')
    _, _, err = run(monkeypatch, capsys, "design", "beyond.toml")
    assert "specific speed" in err
    assert "nearest duties that work" in err


def test_a_crash_leaves_the_earlier_result_whole(tmp_path):
    target = tmp_path / "result"
    with whole_folder(target) as work:
        (work / "design.json").write_text("first")
    with pytest.raises(KeyboardInterrupt):
        _write_half(target)
    assert (target / "design.json").read_text() == "first"
    assert [path.name for path in tmp_path.iterdir()] == ["result"]


def _write_half(target):
    with whole_folder(target) as work:
        (work / "design.json").write_text("half of the sec")
        raise KeyboardInterrupt


def test_an_interrupt_on_the_way_is_one_line(here, monkeypatch, capsys):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("aerodesign.report.deliver._tables", interrupted)
    status, _, err = run(monkeypatch, capsys, "design", "bench.toml", "--without", "solids")
    assert status == 130
    assert err.strip() == "aerodesign: interrupted; earlier results are as they were"
    assert [path.name for path in here.iterdir()] == ["bench.toml"]


def test_a_defect_is_one_line_with_its_trace_in_a_file(here, monkeypatch, capsys):
    def broken(*_, **__):
        raise ZeroDivisionError("of our own making")

    monkeypatch.setattr("aerodesign.case.run.design", broken)
    status, _, err = run(monkeypatch, capsys, "design", "bench.toml")
    assert status == 1
    assert len(err.strip().splitlines()) == 1
    trace = Path(err.strip().rsplit(" ", 1)[-1])
    assert "ZeroDivisionError" in trace.read_text()
    trace.unlink()


def run_with_kernel(here, monkeypatch, capsys, kernel):
    """A design without mesh in a folder where importing the CAD kernel runs some other code."""
    (here / "broken").mkdir()
    (here / "broken" / "cadquery.py").write_text(kernel)
    monkeypatch.setenv("PYTHONPATH", str(here / "broken"))
    return run(monkeypatch, capsys, "design", "bench.toml", "--without", "mesh")


def test_the_missing_system_library_is_one_line_and_the_rest_is_made(here, monkeypatch, capsys):
    """As on a bare server: the kernel's import fails, everything but the solids is delivered."""
    failing = 'raise ImportError("libGL.so.1: cannot open shared object file")'
    status, out, err = run_with_kernel(here, monkeypatch, capsys, failing)
    assert status == 0
    assert "libGL.so.1" in err
    assert "apt-get install -y libgl1 libx11-6" in err
    assert len(err.strip().splitlines()) == 1
    assert "report.html" in out
    assert "impeller.step" not in out
    assert "libgl1 libx11-6" in (here / "bench-result" / "report.html").read_text()


def test_a_kernel_that_crashes_takes_nothing_with_it(here, monkeypatch, capsys):
    status, out, err = run_with_kernel(here, monkeypatch, capsys, "import os; os._exit(11)")
    assert status == 0
    assert "status 11" in err
    assert "report.html" in out


def test_a_dead_kernel_is_survived_also_where_broken_pipes_would_end_the_process(here):
    """As after gmsh.initialize(), which gives the signal of a broken pipe back its default."""
    (here / "cadquery.py").write_text("import os; os._exit(11)")
    script = """
import signal, sys
from pathlib import Path
from aerodesign.cad.worker import SolidsWorker
from aerodesign.core.errors import AerodesignError
signal.signal(signal.SIGPIPE, signal.SIG_DFL)
worker = SolidsWorker()
worker._process.wait()
worker.start(None, None, Path("."), "x" * 100000)
try:
    worker.result(10)
except AerodesignError as told:
    print(told)
worker.end()
assert signal.SIGPIPE not in signal.pthread_sigmask(signal.SIG_BLOCK, set())
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(here)},
    )
    assert (done.returncode, done.stdout) == (0, "the CAD kernel's process ended with status 11\n"), done.stderr


def test_a_rig_test_is_reduced_and_calibrates_a_case_that_a_design_then_uses(here, monkeypatch, capsys):
    status, out, _ = run(
        monkeypatch, capsys, "reduce", str(CASES / "rig-example.csv"), "--points", "points.csv", "--out", "all.csv"
    )
    assert status == 0
    assert "most uncertain in efficiency" in out
    status, out, _ = run(monkeypatch, capsys, "calibrate", "bench.toml", "points.csv", "--name", "bench")
    assert status == 0
    assert "8 test points used" in out
    (here / "again.toml").write_text(BENCH + '[models]\ncalibration = "bench"\n')
    assert run(monkeypatch, capsys, "check", "again.toml")[0] == 0
    status, out, _ = run(
        monkeypatch, capsys, "design", "again.toml", "--json", "--without", "solids", "--without", "mesh"
    )
    record = json.loads(out)
    assert status == 0
    assert record["asked"]["offsets"].keys() == {"slip"}
    assert "friction" in record["asked"]["factors"]
    again = json.loads(run(monkeypatch, capsys, "rate", "again-result/design.json", "--json")[1])
    assert again["design_point"] == record["design_point"]


@pytest.mark.parametrize("name", ["measured-kit-fan", "measured-ercoftac-u3"])
def test_the_measured_machines_are_rated_with_the_error_beside_each_point(here, monkeypatch, capsys, name):
    words = ["rate", str(CASES / f"{name}.toml"), "--without", "solids", "--without", "mesh"]
    status, out, _ = run(monkeypatch, capsys, *words)
    assert status == 0
    assert "measured, predicted, error %" in out
    assert "median error" in out


@pytest.mark.slow
@pytest.mark.solids
@pytest.mark.parametrize("name", ["trout-hatchery", "tissue-felt-suction"])
def test_the_demo_cases_are_designed_with_all_outputs(here, name):
    """The README's first command, in a process of its own, quiet when piped."""
    done = subprocess.run(
        [sys.executable, "-m", "aerodesign.cli", "design", str(CASES / f"{name}.toml")],
        capture_output=True, text=True, env=os.environ | {"SOURCE_DATE_EPOCH": "0"}, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    folder = here / f"{name}-result"
    for file in ("design.json", "report.html", "map.csv", "volute.csv", "passage.vtu", "impeller.step", "volute.step"):
        assert (folder / file).stat().st_size > 1000, file
    record = json.loads((folder / "design.json").read_text())
    assert record["meets_duty"] is True
    assert "SI_UNIT(.MILLI.,.METRE.)" in (folder / "impeller.step").read_text()
    page = (folder / "report.html").read_text()
    assert 'src="http' not in page
    assert 'href="http' not in page


def test_draw_leaves_drawings_of_a_case_and_of_its_record(here, monkeypatch, capsys):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    status, out, err = run(monkeypatch, capsys, "draw", "bench.toml", "--without", "solids")
    assert (status, err) == (0, "")
    assert out.startswith("written to bench-drawings in ")
    names = sorted(path.name for path in (here / "bench-drawings").iterdir())
    views = [f"{view}.{kind}" for view in ("front", "meridional", "volute-development") for kind in ("dxf", "svg")]
    assert names == sorted([*views, "blade-points.csv", "design.json", "sheet.pdf"])

    status, out, err = run(
        monkeypatch, capsys, "draw", "bench-drawings/design.json", "--without", "solids", "--quiet", "--out", "again"
    )
    assert (status, out, err) == (0, "", "")
    for name in names:
        assert (here / "again" / name).read_bytes() == (here / "bench-drawings" / name).read_bytes(), name


def test_draw_names_what_it_cannot_draw(here, monkeypatch, capsys):
    """A wheel with a cylindrical leading edge has a development and nothing else."""
    status, _, err = run(
        monkeypatch, capsys, "draw", str(CASES / "measured-kit-fan.toml"), "--without", "solids", "--out", "fan"
    )
    assert status == 0
    assert "not made: meridional: impeller geometry: got a cylindrical leading edge" in err
    assert err.count("not made: ") == 4
    assert sorted(path.name for path in (here / "fan").iterdir()) == [
        "design.json",
        "volute-development.dxf",
        "volute-development.svg",
    ]
    (here / "no.json").write_text("{}")
    status, _, err = run(monkeypatch, capsys, "draw", "no.json", "--without", "solids")
    assert status == 2
    assert err.count("\n") == 1
    assert "is no design record" in err


def test_draw_offers_the_protocols_that_the_writer_knows():
    from aerodesign.cad.step import SCHEMAS
    from aerodesign.cli import draw

    (option,) = [option for option in draw.params if option.name == "schema"]
    assert tuple(option.type.choices) == tuple(SCHEMAS)
