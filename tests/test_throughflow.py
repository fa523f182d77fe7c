"""The hub-to-shroud throughflow against closed forms: bends, swirling annuli, mass, rothalpy; and on real wheels."""

from pathlib import Path

import numpy as np
import pytest

from aerodesign.aero import meanline
from aerodesign.aero.choke import inducer_choke
from aerodesign.aero.streamlines import Channel
from aerodesign.aero.swirl_laws import BladeAngles, Swirl
from aerodesign.aero.throughflow import PASSES, SOLVED_FLOW, SOLVED_SHIFT, judge, throughflow
from aerodesign.case import case_from_text, read_case
from aerodesign.case.run import design_case, rate_case
from aerodesign.correlations.slip import wiesner
from aerodesign.gas.air import air
from aerodesign.gas.perfect import Gas
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.look import look_inside
from aerodesign.geometry.throat import estimated_area, throat
from aerodesign.geometry.wheel_flow import LEADING, TRAILING, wheel_channel, wheel_flow
from aerodesign.geometry.wheel_flow import smooth_swirl as swirl

CASES = Path(__file__).parent.parent / "cases"

AIR = air()
PT0, TT0 = 101325.0, 293.15
RHO0 = PT0 / (AIR.R * TT0)
STATE = dict(gas=AIR, pt0=PT0, Tt0=TT0)
SLUGGISH = 3.0
"""m/s: compressibility then changes a velocity by some 1e-5 of itself."""


def annulus(r_hub=0.05, r_shroud=0.1, length=0.2, stations=21) -> Channel:
    """A straight annulus."""
    z = np.linspace(0, length, stations)
    return Channel(z, 0 * z + r_hub, z, 0 * z + r_shroud, leading=8, trailing=12)


def bend(inner=0.10, outer=0.15, axis=100.0, straight=0.3) -> Channel:
    """A right-angled bend from axial to radial, thin beside its distance from the axis, with straight ends."""
    phi = np.linspace(0, np.pi / 2, 21)
    step, centre = straight / 10, axis + outer
    ahead, behind = step * np.arange(-10, 0), step * np.arange(1, 11)

    def wall(radius):
        z = np.r_[ahead, radius * np.sin(phi), np.full(10, radius)]
        r = np.r_[np.full(10, centre - radius), centre - radius * np.cos(phi), centre + behind]
        return z, r

    return Channel(*wall(outer), *wall(inner), leading=18, trailing=22)


@pytest.fixture(scope="module")
def wheel(typical):
    """The typical wheel's stage, channel, blade angles and blade stations."""
    return typical.solve(), *wheel_channel(Blading(typical.blower.impeller))


def solve(stage, channel, loading, **changes):
    """The throughflow at a stage's operating point."""
    return throughflow(
        channel, **{**STATE, "mass_flow": stage.mass_flow, "speed": stage.speed, "loading": loading, **changes}
    )


def test_uniform_flow_in_a_straight_annulus_stays_uniform():
    """At a low and at a high Mach number, without blades and with a rotor that does nothing."""
    for mass_flow in (0.01, 4.0):
        flow = throughflow(annulus(), **STATE, mass_flow=mass_flow, speed=1000.0, loading=Swirl(0.0))
        assert flow.solved
        assert np.ptp(flow.cm) / np.mean(flow.cm) < 1e-12
        assert flow.distortion == pytest.approx(0, abs=1e-12)
        assert flow.r[:, 4] ** 2 == pytest.approx((0.05**2 + 0.1**2) / 2, rel=1e-9)


def test_free_vortex_in_a_thin_bend():
    """Velocity goes as the inverse of the bend's radius: 1.5 between its walls at mid-bend, but for the bend's finite length."""
    channel = bend()
    mass_flow = RHO0 * 2 * np.pi * 100 * 0.05 * SLUGGISH
    flow = throughflow(channel, **STATE, mass_flow=mass_flow, speed=0.0, loading=Swirl(0.0))
    middle, radius = flow.cm[20], 0.15 - 0.05 * flow.eta[20]

    assert flow.solved
    assert middle[-1] / middle[0] == pytest.approx(1.5, rel=2e-3)
    assert middle * radius == pytest.approx(np.mean(middle * radius), rel=1e-3)
    assert flow.peak_curvature == pytest.approx(10.0, rel=0.03)
    assert flow.cm[0] == pytest.approx(SLUGGISH, rel=2e-3)


def test_distortion_of_a_free_vortex_is_its_equivalent_blockage():
    """For c ~ 1/R between 2 and 3 the mean over area is ln(1.5), the mean of the squares 1/6."""
    channel = bend()
    mass_flow = RHO0 * 2 * np.pi * 100 * 0.05 * SLUGGISH
    middle = Channel(channel.hub_z, channel.hub_r, channel.shroud_z, channel.shroud_r, leading=18, trailing=20)
    flow = throughflow(middle, **STATE, mass_flow=mass_flow, speed=0.0, loading=Swirl(0.0), streamlines=17)
    assert flow.distortion == pytest.approx(1 - np.log(1.5) ** 2 * 6, rel=5e-3)


def test_swirl_as_a_free_vortex_leaves_the_axial_velocity_uniform():
    """Radial equilibrium with constant angular momentum."""
    flow = throughflow(annulus(), **STATE, mass_flow=0.5, speed=0.0, loading=Swirl(4.0))
    assert flow.solved
    assert np.ptp(flow.cm) / np.mean(flow.cm) < 1e-9
    assert flow.cu * flow.r == pytest.approx(4.0)


def test_swirl_as_a_forced_vortex():
    """Radial equilibrium of cu = k r at one total temperature: cm^2 = C - 2 k^2 r^2 (incompressible)."""
    k, C = 60.0, 120.0
    r_hub, r_shroud = 0.05, 0.1

    def passed(r):
        """Volume flow up to r, from the integral of cm 2 pi r dr."""
        return np.pi / (3 * k**2) * ((C - 2 * k**2 * r_hub**2) ** 1.5 - (C - 2 * k**2 * r**2) ** 1.5)

    shares = np.linspace(0, 1, 17)
    fine = np.linspace(r_hub, r_shroud, 20001)
    r = np.interp(shares * passed(r_shroud), passed(fine), fine)
    loading = Swirl(np.broadcast_to(k * r**2, (21, 17)))
    mass_flow = RHO0 * passed(r_shroud)
    flow = throughflow(annulus(), **STATE, mass_flow=mass_flow, speed=0.0, loading=loading, streamlines=17)

    assert flow.solved
    assert flow.r[10] == pytest.approx(r, rel=2e-4)
    assert flow.cm[10] == pytest.approx(np.sqrt(C - 2 * k**2 * r**2), rel=2e-3)


def test_rotor_in_a_straight_annulus_with_given_angles():
    """Blades at beta = 0 make the flow turn like a solid body, cu = omega r; at uniform rothalpy cm then stays uniform."""
    channel = annulus()
    flow = throughflow(channel, **STATE, mass_flow=0.05, speed=100.0, loading=BladeAngles(np.zeros((21, 3))))
    assert flow.solved
    assert flow.cu[8:13] == pytest.approx(100.0 * flow.r[8:13], rel=1e-9)
    assert flow.cm[10] == pytest.approx(np.mean(flow.cm[10]), rel=1e-4)


def test_mass_momentum_and_rothalpy_are_kept(wheel):
    """Through every quasi-orthogonal; without loading and with it, with blades that block."""
    stage, channel, beta, x = wheel
    for loading in (Swirl(0.0), swirl(stage, x), BladeAngles(beta)):
        flow = solve(stage, channel, loading)
        assert flow.solved
        assert flow.flow_error < SOLVED_FLOW
        rothalpy = AIR.cp * flow.T + (flow.cm**2 + flow.cu**2) / 2 - stage.speed * flow.r * flow.cu
        relative = AIR.cp * flow.T + flow.w**2 / 2 - (stage.speed * flow.r) ** 2 / 2
        assert rothalpy == pytest.approx(AIR.cp * TT0, rel=1e-10)
        assert relative == pytest.approx(AIR.cp * TT0, rel=1e-10)
        assert flow.w * np.sin(flow.beta) == pytest.approx(stage.speed * flow.r - flow.cu)
        behind = flow.r[TRAILING:] * flow.cu[TRAILING:]
        assert np.max(np.abs(behind - behind[0])) < 1e-4 * stage.speed * 0.13**2


def test_mass_flow_by_another_quadrature(wheel):
    """Sum of rho cm over the frustum between hub and shroud by Simpson's rule on the solved points; no blades, behind the wheel."""
    stage, channel, _, x = wheel
    flow = solve(stage, channel, swirl(stage, x))
    station = -2
    tangent = np.array([flow.z[-1] - flow.z[-3], flow.r[-1] - flow.r[-3]])
    tangent = tangent / np.linalg.norm(tangent, axis=0)
    q = np.array(
        [channel.shroud_z[station] - channel.hub_z[station], channel.shroud_r[station] - channel.hub_r[station]]
    )
    normal = np.abs(q[1] * tangent[0] - q[0] * tangent[1])
    density = flow.rho[station] * flow.cm[station] * normal * 2 * np.pi * flow.r[station]
    eta = flow.eta[station]
    cubic = np.polynomial.Polynomial.fit(eta, density, 6).integ()
    assert cubic(1) - cubic(0) == pytest.approx(stage.mass_flow, rel=1e-3)


def test_without_loading_the_rotor_is_not_felt(wheel):
    """The absolute flow through a wheel that does no work does not know the wheel's speed."""
    stage, channel, _, _ = wheel
    still = Channel(channel.hub_z, channel.hub_r, channel.shroud_z, channel.shroud_r, leading=10, trailing=30)
    slow, fast = (solve(stage, still, Swirl(0.0), speed=speed) for speed in (0.0, 2000.0))
    assert slow.solved
    assert fast.solved
    assert fast.cm == pytest.approx(slow.cm, rel=1e-6)
    assert fast.rho == pytest.approx(slow.rho, rel=1e-6)


def test_prescribed_angles_and_the_swirl_that_they_give_are_one_flow(wheel):
    """The angular momentum of a flow solved with blade angles, prescribed, gives the same flow."""
    stage, channel, beta, x = wheel
    shortfall = (1 - stage.slip) * stage.u2 * 0.13 * np.clip((x[:, 1:2] - 0.7) / 0.3, 0, 1) ** 2
    by_angle = solve(stage, channel, BladeAngles(beta, shortfall=shortfall), passes=40)
    by_swirl = solve(stage, channel, Swirl(by_angle.r * by_angle.cu), passes=40)
    assert by_angle.solved
    assert by_swirl.solved
    inside = slice(LEADING + 2, TRAILING - 1)
    assert by_swirl.cm[inside] == pytest.approx(by_angle.cm[inside], rel=0.01)
    slipped = 0.13 * (stage.slip * stage.u2 - by_angle.cm[TRAILING] * np.tan(beta[TRAILING, 1]))
    assert by_angle.r[TRAILING] * by_angle.cu[TRAILING] == pytest.approx(slipped, rel=1e-6)


def test_entropy_lowers_the_density_and_quickens_the_exit(wheel):
    """A loss that grows linearly along the blade: exp(-s/R) of the density at the same temperature."""
    stage, channel, _, x = wheel
    loss = 0.05 * AIR.cp * x[:, 1:2]
    with_loss, without = (solve(stage, channel, swirl(stage, x), entropy=s) for s in (loss, 0.0))
    assert with_loss.solved
    ratio = with_loss.rho[-1] / without.rho[-1]
    ideal = np.exp(-0.05 * AIR.cp / AIR.R) * (with_loss.T[-1] / without.T[-1]) ** (1 / AIR.kappa - 1)
    assert ratio == pytest.approx(ideal, rel=1e-10)
    assert np.mean(with_loss.cm[-1]) / np.mean(without.cm[-1]) == pytest.approx(1 / np.mean(ratio), rel=2e-3)


def test_more_stations_and_streamlines_change_little(wheel):
    """The velocities at the exit differ by less than a part in fifty between 9 and 17 streamlines, and the distortion by 0.002."""
    stage, channel, _, x = wheel
    coarse, fine = (solve(stage, channel, swirl(stage, x, count), streamlines=count) for count in (9, 17))
    assert fine.solved
    assert fine.cm[:, ::2] == pytest.approx(coarse.cm, rel=0.02)
    assert fine.distortion == pytest.approx(coarse.distortion, abs=2e-3)


def test_many_at_once_are_the_same_as_one_by_one(wheel):
    """Speeds and flows broadcast: (2, 1) with (3,) gives designs (2, 3)."""
    stage, channel, _, x = wheel
    speeds, flows = np.array([[0.9], [1.0]]) * stage.speed, np.array([0.7, 1.0, 1.1]) * stage.mass_flow
    wide = Channel(
        *(getattr(channel, name)[:, None, None] for name in ("hub_z", "hub_r", "shroud_z", "shroud_r")),
        leading=LEADING, trailing=TRAILING, blocked=channel.blocked[..., None, None], lean=channel.lean[..., None, None],
    )  # fmt: skip
    loading = swirl(stage, x)
    together = solve(stage, wide, Swirl(loading.rcu[..., None, None]), mass_flow=flows, speed=speeds)
    assert together.solved.shape == (2, 3)
    assert together.solved.all()
    for i in range(2):
        for j in range(3):
            alone = solve(stage, channel, loading, mass_flow=flows[j], speed=speeds[i, 0])
            assert together.cm[..., i, j] == pytest.approx(alone.cm, rel=1e-7)
            assert together.distortion[i, j] == pytest.approx(alone.distortion, rel=1e-5)


def test_rescaled_units_leave_the_flow_unchanged(wheel):
    """Metre, kilogram, second and kelvin by odd factors."""
    stage, channel, beta, _ = wheel
    m, kg, s, K = 3.1, 0.7, 1.9, 0.43
    gas = Gas(
        R=AIR.R * m**2 / s**2 / K, cp=AIR.cp * m**2 / s**2 / K, mu_ref=AIR.mu_ref, T_ref=AIR.T_ref * K, mu_exponent=0.7
    )
    larger = Channel(
        *(getattr(channel, name) * m for name in ("hub_z", "hub_r", "shroud_z", "shroud_r")),
        leading=LEADING, trailing=TRAILING, blocked=channel.blocked, lean=channel.lean,
    )  # fmt: skip
    here = solve(stage, channel, BladeAngles(beta))
    there = throughflow(
        larger, gas=gas, pt0=PT0 * kg / m / s**2, Tt0=TT0 * K, mass_flow=stage.mass_flow * kg / s, speed=stage.speed / s,
        loading=BladeAngles(beta),
    )  # fmt: skip
    assert there.cm * s / m == pytest.approx(here.cm, rel=1e-7)
    assert there.eta == pytest.approx(here.eta, abs=1e-8)
    assert there.peak_curvature * m == pytest.approx(here.peak_curvature, rel=1e-6)


def test_random_wheels_converge():
    """Wheels over the claimed range, axial to radial, 60 to 130 per cent of their design flow, at once as designs of a batch.

    Walls are quarter ellipses with straight ends; wheels beyond 93 per cent of the inducer's choke are left out.
    """
    rng = np.random.default_rng(5)
    count = 60
    between = lambda low, high: low + (high - low) * rng.random(count)  # noqa: E731
    r2, r1s, b2 = 0.13, 0.13 * between(0.45, 0.72), 0.13 * between(0.06, 0.22)
    r1h, speed, beta2 = r1s * between(0.3, 0.5), between(100, 330) / r2, np.radians(between(0, 60))
    cm1 = speed * r1s / np.tan(np.radians(between(55, 62)))
    length = np.maximum(b2 + 0.45 * (r2 - r1s), 0.08)

    at_rest = RHO0 * (1 - cm1**2 / (2 * AIR.cp * TT0)) ** (1 / AIR.kappa - 1)
    mass_flow = at_rest * np.pi * (r1s**2 - r1h**2) * cm1
    phi2 = mass_flow / (1.3 * RHO0 * 2 * np.pi * r2 * b2 * speed * r2)
    flow_ratio = between(0.6, 1.3)

    turn = np.linspace(0, np.pi / 2, 21)[:, None]
    z = [depth * np.sin(turn) for depth in (length, length - b2)]
    r = [r2 - (r2 - r1) * np.cos(turn) for r1 in (r1h, r1s)]
    ahead, behind = np.linspace(-0.04, 0, 11)[:-1, None], np.linspace(0, 0.04, 11)[1:, None]
    walls = []
    for zs, rs in zip(z, r, strict=True):
        walls += [np.concatenate([ahead + 0 * length, zs, zs[-1:] + 0 * behind])]
        walls += [np.concatenate([rs[:1] + 0 * ahead, rs, r2 + behind + 0 * length])]

    slip = wiesner(beta2_blade=beta2, blades_effective=14, radius_ratio=r1s / r2)
    rcu2 = speed * r2**2 * np.maximum(slip - phi2 * flow_ratio * np.tan(beta2), 0.2)
    x = np.clip((np.arange(41) - 10) / 20, 0, 1)[:, None, None]
    channel = Channel(*walls, leading=10, trailing=30, blocked=0.08 * np.ones((41, 3, 1)))
    flow = throughflow(
        channel, **STATE, mass_flow=mass_flow * flow_ratio, speed=speed, loading=Swirl(rcu2 * x * x * (3 - 2 * x))
    )
    sane = (phi2 > 0.1) & (phi2 < 0.5) & (mass_flow * flow_ratio < 0.93 * _choke(r1h, r1s, speed))
    assert np.sum(sane) > 30
    assert flow.solved[sane].all()


def _choke(r1h, r1s, speed):
    """Mass flow that chokes an inducer whose blades take up the flow at 58 degrees at the tip, at mid-height."""
    r = (r1h + r1s) / 2
    beta = np.arctan(np.tan(np.radians(58)) * r / r1s)
    Tt = TT0 + (speed * r) ** 2 / (2 * AIR.cp)
    pt = PT0 * (Tt / TT0) ** (1 / AIR.kappa)
    return 0.5787 * 0.85 * np.cos(beta) * np.pi * (r1s**2 - r1h**2) * pt * np.sqrt(1.4 / (AIR.R * Tt))


def test_choked_and_stalled_flows_come_back_flagged(wheel):
    """Nothing raised, nothing claimed."""
    stage, channel, beta, x = wheel
    sound = solve(stage, channel, swirl(stage, x))
    assert sound.solved
    assert not any(flag.raised for flag in judge(sound))

    choked = solve(stage, channel, BladeAngles(beta), mass_flow=2.5 * stage.mass_flow)
    assert not choked.solved
    assert {flag.code for flag in judge(choked) if flag.raised} >= {"throughflow not solved", "throughflow supersonic"}

    uneven = swirl(stage, x).rcu * np.linspace(0.2, 1.8, 9)
    turned = solve(stage, channel, Swirl(uneven), mass_flow=0.3 * stage.mass_flow)
    assert "throughflow slow at a wall" in {flag.code for flag in judge(turned) if flag.raised}


def test_history(wheel):
    """The displacement of each pass: the last asks for far less than the first."""
    stage, channel, _, x = wheel
    flow = solve(stage, channel, swirl(stage, x))
    assert flow.history.shape == (PASSES,)
    assert flow.history[-1] < SOLVED_SHIFT / 10
    assert flow.history[0] > 1e-3


def test_both_looks_into_a_real_wheel(typical):
    """The adapters feed what the tests here hold to closed forms, and a sound wheel raises no flag."""
    inside = wheel_flow(typical.solve(), Blading(typical.blower.impeller))
    assert inside.through.solved
    assert inside.surfaces.suction.shape == (33, 3)
    assert np.all(inside.surfaces.suction[16] > inside.surfaces.pressure[16])
    np.testing.assert_allclose(inside.surfaces.suction[-1], inside.surfaces.pressure[-1], rtol=1e-9)
    assert [flag.code for flag in inside.flags if flag.code == "throughflow not solved"] == []


def test_the_distortion_is_part_of_a_designs_blockage():
    """Sized with it: the blockage holds the final wheel's own distortion, the duty is met, and a written design says so."""
    case = read_case(CASES / "trout-hatchery.toml")
    found = design_case(case)
    added = found.models.offsets["blockage"]
    assert added == pytest.approx(look_inside(case.form.blade)(found.stage).distortion, rel=0.05)
    assert 1e-4 < added < 0.03
    assert np.all(found.points.met)
    plain = found.stage.blower
    same = meanline.solve(
        plain,
        gas=found.stage.gas,
        pt0=found.stage.pt0,
        Tt0=found.stage.Tt0,
        mass_flow=found.stage.mass_flow,
        speed=found.speed,
    )
    assert same.exit_blockage < found.stage.exit_blockage
    assert same.pt5 > found.stage.pt5, "what blocks the exit lowers the whirl of a backswept wheel"


@pytest.mark.parametrize("backsweep", ["30 deg", "48 deg"])
def test_a_designs_throat_is_that_between_its_blades(backsweep):
    """What the meanline chokes is the area between the blade surfaces, within the one per cent asked for."""
    text = f'''
[duty]
flow = "0.5 m3/s"
pressure_rise = "15 kPa"
[site]
altitude = "0 m"
temperature = "20 degC"
relative_humidity = "50 %"
[choices]
backsweep = "{backsweep}"
search_effort = 256
'''
    found = design_case(case_from_text(text))
    wheel = found.blower.impeller
    assert abs(wheel.throat_ratio - 1) > 0.005
    assert throat(Blading(wheel)).area == pytest.approx(wheel.throat_ratio * estimated_area(wheel), rel=0.01)
    # At a standstill the choking flow is the area's, nothing else's.
    assert passages_choke(wheel) == pytest.approx(wheel.throat_ratio * passages_choke(wheel.but(throat_ratio=1.0)))


def passages_choke(wheel):
    """Choking flow of an inducer at rest."""
    return inducer_choke(gas=air(), wheel=wheel, pt1=1e5, Tt1=300.0, speed=0.0)


def test_a_wheel_that_cannot_be_drawn_has_no_distortion():
    """A cylindrical leading edge: nothing is added, nothing raised."""
    rated = rate_case(read_case(CASES / "measured-ercoftac-u3.toml"))
    told = look_inside(rated.design.form.blade)(rated.design.stage)
    assert told.distortion == rated.design.models.offsets["blockage"] == 0
    assert told.throat_ratio == 1
