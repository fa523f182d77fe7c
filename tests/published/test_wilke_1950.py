"""Wilke's viscosity rule by the worked example of Bird, Stewart and Lightfoot, Transport Phenomena (from memory).

CO2, O2 and N2 at 1 atm and 293 K in mole fractions 0.133, 0.039 and 0.828, whose pure viscosities are 1462, 2031 and
1754e-7 g/(cm s): the book's mixture has 1714e-7.
"""

import pytest

from aerodesign.gas.mixture import mixture, wilke


def test_flue_gas_of_bird_stewart_lightfoot():
    mu = wilke(
        mole_fractions=[0.133, 0.039, 0.828],
        viscosities=[1.462e-5, 2.031e-5, 1.754e-5],
        molar_masses=[0.04401, 0.0320, 0.02801],
    )
    assert mu == pytest.approx(1.714e-5, abs=5e-9)


def test_flue_gas_with_the_pure_viscosities_of_today():
    gas = mixture(fractions={"CO2": 0.133, "O2": 0.039, "N2": 0.828}, p=101325.0, T=293.0)
    assert gas.mu_ref == pytest.approx(1.714e-5, rel=5e-3)


def test_a_mixture_of_equal_gases_is_the_gas():
    mu = wilke(mole_fractions=[0.3, 0.7], viscosities=[1.8e-5, 1.8e-5], molar_masses=[0.028, 0.028])
    assert mu == pytest.approx(1.8e-5, rel=1e-14)
