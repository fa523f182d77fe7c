"""Texts that a user gives: every file is read or refused in one line, whatever it is, and slips of the pen are answered."""

import os
from pathlib import Path

import pytest

from aerodesign.case import read_case
from aerodesign.case.calibration_file import read_calibration
from aerodesign.case.points_file import read_points
from aerodesign.core.errors import AerodesignError
from aerodesign.core.texts import LARGEST, did_you_mean, meant_or_allowed, nearest, one_line, one_of, shown_value
from aerodesign.report.design_json import read_design
from aerodesign.rig import read_test

READERS = (read_case, read_test, read_points, read_calibration, read_design)


@pytest.mark.parametrize("read", READERS, ids=lambda read: read.__name__)
@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("absent", "absent: no such file; give the path of a"),
        ("folder", "folder: is a folder; name a"),
        ("pipe", "pipe: is not a file; name a"),
        ("large", f"large: is larger than {LARGEST} bytes; a"),
        ("binary", "binary: is not UTF-8 text; a"),
        ("nul\0", "nul : cannot be read: "),
        ("lines\nof\nname", "lines of name: no such file"),
        ("nested", "nested"),
    ],
)
def test_what_is_no_such_file_is_refused_in_one_line(tmp_path, read, name, said):
    """A pipe without a writer would hold the program for ever; a huge file would fill the memory."""
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "large").write_bytes(b" " * (LARGEST + 1))
    (tmp_path / "binary").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "nested").write_text("[" * 50_000)
    with pytest.raises(AerodesignError) as refused:
        read(tmp_path / name)
    first = str(refused.value).splitlines()[0]
    assert said in first
    assert len(str(refused.value).splitlines()) == 1 or name == "nested"
    assert len(first) < 700


def test_a_mark_of_the_byte_order_is_not_part_of_the_text(tmp_path):
    """Editors of some systems put one at the head of UTF-8."""
    example = Path(__file__).parent.parent / "cases" / "rig-example.csv"
    (tmp_path / "marked.csv").write_bytes(b"\xef\xbb\xbf" + example.read_bytes())
    assert read_test(tmp_path / "marked.csv").title == read_test(example).title


def test_a_line_holds_what_can_stand_in_it():
    assert one_line("a\nb\x1b[31mc\u202ed", 40) == "a b [31mc d"
    assert one_line("x" * 41, 40) == "x" * 37 + "..."
    assert one_line("x" * 40, 40) == "x" * 40


@pytest.mark.parametrize(
    ("value", "shown"),
    [(True, "true"), ("a\nb", '"a b"'), ({"a": 1}, "a table"), ([1, 2], "an array of 2"), (1.5, "1.5"), ("µ" * 99, f'"{"µ" * 57}..."')],
)  # fmt: skip
def test_a_value_is_shown_as_a_file_writes_it(value, shown):
    assert shown_value(value) == shown


def test_a_slip_is_answered_with_what_was_perhaps_meant():
    words = ("pressure", "vacuum", "flow")
    assert meant_or_allowed("pressuer", words) == "did you mean pressure?"
    assert meant_or_allowed("colour", words) == "allowed here: pressure, vacuum, flow"
    assert one_of("vacum", words) == "must be one of pressure, vacuum, flow; did you mean vacuum?"
    assert one_of("colour", words) == "must be one of pressure, vacuum, flow"
    assert nearest("vacuun", words, likeness=0.9) == []
    assert did_you_mean(["air", "air", "argon"]) == "did you mean air or argon?"
