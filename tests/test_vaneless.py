"""The vaneless diffuser against its exact solution: incompressible flow, parallel walls, constant friction factor.

asinh(cot a) = asinh(cot a2) + (cf/b)(r - r2) and r cu / (r2 cu2) = tan a / tan a2: derived, and checked against a
numerical solution to 1e-12 when the table was made. r2 0.18, r3 0.27, b 0.018 m, cf 0.005.
"""

import numpy as np
import pytest

from aerodesign.correlations import vaneless
from aerodesign.correlations.vaneless import march
from aerodesign.gas.air import air

SLOW = 1.0
"""m/s: compressibility then changes the result by the square of a Mach number of 0.003."""

TABLE = {  # alpha2: K3/K2, alpha3, loss and recovery over the dynamic head, (c3/c2)^2
    60: (0.952092854, 58.767, 0.063588, 0.523140, 0.413271),
    65: (0.943864848, 63.709, 0.074210, 0.521181, 0.404609),
    70: (0.931605927, 68.660, 0.089937, 0.517466, 0.392597),
    75: (0.911647533, 73.621, 0.115291, 0.510303, 0.374407),
    80: (0.873899168, 78.593, 0.162393, 0.495018, 0.342589),
}
MOMENTUM, LOSS = 1e-5, 2e-4
"""What the march promises of angular momentum (over its value) and loss (over the dynamic head)."""


def run(alpha2, *, friction_factor=0.005, c2=SLOW, r3=0.27):
    """March from r2; returns the state at r3 and the state at r2 that it started from."""
    gas, Tt2, pt2, b3, r2 = air(), 300.0, 1.2e5, 0.018, 0.18
    cm2, cu2 = c2 * np.cos(alpha2), c2 * np.sin(alpha2)
    T2 = Tt2 - c2**2 / (2 * gas.cp)
    p2 = pt2 * (T2 / Tt2) ** (1 / gas.kappa)
    rho2 = p2 / (gas.R * T2)
    end = march(
        gas=gas, r2=r2, r3=r3, b3=b3, mass_flow=rho2 * 2 * np.pi * r2 * b3 * cm2, cu2=cu2, pt2=pt2, Tt2=Tt2, rho2=rho2,
        friction_factor=friction_factor,
    )  # fmt: skip
    return end, dict(gas=gas, cm2=cm2, cu2=cu2, pt2=pt2, p2=p2, rho2=rho2, r2=r2)


@pytest.mark.parametrize("degrees", TABLE)
def test_exact_solution(degrees):
    """Angular momentum, angle, loss, velocity and recovery at r3."""
    momentum, angle, loss, recovery, velocity = TABLE[degrees]
    end, start = run(np.radians(degrees))
    head = start["rho2"] * SLOW**2 / 2
    p3 = end.rho * start["gas"].R * end.T

    assert end.r * end.cu / (start["r2"] * start["cu2"]) == pytest.approx(momentum, abs=MOMENTUM)
    assert np.degrees(np.arctan2(end.cu, end.cm)) == pytest.approx(angle, abs=0.01)
    assert (start["pt2"] - end.pt) / head == pytest.approx(loss, abs=LOSS)
    assert (end.cm**2 + end.cu**2) / SLOW**2 == pytest.approx(velocity, abs=3 * MOMENTUM)
    assert (p3 - start["p2"]) / head == pytest.approx(recovery, abs=LOSS)


@pytest.mark.parametrize("c2", [SLOW, 150.0, 280.0])
def test_without_friction_angular_momentum_and_total_pressure_stay(c2):
    """A free vortex, at any Mach number."""
    end, start = run(np.radians(np.array([50, 65, 80])), friction_factor=0.0, c2=c2)

    np.testing.assert_allclose(end.r * end.cu, start["r2"] * start["cu2"], rtol=1e-12)
    np.testing.assert_allclose(end.pt, start["pt2"], rtol=1e-12)


def test_without_friction_recovery_is_ideal():
    """Slow flow: the angle stays and the recovery is 1 - (r2/r3)^2."""
    end, start = run(np.radians(65), friction_factor=0.0)
    p3 = end.rho * start["gas"].R * end.T

    assert np.degrees(np.arctan2(end.cu, end.cm)) == pytest.approx(65, abs=1e-3)
    assert (p3 - start["p2"]) / (start["rho2"] * SLOW**2 / 2) == pytest.approx(0.555556, abs=1e-5)


@pytest.mark.parametrize(("c2", "closure"), [(60.0, 1e-6), (270.0, 5e-5)])
def test_mass_is_kept(c2, closure):
    """Continuity at r3 as good as stated, Mach 0.2 and 0.8."""
    end, start = run(np.radians(np.array([50, 65, 75])), c2=c2)

    flow_in = start["rho2"] * start["r2"] * start["cm2"]
    np.testing.assert_allclose(end.rho * end.r * end.cm, flow_in, rtol=closure)


def test_loss_grows_with_length_angle_and_friction():
    """More wall, a longer path or a rougher wall cost more."""

    def loss(**changes):
        end, start = run(**changes)
        return start["pt2"] - end.pt

    assert np.all(np.diff(loss(alpha2=np.radians(np.arange(50, 82.0)))) > 0)
    assert np.all(np.diff(loss(alpha2=np.radians(65), r3=np.linspace(0.19, 0.4, 9))) > 0)
    assert np.all(np.diff(loss(alpha2=np.radians(65), friction_factor=np.linspace(0, 0.02, 9))) > 0)


def test_ten_steps_are_enough_for_random_machines(many, monkeypatch):
    """Against forty times as many: the diffuser's loss within a hundredth of itself, a thousandth in most machines."""
    coarse = many.solve()
    monkeypatch.setattr(vaneless, "STEPS", 400)
    fine = many.solve()
    works = coarse.solved & (coarse.efficiency_total > 0.65)

    error = np.abs(coarse.losses["diffuser"] / fine.losses["diffuser"] - 1)[works]
    assert error.max() < 0.0125
    assert np.median(error) < 0.0015
