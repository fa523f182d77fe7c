"""The notebooks run from top to bottom, come without outputs, and every exercise has an answer that its check accepts."""

import ast
import json
import time
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest

import aerodesign
from aerodesign import teaching
from aerodesign.core.errors import AerodesignError

NOTEBOOKS = sorted((Path(__file__).parent.parent / "notebooks").glob("*.ipynb"))
LONGEST = 60.0
"""Seconds that a notebook may take."""


def cells(path, kind):
    """The sources of the cells of a kind."""
    return ["".join(cell["source"]) for cell in json.loads(path.read_text())["cells"] if cell["cell_type"] == kind]


@pytest.fixture
def right_answers(monkeypatch):
    """The right values of the exercises of a notebook, each as its check would say it."""
    found = []
    real = teaching.check

    def check(answer, right, **marks):
        assert "Not answered yet" in real(answer, right, **marks)
        assert "Right" in real(right, right, **marks)
        assert "Right" not in real(1.5 * right, right, **marks)
        found.append(right)
        return real(answer, right, **marks)

    monkeypatch.setattr(teaching, "check", check)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs(path, right_answers, monkeypatch, tmp_path):
    """All cells in order, as a student runs them, with pictures drawn into nothing."""
    import matplotlib.pyplot as plt

    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(mpl.rcParams, "backend", "Agg")
    names: dict = {}
    begun = time.process_time()
    for number, source in enumerate(cells(path, "code")):
        exec(compile(source, f"{path.name} cell {number}", "exec"), names)
    for number in plt.get_fignums():
        plt.figure(number).canvas.draw()
    plt.close("all")
    assert time.process_time() - begun < LONGEST
    assert right_answers
    assert np.all(np.isfinite(right_answers))


def test_notebooks_are_there():
    assert [path.name[:2] for path in NOTEBOOKS] == [f"{n:02d}" for n in range(1, len(NOTEBOOKS) + 1)]
    assert len(NOTEBOOKS) == 8


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_clean(path):
    """No outputs, a question of the workshop, exercises."""
    content = json.loads(path.read_text())
    code = [cell for cell in content["cells"] if cell["cell_type"] == "code"]
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
    prose = "\n".join(cells(path, "markdown"))
    assert "A question from the workshop" in prose
    assert "## Exercises" in prose


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_takes_public_names_only(path):
    """What a student copies is what the package promises to keep."""
    taken = [
        (node.module, name.name)
        for source in cells(path, "code")
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.ImportFrom) and node.module.startswith("aerodesign")
        for name in node.names
    ]
    assert taken
    assert {module for module, _ in taken} <= {"aerodesign", "aerodesign.teaching"}
    assert {name for module, name in taken if module == "aerodesign"} <= set(aerodesign.PUBLIC)


def test_controls_without_sliders_draw_the_usual_values(monkeypatch):
    """Where ipywidgets is missing the picture stands still."""
    monkeypatch.setitem(__import__("sys").modules, "ipywidgets", None)
    assert teaching.controls(lambda a, b: (a, b), a=(0.0, 1.0, 2.0), b=(3.0, 4.0, 5.0)) == (1.0, 4.0)
    with pytest.raises(AerodesignError, match="least, usual and largest"):
        teaching.controls(lambda a: a, a=(2.0, 1.0, 0.0))


def test_answers():
    """Dots are no answer, words neither; a hint where there is one."""
    assert "Not answered" in teaching.check(..., 3.0)
    assert "single number" in teaching.check("three", 3.0)
    assert teaching.check(3.01, 3.0) == "Right: 3."
    assert teaching.check(4.0, 3.0, hint="Count again.") == "Not yet. Count again."
    assert teaching.check(float("nan"), 3.0) == "Not yet."
