"""Slip factors: Wiesner 1967, Stanitz 1952, Stodola 1927, and what any slip factor must do.

Stanitz's form was read in a textbook companion (Gorla and Khan, examples 2.13 and 4.17). Wiesner's and Stodola's
tables are arithmetic on formulas from memory, made apart from the code: they check the transcription, not the source.
"""

import numpy as np
import pytest

from aerodesign.correlations.slip import qiu, stanitz, stodola, wiesner

ANGLES = np.radians([0, 30, 40, 50, 60])
WIESNER = {
    6: ([0.7147, 0.7345, 0.7503, 0.7713, 0.7983], [0.2567, 0.3080, 0.3528, 0.4172, 0.5066]),
    8: ([0.7667, 0.7829, 0.7958, 0.8130, 0.8351], [0.3606, 0.4134, 0.4578, 0.5191, 0.6005]),
    10: ([0.8005, 0.8143, 0.8254, 0.8400, 0.8589], [0.4422, 0.4933, 0.5352, 0.5918, 0.6650]),
    12: ([0.8244, 0.8366, 0.8463, 0.8592, 0.8758], [0.5066, 0.5549, 0.5940, 0.6459, 0.7118]),
    16: ([0.8564, 0.8664, 0.8743, 0.8849, 0.8985], [0.6005, 0.6430, 0.6766, 0.7205, 0.7749]),
    20: ([0.8772, 0.8857, 0.8925, 0.9015, 0.9132], [0.6650, 0.7023, 0.7316, 0.7693, 0.8155]),
}


@pytest.mark.parametrize("blades", WIESNER)
def test_wiesner_table(blades):
    """Slip factor at small radius ratios, and the ratio at which its correction begins, at 0 to 60 degrees."""
    slip, limit = np.array(WIESNER[blades])
    plain = wiesner(beta2_blade=ANGLES, blades_effective=blades, radius_ratio=0.2)
    np.testing.assert_allclose(plain, slip, rtol=0, atol=0.5e-4)

    at_limit = wiesner(beta2_blade=ANGLES, blades_effective=blades, radius_ratio=limit - 1e-4)
    beyond = wiesner(beta2_blade=ANGLES, blades_effective=blades, radius_ratio=limit + 0.1)
    np.testing.assert_array_equal(at_limit, plain)
    np.testing.assert_allclose(beyond / plain, 1 - (0.1 / (1 - limit)) ** 3, rtol=0, atol=2e-4)
    assert np.all(beyond < plain)


@pytest.mark.parametrize(
    ("blades", "degrees", "ratio", "slip"),
    [(12, 40, 0.65, 0.844068), (12, 40, 0.70, 0.831223), (20, 0, 0.75, 0.862840)],
)
def test_wiesner_corrected(blades, degrees, ratio, slip):
    """Slip factors of wheels whose eye is wide against their diameter."""
    found = wiesner(beta2_blade=np.radians(degrees), blades_effective=blades, radius_ratio=ratio)
    assert found == pytest.approx(slip, abs=1e-6)


def test_stanitz_table():
    """1 - 0.63 pi / Z."""
    found = stanitz(blades_effective=np.array([8, 12, 17, 20]))
    np.testing.assert_allclose(found, [0.7526, 0.8351, 0.8836, 0.9010], rtol=0, atol=0.5e-4)


def test_stodola_table():
    """1 - pi cos(beta) / Z."""
    found = stodola(
        beta2_blade=np.radians([40, 40, 50, 0, 0, 0, 0]), blades_effective=np.array([8, 12, 7, 8, 12, 17, 20])
    )
    np.testing.assert_allclose(found, [0.6992, 0.7995, 0.7115, 0.6073, 0.7382, 0.8152, 0.8429], rtol=0, atol=0.5e-4)


@pytest.mark.parametrize("model", [wiesner, stanitz, stodola])
def test_slip_rises_with_blades_to_one(model):
    """More blades guide better; blades without number guide fully."""
    asked = dict(beta2_blade=np.radians(40), radius_ratio=0.5)
    known = {name: value for name, value in asked.items() if name in model.__annotations__}
    slip = model(blades_effective=np.arange(5.0, 41.0), **known)

    assert np.all(np.diff(slip) > 0)
    assert model(blades_effective=1e9, **known) == pytest.approx(1, abs=1e-5)


@pytest.mark.parametrize("model", [wiesner, stodola])
def test_slip_factor_rises_with_backsweep(model):
    """The eddy between backswept blades is smaller; the wheel's proportions are the same."""
    asked = dict(radius_ratio=0.3) if model is wiesner else {}
    assert np.all(np.diff(model(beta2_blade=np.radians(np.arange(0, 71)), blades_effective=12, **asked)) > 0)


def test_a_slip_that_knows_the_flow_stands_beside_wiesner_and_grows_where_blades_unwind():
    """Qiu et al. 2011 (from memory): near Wiesner for ordinary wheels; a blade that turns towards radial slips less at high flow."""
    wheel = dict(
        beta2_blade=np.radians(40), beta1_blade=np.radians(48), blades_effective=14, r2=0.11, thickness=0.0015, meridional_length=0.09
    )  # fmt: skip
    low, high = (qiu(exit_flow_coefficient=phi, **wheel) for phi in (0.15, 0.35))
    beside = wiesner(beta2_blade=np.radians(40), blades_effective=14, radius_ratio=0.5)
    assert abs(low - beside) < 0.03
    assert 0 < high - low < 0.02
    straight = [qiu(exit_flow_coefficient=phi, **wheel | {"beta1_blade": np.radians(40)}) for phi in (0.15, 0.35)]
    assert straight[0] == straight[1]
