"""Bands: what they hold, who makes them wide, what they cost; estimated dimensions and calibrations in them."""

from dataclasses import replace

import numpy as np
import pytest

from aerodesign.aero import scatter
from aerodesign.aero.coefficients import CalibratedModels, coefficient
from aerodesign.aero.duty import Site
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.performance_map import performance_map, stall_criteria
from aerodesign.aero.rating import given_machine
from aerodesign.aero.sections import Circle
from aerodesign.aero.uncertainty import SAMPLES, bands, intervals, run_samples
from aerodesign.gas.air import air

SITE = Site(pressure=101325.0, temperature=293.15, gas=air())
SPEED = 14000 * np.pi / 30
COMMON = dict(service="pressure", basis="total")
HEADLINE = ("rise", "work", "efficiency", "choke", "stall")
SIZES = ("impeller.clearance", "impeller.thickness_hub", "volute.size4", "diffuser.r3", "impeller.beta1s_blade")


def band(typical, **changes):
    asked = dict(flow=1.0, speed=SPEED, models=Models(), **COMMON) | changes
    return bands(typical.blower, SITE, **asked)


@pytest.fixture(scope="module")
def plain(typical):
    return band(typical)


def width(one, name):
    low, high = getattr(one, name)
    return high - low


def direct(typical, flow, count, seed, models=None, estimated=()):
    """Fresh samples straight through the meanline, without blocks."""
    drawn = scatter.draw(typical.blower, models or Models(), estimated=estimated, samples=count, seed=seed)
    flow = np.broadcast_to(flow, (count, 1)) if np.ndim(flow) == 0 else flow
    return drawn, operate(drawn.blower, SITE, flow=flow, speed=SPEED, models=drawn.models, **COMMON)


@pytest.mark.parametrize("estimated", [(), SIZES], ids=["correlations", "dimensions too"])
def test_nine_of_ten_fresh_samples_lie_inside(typical, estimated):
    """Of 6000 drawn with another seed, within four standard errors of their own count and of the band's ends."""
    stated = band(typical, estimated=estimated)
    _, fresh = direct(typical, 1.0, 6000, seed=99, estimated=estimated)
    values = dict(rise=fresh.pressure_rise, work=fresh.stage.work, efficiency=fresh.stage.efficiency_total)
    for name, value in values.items():
        low, high = getattr(stated, name)
        assert np.mean((value >= low) & (value <= high)) == pytest.approx(0.90, abs=0.018), name


def test_choke_and_stall_hold_nine_of_ten_fresh_lines(typical, plain):
    """Lines drawn anew, each read as the map reads it: the response fitted to 512 lines gives the same band.

    The criterion is drawn as well, since each is as likely as the others.
    """
    rng, count = np.random.default_rng(5), 600
    flows = plain.line.flow
    drawn, lines = direct(typical, flows, count, seed=77)
    stage = lines.stage
    chokes = [
        drawn.throat * stage.choke_inducer if name == "inducer" else getattr(stage, f"choke_{name}")
        for name in ("inducer", "exit", "diffuser", "volute")
    ]
    choke = np.minimum.reduce(np.broadcast_arrays(*chokes))[:, -1] / (stage.mass_flow[..., -1] / flows[-1]).ravel()
    low, high = plain.choke
    assert np.mean((choke >= low) & (choke <= high)) == pytest.approx(0.90, abs=0.05)

    found = stall_criteria(
        flow=np.broadcast_to(flows, lines.pressure_rise.shape),
        pressure_rise=lines.pressure_rise,
        diffuser_margin=stage.stall_margin + drawn.critical_angle,
        inducer_margin=np.radians(12) + drawn.tip_incidence - stage.incidence_shroud,
    )
    stall = np.array([np.where(np.isfinite(v), v, flows[0]) for v in found.values()])
    stall = stall[rng.integers(len(stall), size=count), np.arange(count)]
    low, high = plain.stall
    assert np.mean((stall >= low) & (stall <= high)) == pytest.approx(0.90, abs=0.05)


def test_the_critical_angle_moves_the_stall_by_its_slope(typical, plain):
    """Two degrees over d(angle)/d(flow): the spread of that criterion's flow, within a fifth (the line is not straight)."""
    shown = performance_map(
        typical.blower, SITE, speeds=np.array([SPEED]), design_flow=1.0, design_speed=SPEED, models=Models(), **COMMON
    )
    flow, margin = shown.operation.flow[0], shown.operation.stage.stall_margin[0]
    at = shown.stall["critical angle of the vaneless diffuser"][0]
    slope = np.interp(at, flow, np.gradient(margin, flow))
    no_other = Models(factors={}, offsets={})
    drawn = scatter.draw(typical.blower, no_other, samples=400)
    moved = stall_criteria(
        flow=np.broadcast_to(flow, (400, flow.size)),
        pressure_rise=np.broadcast_to(shown.operation.pressure_rise, (400, flow.size)),
        diffuser_margin=margin + drawn.critical_angle,
        inducer_margin=np.ones((400, flow.size)),
    )["critical angle of the vaneless diffuser"]
    assert np.std(moved) == pytest.approx(np.radians(2) / slope, rel=0.2)


def test_parts_of_the_variance_sum_to_one_for_independent_inputs(plain):
    """Whatever inputs do only together is nobody's part: an eighth of the efficiency's variance, near its peak."""
    for name, least in (("rise", 0.96), ("work", 0.97), ("efficiency", 0.85), ("choke", 0.97), ("stall", 0.85)):
        parts = plain.contributors[name]
        assert min(parts.values()) >= 0
        assert least < sum(parts.values()) < 1.02, name
    assert [name for name, _ in plain.biggest("work")] == ["blockage", "slip"]
    assert plain.biggest("choke", 1)[0][0] == "throat_blockage"
    assert len(plain.biggest("rise")) == 2


def test_no_scatter_no_width(typical):
    """The band shrinks onto the prediction; of the stall the choice of the criterion remains."""
    none = band(typical, scatter=0.0)
    run = operate(typical.blower, SITE, flow=1.0, speed=SPEED, models=Models(), **COMMON)
    for name, value in (
        ("rise", run.pressure_rise),
        ("work", run.stage.work),
        ("efficiency", run.stage.efficiency_total),
    ):
        assert getattr(none, name) == pytest.approx((value, value), rel=1e-9)
    assert width(none, "choke") < 1e-9
    np.testing.assert_allclose(none.line.low, none.line.high, rtol=1e-9)
    assert none.contributors["stall"]["choice_of_criterion"] == pytest.approx(1, abs=1e-6)


def test_more_scatter_wider(typical, plain):
    """In every quantity; for small scatter in proportion."""
    half, twice = band(typical, scatter=0.5), band(typical, scatter=2.0)
    for name in HEADLINE:
        assert width(half, name) < width(plain, name) < width(twice, name), name
    tenth, fifth = band(typical, scatter=0.1), band(typical, scatter=0.2)
    for name in ("rise", "work", "choke"):
        assert width(fifth, name) == pytest.approx(2 * width(tenth, name), rel=0.02), name


def test_a_calibration_shrinks_the_bands(typical, plain):
    """A slip known ten times better leaves the other inputs' share, and is named as calibrated."""
    slip = coefficient("slip", Models())
    known = CalibratedModels(coefficients=(slip,), covariance=np.array([[0.01]]))
    after = band(typical, models=known)
    for name in ("rise", "work"):
        share = plain.contributors[name]["slip"]
        assert width(after, name) == pytest.approx(width(plain, name) * np.sqrt(1 - 0.99 * share), rel=0.04), name
    assert after.contributors["work"]["slip (calibrated)"] < 0.01
    assert "slip" not in after.contributors["work"]


def test_dimensions_that_are_missing_widen_the_band(typical, plain):
    """Each by itself, in the quantity that it decides; one of them may be the biggest contributor."""
    wider = band(typical, estimated=SIZES)
    for name in ("rise", "efficiency", "choke"):
        assert width(wider, name) > width(plain, name), name
    assert wider.estimated == SIZES
    assert wider.biggest("choke", 1)[0][0] == "impeller.beta1s_blade (estimated)"
    exit_angle = band(typical, estimated=("impeller.beta2_blade",))
    assert exit_angle.contributors["work"]["impeller.beta2_blade (estimated)"] > 0.1


def test_every_estimate_of_a_rating_has_a_scatter_or_no_effect(typical):
    """What rating may estimate and has no scatter here changes nothing in the meanline."""
    wheel = dict(r1s=0.0715, r2=0.13, b2=0.026, beta2_blade=np.radians(40), blades=14)
    blower, names = given_machine(
        {"impeller": wheel}, section=Circle(), gas=SITE.gas, density=1.2, mass_flow=1.2, speed=SPEED, models=Models()
    )
    unscattered = [name for name in names if name not in scatter.RELATIVE and name not in scatter.ABSOLUTE]
    assert sorted(unscattered) == ["impeller.fillet", "volute.tongue_radius"]
    usual = operate(blower, SITE, flow=1.0, speed=SPEED, models=Models(), **COMMON)
    other = blower.but(
        impeller=blower.impeller.but(fillet=2 * blower.impeller.fillet),
        volute=blower.volute.but(tongue_radius=2 * blower.volute.tongue_radius),
    )
    assert operate(other, SITE, flow=1.0, speed=SPEED, models=Models(), **COMMON).pressure_rise == usual.pressure_rise
    wide = bands(blower, SITE, flow=1.0, speed=SPEED, models=Models(), estimated=names, samples=4000, **COMMON)
    known = bands(blower, SITE, flow=1.0, speed=SPEED, models=Models(), samples=4000, **COMMON)
    assert width(wide, "rise") > 1.1 * width(known, "rise")


def test_a_throat_of_another_area_keeps_its_section(typical):
    """Area by its scatter; the centroid along the section's own law, within a thousandth for a deviation of one."""
    blower = typical.blower
    moved = scatter.varied(blower, {"volute.size4": 1.0}).volute
    assert moved.A4 == pytest.approx(blower.volute.A4 * np.exp(0.10))
    section, shape = blower.volute.section, dict(r3=blower.diffuser.r3, b3=blower.diffuser.b3)
    size = np.linspace(1, 1.2, 2001) * blower.volute.size4
    exact = np.interp(moved.A4, section.area(size=size, **shape), section.centroid_radius(size=size, **shape))
    assert moved.r4 == pytest.approx(exact, rel=1e-3)
    outward = scatter.varied(blower, {"diffuser.r3": 1.0})
    assert outward.volute.r4 - blower.volute.r4 == pytest.approx(outward.diffuser.r3 - blower.diffuser.r3)


def test_samples_in_vacuum_are_those_of_the_whole_iteration(typical):
    """The samples breathe the undisturbed machine's inlet state; each with its own gives the same suction within 0.4 %.

    The band is some 20 % wide; the difference is the Reynolds number's.
    """
    vacuum = dict(service="vacuum", basis="static")
    drawn = scatter.draw(typical.blower, Models(), samples=40)
    point = dict(flow=np.array([1.0]), speed=SPEED)
    quick = run_samples(drawn, typical.blower, SITE, models=Models(), keep=("pt5", "p5", "work"), **point, **vacuum)[
        "rise"
    ]
    whole = operate(drawn.blower, SITE, models=drawn.models, **point, **vacuum).pressure_rise
    np.testing.assert_allclose(quick, whole, rtol=4e-3)
    stated = bands(typical.blower, SITE, flow=1.0, speed=SPEED, models=Models(), samples=4000, **vacuum)
    middle = operate(typical.blower, SITE, flow=1.0, speed=SPEED, models=Models(), **vacuum).pressure_rise
    assert stated.rise[0] < middle < stated.rise[1]


def test_the_band_of_a_point_is_the_same_alone_and_among_others(typical, plain):
    """Within the sampling error of a few hundred lines; the prediction lies inside everywhere."""
    several = intervals(
        typical.blower, SITE, flow=np.array([0.7, 1.0, 1.3]), speed=SPEED, models=Models(),
        keep=(), read=lambda kept: {"rise": kept["rise"]}, samples=SAMPLES, **COMMON,
    )["rise"]  # fmt: skip
    assert (several.low[1], several.high[1]) == pytest.approx(plain.rise, rel=1e-9)
    shown = np.array([np.interp(1.0, plain.line.flow, side) for side in (plain.line.low, plain.line.high)])
    assert shown == pytest.approx(np.array(plain.rise), abs=0.08 * width(plain, "rise"))
    line = operate(typical.blower, SITE, flow=plain.line.flow, speed=SPEED, models=Models(), **COMMON).pressure_rise
    assert np.all((plain.line.low < line) & (line < plain.line.high))


def test_bands_are_the_same_every_time(typical, plain):
    """Seeds are fixed."""
    assert replace(band(typical), line=plain.line) == plain
