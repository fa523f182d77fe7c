"""Humid air, other gases and the standard atmosphere against independent libraries."""

import subprocess
import sys

import numpy as np
import psychrolib
import pytest
from ambiance import Atmosphere as Icao
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976

from aerodesign.core.errors import GasError
from aerodesign.gas.air import COMPRESSION_WARMS, air, dry_air_density, humid_air, humidity_ratio
from aerodesign.gas.atmosphere import pressure_altitude, standard_atmosphere
from aerodesign.gas.mixture import mixture, pure_gas
from aerodesign.gas.perfect import density, isentropic_work, sound_speed, viscosity

psychrolib.SetUnitSystem(psychrolib.SI)  # recompiles the library: once is enough
STATES = [(20.0, 0.5, 101325.0), (15.0, 0.6, 101325.0), (40.0, 0.3, 95000.0), (-10.0, 0.8, 101325.0), (35.0, 1.0, 9e4)]


@pytest.mark.parametrize(("celsius", "humidity", "p"), STATES)
def test_humid_air_against_psychrolib(celsius, humidity, p):
    W = psychrolib.GetHumRatioFromRelHum(celsius, humidity, p)
    T = celsius + 273.15

    gas = humid_air(p=p, T=T, relative_humidity=humidity)

    assert humidity_ratio(p=p, T=T, relative_humidity=humidity) == pytest.approx(W, rel=6e-3)
    ideal = psychrolib.GetMoistAirDensity(celsius, W, p)
    assert density(gas=gas, p=p, T=T) == pytest.approx(ideal, rel=5e-4 if celsius > 0 else 8e-4)
    assert density(gas=gas, p=p, T=T) == pytest.approx(ideal / PropsSI("Z", "T", T, "P", p, "Air"), rel=2e-4)
    # psychrolib's cp is the slope of its enthalpy, per kilogram of dry air.
    slope = psychrolib.GetMoistAirEnthalpy(celsius + 0.5, W) - psychrolib.GetMoistAirEnthalpy(celsius - 0.5, W)
    assert gas.cp == pytest.approx(slope / (1 + W), rel=3e-3)


def test_dry_air_in_a_standard_volume_against_psychrolib():
    W = psychrolib.GetHumRatioFromRelHum(20.0, 0.36, 101353.0)
    volume = psychrolib.GetMoistAirVolume(20.0, W, 101353.0)
    assert dry_air_density(p=101353.0, T=293.15, relative_humidity=0.36) == pytest.approx(1 / volume, rel=6e-4)


def test_humid_air_without_humidity_is_air():
    gas, dry = humid_air(p=101325.0, T=288.15), air()
    assert pytest.approx(dry.R, rel=5e-4) == gas.R
    assert gas.cp == pytest.approx(dry.cp, rel=5e-4)
    assert gas.mu_ref == pytest.approx(dry.mu_ref, rel=5e-4)
    assert gas.mu_exponent == pytest.approx(dry.mu_exponent, abs=5e-3)


def test_humidity_makes_air_lighter_and_slower_to_heat():
    dry, wet = (humid_air(p=101325.0, T=308.15, relative_humidity=x) for x in (0.0, 1.0))
    assert wet.R > 1.015 * dry.R
    assert wet.cp > 1.02 * dry.cp
    assert wet.gamma < dry.gamma


def test_humid_air_broadcasts_and_gives_numbers_for_numbers():
    T, humidity = np.array([[280.0], [290.0], [300.0]]), np.array([0.2, 0.6])
    many = humid_air(p=101325.0, T=T, relative_humidity=humidity)
    assert many.shape == (3, 2)
    for i, j in np.ndindex(3, 2):
        one = humid_air(p=101325.0, T=T[i, 0], relative_humidity=humidity[j])
        assert np.ndim(one.R) == 0
        for name in ("R", "cp", "mu_ref", "mu_exponent"):
            assert getattr(many[i, j], name) == pytest.approx(getattr(one, name), rel=1e-12)


@pytest.mark.parametrize(
    ("p", "T", "humidity", "said"),
    [
        (101325.0, 380.0, 0.9, "mole fraction"),
        (101325.0, 300.0, 1.1, r"outside the range of validity: \(0\) to \(1\)"),
        (-1.0, 300.0, 0.5, "[Pp]ressure"),
        (101325.0, np.array([300.0, 900.0]), 0.5, "900"),
    ],
)
def test_impossible_humid_air_is_refused_in_one_line(p, T, humidity, said):
    with pytest.raises(GasError, match=said) as refusal:
        humid_air(p=p, T=T, relative_humidity=humidity)
    assert "\n" not in str(refusal.value)


REAL = ["CO2", "Methane", "N2", "Argon", "H2S", "NH3", "Propane", "Hydrogen", "Helium", "Air"]


@pytest.mark.parametrize("name", REAL)
def test_pure_gas_against_the_real_gas(name):
    p, T = 1e5, 293.15
    gas = pure_gas(name=name, p=p, T=T)

    assert density(gas=gas, p=p, T=T) == pytest.approx(PropsSI("D", "T", T, "P", p, name), rel=1e-5)
    assert sound_speed(gas=gas, T=T) == pytest.approx(PropsSI("A", "T", T, "P", p, name), rel=1e-2)
    for warmer in (0.0, COMPRESSION_WARMS / 2, COMPRESSION_WARMS):
        real = PropsSI("V", "T", T + warmer, "P", p, name)
        assert viscosity(gas=gas, T=T + warmer) == pytest.approx(real, rel=5e-3)
    start, entropy = PropsSI("H", "T", T, "P", p, name), PropsSI("S", "T", T, "P", p, name)
    for ratio in (1.1, 1.4):
        real = PropsSI("H", "P", p * ratio, "S", entropy, name) - start
        assert isentropic_work(gas=gas, Tt=T, pressure_ratio=ratio) == pytest.approx(real, rel=2e-3)


def test_air_as_a_mixture_of_its_parts():
    parts = {"N2": 0.7812, "O2": 0.2096, "Ar": 0.0092}
    mixed, whole = mixture(fractions=parts, p=101325.0, T=300.0), air()
    assert pytest.approx(whole.R, rel=1e-3) == mixed.R
    assert mixed.cp == pytest.approx(whole.cp, rel=2e-3)
    assert viscosity(gas=mixed, T=300.0) == pytest.approx(1.85373e-5, rel=5e-3)
    assert mixed.mu_exponent == pytest.approx(whole.mu_exponent, abs=0.02)


def test_humid_air_as_a_mixture_of_air_and_water():
    p, T, W = 101325.0, 308.15, humidity_ratio(p=101325.0, T=308.15, relative_humidity=0.6)
    x = W / 18.015 / (W / 18.015 + 1 / 28.9655)
    mixed, whole = mixture(fractions={"air": 1 - x, "H2O": x}, p=p, T=T), humid_air(p=p, T=T, relative_humidity=0.6)
    assert pytest.approx(whole.R, rel=1e-3) == mixed.R
    assert mixed.cp == pytest.approx(whole.cp, rel=3e-3)
    assert mixed.mu_ref == pytest.approx(whole.mu_ref, rel=1e-2)


def test_order_of_a_mixture_does_not_matter_and_it_broadcasts():
    p, T = 1e5, np.array([290.0, 300.0])
    one = mixture(fractions={"CH4": 0.6, "CO2": 0.4}, p=p, T=T)
    other = mixture(fractions={"CO2": 0.4, "CH4": 0.6, "N2": 0.0}, p=p, T=T)
    assert one.shape == (2,)
    assert one.mu_ref == pytest.approx(other.mu_ref, rel=1e-14)
    assert one.cp == pytest.approx(other.cp, rel=1e-14)


@pytest.mark.parametrize(
    ("fractions", "said"),
    [
        ({"methan": 1.0}, 'unknown gas "methan": did you mean Methane'),
        ({"CH": 1.0}, 'unknown gas "CH"'),
        ({"": 1.0}, "known are air, N2"),
        ({"HEOS::CO2": 1.0}, "unknown gas"),
        ({"CO2": 0.5, "CH4": 0.4}, "sum to 0.9: must sum to 1"),
        ({"CO2": -0.5, "N2": 1.5}, "must lie between 0 and 1"),
        ({"CO2": float("nan")}, "must lie between 0 and 1"),
        ({"CO2": 0.5, "carbondioxide": 0.5}, "stands twice"),
        ({}, "needs at least one gas"),
        ({"H2O": 1.0}, "would condense at 300 K"),
        ({"CO": 0.1, "N2": 0.9}, "count a trace of it as N2"),
    ],
)
def test_a_wrong_mixture_is_refused_in_one_line(fractions, said):
    with pytest.raises(GasError, match=said) as refusal:
        mixture(fractions=fractions, p=101325.0, T=300.0)
    assert "\n" not in str(refusal.value)


def test_water_vapour_below_saturation_is_a_gas():
    wet = mixture(fractions={"CH4": 0.58, "CO2": 0.38, "H2O": 0.04}, p=101325.0, T=308.15)
    assert 300 < wet.R < 320


def test_standard_atmosphere_against_two_libraries():
    heights = np.linspace(-500, 11000, 47)
    ours, icao = standard_atmosphere(altitude=heights), Icao(heights)
    assert ours.pressure == pytest.approx(icao.pressure, rel=2e-6)  # ISO 2533 rounds the gas constant to 287.05287
    assert ours.temperature == pytest.approx(icao.temperature, rel=1e-7)
    assert ours.density == pytest.approx(icao.density, rel=1e-5)
    for height in (0.0, 340.0, 1000.0, 6000.0):
        assert standard_atmosphere(altitude=height).pressure == pytest.approx(ATMOSPHERE_1976(height).P, rel=1e-9)
    assert pressure_altitude(pressure=ours.pressure) == pytest.approx(heights, abs=1e-6)


def test_importing_the_room_does_not_load_coolprop():
    code = "import sys; from aerodesign.gas import air, mixture; air.air(); print('CoolProp' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
