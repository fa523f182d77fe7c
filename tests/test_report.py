"""The page and its figures: the answer first, the design's own numbers, nothing fetched, the same bytes twice."""

import dataclasses
import re
import struct
import xml.etree.ElementTree as ElementTree
import zlib
from html.parser import HTMLParser

import numpy as np
import pytest

from aerodesign.aero.choices import Choices
from aerodesign.aero.control import FLOWS
from aerodesign.aero.design import Design, design
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.spiral import throat_integral
from aerodesign.aero.system import System
from aerodesign.core.errors import UnitError
from aerodesign.core.flags import Flag
from aerodesign.form import Shop
from aerodesign.gas.perfect import Gas
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.throat import estimated_area, throat
from aerodesign.mesh.passage import passage_mesh
from aerodesign.mesh.size import Size
from aerodesign.milling.survey import survey_of
from aerodesign.report import answer, control_tables, figures, losses, page, page_tables, picture, states, tables
from aerodesign.report.display import Units

AIR = Gas(R=287.05, cp=1005.0, mu_ref=1.8e-5, T_ref=293.0, mu_exponent=0.76)
SITE = Site(pressure=98000.0, temperature=288.0, gas=AIR)
FLOW, RISE = np.array([0.72, 0.55, 0.4]), np.array([22000.0, 20000.0, 18000.0])
HOURS = 3600 * np.array([2200.0, 4100.0, 2300.0])
HOSTILE = '<script>alert("x")</script> & <b onload=y>'
SECTIONS = [
    "answer", "duty", "dimensions", "flow", "map", "control", "shape", "losses", "volute", "solids", "milling", "drive", "noise", "money",
    "fit", "stations", "limits", "mesh", "defaults", "sources", "safety",
]  # fmt: skip
COARSE = Size(inlet=6, blade=16, diffuser=6, across=11, layers=6, wall=1 / 200)
SQUARE = (np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], float), np.array([[0, 1, 2], [0, 2, 3]]))


def designed(service: str) -> Design:
    inlet = SITE.pressure - (RISE if service == "vacuum" else 0)
    duty = Duty(flow=FLOW, mass_flow=FLOW * inlet / (AIR.R * 288), pressure_rise=RISE, hours=HOURS, service=service)
    return design(duty, SITE, choices=Choices(search_effort=128))


@pytest.fixture(scope="module")
def blower() -> Design:
    return designed("pressure")


@pytest.fixture(scope="module")
def exhauster() -> Design:
    return designed("vacuum")


@pytest.fixture(scope="module")
def si_page(blower, tmp_path_factory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    mesh = passage_mesh(blower.blower.impeller, blower.blower.diffuser, COARSE)
    milling = survey_of(blower.blower.impeller, Shop())
    text = page.page_text(
        design=blower, title=HOSTILE, notes=HOSTILE, solids={HOSTILE: SQUARE}, mesh=mesh, milling=milling, stamp=HOSTILE, defaults=[(HOSTILE, "")],
        missing=[HOSTILE], version="9.8.7",
    )  # fmt: skip
    page.write_page(path, text)
    assert [p.name for p in path.parent.iterdir()] == ["report.html"]
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def us_page(exhauster) -> str:
    return page.page_text(design=exhauster, title="Felt suction", units="us", drawings={})


class Elements(HTMLParser):
    """All elements with their attributes, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)


def value_after(text: str, name: str) -> str:
    """The value that the answer box shows under a name."""
    return re.search(rf'<dt>{name}</dt><dd><span class="value">(.*?)</span>', text).group(1)


def test_the_answer_comes_first_and_every_section_after_it(si_page):
    ids = [attributes.get("id") for tag, attributes in Elements(si_page).found if tag == "section"]
    assert ids == SECTIONS
    assert si_page.index("What must not be trusted") < si_page.index("Duty points")
    for name in (
        "triangles",
        "cordier",
        "map",
        "control",
        "sites",
        "meridional",
        "blade",
        "losses",
        "schedule",
        "plan",
    ):
        assert f'id="figure-{name}"' in si_page
    assert "9.8.7" in si_page
    assert len(si_page.encode()) < 3e6


def test_verdict_says_no_when_a_point_is_not_met(blower):
    assert answer.verdict(blower, Units()).startswith("Yes")
    unmet = dataclasses.replace(blower, points=blower.points.but(met=np.array([True, False, True])))
    assert answer.verdict(unmet, Units()).startswith("No")
    assert "2 of 3" in answer.verdict(unmet, Units())
    assert page_tables.duty_table(unmet).texts(Units())[1][4] == "NO"


def test_grave_flags_lead_what_must_not_be_trusted(blower):
    flags = [
        Flag("stall", True, "near stall", "widen", 0.5, 0.6),
        Flag("unsolved", True, "did not solve", "do not use", grave=True),
    ]
    shown = answer.distrust(dataclasses.replace(blower, flags=flags), Units())
    assert shown[0] == ("grave", "did not solve: do not use.")
    assert shown[1] == ("note", "near stall (1800 against 2160 m³/h): widen.")


def test_a_limit_passed_over_is_told_with_its_numbers(blower):
    name = "diffusion factor"
    passed = [dataclasses.replace(one, high=0.1) if one.name == name else one for one in blower.limits]
    lines = answer.what_limits(dataclasses.replace(blower, limits=passed), Units())
    value = next(float(one.value) for one in blower.limits if one.name == name)
    assert f"{name}: {value:.3f}, outside the guideline at most 0.100. Relief: more blades." in lines


def test_a_number_at_a_bound_of_the_search_is_told(blower):
    low = blower.sized.proposal.but(diffuser_ratio=1.3, blades=15.0)
    found = answer.search_bounds(dataclasses.replace(blower, sized=dataclasses.replace(blower.sized, proposal=low)))
    assert ("diffuser_ratio", 1.3) in [(name, value) for name, value, _, _ in found]
    assert "blades" not in [name for name, *_ in found]
    assert answer.search_bounds(dataclasses.replace(blower, sized=None)) == []


def test_numbers_of_the_si_page_are_the_designs(si_page, blower):
    point = blower.points[0]
    assert value_after(si_page, "Shaft power") == f"{point.shaft_power / 1e3:.2f} kW"
    assert value_after(si_page, "Electric power") == f"{point.drive_power / 1e3:.2f} kW"
    assert value_after(si_page, "Speed") == f"{blower.speed * 30 / np.pi:.0f} rpm"
    assert value_after(si_page, "Wheel diameter") == f"{2e3 * blower.blower.impeller.r2:.1f} mm"
    assert value_after(si_page, "Efficiency") == f"{100 * point.efficiency:.1f} %"
    assert value_after(si_page, "Pressure rise") == "22.00 kPa"
    low, high = blower.bands.efficiency
    assert f"90 % band {100 * low:.1f} to {100 * high:.1f} %" in si_page
    assert "<td>2592</td>" in si_page
    assert "<td>4100</td>" in si_page


def test_numbers_of_the_us_page_are_the_designs(us_page, exhauster):
    point = exhauster.points[0]
    assert value_after(us_page, "Suction") == f"{22000 / 3386.389:.3f} inHg"
    assert value_after(us_page, "Shaft power") == f"{point.shaft_power / 745.69987:.2f} hp"
    assert value_after(us_page, "Wheel diameter") == f"{2 * exhauster.blower.impeller.r2 / 0.0254:.3f} in"
    assert value_after(us_page, "Flow at the inlet flange") == f"{0.72 / 0.3048**3 * 60:.0f} cfm"
    assert value_after(us_page, "Discharge temperature") == f"{point.discharge_temperature * 1.8 - 459.67:.1f} °F"
    assert "(22.00 kPa)" in us_page
    assert "Vacuum service" in us_page


def test_the_page_fetches_nothing_and_runs_nothing(si_page):
    for tag, attributes in Elements(si_page).found:
        assert tag not in ("script", "link", "iframe", "object", "embed", "base"), tag
        for name, value in attributes.items():
            assert not name.startswith("on"), (tag, name)
            if name in ("src", "href", "xlink:href", "data", "action"):
                assert value.startswith(("#", "data:image/png;base64,")), (tag, name, value[:60])
    assert "@import" not in si_page
    assert not re.search(r"url\((?!#)", si_page)


def test_users_text_is_escaped(si_page):
    assert HOSTILE not in si_page
    words = "".join(Elements(si_page).words)
    assert words.count(HOSTILE) == 7  # title twice, notes, missing, solid, defaults, stamp
    assert 'onload=y"' not in si_page


def test_ids_are_unique_and_every_reference_has_one(si_page):
    ids = re.findall(r'\bid="([^"]+)"', si_page)
    assert len(ids) == len(set(ids))
    references = re.findall(r'(?:url\(|href=")#([^")]+)', si_page)
    assert references
    assert set(references) <= set(ids)


def test_figures_are_the_same_bytes_twice(blower, tmp_path):
    units = figures.units_for(blower, "us")
    for draw in (figures.performance, figures.cordier):
        for name in "ab":
            figures.save_svg(draw(blower, units), tmp_path / f"{name}.svg", stamp="one -- two")
        assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert ElementTree.parse(tmp_path / "a.svg").getroot().tag.endswith("svg")


def test_drawing_leaves_the_settings_of_matplotlib_alone(blower):
    import matplotlib as mpl

    before = mpl.rcParams["font.size"]
    mpl.rcParams["font.size"] = 33.0
    try:
        figure = figures.cordier(blower, Units())
        assert mpl.rcParams["font.size"] == 33.0
        assert figure.axes[0].xaxis.label.get_size() < 15
    finally:
        mpl.rcParams["font.size"] = before


def test_the_map_is_labelled_in_the_units_asked(blower, exhauster):
    upper, lower = figures.performance(blower, figures.units_for(blower, "si")).axes
    assert (upper.get_ylabel(), lower.get_ylabel()) == ("pressure rise, kPa", "shaft power, kW")
    assert lower.get_xlabel().endswith("m³/h")
    words = [text.get_text() for text in upper.texts]
    assert f"{blower.speed * 30 / np.pi:.0f} rpm" in words
    assert {"1", "2", "3"} <= set(words)  # the stall criteria
    assert any(word.endswith(" %") for word in words)  # the efficiency islands
    upper, _ = figures.performance(exhauster, figures.units_for(exhauster, "us")).axes
    assert upper.get_ylabel() == "suction, inHg"


def test_triangles_are_drawn_to_one_scale(blower):
    panels = figures.triangles(blower, Units()).axes
    assert len({panel.get_xlim() for panel in panels}) == 1
    assert len({panel.get_ylim() for panel in panels}) == 1
    assert all(panel.get_aspect() == 1 for panel in panels)


def test_a_wheel_with_radial_inlet_goes_without_drawings_of_blades(blower):
    wheel = blower.blower.impeller
    radial = blower.blower.but(impeller=wheel.but(r1h=wheel.r1s, b1=0.03))
    drawn = figures.all_figures(dataclasses.replace(blower, blower=radial))
    assert "meridional" not in drawn
    assert "blade" not in drawn
    assert "plan" in drawn
    assert page_tables.throat_line(dataclasses.replace(blower, blower=radial), Units()) == ""


def test_the_throat_stands_on_the_page_by_the_surfaces_and_by_the_meanline(blower, si_page):
    wheel = blower.blower.impeller
    measured, counted = throat(Blading(wheel)).area, estimated_area(wheel)
    line = page_tables.throat_line(blower, Units())
    taken = counted * float(wheel.throat_ratio)
    assert f"{1e4 * measured:.2f} cm²; the meanline chokes {1e4 * taken:.2f} cm²" in line
    assert f"promise {1e4 * counted:.2f} cm²" in line
    assert f"({100 * (measured / counted - 1):+.1f} % by the surfaces)" in line
    assert line in si_page


def test_losses_and_efficiency_make_the_whole_work(blower):
    stage = blower.stage
    for basis, left in (("static", stage.efficiency_static), ("total", stage.efficiency_total)):
        book = losses.loss_book(stage, basis=basis)
        assert sum(loss.share for loss in book) + left == pytest.approx(1, abs=1e-6)
        assert sum(loss.energy for loss in book) == pytest.approx((1 - left) * stage.work, rel=1e-6)
    assert set(stage.losses) == set(losses.NAMES)


def test_stations_obey_isentropy_continuity_and_energy(blower):
    stage = blower.stage
    found = states.states(stage)
    for one in found:
        assert one.pt / one.p == pytest.approx((one.Tt / one.T) ** (AIR.cp / AIR.R), rel=2e-4), one.name
        assert one.Tt - one.T == pytest.approx(one.c**2 / (2 * AIR.cp), rel=2e-3), one.name
    for one, area in ((found[0], blower.blower.A0), (found[5], blower.blower.volute.A5)):
        assert one.p / (AIR.R * one.T) * one.c * area == pytest.approx(stage.mass_flow, rel=1e-3)


def test_rows_for_files_hold_si_values_under_named_units(blower):
    head, *rows = tables.map_rows(blower)
    chart = blower.map
    assert head[:4] == ["speed [rad/s]", "flow [m3/s]", "mass flow [kg/s]", "pressure rise [Pa]"]
    assert len(rows) == chart.operation.flow.size
    columns = chart.operation.flow.shape[1]
    assert [float(x) for x in rows[columns + 3][:2]] == pytest.approx([chart.speed[1, 0], chart.operation.flow[1, 3]])
    assert {row[head.index("stall")] for row in rows} >= {"in the band", "clear"}

    head, *rows = tables.schedule_rows(blower)
    whole = throat_integral(blower.blower.volute, blower.blower.diffuser)
    assert float(rows[-1][head.index("integral of dA/r [m]")]) == pytest.approx(whole)
    assert float(rows[-1][0]) == pytest.approx(2 * np.pi)
    assert len(tables.station_rows(blower)) == 7


def test_a_line_that_stops_above_no_pressure_is_not_called_free_delivery(blower):
    rise = np.array(blower.map.operation.pressure_rise)
    rise[0, -1] = 0.5 * rise[0].max()
    chart = dataclasses.replace(
        blower.map, operation=blower.map.operation.but(pressure_rise=rise), limit=("free delivery",) * len(rise)
    )
    assert tables.line_end(dataclasses.replace(blower, map=chart), 0) == "no solution beyond"


def test_trust_of_a_source_is_told(blower):
    by_name = {row[0]: row[3] for row in page_tables.source_rows(blower)}
    assert by_name["slip"] == "from memory"
    assert by_name["drive"] == "common practice, no source"
    assert set(by_name) >= {name.replace("_", " ") for name in blower.sources}


def test_units_go_with_the_size_of_the_machine():
    assert Units("us", rise=1500.0).label("pressure rise") == "inH₂O"
    assert Units("us", service="vacuum").label("pressure rise") == "inHg"
    assert Units("si", rise=800.0, power=90.0).text(90.0, "power") == "90.00 W"
    assert Units("si", rise=800.0).text(800.0, "pressure rise") == "800.0 Pa"
    assert Units().other.text(6895.0, "pressure rise") == "1.000 psi"
    assert Units().text(0.853, "percent") == "85.3 %"
    with pytest.raises(UnitError, match="choose one of si, us"):
        Units("imperial")


def test_the_nearer_face_hides_the_farther():
    low = np.array([[10.0, 10, 0], [110, 10, 0], [110, 70, 0], [10, 70, 0]])
    high = np.array([[50.0, 30, 5], [90, 30, 5], [90, 60, 5], [50, 60, 5]])
    order = [[0, 1, 2], [0, 2, 3]]
    for far_first in (True, False):
        squares = (low, high) if far_first else (high, low)
        corners = np.concatenate([square[order] for square in squares])
        owner = picture._nearest(corners, 128)
        near = (2, 3) if far_first else (0, 1)
        assert np.isin(owner, near).sum() == 40 * 30
        assert (owner >= 0).sum() == 100 * 60
        assert set(np.unique(owner[40, 55:85])) <= set(near)


def test_a_slanted_face_hides_by_its_depth_at_each_sample():
    flat = np.array([[0.0, 0, 1], [100, 0, 1], [100, 100, 1], [0, 100, 1]])
    slanted = flat * [1, 1, 0] + np.stack([0 * flat[:, 0], 0 * flat[:, 0], flat[:, 0] / 50], axis=1)
    order = [[0, 1, 2], [0, 2, 3]]
    owner = picture._nearest(np.concatenate([flat[order], slanted[order]]), 100)
    assert (owner[:, :49] < 2).all()
    assert (owner[:, 51:] >= 2).all()


def test_the_picture_is_a_png_whose_pixels_can_be_read_back():
    image = np.random.default_rng(1).integers(0, 256, (13, 7, 3)).astype(np.uint8)
    data = picture.png(image)
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", data[16:24])
    length = struct.unpack(">I", data[33:37])[0]
    rows = np.frombuffer(zlib.decompress(data[41 : 41 + length]), np.uint8).reshape(height, 1 + 3 * width)
    assert (rows[:, 0] == 2).all()
    assert (np.cumsum(rows[:, 1:], axis=0, dtype=np.uint8).reshape(image.shape) == image).all()


def test_control_and_site_are_the_designs_numbers(si_page, blower):
    """Energy is hours times power; the peak is the map's; as given, the site's row is the duty."""
    units = figures.units_for(blower)
    rows = {row[0]: row for row in control_tables.control_rows(blower, units)}
    assert set(rows) == set(blower.control.curves)
    energy = float((blower.control.points["inlet throttle"].shaft_power * HOURS).sum() / 3.6e9)
    assert rows["inlet throttle"][-1] == f"{energy:.1f}"
    at_80 = blower.control.curves["speed"].shaft_power[np.argmin(np.abs(FLOWS - 0.8))]
    assert float(rows["speed"][3]) == pytest.approx(at_80 / 1e3, rel=1e-3)
    assert float(rows["discharge throttle"][2]) == pytest.approx(
        100 * control_tables.peak(blower).edge / blower.flow, abs=1.5
    )

    given, *others = control_tables.site_rows(blower, units)
    assert given[1] == "22.00"
    assert float(given[2]) == pytest.approx(blower.points.shaft_power[0] / 1e3, rel=1e-3)
    assert {row[0] for row in others} >= {
        "1500 m higher",
        "hot day, 20 K hotter",
        "cold day, 25 K colder",
        "vacuum service: suction",
    }
    assert given[1] in si_page
    assert "all of it grows with the square of the flow" in si_page
    line = blower.map.operation.pressure_rise[16]
    assert control_tables.peak(blower).rise == pytest.approx(line.max(), rel=1e-3)


def test_a_fixed_pressure_is_said_and_drawn(blower, exhauster):
    """In the words above the figures and in the map's legend; days in the other system's units."""
    plant = dataclasses.replace(blower.control, system=System(fixed=11e3))
    fixed = dataclasses.replace(blower, control=plant)
    assert control_tables.plant_line(fixed, Units()).startswith(
        "The plant: 11.00 kPa at every flow (50 % of the design duty's)"
    )
    words = [text.get_text() for text in figures.performance(fixed, Units()).legends[0].get_texts()]
    assert "plant, 50 % fixed, rest square law" in words
    names = control_tables.condition_names(exhauster, figures.units_for(exhauster, "us"))
    assert names["hot day"] == "hot day, 36 °F hotter"
    assert names["higher site"] == "4921 ft higher"


def test_power_by_kind_of_control_is_drawn_as_far_as_it_is_reached(blower):
    """Each kind twice: dotted as far as it reaches, in full where it is clear of the stall band."""
    _, lower = figures.control(blower, Units()).axes[:2]
    drawn = [line.get_ydata() for line in lower.lines]
    assert len(drawn) == 8
    for (kind, one), whole, clear in zip(blower.control.curves.items(), drawn[::2], drawn[1::2], strict=True):
        known = FLOWS >= 0.4 - 1e-9
        np.testing.assert_array_equal(np.isfinite(whole), one.reached[known], err_msg=kind)
        np.testing.assert_array_equal(np.isfinite(clear), (one.reached & ~one.in_stall_band)[known], err_msg=kind)
        np.testing.assert_allclose(whole[np.isfinite(whole)], one.shaft_power[known & one.reached] / 1e3)
