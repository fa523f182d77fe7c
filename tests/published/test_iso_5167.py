"""Flow meters of ISO 5167, against the library `fluids` that carries the same standards."""

import numpy as np
import pytest
from fluids.flow_meter import (
    C_ISA_1932_nozzle,
    C_long_radius_nozzle,
    C_Reader_Harris_Gallagher,
    differential_pressure_meter_solver,
    nozzle_expansibility,
    orifice_expansibility,
)

from aerodesign.rig import discharge
from aerodesign.rig.meters import measured_flow

WATER = dict(pressure=2e5, difference=17e3, density=999.1, viscosity=0.0011, gamma=1.33)
AIR = dict(pressure=1.25e5, difference=3e3, density=1.35, viscosity=1.95e-5, gamma=1.4)


def theirs(kind, bore, pipe, fluid, **more):
    return differential_pressure_meter_solver(
        D=pipe, D2=bore, P1=fluid["pressure"], P2=fluid["pressure"] - fluid["difference"], rho=fluid["density"],
        mu=fluid["viscosity"], k=fluid["gamma"], meter_type=kind, **more,
    )  # fmt: skip


def test_the_worked_orifice_of_the_library():
    # fluids 1.3.1 prints 7.702338035732167 kg/s for these numbers.
    flow = measured_flow(kind="orifice", bore=0.05, pipe=0.07366, taps="D and D/2", **WATER)
    assert flow.mass_flow == pytest.approx(7.702338035732167, rel=1e-12)


@pytest.mark.parametrize("taps", ["corner", "flange", "D and D/2"])
@pytest.mark.parametrize("pipe", [0.055, 0.0712, 0.25, 0.9])
@pytest.mark.parametrize("beta", [0.15, 0.45, 0.74])
def test_orifice_coefficient(taps, pipe, beta):
    for reynolds in (6e3, 2e5, 3e7):
        m = np.pi / 4 * pipe * AIR["viscosity"] * reynolds
        C = C_Reader_Harris_Gallagher(pipe, beta * pipe, AIR["density"], AIR["viscosity"], m, taps=taps)
        assert discharge.orifice(beta=beta, pipe=pipe, reynolds=reynolds, taps=taps) == pytest.approx(C, rel=1e-12)


@pytest.mark.parametrize("beta", [0.3, 0.55, 0.8])
@pytest.mark.parametrize("reynolds", [8e4, 1e6, 9e6])
def test_nozzle_coefficients(beta, reynolds):
    pipe = 0.2
    m = np.pi / 4 * pipe * AIR["viscosity"] * reynolds
    arguments = (pipe, beta * pipe, AIR["density"], AIR["viscosity"], m)
    isa = discharge.isa_1932_nozzle(beta=beta, reynolds=reynolds)
    assert isa == pytest.approx(C_ISA_1932_nozzle(*arguments), rel=1e-12)
    long = discharge.long_radius_nozzle(beta=beta, reynolds=reynolds)
    assert long == pytest.approx(C_long_radius_nozzle(*arguments), rel=1e-12)


@pytest.mark.parametrize("beta", [0.2, 0.5, 0.75])
@pytest.mark.parametrize("difference", [50.0, 5e3, 3e4])
def test_expansibilities(beta, difference):
    p, k = 1.2e5, 1.4
    known = dict(beta=beta, pressure=p, difference=difference, gamma=k)
    orifice = orifice_expansibility(1.0, beta, p, p - difference, k)
    assert discharge.orifice_expansibility(**known) == pytest.approx(orifice, rel=1e-13)
    # The library's own subtraction of powers loses digits at small differences, ours does not.
    nozzle = nozzle_expansibility(1.0, beta, p, p - difference, k)
    assert discharge.nozzle_expansibility(**known) == pytest.approx(nozzle, rel=1e-11)


@pytest.mark.parametrize(
    ("ours", "library", "more"),
    [
        ("orifice", "ISO 5167 orifice", {"taps": "flange"}),
        ("orifice", "ISO 5167 orifice", {"taps": "corner"}),
        ("ISA 1932 nozzle", "ISA 1932 nozzle", {}),
        ("long-radius nozzle", "long radius nozzle", {}),
        ("cast venturi", "as cast convergent venturi tube", {}),
        ("machined venturi", "machined convergent venturi tube", {}),
        ("welded venturi", "rough welded convergent venturi tube", {}),
    ],
)
@pytest.mark.parametrize("fluid", [WATER, AIR], ids=["water", "air"])
def test_whole_meters(ours, library, more, fluid):
    flow = measured_flow(kind=ours, bore=0.14, pipe=0.25, **more, **fluid).mass_flow
    assert flow == pytest.approx(theirs(library, 0.14, 0.25, fluid, **more), rel=1e-10)


def test_passes_on_the_reynolds_number_suffice():
    beta, pressures = np.linspace(0.1, 0.75, 14)[:, None], np.geomspace(5, 3e4, 15)
    known = dict(kind="orifice", bore=0.06 * beta, pipe=0.06, taps="flange", **{**AIR, "difference": pressures})
    flow = measured_flow(**known)
    again = discharge.orifice(beta=beta, pipe=0.06, reynolds=flow.reynolds, taps="flange")
    inside = flow.reynolds > 5e3
    assert np.sum(inside) > 120
    assert np.abs(again / flow.coefficient - 1)[inside].max() < 1e-11
