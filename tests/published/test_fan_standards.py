"""Fan and compressor test standards, and fans and blowers of textbooks reduced as if they had been tested."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerodesign.gas.efficiency import isentropic_from_polytropic, polytropic_efficiency, polytropic_from_isentropic
from aerodesign.rig import reduce_test, rig_test
from aerodesign.rig.agreed import mach_limits
from aerodesign.rig.compressibility import amca_factor, iso_factor
from aerodesign.rig.reynolds import ackeret, ptc10

KAPPA = 0.4 / 1.4
MM_WATER = 9.80665


@pytest.mark.parametrize(
    ("ratio", "efficiency", "z", "Kp", "isentropic"),
    [
        (1.02, 0.80, 0.007097, 0.993641, 0.799434),
        (1.05, 0.75, 0.018761, 0.984928, 0.748255),
        (1.10, 0.75, 0.036976, 0.970616, 0.746586),
        (1.20, 0.75, 0.071925, 0.944012, 0.743451),
        (1.30, 0.78, 0.100874, 0.917951, 0.771681),
        (1.40, 0.75, 0.136757, 0.897471, 0.737858),
    ],
)
def test_table_of_the_compressibility_factor(ratio, efficiency, z, Kp, isentropic):
    # Arithmetic from the formulas of both standards with gamma 1.4: polytropic efficiency in, all six digits out.
    p, Q = 1e5, 2.0
    warming = ratio ** (KAPPA / efficiency) - 1
    assert warming == pytest.approx(z, abs=6e-7)
    H = warming * Q * p / KAPPA
    factor = amca_factor(flow=Q, rise=p * (ratio - 1), power=H, inlet_pressure=p, kappa=KAPPA)
    assert factor == pytest.approx(Kp, abs=6e-7)
    assert Q * p * (ratio - 1) * factor / H == pytest.approx(efficiency, rel=1e-12)
    found = isentropic_from_polytropic(efficiency=efficiency, pressure_ratio=ratio, kappa=KAPPA)
    assert found == pytest.approx(isentropic, abs=6e-7)


@given(st.floats(1.001, 3), st.floats(0.05, 0.99), st.floats(0.1, 0.4), st.floats(0.01, 100), st.floats(1e4, 1e6))
@settings(max_examples=40)
def test_both_standards_say_the_polytropic_efficiency(ratio, efficiency, kappa, flow, pressure):
    temperature_ratio = ratio ** (kappa / efficiency)
    power = flow * pressure / kappa * (temperature_ratio - 1)
    rise, density = pressure * (ratio - 1), 1.2
    amca = amca_factor(flow=flow, rise=rise, power=power, inlet_pressure=pressure, kappa=kappa)
    iso = iso_factor(
        pressure_ratio=ratio, mass_flow=flow * density, rise=rise, power=power, inlet_density=density, kappa=kappa
    )
    assert iso == pytest.approx(amca, rel=1e-10)
    assert flow * rise * amca / power == pytest.approx(efficiency, rel=1e-9)


def reduced(*, more="", meter, power, readings):
    """A test of one point with an open inlet of dry air."""
    names, numbers = ", ".join(readings), ", ".join(str(v) for v in readings.values())
    head = f'# relative_humidity = 0\n{more}\n# [meter]\n# at = "inlet"\n{meter}\n'
    planes = '# [planes]\n# inlet = "open"\n# outlet_diameter = "4 m"\n'
    return reduce_test(rig_test(f"{head}{planes}# [power]\n{power}\n{names}\n{numbers}\n"))


MASS, VOLUME = '# kind = "mass meter"', '# kind = "volume meter"\n'


def test_arasu_3_9_blower():
    # A. V. Arasu, Turbomachines, p. 109, as re-solved by FOSSEE: 33 kW at the shaft, of which 83 % reach the air.
    blower = reduced(
        meter=MASS,
        power=f'# by = "shaft power"\n# losses = "{0.17 * 33} kW"',
        readings={
            "speed [rpm]": 1000, "barometer [kPa]": 100, "ambient_temperature [K]": 309, "mass_flow [kg/s]": 3.316,
            "outlet_total_pressure [mmWG(g)]": 750, "shaft_power [kW]": 33,
        },
    )  # fmt: skip
    assert blower.work == pytest.approx(8259.31, rel=2e-3)
    assert blower.inlet_density == pytest.approx(1.12761, rel=5e-4)
    assert blower.flow == pytest.approx(2.94, rel=2e-3)
    assert blower.temperature_rise == pytest.approx(8.22, abs=0.03)
    # The book's efficiency takes the air as incompressible: it is the standards' without their factor.
    assert blower.efficiency / blower.compressibility_factor == pytest.approx(0.79, rel=2e-3)


@pytest.mark.parametrize(
    ("flow", "density", "head", "power", "efficiency"),
    [(2.558, 1.2, 75, 2291.9, 0.82119), (3.82, 4.29 / 3.82, 63, 3000.0, 0.787)],
    ids=["3.10", "3.11"],
)
def test_arasu_fans(flow, density, head, power, efficiency):
    # Arasu pp. 110 and 111: fans of 75 and 63 mm of water; only the efficiency is asked of them here.
    fan = reduced(
        meter=VOLUME + '# coefficient = 1',
        power='# by = "shaft power"',
        readings={
            "speed [rpm]": 720, "barometer [Pa]": 101325, "ambient_temperature [K]": 101325 / 287.05 / density,
            "meter_pressure [Pa(g)]": 0, "volume_flow [m3/s]": flow, "outlet_total_pressure [mmWG(g)]": head,
            "shaft_power [W]": power,
        },
    )  # fmt: skip
    assert fan.mass_flow == pytest.approx(flow * density, rel=1e-3)
    assert fan.efficiency / fan.compressibility_factor == pytest.approx(efficiency, rel=2e-3)


def test_yahya_15_2_blower():
    # S. M. Yahya (numbering of the scripts), ch. 15: 200 m3/min by 1000 mm of water from 0.98 bar and 310 K, drive 88 %.
    blower = reduced(
        meter=VOLUME,
        power='# by = "electric power"\n# motor_efficiency = 0.88',
        readings={
            "speed [rpm]": 3000, "barometer [bar]": 0.98, "ambient_temperature [K]": 310, "meter_pressure [Pa(g)]": 0,
            "volume_flow [m3/min]": 200, "outlet_total_pressure [mmWG(g)]": 1000, "electric_power [kW]": 45.316,
        },
    )  # fmt: skip
    assert blower.inlet_density == pytest.approx(1.101495, rel=5e-4)
    assert blower.rise_total == pytest.approx(1000 * MM_WATER, rel=1e-12)
    assert blower.efficiency / blower.compressibility_factor == pytest.approx(0.82, rel=5e-4)
    assert blower.efficiency / 0.82 == pytest.approx(blower.compressibility_factor, rel=5e-4)


def test_dixon_2_1_compressor():
    # S. L. Dixon, 5th ed., p. 40: pressure ratio 8 from 300 K to 586.4 K; gamma 1.4 there, humid air's real cp here.
    compressor = reduced(
        meter=MASS,
        power='# by = "temperature rise"',
        readings={
            "speed [rpm]": 1000, "barometer [bar]": 1, "ambient_temperature [K]": 300, "mass_flow [kg/s]": 1,
            "outlet_total_pressure [bar(a)]": 8, "outlet_temperature [K]": 586.4,
        },
    )  # fmt: skip
    assert compressor.efficiency == pytest.approx(0.88646, abs=5e-3)
    assert compressor.efficiency_isentropic == pytest.approx(0.84998, abs=8e-3)


def by_temperature(*, spread, efficiency):
    """Uncertainty, in points, of the efficiency of a blower of 4 psi tested by temperature rise alone."""
    rise = 4 * 6894.757
    warm = 293.15 * ((1 + rise / 101325) ** (0.28533 / efficiency) - 1)
    exact = "\n".join(f'# {n} = "0 Pa"' for n in ("barometer", "outlet_total_pressure"))
    blower = reduced(
        more=f'# [uncertainty]\n# inlet_temperature = "{spread} K"\n# outlet_temperature = "{spread} K"\n{exact}',
        meter=MASS,
        power='# by = "temperature rise"',
        readings={
            "speed [rpm]": 14000, "barometer [Pa]": 101325, "ambient_temperature [K]": 293.15, "mass_flow [kg/s]": 1,
            "inlet_temperature [K]": 293.15, "outlet_total_pressure [psi(g)]": 4, "outlet_temperature [K]": 293.15 + warm,
        },
    )  # fmt: skip
    assert blower.efficiency[0] == pytest.approx(efficiency, abs=2e-3)
    assert {name for name, _ in blower.budget.largest("efficiency")} == {"inlet_temperature", "outlet_temperature"}
    return 100 * blower.uncertainty.efficiency[0]


def test_uncertainty_of_the_efficiency_by_temperature_rise():
    # Each thermometer within 0.3 K leaves 1.4 points at 4 psi, within 0.1 K half a point.
    assert by_temperature(spread=0.3, efficiency=0.82) == pytest.approx(1.4, abs=0.05)
    assert by_temperature(spread=0.1, efficiency=0.82) == pytest.approx(0.5, abs=0.05)
    # It goes with the efficiency squared, since a better blower warms its gas less.
    assert by_temperature(spread=0.3, efficiency=0.75) / by_temperature(spread=0.3, efficiency=0.82) == pytest.approx(
        (0.75 / 0.82) ** 2, rel=0.02
    )


@given(st.floats(0.3, 0.95), st.floats(0.1, 10))
@settings(max_examples=40)
def test_reynolds_corrections_agree_on_what_is_sure(efficiency, ratio):
    known = dict(exit_width=0.02, roughness=3e-6)
    better = [
        ackeret(efficiency=efficiency, reynolds_ratio=ratio),
        ptc10(efficiency=efficiency, reynolds=3e5, reynolds_agreed=3e5 * ratio, **known),
    ]
    for corrected in better:
        assert (corrected - efficiency) * (ratio - 1) >= -1e-12
        assert corrected < 1
        assert abs(corrected - efficiency) < 0.5 * (1 - efficiency)


def test_mach_limits_have_no_step():
    # From memory: the lines of the figure meet where one ends and the next begins, within the print's digits.
    for joint in (0.215, 0.86):
        below, above = mach_limits(joint - 1e-9)[0], mach_limits(joint + 1e-9)[0]
        assert below == pytest.approx(above, abs=2e-3)
    assert mach_limits(0.75 - 1e-9)[1] == pytest.approx(mach_limits(0.75)[1], abs=2e-3)


def test_polytropic_of_an_isentropic_three_quarters():
    # A real-gas run at ratio 1.3: isentropic 0.75 is polytropic 0.7591.
    found = polytropic_from_isentropic(efficiency=0.75, pressure_ratio=1.3, kappa=KAPPA)
    assert found == pytest.approx(0.75910, abs=5e-5)
    theta = 1 + (1.3**KAPPA - 1) / 0.75
    assert polytropic_efficiency(pressure_ratio=1.3, temperature_ratio=theta, kappa=KAPPA) == pytest.approx(
        found, rel=1e-14
    )
    assert np.isfinite(found)
