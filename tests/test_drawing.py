"""Drawings: dimensions are those of the machine, files are read back by other programs, the same bytes twice."""

import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import ezdxf
import numpy as np
import pytest

from aerodesign.aero.choices import Choices
from aerodesign.aero.design import design
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.sections import Rectangle, RoundedTrapezoid
from aerodesign.drawing.development import development_view
from aerodesign.drawing.dxf import write_dxf
from aerodesign.drawing.front import front_view
from aerodesign.drawing.meridional import meridional_view
from aerodesign.drawing.svg import svg_of
from aerodesign.drawing.view import LAYERS, Dimension, View, fitted, hatched, marked, number, scale_text
from aerodesign.gas.perfect import Gas
from aerodesign.geometry.blade import Blading
from aerodesign.report.figures_sheet import HEIGHT, WIDTH, save_pdf, sheet
from aerodesign.report.sheet_words import BALANCE, STATIONS, blade_rows

STAMP = "aerodesign test, input 0123456789ab"
LETTERS = 5.0


@pytest.fixture(scope="module")
def blower(typical):
    return typical.blower.but(impeller=typical.blower.impeller.but(bore=0.02))


@pytest.fixture(scope="module")
def blading(blower):
    return Blading(blower.impeller)


@pytest.fixture(scope="module")
def views(blower, blading):
    """All three, by name."""
    return {
        view.name: view
        for view in (
            meridional_view(blower, blading, LETTERS),
            front_view(blading, LETTERS),
            development_view(blower.volute, blower.diffuser, LETTERS),
        )
    }


@pytest.fixture(scope="module")
def designed():
    """A small design for the sheet."""
    site = Site(
        pressure=98000.0, temperature=288.0, gas=Gas(R=287.05, cp=1005.0, mu_ref=1.8e-5, T_ref=293.0, mu_exponent=0.76)
    )
    duty = Duty(flow=0.72, mass_flow=0.72 * 98000 / (287.05 * 288), pressure_rise=22000.0, hours=3600.0 * 8000)
    return design(duty, site, choices=Choices(search_effort=128))


def measured(view, after):
    """What a dimension with that name measures."""
    (found,) = [dimension for dimension in view.dimensions if dimension.after == after]
    return found.measured


def test_dimensions_are_those_of_the_machine(views, blower):
    wheel, diffuser, volute = blower.impeller, blower.diffuser, blower.volute
    view = views["meridional"]
    wanted = {
        " b2": wheel.b2, " blade": wheel.axial_length, " b3": diffuser.b3, " bore": wheel.bore, " hub": 2 * wheel.r1h,
        " eye": 2 * wheel.r1s, " base circle": diffuser.r3, " throat": diffuser.r3 + volute.size4,
    }  # fmt: skip
    for name, length in wanted.items():
        assert measured(view, name) == pytest.approx(1e3 * length, abs=1e-9), name
    assert measured(views["front"], "") == pytest.approx(2e3 * wheel.r2, abs=1e-9)
    assert measured(views["volute development"], " throat") == pytest.approx(1e3 * volute.size4, rel=1e-9)


def test_dxf_is_sound_and_its_dimensions_measure_the_same(views, tmp_path):
    for name, view in views.items():
        drawing = ezdxf.readfile(write_dxf(view, tmp_path / "view.dxf", STAMP))
        audit = drawing.audit()
        assert (audit.errors, audit.fixes) == ([], [])
        assert drawing.header["$INSUNITS"] == 4  # millimetres
        assert set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
        assert ("made by", STAMP) in list(drawing.header.custom_vars)
        space = drawing.modelspace()
        entities = list(space.query("DIMENSION"))
        assert len(entities) == len(view.dimensions) > 0
        for entity, dimension in zip(entities, view.dimensions, strict=True):
            assert entity.dxf.layer == "dimensions"
            assert entity.get_measurement() == pytest.approx(dimension.measured, abs=1e-6), name
            shown = "".join(text.plain_text() for text in entity.get_geometry_block().query("MTEXT"))
            assert shown == dimension.text
        assert len(space.query("LWPOLYLINE")) == len(view.strokes)
        assert len(space.query("HATCH")) == len(view.cuts)
        assert len(space.query("TEXT")) == len(view.notes)


def test_dxf_is_at_full_size_in_millimetres(views, blower, tmp_path):
    from ezdxf import bbox

    drawing = ezdxf.readfile(write_dxf(views["front"], tmp_path / "front.dxf", STAMP))
    rims = [line for line in drawing.modelspace().query("LWPOLYLINE[layer=='outline']")]
    box = bbox.extents(rims)
    assert box.size.x == pytest.approx(2e3 * blower.impeller.r2, rel=1e-3)


def test_files_do_not_depend_on_the_process(tmp_path):
    """Names in a set come in another order in every process."""
    script = (
        "import sys; from pathlib import Path; import numpy as np\n"
        "from aerodesign.drawing.view import View; from aerodesign.drawing.dxf import write_dxf\n"
        "view = View('v', 2.5); view.draw([(0, 0), (10, 0)]); view.dimension((0, 0), (10, 0), (0, 5)); write_dxf(view, sys.argv[1], 's')"
    )
    for seed in ("1", "2", "3"):
        subprocess.run(
            [sys.executable, "-c", script, str(tmp_path / seed)],
            check=True,
            env={"PYTHONHASHSEED": seed, "SOURCE_DATE_EPOCH": "1700000000"},
        )
    assert (tmp_path / "1").read_bytes() == (tmp_path / "2").read_bytes() == (tmp_path / "3").read_bytes()


def test_svg_is_well_formed_with_a_group_a_layer(views, blower):
    for view in views.values():
        text = svg_of(view, STAMP + " <&>")
        root = ElementTree.fromstring(text)
        space = "{http://www.w3.org/2000/svg}"
        groups = {group.get("id"): group for group in root.iter(f"{space}g")}
        assert set(groups) <= {name.replace(" ", "-") for name in LAYERS}
        words = [element.text for element in groups["dimensions"].iter(f"{space}text")]
        assert words == [dimension.text for dimension in view.dimensions]
        width, box = root.get("width"), [float(x) for x in root.get("viewBox").split()]
        assert float(width.removesuffix("mm")) == pytest.approx(box[2])
        assert text == svg_of(view, STAMP + " <&>")


def test_covered_wheel_with_splitters_is_drawn_without_a_casing_wall(blower, tmp_path):
    wheel = blower.impeller.but(covered=True, blades=8, splitters=8)
    covered = blower.but(impeller=wheel)
    view = meridional_view(covered, Blading(wheel), LETTERS)
    assert len(view.cuts) == 4  # hub and cover, above and below the axis
    assert not any("clearance" in note.text for note in view.notes)
    front = front_view(Blading(wheel), LETTERS)
    assert sum(stroke.layer == "hidden" and stroke.closed for stroke in front.strokes) == 16
    assert "8 blades and 8 splitters, pitch 45.000°" in [note.text for note in front.notes]


@pytest.mark.parametrize("section", [Rectangle(width=5.0), RoundedTrapezoid()], ids=["rectangle", "trapezoid"])
def test_development_draws_every_section(blower, section):
    view = development_view(blower.volute.but(section=section), blower.diffuser, LETTERS)
    heights = [dimension.measured for dimension in view.dimensions if dimension.along == "y" and not dimension.after]
    assert len(heights) == 9
    assert np.all(np.diff(heights) > 0)
    for dimension in view.dimensions:
        assert np.isfinite(dimension.measured)


def test_hatch_covers_the_area():
    """Length of the lines times their distance is the area: a square with a notch, 300 mm2."""
    outline = np.array([[0, 0], [20, 0], [20, 10], [10, 10], [10, 20], [0, 20]], float)
    lines = hatched(outline, 0.05)
    assert 0.05 * sum(np.linalg.norm(b - a) for a, b in lines) == pytest.approx(300, rel=2e-3)


@pytest.mark.parametrize("along", ["x", "y", "aligned"])
@pytest.mark.parametrize("length", [1.0, 12.0, 200.0])
def test_drawn_dimension_spans_what_it_measures(along, length):
    way = {"x": [1.0, 0.0], "y": [0.0, 1.0], "aligned": [0.6, 0.8]}[along]
    dimension = Dimension(np.zeros(2), length * np.array(way), np.array([-30.0, 20.0]), along)
    assert dimension.measured == pytest.approx(length)
    marks = marked(dimension, 2.5)
    tips = [head[0] for head in marks.heads]
    assert np.linalg.norm(tips[1] - tips[0]) == pytest.approx(length)
    assert -90 < marks.turn <= 90
    # heads point outwards within, inwards where there is no room
    inward = (marks.heads[0][1] - tips[0]) @ way
    assert (inward > 0) == (length > 10.5)


def test_numbers_and_scales_as_written():
    assert [number(x) for x in (4.056, 9.994, 9.996, 231.73)] == ["4.06", "9.99", "10.0", "231.7"]
    assert [scale_text(x) for x in (0.2, 0.5, 1, 20)] == ["5:1", "2:1", "1:1", "1:20"]


def test_scale_is_the_largest_that_fits():
    def build(height):
        view = View("v", height)
        view.draw([(0, 0), (150, 90)])
        return [view]

    assert fitted(build, (160, 100), letters=2.5, least=10)[0] == 1
    assert fitted(build, (140, 100), letters=2.5, least=10)[0] == 2
    assert fitted(build, (160, 80), letters=2.5, least=10)[0] == 2
    assert fitted(build, (1, 1), letters=2.5, least=10)[0] == 50


def words_of(figure):
    return [text.get_text() for text in figure.axes[0].texts]


def test_sheet_says_what_a_shop_must_know(designed):
    wheel = designed.blower.impeller
    figure = sheet(designed, Blading(wheel), title="Pellet mill", stamp=STAMP, mass=2.5)
    assert (WIDTH, HEIGHT) == (420, 297)
    assert tuple(figure.get_size_inches() * 25.4) == pytest.approx((WIDTH, HEIGHT))
    words = words_of(figure)
    text = " ".join(words)
    assert STAMP in words
    assert "Pellet mill" in words
    for needed in (
        "Predicted, not tested",
        "ISO 2768-m (from memory)",
        "ISO 13348",
        "first-angle projection",
        "2810 kg/m³",
        "G 2.5",
    ):
        assert needed in text, needed
    assert f"Ø{2e3 * wheel.r2:.1f}" in words
    # e = G / omega: 2.5 mm/s over the speed, in g mm for each kg (ISO 21940-11)
    unbalance = 1e6 * BALANCE / designed.stage.speed
    assert f"{unbalance:.2f} g mm/kg, {2.5 * unbalance:.2f} g mm for 2.5 kg" in text
    for artist in figure.axes[0].texts:
        x, y = artist.get_position()
        assert 0 < x < WIDTH
        assert 0 < y < HEIGHT


def test_everything_on_the_sheet_is_within_its_frame(designed):
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    figure = sheet(designed, Blading(designed.blower.impeller), title="A title " * 20, stamp=STAMP * 3)
    FigureCanvasAgg(figure).draw()
    renderer = figure.canvas.get_renderer()
    across = figure.bbox.width / WIDTH
    boxes = [artist.get_window_extent(renderer) for artist in figure.axes[0].texts]
    assert min(box.x0 for box in boxes) / across > 20
    assert max(box.x1 for box in boxes) / across < 410
    assert min(box.y0 for box in boxes) / across > 10
    assert max(box.y1 for box in boxes) / across < 287


def test_table_holds_the_blade(blading):
    head, *rows = blade_rows(blading)
    assert len(head) == 9
    assert len(rows) == len(STATIONS)
    wheel = blading.impeller
    first, last = ([float(cell) for cell in row] for row in (rows[0], rows[-1]))
    assert first[2] == pytest.approx(1e3 * wheel.r1h, abs=5e-4)
    assert first[6] == pytest.approx(1e3 * wheel.r1s, abs=5e-4)
    assert last[2] == last[6] == pytest.approx(1e3 * wheel.r2, abs=5e-4)
    assert last[1] - last[5] == pytest.approx(1e3 * wheel.b2, abs=1e-3)
    assert last[4] == pytest.approx(1e3 * wheel.thickness_hub, abs=5e-4)
    assert last[8] == pytest.approx(1e3 * wheel.thickness_shroud, abs=5e-4)


def test_sheet_is_the_same_twice(designed, tmp_path, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    paths = []
    for name in ("a.pdf", "b.pdf"):
        figure = sheet(designed, Blading(designed.blower.impeller), title="T", stamp=STAMP, mass=2.5)
        paths.append(save_pdf(figure, tmp_path / name, title="T", stamp=STAMP))
        assert "2023-11-14" in words_of(figure)
    first, second = (path.read_bytes() for path in paths)
    assert first == second
    assert first.startswith(b"%PDF-1.")
    (box,) = re.findall(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", first)
    assert [float(x) / 72 * 25.4 for x in box] == pytest.approx([420, 297], abs=0.01)
