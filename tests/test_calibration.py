"""Calibration: coefficients known beforehand are found again, what data cannot tell is named, files come back as written."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from aerodesign.aero import calibration, calibration_fit, coefficients, testpoints
from aerodesign.aero.calibration import FITTED, calibrate
from aerodesign.aero.coefficients import coefficient, moved
from aerodesign.aero.duty import Site
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.uncertainty import bands
from aerodesign.case import calibration_file, points_file, read_case
from aerodesign.case.calibrate import _machine, calibrate_case
from aerodesign.case.calibration_file import calibration_path, read_calibration, write_calibration
from aerodesign.case.points_file import points_from_text
from aerodesign.case.run import rate_case
from aerodesign.core.correlation import card
from aerodesign.core.errors import CaseError
from aerodesign.gas.air import air
from aerodesign.report.calibration_lines import calibration_lines

SITE = Site(pressure=101325.0, temperature=293.15, gas=air())
SPEED = 14000 * np.pi / 30
COMMON = dict(service="pressure", basis="total")
TRUTH = dict(slip=-0.025, blockage=1.3, friction=1.25, volute=0.85)
"""An invented machine: its slip factor lies lower than the correlation says, its wheel is rough, its volute good."""

FAN = Path(__file__).parent.parent / "cases" / "measured-kit-fan.toml"


def true_models() -> Models:
    """The invented machine's models."""
    chosen = tuple(coefficient(name, Models()) for name in TRUTH)
    moves = [TRUTH[c.name] / c.scatter if c.absolute else np.log(TRUTH[c.name]) / c.scatter for c in chosen]
    factors, offsets = moved(Models(), chosen, moves)
    return Models(factors=factors, offsets=offsets)


def run(typical, flow, models):
    return operate(typical.blower, SITE, **COMMON, flow=flow, speed=SPEED, models=models)


def points(typical, count=12, noise=0.01, seed=3, keep=("pressure_rise", "power"), models=None):
    """A test of the invented machine with normal errors of a given size, stated as such."""
    rng = np.random.default_rng(seed)
    flow = np.linspace(0.5, 1.5, count)
    said = testpoints.predicted(run(typical, flow, models or true_models()), "total")
    values = {name: said[name] * (1 + noise * rng.standard_normal(count)) for name in keep}
    spreads = {f"{name}_uncertainty": max(noise, 1e-6) * said[name] for name in keep}
    return testpoints.TestPoints(flow=flow, speed=SPEED, flow_uncertainty=0.0, **values, **spreads)


def fitted(typical, test, **changes):
    return calibrate(typical.blower, SITE, **COMMON, points=test, models=Models(), **changes)


@pytest.fixture(scope="module")
def of_twelve(typical):
    return fitted(typical, points(typical))


def test_known_coefficients_are_found_within_their_uncertainty(typical):
    """Machines drawn from the prior, tested with noise: 95 % of the coefficients within two stated deviations.

    Over 80 draws 97 % were measured, and the squared distance from the truth had a mean of 4.5, where 4 is the mean of
    chi-squared with four degrees: along a bent valley of two coefficients the covariance is somewhat too small.
    """
    chosen = tuple(coefficient(name, Models()) for name in FITTED)
    within, distances = [], []
    for seed in range(8):
        rng = np.random.default_rng(1000 + seed)
        moves = rng.standard_normal(4)
        factors, offsets = moved(Models(), chosen, moves)
        found = fitted(typical, points(typical, seed=rng, models=Models(factors=factors, offsets=offsets)))
        assert found.solved
        within += (np.abs(moves - found.moves) < 2 * np.sqrt(np.diag(found.covariance))).tolist()
        distances.append((moves - found.moves) @ np.linalg.solve(found.covariance, moves - found.moves))
    assert np.mean(within) > 0.87
    assert 2.0 < np.mean(distances) < 7.0


def test_a_bent_valley_is_followed_to_its_end(typical):
    """Blockage at its bound and slip far off: passes that tried one step each stalled here at four times the least cost."""
    chosen = tuple(coefficient(name, Models()) for name in FITTED)
    far = np.array([1.4, 1.8, 1.1, 0.8])
    factors, offsets = moved(Models(), chosen, far)
    test = points(typical, count=20, noise=0.003, models=Models(factors=factors, offsets=offsets))
    machine = calibration_fit.TestedMachine(typical.blower, SITE, **COMMON, points=test, models=Models(), chosen=chosen)
    weights = machine.weights(np.zeros(4))
    ends = [calibration_fit.fit(machine, weights, start)[0] for start in (np.zeros(4), far)]
    assert ends[0] == pytest.approx(ends[1], abs=0.02)


def test_without_noise_the_truth_is_found(typical):
    """Readings certain to a millionth leave the prior no say."""
    found = fitted(typical, points(typical, noise=0.0))
    for one in found.fitted:
        assert one.value == pytest.approx(TRUTH[one.name], rel=2e-3, abs=2e-5), one
    assert max(found.after.values()) < 1e-4 < min(found.before.values())


def test_no_points_leave_the_prior(typical):
    """Values, deviations and the unit covariance."""
    found = fitted(typical, points(typical, count=0))
    assert found.moves == pytest.approx(np.zeros(4))
    assert found.covariance == pytest.approx(np.eye(4))
    assert found.undetermined == FITTED
    assert (found.points, found.before, found.after, found.excess) == (0, {}, {}, 1.0)
    for one, part in zip(found.fitted, found.coefficients, strict=True):
        assert (one.value, one.deviation) == pytest.approx((0.0 if part.absolute else 1.0, part.scatter))
    assert "NOT DETERMINED" in "\n".join(calibration_lines(found))


def test_pressure_at_one_flow_cannot_tell_work_from_losses(typical):
    """One number for four coefficients: what is left open is named."""
    one_flow = testpoints.TestPoints(flow=np.full(6, 1.0), speed=SPEED, pressure_rise=np.full(6, 23e3))
    found = fitted(typical, one_flow)
    assert {"slip", "friction", "volute"} <= set(found.undetermined)
    lines = "\n".join(calibration_lines(found))
    assert f"could not be determined: {', '.join(found.undetermined)}; measure the power too" in lines
    # One direction of four is seen at most: three eigenvalues keep the prior's variance of 1.
    assert np.sort(np.linalg.eigvalsh(found.covariance))[1:] == pytest.approx(np.ones(3), abs=1e-3)


def test_coefficients_that_work_alike_are_named_as_a_pair(typical):
    """At one flow, but with readings far better than any, slip and blockage change rise and power alike."""
    said = testpoints.predicted(run(typical, np.full(4, 1.0), true_models()), "total")
    test = testpoints.TestPoints(
        flow=np.full(4, 1.0), speed=SPEED, pressure_rise=said["pressure_rise"], power=said["power"],
        flow_uncertainty=0.0, pressure_rise_uncertainty=1.0, power_uncertainty=1.0,
    )  # fmt: skip
    found = fitted(typical, test, coefficients=("slip", "blockage"))
    ((first, second, together),) = found.alike
    assert (first, second) == ("slip", "blockage")
    assert together > 0.95
    assert "slip and blockage cannot be told apart" in "\n".join(calibration_lines(found))


def test_more_points_tell_more(typical):
    """No deviation grows when points are added, and four times as many halve what the prior hardly touches."""
    left = [np.array([f.left for f in fitted(typical, points(typical, count=n)).fitted]) for n in (4, 16, 64)]
    assert np.all(left[1] < left[0])
    assert np.all(left[2] < left[1])
    assert left[2][1] / left[1][1] == pytest.approx(0.5, abs=0.1)


def test_errors_fall_to_the_noise(of_twelve):
    """Of 1 %."""
    assert set(of_twelve.before) == {"pressure_rise", "power"}
    for name, before in of_twelve.before.items():
        assert before > 0.1
        assert of_twelve.after[name] < 0.02
    assert of_twelve.excess < 1.5


def test_the_fit_is_the_least_of_its_cost(typical, of_twelve):
    """A library's minimizer with its own derivatives ends at the same place."""
    test = points(typical)
    machine = calibration_fit.TestedMachine(
        typical.blower, SITE, "pressure", "total", test, Models(), of_twelve.coefficients
    )
    weights = machine.weights(of_twelve.moves) / of_twelve.excess
    other = least_squares(lambda z: np.concatenate([machine.misfits(z, weights), z]), np.zeros(4), diff_step=1e-3)
    assert of_twelve.moves == pytest.approx(other.x, abs=0.01)
    covariance = np.linalg.inv(other.jac.T @ other.jac)
    assert of_twelve.covariance == pytest.approx(covariance, abs=0.02 * np.max(covariance))


def test_a_contradiction_is_told_and_pulls_no_coefficient_away(typical):
    """Readings of pressure and power that no machine of this shape has: the misfit widens the deviations."""
    good = points(typical)
    bad = good.but(pressure_rise=good.pressure_rise * np.where(np.arange(12) % 2, 1.3, 0.7))
    found, before = fitted(typical, bad), fitted(typical, good)
    assert found.excess > 10
    assert all(new.left > old.left for new, old in zip(found.fitted, before.fitted, strict=True))
    assert np.all(np.abs(found.moves) < 3)
    assert "scatter" in "\n".join(calibration_lines(found))


def test_a_wrong_flow_reading_shows_as_a_pull(typical):
    """Flow read 30 % too high: the correlations must bend further than they ever did, and the answer says so."""
    test = points(typical, noise=0.003)
    found = fitted(typical, test.but(flow=test.flow * 1.3))
    assert max(abs(one.pull) for one in found.fitted) > calibration.FAR
    assert "look for another cause first" in "\n".join(calibration_lines(found))


def test_what_repeats_another_reading_is_not_counted_twice(typical):
    """Efficiency beside rise and power, and work beside power, tell nothing new; efficiency beside power alone does."""
    whole = ("pressure_rise", "power", "work", "efficiency")
    both, all_four = fitted(typical, points(typical)), fitted(typical, points(typical, keep=whole))
    assert all_four.covariance == pytest.approx(both.covariance, rel=0.05, abs=1e-3)
    assert set(all_four.after) == set(whole)
    counted = points(typical, keep=("power", "efficiency")).counted()
    assert counted["efficiency"].all()
    assert not counted["pressure_rise"].any()


def test_the_uncertainty_of_the_flow_counts_where_the_curve_is_steep(typical):
    """Along the slope of the curve; near its top it hardly matters."""
    test = points(typical)
    chosen = tuple(coefficient(name, Models()) for name in FITTED)
    rows = []
    for part in (0.0, 0.02):
        machine = calibration_fit.TestedMachine(
            typical.blower, SITE, **COMMON, points=test.but(flow_uncertainty=part * test.flow), models=Models(), chosen=chosen
        )  # fmt: skip
        rows.append(1 / machine.weights(np.zeros(4))[0])
    slope = np.gradient(run(typical, test.flow, Models()).pressure_rise, test.flow)
    assert rows[1] == pytest.approx(np.hypot(rows[0], slope * 0.02 * test.flow), rel=0.1)


def test_usual_uncertainties_stand_where_none_is_stated():
    """As a part of the reading, but of at least a quarter of the largest; points for efficiency."""
    test = testpoints.TestPoints(flow=1.0, speed=SPEED, pressure_rise=np.array([2e4, 1e4, 1e2]), efficiency=0.5)
    assert test.deviation("pressure_rise") == pytest.approx(
        testpoints.USUAL["pressure_rise"] * np.array([2e4, 1e4, 5e3])
    )
    assert test.deviation("efficiency") == pytest.approx(np.full(3, 0.01))


def test_points_that_do_not_solve_are_left_out_and_numbered(typical):
    """A flow beyond choke."""
    test = points(typical)
    choked = np.where(np.arange(12) == 7, 60.0, test.flow)
    found = fitted(typical, test.but(flow=choked))
    assert (found.points, found.unused) == (11, (7,))
    assert found.solved
    assert "point 8 of the test" in "\n".join(calibration_lines(found))


def test_vacuum_service_is_calibrated_too(typical):
    """The suction, with the inlet pressure that follows from it."""
    flow = np.linspace(0.6, 1.3, 8)
    common = dict(service="vacuum", basis="total")
    said = operate(typical.blower, SITE, **common, flow=flow, speed=SPEED, models=true_models())
    test = testpoints.TestPoints(flow=flow, speed=SPEED, pressure_rise=said.pressure_rise, power=said.stage.power)
    found = calibrate(typical.blower, SITE, **common, points=test, models=Models())
    assert found.after["pressure_rise"] < 0.1 * found.before["pressure_rise"]


@pytest.mark.parametrize(
    ("names", "words"),
    [
        (("slop",), "no such"),
        (("friction", "vaneless"), "both move vaneless"),
        ((), "none given"),
        (("stall",), "no such"),
    ],
)
def test_wrong_coefficients_are_refused(typical, names, words):
    with pytest.raises(CaseError, match=words):
        fitted(typical, points(typical, count=3), coefficients=names)


def test_certainty_is_refused(typical):
    with pytest.raises(CaseError, match="must be positive"):
        fitted(typical, points(typical).but(power_uncertainty=0.0))


# -- bands ------------------------------------------------------------------------------------------------------------


def band(typical, models):
    return bands(typical.blower, SITE, **COMMON, flow=1.0, speed=SPEED, models=models)


def test_bands_shrink_to_what_the_test_left_open(typical, of_twelve):
    """And hold the invented machine's true rise and work, which lie outside of the bands before."""
    before, after = band(typical, Models()), band(typical, of_twelve.models(Models()))
    truth = run(typical, 1.0, true_models())
    for name, value in (("rise", truth.pressure_rise), ("work", truth.stage.work)):
        (low0, high0), (low, high) = getattr(before, name), getattr(after, name)
        assert high - low < 0.6 * (high0 - low0), name
        assert low < value < high, name
    assert "slip (calibrated)" in after.contributors["work"]
    assert "slip" not in after.contributors["work"]


def test_a_test_that_told_nothing_leaves_the_bands(typical):
    """Within the sampling error of their ends, though the volute's parts now move in other samples."""
    nothing = fitted(typical, points(typical, count=0)).models(Models())
    for name in ("rise", "work", "efficiency"):
        before, after = getattr(band(typical, Models()), name), getattr(band(typical, nothing), name)
        assert after == pytest.approx(before, abs=0.05 * (before[1] - before[0])), name


def test_the_prior_of_a_group_is_that_of_its_members():
    """The bands' own scatter, seen along the direction in which all members move alike."""
    group = coefficient("volute", Models())
    functions = Models().functions()
    scatters = np.array([coefficients.scatter_of(name, functions[name]) for name in group.phenomena])
    rng = np.random.default_rng(1)
    logs = scatters * rng.standard_normal((100_000, len(scatters)))
    common = logs @ (1 / scatters**2) / np.sum(1 / scatters**2)
    assert np.std(common) == pytest.approx(group.scatter, rel=0.01)
    slip = coefficient("slip", Models())
    assert (slip.absolute, slip.scatter) == (True, card(functions["slip"]).scatter)


# -- files ------------------------------------------------------------------------------------------------------------


def test_a_file_gives_back_what_was_fitted(tmp_path, of_twelve):
    """To rounding; applied to models, the same factors."""
    path = tmp_path / "hall-3.calibration.toml"
    write_calibration(path, of_twelve, 'hall "3"', "stamp\nof a run")
    again = read_calibration(path)
    assert list(tmp_path.iterdir()) == [path]
    assert again.moves == pytest.approx(of_twelve.moves, abs=1e-12)
    assert again.covariance == pytest.approx(of_twelve.covariance, abs=1e-12)
    assert (again.name, again.stamp) == ('hall "3"', "stamp of a run")
    for name in ("before", "after", "points", "excess", "tested", "functions", "unused", "solved", "coefficients"):
        assert getattr(again, name) == getattr(of_twelve, name), name
    assert again.models(Models()).factors == pytest.approx(of_twelve.models(Models()).factors, rel=1e-12)
    assert again.undetermined == of_twelve.undetermined


def test_a_file_of_no_points_can_be_read(tmp_path, typical):
    """Its tested range is nan."""
    write_calibration(tmp_path / "x.toml", fitted(typical, points(typical, count=0)), "x", "")
    assert np.isnan(read_calibration(tmp_path / "x.toml").tested).all()


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("aerodesign calibration 1", "aerodesign calibration 9", 'must be "aerodesign calibration 1"'),
        ("points = 12", "points = 12.5", "must be a whole number"),
        ("offset = ", "offset = true #", "must be a number"),
        ("deviation = ", "deviation = 9", "is larger than the prior"),
        ("deviation = ", "deviation = -", "must be a positive number"),
        (
            "correlation = [",
            "correlation = [[nan, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]\nwas = [",
            "correlation",
        ),
        ('phenomena = ["slip"]', 'phenomena = ["slap"]', "must stand in [models] too"),
        ("excess = ", "excess = [", "not valid TOML"),
    ],
)
def test_a_spoilt_file_is_refused_in_one_line(tmp_path, of_twelve, old, new, words):
    path = tmp_path / "x.toml"
    text = calibration_file.calibration_text(of_twelve, "x", "")
    assert old in text
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(CaseError) as refusal:
        read_calibration(path)
    assert words in str(refusal.value)
    assert all(line.startswith(str(path)) for line in str(refusal.value).splitlines())


def test_other_correlations_than_those_fitted_with_are_refused(of_twelve):
    """A factor on one friction law means nothing for another."""
    other = replace(of_twelve, name="hall 3", functions=of_twelve.functions | {"slip": "stanitz"})
    with pytest.raises(CaseError, match='"hall 3": was fitted with slip = "stanitz", now it is "wiesner"'):
        other.models(Models())


def test_a_missing_folder_is_one_line(tmp_path, of_twelve):
    with pytest.raises(CaseError, match="cannot be written"):
        write_calibration(tmp_path / "none" / "x.toml", of_twelve, "x", "")


# -- the measured fan -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def fan():
    """The measured fan between the flow coefficients 0.04 and 0.11 (4 Q / (pi^2 D^3 n)), as text of a test."""
    case = read_case(FAN)
    measured = case.measured[0]
    phi = 4 * measured.flow / (np.pi**2 * 0.306**3 * measured.speed / (2 * np.pi))
    rows = np.transpose([measured.flow, measured.speed, measured.pressure_rise])[(phi > 0.04) & (phi < 0.11)]

    def text(some):
        lines = [
            "flow [m3/s], speed [rad/s], pressure_rise [Pa]",
            *(", ".join(map(repr, row)) for row in rows[some].tolist()),
        ]
        return points_from_text("\n".join(lines), name="fan.csv")

    return SimpleNamespace(case=case, text=text, count=len(rows), found=calibrate_case(case, text(slice(None))))


def test_the_measured_fan(fan):
    """24 points of pressure rise: 3.9 % rms before, 1.1 % after; the test asks for the halving only.

    Without power, friction stays open, and slip must move four of its deviations: the meanline's curve is flatter than the
    fan's, and the answer says that the coefficients are not to be believed.
    """
    found = fan.found
    assert found.points == fan.count == 24
    assert found.after["pressure_rise"] < 0.5 * found.before["pressure_rise"]
    assert "friction" in found.undetermined
    assert "look for another cause first" in "\n".join(calibration_lines(found))


def test_half_of_the_fan_predicts_the_other_half(fan):
    """Every second point fitted; on the others, 4.0 % rms before and 1.7 % after. Extrapolation is another matter."""
    found = calibrate_case(fan.case, fan.text(slice(None, None, 2)))
    rest = fan.text(slice(1, None, 2)).points
    blower, _ = _machine(fan.case, points_file.TestFile(rest))
    errors = []
    for models in (Models(), found.models(Models())):
        operation = operate(blower, fan.case.site, **COMMON, flow=rest.flow, speed=rest.speed, models=models)
        errors.append(testpoints.rms_errors(rest, testpoints.predicted(operation, "total"), True)["pressure_rise"])
    assert errors[0] == pytest.approx(0.040, abs=0.01)
    assert errors[1] < 0.6 * errors[0]


def test_a_calibration_at_low_flows_misleads_at_high_ones(fan):
    """Fitted below the best point only, the other half gets worse (3.4 to 9.2 % rms): the tested range says how far to trust it."""
    low = calibrate_case(fan.case, fan.text(slice(None, fan.count // 2)))
    rest = fan.text(slice(fan.count // 2, None)).points
    blower, _ = _machine(fan.case, points_file.TestFile(rest))
    models = low.models(Models())
    operation = operate(blower, fan.case.site, **COMMON, flow=rest.flow, speed=rest.speed, models=models)
    assert np.all(operation.stage.flow_coefficient > low.tested[1])
    outside = testpoints.rms_errors(rest, testpoints.predicted(operation, "total"), True)["pressure_rise"]
    assert outside > 3 * low.after["pressure_rise"]
    assert "beyond them it may be worse than none" in calibration_lines(low)[-1]


def test_a_case_names_its_calibration(tmp_path, fan):
    """By name beside the case or by path; the rating then uses it, and its errors fall."""
    found = fan.found
    write_calibration(calibration_path("fan", tmp_path), found, "fan", "")
    (tmp_path / "deep").mkdir()
    text = FAN.read_text()
    for folder, named in ((tmp_path, "fan"), (tmp_path / "deep", "../fan.calibration.toml")):
        path = folder / "case.toml"
        path.write_text(text.replace("[choices]", f'[models]\ncalibration = "{named}"\n\n[choices]'))
        case = read_case(path)
        assert Path(case.models["calibration"]).resolve() == (tmp_path / "fan.calibration.toml").resolve()
    models = calibration_file.calibrated_models(case.models)
    assert models.offsets["slip"] == pytest.approx(found.fitted[0].value, rel=1e-9)
    # The machine stays the same: calibrated once more, nothing of the earlier calibration has a part in it.
    few = fan.text(slice(None, None, 6))
    once_more, once = (calibrate_case(c, few, coefficients=("slip",)) for c in (case, fan.case))
    assert once_more.moves == pytest.approx(once.moves, abs=1e-9)


@pytest.mark.slow
def test_a_rating_uses_the_calibration_of_its_case(tmp_path, fan):
    """Its errors at the test's points fall, its bands know of it."""
    found = fan.found
    write_calibration(calibration_path("fan", tmp_path), found, "fan", "")
    rated = rate_case(replace(fan.case, models={"calibration": str(calibration_path("fan", tmp_path))}))
    comparison = rated.comparisons[0]
    errors = comparison.errors("pressure_rise")[(comparison.flow > 0.03) & (comparison.flow < 0.07)]
    assert np.max(np.abs(errors)) < 0.08
    assert "slip (calibrated)" in rated.design.bands.contributors["rise"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('calibration = "fon"', "fon.calibration.toml: no such file"),
        ("calibration = 3", "must be the name of a calibration or the path of its file in quotes"),
    ],
)
def test_a_case_with_a_wrong_calibration_is_one_line(tmp_path, line, words):
    path = tmp_path / "case.toml"
    path.write_text(FAN.read_text().replace("[choices]", f"[models]\n{line}\n\n[choices]"))
    with pytest.raises(CaseError) as refusal:
        read_case(path)
    (only,) = str(refusal.value).splitlines()
    assert words in only
    assert ":16 models.calibration" in only


# -- the table of test points -----------------------------------------------------------------------------------------

TABLE = """\
# Test of blower 7 in hall 3 (invented)
# basis = static
# power_at = shaft
# pressure_rise_uncertainty = 1 %
flow [m3/h], speed [rpm], pressure_rise [kPa], power [kW], power_uncertainty [kW], efficiency, torque [N m]
3600, 14000, 22, 30, 0.6, 0.7, 12
1800, 14000, 26, , , ,
"""


def test_a_table_is_read_with_its_units():
    """Uncertainties at 95 % become standard deviations; empty cells were not read; a column of another name is listed."""
    test = points_from_text(TABLE)
    assert (test.basis, test.power_at, test.unread) == ("static", "shaft", ("torque",))
    assert test.points.flow == pytest.approx([1.0, 0.5])
    assert test.points.speed == pytest.approx([SPEED, SPEED])
    assert test.points.pressure_rise == pytest.approx([22e3, 26e3])
    assert test.points.pressure_rise_uncertainty == pytest.approx([110, 130])
    assert test.points.power == pytest.approx([30e3, np.nan], nan_ok=True)
    assert test.points.power_uncertainty == pytest.approx([300, np.nan], nan_ok=True)
    assert test.points.efficiency == pytest.approx([0.7, np.nan], nan_ok=True)
    single = points_from_text(TABLE.replace("# basis", "# coverage_factor = 1\n# basis"))
    assert single.points.pressure_rise_uncertainty == pytest.approx([220, 260])


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("3600,", "-3600,", '6 flow = "-3600": must lie between'),
        ("3600,", "3600 cfm,", "6 flow"),
        ("3600,", '"3,600",', "write the number with digits and a decimal point only"),
        ("3600,", ",", "6 flow: is missing"),
        ("3600,", "3600, 1,", "8 cells below 7 headings"),
        ("[m3/h]", "[kPa]", "kPa is a unit of pressure"),
        ("[m3/h]", "", "no unit"),
        ("flow [", "flw [", "did you mean flow?"),
        ("flow [", "volume [", "no column flow"),
        ("0.7,", "70,", "6 efficiency"),
        ("= static", "= dynamic", "2 basis"),
        ("= 1 %", "= 1 kW", "must be a pressure or a part of the reading in %"),
        ("= 1 %", "= 0 %", "must be positive"),
        ("pressure_rise_uncertainty", "pressure_rise_uncertanty", "did you mean pressure_rise_uncertainty?"),
        ("power_uncertainty [kW]", "power [kW]", "stands twice"),
        ("flow [m3/h],", '"flow', "is no line of comma-separated values"),
    ],
)
def test_a_wrong_table_is_refused_with_its_line(old, new, words):
    assert old in TABLE
    with pytest.raises(CaseError) as refusal:
        points_from_text(TABLE.replace(old, new, 1), name="t.csv")
    assert words in str(refusal.value)
    assert all(line.startswith("t.csv:") for line in str(refusal.value).splitlines())


def test_a_table_without_points_or_heading_is_refused():
    for text in ("", "# only = remarks", TABLE.split("3600")[0]):
        with pytest.raises(CaseError, match=r"^t\.csv:\d+ no (heading|test points)"):
            points_from_text(text, name="t.csv")


def test_power_at_the_shaft_is_lowered_to_the_gas(fan):
    """By the case's mechanical efficiency: the same calibration as from the gas power itself."""
    head = "flow [m3/h], speed [rpm], pressure_rise [Pa], power [W]\n"
    at_gas = points_from_text(head + "180, 600, 60, 4\n220, 600, 50, 4.2")
    part = fan.case.choices.mechanical_efficiency
    rows = f"180, 600, 60, {4 / part!r}\n220, 600, 50, {4.2 / part!r}"
    at_shaft = points_from_text("# power_at = shaft\n" + head + rows)
    results = [calibrate_case(fan.case, test, coefficients=("slip",)) for test in (at_gas, at_shaft)]
    assert results[0].moves == pytest.approx(results[1].moves, rel=1e-9)


def test_a_test_without_speed_runs_at_that_of_the_case(fan):
    head = "flow [m3/h], pressure_rise [Pa]\n180, 60\n220, 50"
    found = calibrate_case(fan.case, points_from_text(head), coefficients=("slip",))
    stated = calibrate_case(fan.case, points_from_text(head, "x"), coefficients=("slip",))
    assert found.moves == pytest.approx(stated.moves)
    lost = replace(fan.case, given=replace(fan.case.given, speed=np.nan))
    with pytest.raises(CaseError, match="add a column speed"):
        calibrate_case(lost, points_from_text(head))


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.one_of(
        st.text(max_size=80),
        st.lists(
            st.one_of(
                st.sampled_from(
                    [
                        "flow [m3/h]",
                        "speed [rpm]",
                        "power [kW]",
                        "efficiency",
                        "# basis = total",
                        "\n",
                        ",",
                        "1e3",
                        "-",
                        "%",
                    ]
                ),
                st.text(max_size=4),
            ),
            max_size=30,
        ).map(",".join),
    )
)
@example("flow [m3/h], power [kW]\n1e308, 1")
@example("flow [m3/h], power [kW]\n\x00, 1")
@example('flow [m3/h], power [kW]\n"1, 1')
@example("# coverage_factor = 1e-320\nflow [m3/h], power [kW]\n1, 1")
def test_any_text_is_read_or_refused_in_lines(text):
    """Never another error."""
    try:
        test = points_from_text(text, name="t.csv")
    except CaseError as refusal:
        told = str(refusal).splitlines()
    else:
        told = []
        assert np.all(np.isfinite(test.points.flow))
    assert all(line.startswith("t.csv:") for line in told)
