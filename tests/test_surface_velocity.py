"""Blade surface velocities against closed forms: work from the pressures on both sides, no loading, linear loading; trends; speed."""

import numpy as np
import pytest

from aerodesign.aero.blade_path import BladePath, meanline_path
from aerodesign.aero.surface_velocity import (
    UNLOADED,
    angular_momentum,
    half_difference,
    judge,
    on_path,
    surface_velocities,
)
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.wheel_flow import blading_path


def straight(stations=401, *, beta=0.0, thickness=0.0, blades=12, r1=0.05, r2=0.12, cm=50.0) -> BladePath:
    """A radial path, one span, with constant blade angle."""
    r = np.linspace(r1, r2, stations)[:, None]
    return BladePath(m=r - r1, r=r, cm=cm + 0 * r, beta=beta + 0 * r, thickness=thickness, blades=blades)


def integral(f, x):
    """Integral along axis 0 by trapezes."""
    return np.sum((f[1:] + f[:-1]) / 2 * np.diff(x, axis=0), axis=0)


@pytest.mark.parametrize("beta", [0.0, np.radians(40)])
def test_pressures_on_both_sides_do_the_work(beta):
    """Torque from Bernoulli's pressures on both sides of all blades, incompressible, over the mass flow: the growth of r cu.

    The loading is linear: r cu grows by K in proportion to the way; the channel's height keeps the flow through it.
    """
    path = straight(beta=beta, thickness=0.002)
    rho, speed, K = 1.2, 900.0, 6.0
    rcu = K * path.x
    w = np.hypot(path.cm, speed * path.r - rcu / path.r)
    half = half_difference(path, w=w, rcu_along=K / path.m[-1:])

    height = 0.02
    difference = rho / 2 * ((w + half) ** 2 - (w - half) ** 2)
    torque = path.blades * integral(difference * path.r * height, path.m)
    open_width = 2 * np.pi * path.r - path.blades * path.thickness / np.cos(beta)
    mass_flow = integral(rho * path.cm * open_width * height, path.x)
    assert torque == pytest.approx(mass_flow * K, rel=1e-12)


def test_linear_loading_in_closed_form():
    """Radial blades without thickness, cm tan(beta) = 0: W_s - W_p = 2 pi / Z cos(beta) K / L."""
    path = straight()
    w = np.sqrt(path.cm**2 + 0.0)
    assert half_difference(path, w=w, rcu_along=3.0) == pytest.approx(np.pi / 12 * 3.0)


def test_rigid_rotation_of_radial_blades():
    """Radial blades carry the flow round: r cu = omega r^2 between entry and unloading, W_s - W_p = 4 pi omega r / Z."""
    path, speed = straight(), 1000.0
    found = on_path(path, speed=speed, rcu1=0.0, rcu2=0.85 * speed * 0.12**2)
    middle = (path.x > 0.4) & (path.x < 0.6)
    assert found.rcu[middle] == pytest.approx((speed * path.r**2)[middle], rel=1e-12)
    assert (found.suction - found.pressure)[middle] == pytest.approx(
        (4 * np.pi * speed * path.r / 12)[middle], rel=1e-3
    )


@pytest.mark.parametrize("slip", [0.75, 0.85, 0.9])
def test_exit_is_unloaded_to_the_slipped_value(slip):
    """The angular momentum ends at the slipped value, the velocities of both sides meet at both ends."""
    path, speed = straight(beta=np.radians(30)), 1000.0
    rcu2 = 0.12 * (slip * speed * 0.12 - 50 * np.tan(np.radians(30)))
    found = on_path(path, speed=speed, rcu1=0.3, rcu2=rcu2)
    assert found.rcu[0] == pytest.approx(0.3)
    assert found.rcu[-1] == pytest.approx(rcu2)
    for end in (0, -1):
        assert found.suction[end] == pytest.approx(found.pressure[end], rel=1e-9)
    assert np.all(np.diff(found.rcu, axis=0) > -1e-3)


def test_unloaded_length_follows_from_the_slip():
    """Radial blades: the correction starts (1 - slip) omega r2^2 / (omega r2 L) of the length before the exit."""
    path, speed, slip = straight(), 1000.0, 0.85
    found = angular_momentum(path, speed=speed, rcu1=0.0, rcu2=slip * speed * 0.12**2)
    length = (1 - slip) * 0.12 / 0.07
    assert UNLOADED[0] < length < UNLOADED[1]
    gap = (speed * path.r**2 - found.rcu) / (speed * 0.12**2)
    expected = (1 - slip) * np.maximum(1 - (1 - path.x) / length, 0) ** 2
    guided = path.x > 0.3
    assert gap[guided] == pytest.approx(expected[guided], abs=1e-5)


def test_slope_is_the_derivative_of_the_momentum():
    """What is integrated and what loads the blades are one function."""
    path = straight(beta=np.radians(45))
    found = angular_momentum(path, speed=1000.0, rcu1=0.5, rcu2=7.0)
    grown = np.concatenate(
        [[0.0], np.cumsum(((found.slope[1:] + found.slope[:-1]) / 2 * np.diff(path.x, axis=0))[:, 0])]
    )
    assert found.rcu[:, 0] - 0.5 == pytest.approx(grown, abs=2e-4)


def test_stage_ends_meet_its_triangles(typical):
    """At the leading edge without loading the mean velocity is that of the blocked inlet, at the exit that of the stage between the blades."""
    stage = typical.solve()
    found, path = surface_velocities(stage), meanline_path(stage)
    assert found.rcu[-1] == pytest.approx(stage.exit.cu * stage.blower.impeller.r2)
    inside = np.hypot(stage.cm2_blocked, stage.u2 - stage.exit.cu)
    assert found.w[-1] == pytest.approx(inside)
    assert found.suction[-1] == pytest.approx(inside)
    for k, span in enumerate((stage.hub, stage.mean, stage.shroud)):
        assert path.r[0, k] * stage.speed == pytest.approx(span.u)
        assert found.w[0, k] == pytest.approx(np.hypot(path.cm[0, k], span.u - span.cu))
        assert 1.0 < path.cm[0, k] / span.cm < 1.35


def test_simple_path_and_real_blades_tell_the_same(typical):
    """Quarter ellipses and cubic angles against the contours and stacked blades: extremes within a fifth."""
    stage = typical.solve()
    simple, real = (
        surface_velocities(stage),
        surface_velocities(stage, blading_path(stage, Blading(stage.blower.impeller))),
    )
    assert real.rcu[-1] == pytest.approx(simple.rcu[-1])
    assert real.peak == pytest.approx(simple.peak, rel=0.2)
    assert real.diffusion == pytest.approx(simple.diffusion, rel=0.2)
    assert real.loading == pytest.approx(simple.loading, rel=0.2)


def test_finer_stations_change_little(typical):
    """Seventeen stations against a hundred."""
    stage = typical.solve()
    few, many = (surface_velocities(stage, meanline_path(stage, stations=n)) for n in (17, 101))
    for name in ("slowest", "peak", "diffusion", "loading"):
        assert getattr(few, name) == pytest.approx(getattr(many, name), rel=0.08)


def test_blades_carry_less_when_there_are_more(typical):
    """Loading goes about as the pitch; too few blades turn the flow back; splitters unload where they stand."""
    loading = [surface_velocities(typical.wheel(blades=z).solve()).loading for z in (7, 14, 28)]
    assert np.all(loading[0] > 1.5 * loading[1])
    assert np.all(loading[1] > 1.4 * loading[2])

    few = surface_velocities(typical.wheel(blades=5).solve())
    assert few.reversed_flow
    codes = {flag.code for flag in judge(few) if flag.raised}
    assert {"pressure side reversed", "blade loading along the blade"} <= codes
    assert not any(flag.raised for flag in judge(surface_velocities(typical.wheel(blades=16).solve())))

    bare, split = (surface_velocities(typical.wheel(blades=7, splitters=s).solve()) for s in (0, 7))
    loaded = (split.x > 0.45) & (split.x < 0.7)
    ratio = (split.suction - split.pressure)[loaded] / (bare.suction - bare.pressure)[loaded]
    assert np.all((ratio > 0.45) & (ratio < 0.7))


def test_less_flow_loads_the_suction_side_more(typical):
    """The pressure side slows and the suction side's diffusion grows as the flow is throttled."""
    flows = np.array([1.3, 1.2, 1.0, 0.8])
    found = surface_velocities(typical.solve(mass_flow=flows))
    assert found.slowest.shape == (3, 4)
    assert np.all(np.diff(found.slowest[2]) < 0)
    assert np.all(np.diff(found.loading[2]) > 0)


def test_designs_broadcast(typical):
    """Speeds (2, 1) with flows (4,) give designs (2, 4)."""
    speed, flows = np.array([[1300.0], [1466.0]]), np.array([0.9, 1.0, 1.1, 1.2])
    found = surface_velocities(typical.solve(mass_flow=flows, speed=speed))
    assert found.suction.shape == (17, 3, 2, 4)
    alone = surface_velocities(typical.solve(mass_flow=1.1, speed=1466.0))
    assert found.suction[..., 1, 2] == pytest.approx(alone.suction, rel=1e-9)


def test_fifty_at_once_are_the_same_as_one_by_one(fifty):
    """Designs last, any number of them; scalars in give scalars per span out."""
    stage = fifty.solve()
    together = surface_velocities(stage)
    for i in range(0, 50, 7):
        alone = surface_velocities(stage[i])
        assert alone.w.shape == (17, 3)
        assert together.suction[..., i] == pytest.approx(alone.suction, rel=1e-12)
        assert together.loading[:, i] == pytest.approx(alone.loading, rel=1e-12)


def test_many_machines_give_finite_numbers(many):
    """Every solved machine has finite velocities, whatever its flags."""
    stage = many.solve()
    found = surface_velocities(stage)
    for name in ("slowest", "peak", "diffusion", "loading"):
        assert np.all(np.isfinite(getattr(found, name)[:, stage.solved]))
    assert 0.5 < np.mean(~found.reversed_flow[stage.solved]) < 1.0


def test_radial_inlet_has_a_straight_path(typical):
    """A cylindrical leading edge: radial lines, one radius for hub, mean and shroud."""
    stage = typical.wheel(r1h=0.07, r1s=0.07, b1=0.03, beta1h_blade=0.9, beta1s_blade=0.9).solve()
    path = meanline_path(stage)
    assert path.m[-1] == pytest.approx(0.13 - 0.07, rel=1e-12)
    assert np.all(np.isfinite(surface_velocities(stage).w))
