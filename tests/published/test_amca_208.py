"""The fan energy index after AMCA 208, with the constants that Hong, Sun and Luo (LBNL 2018) quote."""

import numpy as np
import pytest

from aerodesign.machine import fan_energy_index as fei

# Exact arithmetic from those constants: Q, Pt; H, transmission, power at the motor, motor, electrical power.
ROWS = [
    (1.0, 1000.0, 1.863333, 0.930169, 2.003221, 0.882229, 2.270635),
    (15.49, 1017.59, 26.429310, 0.957115, 27.613528, 0.941368, 29.333408),
    (164.34, 1017.59, 278.479722, 0.959718, 290.168222, 0.962, 301.630168),
    (0.5, 20000.0, 18.820909, 0.955998, 19.687183, 0.936515, 21.021742),
    (2.0, 13790.0, 44.574273, 0.958267, 46.515493, 0.948151, 49.059169),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:g} m3/s {row[1]:g} Pa")
def test_reference_fan_step_by_step(row):
    flow, rise, shaft, transmission, at_motor, motor, wire = row
    duty = dict(flow=flow, rise_total=rise, density=1.2)
    found = fei.reference_shaft_power(**duty)
    assert found == pytest.approx(1e3 * shaft, rel=1e-6)
    assert fei.transmission_efficiency(power=found) == pytest.approx(transmission, abs=1e-6)
    assert found / fei.transmission_efficiency(power=found) == pytest.approx(1e3 * at_motor, rel=1e-6)
    assert fei.motor_efficiency(power=1e3 * at_motor) == pytest.approx(motor, abs=1e-6)
    assert fei.reference_power(**duty) == pytest.approx(1e3 * wire, rel=1e-6)


def test_the_fan_of_the_note():
    # Table 2 of the note: 26.07079 kW of electricity. Its column of the index prints 1.00 throughout, so this is arithmetic.
    index = fei.fan_energy_index(flow=15.49, rise_total=1017.59, density=1.2, power=26070.79)
    assert index == pytest.approx(1.12514, abs=2e-5)


@pytest.mark.parametrize(
    ("kilowatts", "efficiency"), [(1, 0.85027), (10, 0.92528), (50, 0.94903), (100, 0.95676), (184.9, 0.96222)]
)
def test_reference_motor(kilowatts, efficiency):
    assert fei.motor_efficiency(power=1e3 * kilowatts) == pytest.approx(efficiency, abs=1e-5)


def test_it_broadcasts():
    flow, rise = np.array([0.5, 1.0, 2.0])[:, None], np.array([5e3, 2e4])
    both = fei.fan_energy_index(flow=flow, rise_total=rise, density=1.1, power=3e4)
    assert both.shape == (3, 2)
    assert both[2, 1] == fei.fan_energy_index(flow=2.0, rise_total=2e4, density=1.1, power=3e4)
