"""The data sheet: one page of the paper asked, the design's numbers, the words, the same bytes twice; and the safety words."""

import dataclasses
import re
import zlib

import numpy as np
import pytest
from conftest import BENCH
from matplotlib.backends.backend_agg import FigureCanvasAgg

from aerodesign.case import case_from_text
from aerodesign.case.run import design_case
from aerodesign.report import safety
from aerodesign.report.figures import units_for
from aerodesign.report.figures_datasheet import data_sheet, save_data_sheet
from aerodesign.report.running_record import running_record

CASE = (
    BENCH.replace("A test bench", "Price $5 and $6: a bench")
    + """
[sheet]
paper = "Letter"
maker = "A maker, $10"
customer = "A customer"
"""
)


@pytest.fixture(scope="module")
def blower():
    return design_case(case_from_text(CASE))


def sheet_of(design, system="si"):
    return data_sheet(design, units_for(design, system), title="Price $5 and $6: a bench", stamp="stamped")


def words_of(figure) -> str:
    return "\n".join(text.get_text() for text in figure.texts)


def test_it_says_what_a_customer_must_know(blower):
    words = words_of(sheet_of(blower))
    assert "PREDICTIONS" in words
    assert "no guarantee" in re.sub(r"\s+", " ", words)
    for hazard in ("rotating parts", "bursting wheel", "burn", "ear", "pressure", "Electricity kills", "flammable"):
        assert hazard in re.sub(r"\s+", " ", words), hazard
    assert f"{2e3 * blower.blower.impeller.r2:.1f} mm" in words
    assert f"{blower.points.shaft_power[0] / 1e3:.3f} kW" in words
    assert "A maker, $10" in words
    assert "for A customer" in words
    assert "stamped" in words
    assert "DOES NOT MEET" not in words
    unmet = dataclasses.replace(blower, points=blower.points.but(met=np.array([False])))
    assert "DOES NOT MEET THE DUTY" in words_of(sheet_of(unmet))


def test_any_title_can_be_printed(blower, tmp_path):
    title = "\u6c34 blower \U0001f300 $\\frac{1$ \x07 %s {0}" + "x" * 300
    figure = data_sheet(blower, units_for(blower), title=title, stamp="")
    assert "? blower ? $" in words_of(figure)
    save_data_sheet(figure, tmp_path / "a.pdf", title=title)
    assert (tmp_path / "a.pdf").stat().st_size > 5000


def test_no_word_leaves_the_page_or_lies_on_another(blower):
    figure = sheet_of(blower, "us")
    renderer = FigureCanvasAgg(figure).get_renderer()
    width, height = figure.bbox.width, figure.bbox.height
    boxes = [(text, text.get_window_extent(renderer)) for text in figure.texts if text.get_text().strip()]
    for text, box in boxes:
        assert box.x0 >= 0.05 * width, text
        assert box.x1 <= 0.95 * width, text
        assert 0 < box.y0 < box.y1 < height, text
    for i, (one, a) in enumerate(boxes):
        for other, b in boxes[i + 1 :]:
            overlap = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert min(overlap) < 1.0, (one, other)


@pytest.mark.parametrize(("paper", "points"), [("A4", (595.28, 841.89)), ("Letter", (612.0, 792.0))])
def test_one_page_of_the_paper_asked_and_the_same_bytes_twice(blower, tmp_path, monkeypatch, paper, points):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    form = blower.form.but(sheet=blower.form.sheet.but(paper=paper))
    design = dataclasses.replace(blower, form=form)
    for name in "ab":
        save_data_sheet(sheet_of(design), tmp_path / f"{name}.pdf", title="Price $5", stamp="stamped")
    content = (tmp_path / "a.pdf").read_bytes()
    assert content == (tmp_path / "b.pdf").read_bytes()
    assert content.startswith(b"%PDF")
    pages = re.findall(rb"/Type /Page\b(?!s)", content)
    box = re.search(rb"/MediaBox \[ ?([\d. ]+)\]", content)
    assert len(pages) == 1
    np.testing.assert_allclose([float(x) for x in box[1].split()], [0, 0, *points], atol=0.1)
    assert b"D:20231114" in content
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    save_data_sheet(sheet_of(design), tmp_path / "c.pdf", title="Price $5", stamp="stamped")
    assert b"CreationDate" not in (tmp_path / "c.pdf").read_bytes()
    streams = re.findall(rb"stream\r?\n(.*?)endstream", content, flags=re.DOTALL)
    assert any(b"BT" in zlib.decompressobj().decompress(one) for one in streams if one[:1] == b"x")


def test_safety_words_carry_the_designs_numbers(blower):
    units = units_for(blower)
    words = dict(safety.cautions(blower, units))
    assert set(words) == {head for head, _ in safety.CAUTIONS}
    assert units.text(float(blower.points.discharge_temperature[0]), "temperature") in words["Hot surfaces"]
    assert re.search(r"up to \d+ dB\(A\) at 1 m, far beyond", words["Noise"])
    assert "CONTAINS" not in words["Explosive or poisonous gas"]
    assert "spark-resistant" in words["Explosive or poisonous gas"]
    assert "barrier" in words["Burst"]
    gas = dataclasses.replace(
        blower, site=blower.site.but(gas=blower.site.gas.but(name="methane 60 %, carbon dioxide 40 %"))
    )
    assert "CONTAINS METHANE" in dict(safety.cautions(gas, units))["Explosive or poisonous gas"]


def test_the_record_holds_every_finding_with_its_source(blower):
    record = running_record(blower)
    assert set(record) == {"drive_line", "sound", "money", "fit"}
    for part in ("drive_line", "sound"):
        for one in record[part]["findings"]:
            assert set(one) == {"name", "value", "low", "high", "margin", "passed", "source", "advice"}
    assert record["money"]["replaced"] is None
    assert record["money"]["assumed"] is True
    assert record["sound"]["estimates"]["handbook spectrum with blade tones"][7] == [None]
