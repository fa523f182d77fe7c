"""How fast the aerodynamics are, as ratios to a reference kernel run beside them, so that a slow machine does not fail.

Run by hand: ``pytest tests/benchmarks -p no:xdist -o addopts="" --benchmark-columns=min,median``. The reference is a fixed
loop of numpy calls over as much memory as a block of operating points uses. The targets, in seconds of CPU time in one
thread, are for a machine on which the reference takes 31 ms, the least of five runs while nothing else runs.
"""

import time

import numpy as np
import pytest

from aerodesign.aero import meanline
from aerodesign.aero.blocks import solve_blocks
from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.control import control
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.models import Models
from aerodesign.aero.operation import inlet_state
from aerodesign.aero.performance_map import performance_map
from aerodesign.aero.site_curves import Conditions, site_curves
from aerodesign.aero.sizing import Task, size
from aerodesign.aero.system import System

REFERENCE = 0.031
"""Seconds that the reference kernel takes on the machine that the targets are stated for."""


def kernel() -> float:
    """Rounds of exp, log, sqrt and arithmetic over 64 arrays of 8192 numbers, four megabytes."""
    held = [np.linspace(1, 2, 8192) + i for i in range(64)]
    for i in range(256):
        x = held[i % 64]
        held[(37 * i + 11) % 64] = np.exp(0.3 * np.log(x + 0.1)) + np.sqrt(x) / (1 + x * x)
    return float(sum(x.sum() for x in held))


def cpu_seconds(function, repeats: int) -> float:
    """Least CPU time of some runs."""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        function()
        times.append(time.process_time() - start)
    return min(times)


@pytest.fixture
def timed(benchmark):
    """Benchmark a function and hold its CPU time, over that of the kernel right before and after, to a target."""

    def run(function, *, target: float, rounds: int) -> None:
        benchmark.pedantic(function, rounds=rounds, iterations=1, warmup_rounds=1)
        before = cpu_seconds(kernel, 5)
        seconds = cpu_seconds(function, rounds)
        slower = (before + cpu_seconds(kernel, 5)) / 2 / REFERENCE
        benchmark.extra_info |= {"machine_factor": slower, "reference_seconds": seconds / slower}
        assert seconds / slower < target, f"{seconds:.4g} s on a machine {slower:.2f} times as slow"

    return run


@pytest.fixture(scope="module")
def site(typical) -> Site:
    """The sea on a mild day."""
    return Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])


def test_reference_kernel(benchmark):
    """The yardstick itself."""
    benchmark.pedantic(kernel, rounds=20, warmup_rounds=2)


def test_one_point(timed, typical):
    """One operating point: 5 ms."""
    timed(lambda: typical.solve(), target=0.005, rounds=50)


def test_a_million_points_in_blocks(timed, typical):
    """A million points through the public interface: 4 s."""
    speed = typical.point["speed"] * np.linspace(0.5, 1.1, 1000)[:, None]
    point = typical.point | dict(speed=speed, mass_flow=1.2 * np.linspace(0.5, 1.0, 1000) * speed / speed.max())
    timed(lambda: solve_blocks(typical.blower, **point), target=4.0, rounds=1)


def test_blocks_beat_whole_arrays(typical):
    """What the blocks are for: half a million points, in blocks and at once."""
    flow = 1.2 * np.linspace(0.5, 1.2, 500_000)
    point = typical.point | dict(mass_flow=flow)
    blocks = cpu_seconds(lambda: solve_blocks(typical.blower, **point), 2)
    whole = cpu_seconds(lambda: meanline.solve(typical.blower, **point), 2)
    assert blocks < whole


def test_sizing(timed, site):
    """A whole search of the default effort: 2 s."""
    choices = Choices()
    duty = Duty(flow=1.4158, mass_flow=1.4158 * 1.2041, pressure_rise=27579.0)
    task = Task(
        inlet=inlet_state(duty, site, inlet_velocity=choices.inlet_velocity), mass_flow=duty.mass_flow, rise=27579.0,
        service="pressure", basis="static", limits=Limits(), drive=Drive(), choices=choices, models=Models(),
    )  # fmt: skip
    timed(lambda: size(task), target=2.0, rounds=1)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_map(timed, typical, site, service):
    """Twenty-one lines of forty-one points, with their ends and stall band: 0.2 s."""
    speeds = typical.point["speed"] * np.linspace(0.5, 1.1, 21)
    timed(
        lambda: performance_map(
            typical.blower, site, service=service, basis="static", speeds=speeds, models=Models(), design_flow=1.0,
            design_speed=typical.point["speed"],
        ),
        target=0.2,
        rounds=5,
    )  # fmt: skip


def test_control_and_site_curves(timed, typical, site):
    """Four kinds of control at 35 flows and six conditions in both services at 41: 0.2 s together."""
    speed = typical.point["speed"]
    duty = Duty(flow=1.0, mass_flow=1.2, pressure_rise=22e3)

    def both():
        control(
            typical.blower, site, duty, System(), design_index=0, design_speed=speed, fastest=1.2 * speed, mechanical_efficiency=0.97,
            models=Models(),
        )  # fmt: skip
        site_curves(
            typical.blower, site, Conditions(filter_loss=2500.0), basis="static", flow=np.linspace(0.3, 1.4, 41), design_flow=1.0, speed=speed,
            models=Models(),
        )  # fmt: skip

    timed(both, target=0.2, rounds=5)
