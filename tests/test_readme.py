"""README shows what runs: its case is read and designed, its Python runs, its commands exist."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from aerodesign.case import case_from_text
from aerodesign.case.idle import without_effect
from aerodesign.case.run import design_case
from aerodesign.cli import cli

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """Code blocks of a language."""
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.DOTALL | re.MULTILINE)


def test_the_case_that_it_shows_is_designed():
    (text,) = blocks("toml")
    case = case_from_text(text)
    assert without_effect(case) == []
    assert design_case(case).meets_duty


def test_it_names_every_command_and_no_other():
    named = set(re.findall(r"`aerodesign (\w+)", README))
    assert named == set(cli.commands)


def test_its_two_first_commands_are_the_ones_asked_for():
    assert blocks("")[:2] == [
        "pip install . && aerodesign design cases/trout-hatchery.toml\n",
        "pip install '.[test]' && pytest\n",
    ]


def test_files_that_it_links_exist():
    for target in re.findall(r"\]\(([^)#:]+)\)", README):
        assert (ROOT / target).exists(), target


@pytest.mark.slow
def test_its_python_runs(tmp_path):
    (text,) = blocks("python")
    (tmp_path / "cases").symlink_to(ROOT / "cases")
    script = tmp_path / "readme.py"
    script.write_text(text)
    done = subprocess.run([sys.executable, script], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "hatchery-result" / "report.html").is_file()
