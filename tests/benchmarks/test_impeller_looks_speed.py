"""How fast throughflow and surface velocities are; run and judged as the benchmarks of ``test_speed``."""

import numpy as np
from test_speed import REFERENCE, cpu_seconds, kernel

from aerodesign.aero.blade_path import meanline_path
from aerodesign.aero.streamlines import Channel
from aerodesign.aero.surface_velocity import surface_velocities
from aerodesign.aero.swirl_laws import Swirl
from aerodesign.aero.throughflow import throughflow


def reference_seconds(function, rounds: int = 7) -> float:
    """CPU time of a function on a machine on which the reference kernel takes its stated time."""
    before = cpu_seconds(kernel, 5)
    seconds = cpu_seconds(function, rounds)
    return seconds / ((before + cpu_seconds(kernel, 5)) / 2 / REFERENCE)


def test_throughflow_of_one_design(typical):
    """41 by 9 stations in at most 50 ms; walls are quarter ellipses with straight ends."""
    stage, wheel = typical.solve(), typical.blower.impeller
    turn = np.linspace(0, np.pi / 2, 21)
    ahead, behind = np.linspace(-0.04, 0, 11)[:-1], np.linspace(0, 0.04, 11)[1:]
    walls = []
    for depth, r1 in ((wheel.axial_length, wheel.r1h), (wheel.axial_length - wheel.b2, wheel.r1s)):
        walls += [np.r_[ahead, depth * np.sin(turn), np.full(10, depth)]]
        walls += [np.r_[np.full(10, r1), wheel.r2 - (wheel.r2 - r1) * np.cos(turn), wheel.r2 + behind]]
    x = np.clip((np.arange(41) - 10) / 20, 0, 1)[:, None]
    loading = Swirl(stage.exit.cu * wheel.r2 * x * x * (3 - 2 * x))
    channel = Channel(*walls, leading=10, trailing=30, blocked=0.08 * np.ones((41, 3)), lean=np.zeros((41, 3)))

    def run():
        return throughflow(
            channel,
            gas=stage.gas,
            pt0=stage.pt0,
            Tt0=stage.Tt0,
            mass_flow=stage.mass_flow,
            speed=stage.speed,
            loading=loading,
        )

    assert run().solved
    assert reference_seconds(run) < 0.050


def test_surface_velocities_in_batches(many):
    """Ten microseconds a design."""
    stage = many.solve()[:1000]
    assert meanline_path(stage).r.shape == (17, 3, 1000)
    assert reference_seconds(lambda: surface_velocities(stage)) < 10e-6 * 1000
