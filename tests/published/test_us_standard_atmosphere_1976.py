"""US Standard Atmosphere 1976, table by 2 km (as quoted by the tests of the library `fluids`), geometric heights."""

import pytest

from aerodesign.gas.atmosphere import standard_atmosphere


@pytest.mark.parametrize(
    ("height", "T", "p", "rho"),
    [
        (0.0, 288.15, 101320.0, 1.225),
        (2000.0, 275.15, 79501.0, 1.0066),
        (4000.0, 262.17, 61660.0, 0.81935),
        (6000.0, 249.19, 47218.0, 0.66011),
        (10000.0, 223.25, 26500.0, 0.41351),
    ],
)
def test_table_by_two_kilometres(height, T, p, rho):
    air = standard_atmosphere(altitude=height)
    assert air.temperature == pytest.approx(T, rel=5e-5)
    assert air.pressure == pytest.approx(p, rel=5e-5)
    assert air.density == pytest.approx(rho, rel=5e-5)
