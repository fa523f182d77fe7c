"""The meanline: conservation laws, limits, scaling and trends, over thousands of random machines and one typical one."""

import numpy as np
import pytest

from aerodesign.aero import meanline
from aerodesign.aero.models import Models
from aerodesign.aero.stage import INTERNAL, PARASITIC
from aerodesign.core.record import is_number
from aerodesign.correlations import blockage, slip

KEEPS_ITS_PLACE = ("slip", "blockage", "stall", "cordier")
"""Phenomena that are no losses."""

NO_LOSSES = Models(factors={name: 0.0 for name in Models().functions() if name not in KEEPS_ITS_PLACE})
NO_PARASITIC = Models(factors=dict.fromkeys(PARASITIC, 0.0))


@pytest.fixture(scope="module")
def solved(many):
    """The random machines' stage, and which of them solved."""
    stage = many.solve()
    return stage, stage.solved


def converged(machine, monkeypatch, **changes):
    """The stage after forty passes over the exit."""
    with monkeypatch.context() as patch:
        patch.setattr(meanline, "PASSES", 40)
        return machine.solve(**changes)


# --- conservation -----------------------------------------------------------------------------------------------------


def test_nearly_all_random_machines_solve(solved):
    """The rest have half of their exit blocked."""
    stage, ok = solved
    assert ok.mean() > 0.98
    assert stage.exit_blockage[~ok].min() > 0.15


def test_work_is_useful_work_plus_losses(solved):
    """The book of losses closes, machine by machine."""
    stage, ok = solved
    booked = stage.useful_work + sum(stage.losses[name] for name in (*INTERNAL, *PARASITIC))

    assert set(stage.losses) == {*INTERNAL, *PARASITIC}
    np.testing.assert_allclose(booked[ok], stage.work[ok], rtol=1e-9)


def test_no_loss_is_negative(solved):
    """Losses lose."""
    stage, ok = solved
    for name, loss in stage.losses.items():
        assert np.all(np.broadcast_to(loss, ok.shape)[ok] >= -1e-9), name


def test_work_warms_the_gas(solved):
    """First law: cp (Tt5 - Tt0) is the work, with Tt5 from the static temperature and velocity at the flange."""
    stage, ok = solved
    gas = stage.gas
    Tt5 = stage.T5 + stage.c5**2 / (2 * gas.cp)

    np.testing.assert_allclose((gas.cp * (Tt5 - stage.Tt0))[ok], stage.work[ok], rtol=1e-9)
    np.testing.assert_allclose((stage.power / stage.mass_flow)[ok], stage.work[ok], rtol=1e-12)


def test_rothalpy_is_kept_without_parasitic_work(many):
    """The h + w^2/2 - u^2/2 at the exit is the inlet's, at hub, mean and shroud alike."""
    stage = many.solve(models=NO_PARASITIC)
    ok, cp = stage.solved, stage.gas.cp
    behind = cp * stage.T2 + (stage.exit.w**2 - stage.exit.u**2) / 2
    for span in (stage.hub, stage.mean, stage.shroud):
        before = cp * stage.T1 + (span.w**2 - span.u**2) / 2
        np.testing.assert_allclose(behind[ok], before[ok], rtol=1e-9)


def test_mass_is_kept_at_every_station(solved):
    """Density times velocity times area; the exit's density stands one pass behind its velocity."""
    stage, ok = solved
    wheel, diffuser, volute, R = stage.blower.impeller, stage.blower.diffuser, stage.blower.volute, stage.gas.R
    flows = {
        1: (stage.rho1 * stage.mean.cm * wheel.inlet_area, 1e-8),
        2: (stage.rho2 * stage.exit.cm * 2 * np.pi * wheel.r2 * wheel.b2, 2 * meanline.SOLVED),
        3: (stage.rho3 * stage.cm3 * 2 * np.pi * diffuser.r3 * diffuser.b3, 1e-4),
        5: (stage.p5 / (R * stage.T5) * stage.c5 * volute.A5, 1e-6),
    }
    for station, (flow, closure) in flows.items():
        error = np.abs(flow / stage.mass_flow - 1)[ok]
        assert error.max() < closure, (station, error.max())


def test_states_belong_together(solved):
    """Perfect gas and isentropic relation between static and total state, behind the impeller and at the flanges."""
    stage, ok = solved
    gas = stage.gas
    np.testing.assert_allclose(stage.p1[ok], (stage.rho1 * gas.R * stage.T1)[ok], rtol=1e-12)
    np.testing.assert_allclose(stage.p2[ok], (stage.rho2 * gas.R * stage.T2)[ok], rtol=2 * meanline.SOLVED)
    for pt, Tt, p, T in (
        (stage.pt1, stage.Tt0, stage.p1, stage.T1),
        (stage.pt2, stage.Tt2, stage.p2, stage.T2),
        (stage.pt5, stage.Tt2, stage.p5, stage.T5),
    ):
        ratio = (p / pt) ** gas.kappa
        np.testing.assert_allclose(ratio[ok], (T / Tt)[ok], rtol=1e-12)


def test_entropy_never_falls(solved):
    """Second law: total pressure falls at constant total temperature, and efficiency stays below one."""
    stage, ok = solved
    pressures = [np.broadcast_to(p, ok.shape)[ok] for p in (stage.pt0, stage.pt1)]
    assert np.all(pressures[1] <= pressures[0])
    assert np.all((stage.pt3 <= stage.pt2)[ok])
    assert np.all((stage.pt4 <= stage.pt3)[ok])
    assert np.all((stage.pt5 <= stage.pt4)[ok])
    assert np.all(stage.efficiency_total[ok] < 1)
    assert np.all(stage.efficiency_impeller[ok] < 1)


def test_angular_momentum_is_kept_without_wall_friction(many):
    """No friction in the vaneless diffuser: r cu stays, and nothing is lost there."""
    stage = many.solve(models=Models(factors={"vaneless": 0.0}))
    ok = stage.solved
    before = stage.blower.impeller.r2 * stage.exit.cu
    after = stage.blower.diffuser.r3 * stage.cu3

    np.testing.assert_allclose(after[ok], before[ok], rtol=1e-12)
    np.testing.assert_allclose(stage.pt3[ok], stage.pt2[ok], rtol=1e-12)


def test_preswirl_keeps_mass_energy_and_angular_momentum(typical):
    """Guide vanes from against to with rotation: Euler's work less u1 cu1, rothalpy of the mean line, the book of losses."""
    angles = np.radians(np.arange(-20, 61, 10))
    stage = typical.solve(alpha1=angles, models=NO_PARASITIC)
    wheel, cp = typical.blower.impeller, stage.gas.cp
    assert np.all(stage.solved)

    np.testing.assert_allclose(stage.mean.alpha, angles, atol=1e-12)
    np.testing.assert_allclose(stage.rho1 * stage.mean.cm * wheel.inlet_area, stage.mass_flow, rtol=1e-8)
    euler = stage.exit.u * stage.exit.cu - stage.mean.u * stage.mean.cu
    np.testing.assert_allclose(stage.euler_work, euler, rtol=1e-12)
    behind = cp * stage.T2 + (stage.exit.w**2 - stage.exit.u**2) / 2
    before = cp * stage.T1 + (stage.mean.w**2 - stage.mean.u**2) / 2
    np.testing.assert_allclose(behind, before, rtol=1e-9)
    booked = stage.useful_work + sum(stage.losses.values())
    np.testing.assert_allclose(booked, stage.work, rtol=1e-9)


def test_preswirl_with_rotation_unloads_the_machine(typical):
    """Less work, less relative Mach number, and no loss in vanes that do not turn.

    Up to 40 degrees: at 60 the gas runs ahead of the blades of this wheel.
    """
    stage = typical.solve(alpha1=np.radians(np.arange(0, 41, 10)))
    assert np.all(np.diff(stage.work) < 0)
    assert np.all(np.diff(stage.mach1s) < 0)
    assert stage.losses["inlet"][0] == pytest.approx(typical.solve().losses["inlet"], rel=1e-9)
    assert np.all(np.diff(stage.losses["inlet"]) > 0)
    ideal = typical.solve(alpha1=np.radians(40), models=NO_LOSSES)
    assert ideal.efficiency_total == pytest.approx(1, abs=1e-9)


# --- limits -----------------------------------------------------------------------------------------------------------


def test_without_losses_the_machine_is_ideal(many):
    """All losses off: efficiency 1, no fall of total pressure outside the wheel, Euler's work in it."""
    stage = many.solve(models=NO_LOSSES)
    ok = stage.solved

    assert ok.mean() > 0.98
    np.testing.assert_allclose(stage.efficiency_total[ok], 1, rtol=0, atol=1e-9)
    np.testing.assert_allclose(stage.efficiency_impeller[ok], 1, rtol=0, atol=1e-9)
    np.testing.assert_allclose(stage.efficiency_polytropic[ok], 1, rtol=0, atol=1e-9)
    np.testing.assert_allclose(stage.pt5[ok], stage.pt2[ok], rtol=1e-12)
    euler = stage.u2 * (stage.slip * stage.u2 - stage.cm2_blocked * np.tan(stage.blower.impeller.beta2_blade))
    np.testing.assert_allclose(stage.work[ok], euler[ok], rtol=1e-4)


def test_polytropic_efficiency_lies_between_isentropic_and_one(solved):
    """For a compression."""
    stage, ok = solved
    ok = ok & (stage.efficiency_total > 0.1)
    assert np.all((stage.efficiency_polytropic > stage.efficiency_total)[ok])
    assert np.all((stage.efficiency_total > stage.efficiency_static)[ok])


def test_fixed_blockage_and_given_slip_come_through(typical):
    """A model chosen by hand is the one that is used; an offset and a factor act on its value."""
    stage = typical.solve(models=Models(slip=slip.stanitz, blockage=blockage.fixed))
    wheel = typical.blower.impeller
    metal = wheel.blades * wheel.thickness / (2 * np.pi * wheel.r2 * np.cos(wheel.beta2_blade))

    assert stage.slip == pytest.approx(1 - 0.63 * np.pi / 14, rel=1e-12)
    assert stage.exit_blockage == pytest.approx(metal + (1 - metal) * 0.1, rel=1e-9)
    shifted = typical.solve(models=Models(slip=slip.stanitz, factors={"slip": 0.9}, offsets={"slip": 0.02}))
    assert shifted.slip == pytest.approx(0.9 * stage.slip + 0.02, rel=1e-12)


def test_too_much_flow_comes_back_unsolved(typical):
    """Beyond choke nothing is raised; the flag says so."""
    flow = typical.solve().choke_flow * np.array([0.5, 1.02, 1.5, 5.0])
    stage = typical.solve(mass_flow=flow)

    assert stage.solved.tolist() == [True, False, False, False]


# --- convergence ------------------------------------------------------------------------------------------------------


def test_the_passes_suffice_on_a_map(typical, monkeypatch):
    """A quarter to one and three quarters of the design flow, 40 to 115 % speed: within a fifth of a pascal."""
    speed = typical.point["speed"] * np.linspace(0.4, 1.15, 12)[:, None]
    flow = 1.2 * np.linspace(0.25, 1.7, 45) * speed / speed.max()
    stage, forty = (
        typical.solve(mass_flow=flow, speed=speed),
        converged(typical, monkeypatch, mass_flow=flow, speed=speed),
    )
    assert stage.solved.mean() > 0.99
    error = np.abs(stage.rise_static - forty.rise_static)[stage.solved]
    assert error.max() < 0.2
    assert np.abs(stage.efficiency_total - forty.efficiency_total)[stage.solved].max() < 1e-5


def test_solved_means_within_a_pascal(many, solved, monkeypatch):
    """Among random machines that compress at all; those that the passes do not bring there are not called solved."""
    stage, ok = solved
    forty = converged(many, monkeypatch)
    works = forty.efficiency_total > 0.3
    error = np.abs(stage.rise_static - forty.rise_static)

    assert forty.solved.mean() > 0.99
    assert error[ok & works].max() < 1.0
    assert error[works & ~ok].max() > 1.0


# --- scaling ----------------------------------------------------------------------------------------------------------


def scaled(machine, k, *, viscosity):
    """The machine k times as large at the same tip speed, viscosity scaled by a factor."""
    blower, point = machine.blower, dict(machine.point)
    lengths = {
        name: getattr(blower.impeller, name) * k
        for name in ("r1h", "r1s", "r2", "b2", "axial_length", "thickness_hub", "thickness_shroud", "clearance")
    }
    wheel = blower.impeller.but(**lengths, roughness=blower.impeller.roughness * k)
    volute = blower.volute
    volute = volute.but(
        size4=volute.size4 * k, A4=volute.A4 * k**2, r4=volute.r4 * k, r5=volute.r5 * k,
        cone_length=volute.cone_length * k,
    )  # fmt: skip
    diffuser = blower.diffuser.but(r3=blower.diffuser.r3 * k, b3=blower.diffuser.b3 * k)
    gas = point["gas"].but(mu_ref=point["gas"].mu_ref * viscosity)
    point |= dict(gas=gas, mass_flow=point["mass_flow"] * k**2, speed=point["speed"] / k)
    return type(machine)(blower.but(r0=blower.r0 * k, impeller=wheel, diffuser=diffuser, volute=volute), point)


@pytest.mark.parametrize("k", [0.3, 2.0, 7.3])
def test_similar_machines_at_the_same_reynolds_number_agree(typical, k):
    """Exactly: no dimension hides in the equations."""
    one, other = typical.solve(), scaled(typical, k, viscosity=k).solve()

    for name in ("efficiency_total", "rise_total", "work", "slip", "exit_blockage", "diffusion_factor", "choke_margin"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-9), name
    for name, loss in one.losses.items():
        assert other.losses[name] == pytest.approx(loss, rel=1e-6, abs=1e-9), name


def test_the_larger_machine_is_a_little_better(typical):
    """The same gas: Reynolds number alone, one to two points from half to twice the size."""
    small, large = (scaled(typical, k, viscosity=1.0).solve().efficiency_total for k in (0.5, 2.0))
    assert 0.005 < large - small < 0.03


# --- trends -----------------------------------------------------------------------------------------------------------


def test_clearance_costs_a_third_to_half_a_point_per_per_cent(typical, many):
    """Per cent of clearance over exit width; measured 0.36 by Mashimo et al. 1979 (from memory); 0.3 to 0.5 in use."""
    share = np.linspace(0, 0.06, 7)
    points = typical.wheel(clearance=share * typical.blower.impeller.b2).solve().efficiency_total * 100
    assert np.all((np.diff(points) < -0.3) & (np.diff(points) > -0.5))

    b2 = many.blower.impeller.b2
    tight, wide = (many.wheel(clearance=part * b2, covered=False).solve() for part in (0.01, 0.03))
    good = tight.solved & wide.solved & (tight.efficiency_total > 0.8)
    cost = ((tight.efficiency_total - wide.efficiency_total) * 100 / 2)[good]
    assert 0.3 < np.median(cost) < 0.5


def test_more_blades_guide_better(typical):
    """Slip factor, whirl and work rise with the number of blades; loading falls."""
    stage = typical.wheel(blades=np.arange(9, 22)).solve()
    assert np.all(np.diff(stage.slip) > 0)
    assert np.all(np.diff(stage.work_coefficient) > 0)
    assert np.all(np.diff(stage.blade_loading) < 0)


def test_backsweep_lowers_work_and_whirl(typical):
    """And steepens the line of work against flow."""
    angles = np.radians(np.arange(0, 61, 10))[:, None]
    flow = 1.2 * np.array([0.8, 1.2])
    work = typical.wheel(beta2_blade=angles).solve(mass_flow=flow).euler_work
    assert np.all(np.diff(work, axis=0) < 0)
    slope = work[:, 1] - work[:, 0]
    assert np.all(np.diff(slope) < 0)


@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("clearance", np.linspace(0.0001, 0.0015, 8)),
        ("roughness", np.geomspace(5e-7, 1e-4, 8)),
        ("thickness_shroud", np.linspace(0.001, 0.004, 8)),
    ],
)
def test_worse_wheels_are_less_efficient(typical, field, values):
    """Wider gaps, rougher walls, thicker blades."""
    assert np.all(np.diff(typical.wheel(**{field: values}).solve().efficiency_total) < 0)


def test_covered_wheel_leaks_more_through_a_wider_seal(typical):
    """And has no tip clearance loss, but a second disc side."""
    covered = typical.wheel(covered=True, clearance=np.linspace(0.0001, 0.001, 6)).solve()
    open_ = typical.solve()

    assert np.all(np.diff(covered.losses["leakage"]) > 0)
    assert np.all(np.broadcast_to(covered.losses["clearance"], 6) == 0)
    assert open_.losses["leakage"] == 0
    np.testing.assert_allclose(covered.losses["windage"], 2 * open_.losses["windage"], rtol=0.05)


def test_stall_comes_at_lower_flow_in_narrower_and_longer_diffusers(typical):
    """Trends of the abstract of ASME GT1988-79184 (read): b/r2 0.09 to 0.142, r3/r2 1.5 to 2."""
    blower = typical.blower
    flow = 1.2 * np.linspace(0.3, 1.5, 200)

    def critical(width, length):
        r2 = blower.impeller.r2
        diffuser = blower.diffuser.but(r3=length * r2, b3=width * r2)
        stage = type(typical)(blower.but(diffuser=diffuser), typical.point).solve(mass_flow=flow)
        return flow[np.argmax(stage.stall_margin > 0)]

    assert critical(0.09, 1.6) < critical(0.115, 1.6) < critical(0.142, 1.6)
    assert critical(0.142, 2.0) < critical(0.142, 1.75) < critical(0.142, 1.5)


def test_incidence_loss_is_least_where_the_flow_fits_the_blades(typical):
    """A bowl over flow, its bottom near the design flow."""
    flow = 1.2 * np.linspace(0.5, 1.6, 45)
    loss = typical.solve(mass_flow=flow).losses["incidence"]
    bottom = np.argmin(loss)

    assert 0.9 < flow[bottom] / 1.2 < 1.3
    assert np.all(np.diff(loss[: bottom + 1]) < 0)
    assert np.all(np.diff(loss[bottom:]) > 0)


def test_ten_thousand_random_maps_keep_energy_and_angular_momentum(maps):
    """Work is what is useful plus all losses, what heats the gas, and what the swirl gained; no nan on a solved point."""
    stage = maps.solve()
    ok = stage.solved
    assert ok.shape == (5, 3, 10_000)
    assert ok.mean() > 0.9
    book = stage.useful_work + sum(stage.losses.values())
    heated = stage.gas.cp * (stage.T5 - stage.Tt0) + stage.c5**2 / 2
    swirl = stage.exit.u * stage.exit.cu - stage.mean.u * stage.mean.cu
    parasitic = sum(stage.losses[name] for name in PARASITIC)
    for found in (book, heated, swirl + parasitic):
        assert np.max(np.abs(np.broadcast_to(found, ok.shape)[ok] / stage.work[ok] - 1)) < 1e-9
    for name, value in stage.items():
        if is_number(value):
            assert np.all(np.isfinite(np.broadcast_to(value, ok.shape)[ok])), name
