"""One function for one design and for many, in any units: shapes, equality one by one, and rescaled metre, kg, s, K."""

import dataclasses
import importlib
import inspect
import pkgutil

import numpy as np
import pytest

from aerodesign import correlations
from aerodesign.aero import meanline
from aerodesign.aero.blocks import solve_blocks
from aerodesign.aero.duty import Site
from aerodesign.aero.inducer import least_mach_inducer
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.aero.stage import Stage
from aerodesign.aero.triangles import Triangle
from aerodesign.core.correlation import REGISTRY, supply
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import quantities, quantity_of
from aerodesign.core.record import Record, is_number, leaves
from aerodesign.core.vocabulary import VOCABULARY

for module in pkgutil.iter_modules(correlations.__path__):
    importlib.import_module(f"{correlations.__name__}.{module.name}")

CORRELATIONS = {f"{room}.{name}": f for room, functions in REGISTRY.items() for name, f in functions.items()}

UNITS = {"m": 1.73, "kg": 0.41, "s": 2.6, "K": 0.83}
"""One of our units in the odd new ones: a length of 1 m reads 1.73."""

LEVELS = {"noise.sound_power_level", "noise.specific_sound_power_level"}
"""Correlations stated for SI units by their source."""


def factor(quantity):
    """By what a quantity's number grows in the odd units."""
    return float(np.prod([unit**exponent for unit, exponent in zip(UNITS.values(), quantity.exponents, strict=True)]))


def in_odd_units(value, name=None):
    """A record, or the number of a name in the vocabulary, in the odd units."""
    if isinstance(value, Record):
        written = quantities(type(value))
        return value.but(
            **{
                field: inner * factor(written[field]) if field in written and is_number(inner) else in_odd_units(inner)
                for field, inner in value.items()
            }
        )
    if name in VOCABULARY and VOCABULARY[name].quantity is not None:
        return value * factor(VOCABULARY[name].quantity)
    return value


def stage_outputs():
    """Fields and properties of a stage that hold a number per point, with their quantities."""
    found = {name: q for name, q in quantities(Stage).items() if name not in ("blower", "gas")}
    for name, member in inspect.getmembers(Stage, lambda m: isinstance(m, property)):
        quantity = quantity_of(inspect.get_annotations(member.fget, eval_str=True).get("return"))
        if quantity is not None:
            found[name] = quantity
    return found


OUTPUTS = stage_outputs()


def inputs_of(function, known, count):
    """Inputs of a correlation from a solved stage, those that stand outside of the flow by hand."""
    spread = np.linspace(0.8, 1.2, count)
    by_hand = dict(
        specific_speed=0.7 * spread, reynolds=3e5 * spread, relative_roughness=1e-4 * spread, flow=1.0 * spread,
        pressure_rise=1e4 * spread,
        inlet_blockage=0.1 * spread, flow_ratio=0.7 * spread, rise_total=2e4 * spread,
    )  # fmt: skip
    available = by_hand | known
    return {name: available[name] for name in inspect.signature(function).parameters}


# --- shapes -----------------------------------------------------------------------------------------------------------


def test_numbers_in_numbers_out(typical):
    """No 0-d arrays: every output of a single point is a number."""
    stage = typical.solve()
    for name in OUTPUTS:
        assert np.shape(getattr(stage, name)) == (), name
    for value in leaves(stage):
        assert not isinstance(value, np.ndarray)
    assert isinstance(stage.solved, (bool, np.bool_))


@pytest.mark.parametrize("name", CORRELATIONS)
def test_a_correlation_of_numbers_gives_a_number(name, typical):
    """For each in the registry."""
    function = CORRELATIONS[name]
    inputs = {key: np.ravel(value)[0] for key, value in inputs_of(function, typical.known(), 1).items()}
    assert not isinstance(function(**inputs), np.ndarray)


@pytest.mark.parametrize("name", CORRELATIONS)
def test_a_correlation_of_fifty_is_fifty_correlations(name, fifty):
    """And ``(7, 1)`` with ``(5,)`` gives ``(7, 5)``."""
    function = CORRELATIONS[name]
    inputs = {k: np.broadcast_to(v, 50) for k, v in inputs_of(function, fifty.known(), 50).items()}

    together = function(**inputs)
    one_by_one = [function(**{k: v[i] for k, v in inputs.items()}) for i in range(50)]
    np.testing.assert_allclose(together, one_by_one, rtol=1e-12)

    first, *rest = inputs
    crossed = {first: inputs[first][:7, None]} | {k: inputs[k][:5] for k in rest}
    assert np.shape(function(**crossed)) == ((7, 5) if rest else (7, 1))


def test_fifty_stages_at_once_are_fifty_stages(fifty):
    """Every output, to the last digits."""
    together = fifty.solve()
    blower = fifty.blower
    for i in range(50):
        point = {k: v[i] if isinstance(v, np.ndarray) else v for k, v in fifty.point.items()}
        alone = meanline.solve(blower[i], **point)
        assert bool(alone.solved) == bool(together.solved[i])
        for name in OUTPUTS:
            np.testing.assert_allclose(
                np.broadcast_to(getattr(together, name), 50)[i],
                getattr(alone, name),
                rtol=1e-9,
                atol=1e-12,
                err_msg=name,
            )


def test_speeds_down_and_flows_across(typical):
    """``(7, 1)`` with ``(5,)`` gives ``(7, 5)``, and each entry is the point's own."""
    speed = typical.point["speed"] * np.linspace(0.7, 1.1, 7)[:, None]
    flow = 1.2 * np.linspace(0.6, 1.2, 5)
    stage = typical.solve(speed=speed, mass_flow=flow)

    assert stage.shape == (7, 5)
    assert stage.efficiency_total.shape == (7, 5)
    assert stage[3, 2].efficiency_total == pytest.approx(
        typical.solve(speed=speed[3, 0], mass_flow=flow[2]).efficiency_total, rel=1e-12
    )


def test_wheels_broadcast_against_points(typical):
    """Three wheels times four flows, with an array among the models' factors."""
    stage = typical.wheel(blades=np.array([11, 14, 17])[:, None]).solve(
        mass_flow=1.2 * np.linspace(0.7, 1.1, 4), models=Models(factors={"friction": np.linspace(0.5, 2, 3)[:, None]})
    )
    assert stage.efficiency_total.shape == (3, 4)
    alone = typical.wheel(blades=17).solve(mass_flow=1.2 * 1.1, models=Models(factors={"friction": 2.0}))
    assert stage.efficiency_total[2, 3] == pytest.approx(alone.efficiency_total, rel=1e-12)


def test_nothing_given_is_changed(fifty):
    """Records and arrays come back as they went in."""
    before = [np.copy(value) for value in leaves(fifty.blower)] + [np.copy(fifty.point["mass_flow"])]
    fifty.solve()
    for old, new in zip(before, [*leaves(fifty.blower), fifty.point["mass_flow"]], strict=True):
        np.testing.assert_array_equal(old, new)


def test_inducer_broadcasts(typical):
    """Fields of the record have the broadcast shape; a scalar gives numbers."""
    given = dict(gas=typical.point["gas"], pt0=101325.0, Tt0=293.15, hub_ratio=0.35)
    flow, speed = np.linspace(0.3, 1.5, 5), np.linspace(900, 1600, 7)[:, None]
    many = least_mach_inducer(**given, mass_flow=flow, speed=speed)
    one = least_mach_inducer(**given, mass_flow=flow[4], speed=speed[2, 0])

    assert many.r1s.shape == (7, 5)
    np.testing.assert_allclose([part[2, 4] for part in many], list(one), rtol=1e-12)
    assert not any(isinstance(part, np.ndarray) for part in one)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_operation_broadcasts(typical, service):
    """A map of seven speeds and five flows, and one of its points."""
    site = Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])
    run = dict(service=service, basis="static", models=Models())
    speed, flow = typical.point["speed"] * np.linspace(0.8, 1.1, 7)[:, None], np.linspace(0.6, 1.2, 5)
    many = operate(typical.blower, site, **run, speed=speed, flow=flow)
    one = operate(typical.blower, site, **run, speed=speed[1, 0], flow=flow[3])

    assert many.pressure_rise.shape == (7, 5)
    assert many.pressure_rise[1, 3] == pytest.approx(one.pressure_rise, rel=1e-10)
    assert np.shape(one.pressure_rise) == ()


def test_blocks_are_the_same_points(typical, many):
    """In blocks as at once, for any shape, machine and block; an unknown output is refused."""
    speed = typical.point["speed"] * np.linspace(0.8, 1.1, 7)[:, None]
    point = typical.point | dict(speed=speed, mass_flow=1.2 * np.linspace(0.6, 1.2, 5))
    whole = meanline.solve(typical.blower, **point)
    kept = solve_blocks(typical.blower, **point, keep=("efficiency_total", "losses.friction"), block=4)

    assert sorted(kept) == ["efficiency_total", "losses.friction", "solved"]
    np.testing.assert_allclose(kept["efficiency_total"], whole.efficiency_total, rtol=1e-12)
    np.testing.assert_allclose(kept["losses.friction"], whole.losses["friction"], rtol=1e-12)
    np.testing.assert_array_equal(kept["solved"], whole.solved)

    swirled = solve_blocks(typical.blower, **point, alpha1=np.radians(20), keep=("work",), block=8)
    np.testing.assert_allclose(
        swirled["work"], meanline.solve(typical.blower, **point, alpha1=np.radians(20)).work, rtol=1e-12
    )

    models = Models(factors={"clearance": np.linspace(0, 2, 2000)})
    machines = solve_blocks(many.blower, **many.point, models=models, block=300)
    np.testing.assert_allclose(machines["rise_total"], many.solve(models=models).rise_total, rtol=1e-12)
    assert solve_blocks(typical.blower, **typical.point)["work"].shape == ()
    for name in ("colour", "gas", "losses.temper"):
        with pytest.raises(AerodesignError, match="keep"):
            solve_blocks(typical.blower, **typical.point, keep=(name,))


# --- units ------------------------------------------------------------------------------------------------------------


def test_odd_units_change_nothing_in_a_stage(many):
    """Every output grows as its quantity says: a dimensional slip anywhere would show."""
    stage = many.solve()
    point = {
        name: in_odd_units(value, name) if not isinstance(value, Record) else in_odd_units(value)
        for name, value in many.point.items()
    }
    odd = meanline.solve(in_odd_units(many.blower), **point)

    np.testing.assert_array_equal(odd.solved, stage.solved)
    ok = stage.solved & (stage.efficiency_total > 0.3)
    for name, quantity in OUTPUTS.items():
        ours = np.broadcast_to(getattr(stage, name), ok.shape)[ok]
        theirs = np.broadcast_to(getattr(odd, name), ok.shape)[ok]
        np.testing.assert_allclose(theirs, ours * factor(quantity), rtol=2e-8, atol=1e-8, err_msg=name)
    for name, loss in stage.losses.items():
        ours, theirs = (np.broadcast_to(x, ok.shape)[ok] for x in (loss, odd.losses[name]))
        scale = factor(quantities(Stage)["work"])
        np.testing.assert_allclose(theirs, ours * scale, rtol=1e-6, atol=1e-6, err_msg=name)


def test_odd_units_change_nothing_in_what_a_stage_offers(many):
    """Each name of the vocabulary that correlations may ask for."""
    point = {
        name: in_odd_units(value, name) if not isinstance(value, Record) else in_odd_units(value)
        for name, value in many.point.items()
    }
    known, odd = many.known(), meanline.known_quantities(in_odd_units(many.blower), **point)
    ok = known["solved"]
    for name, value in known.items():
        quantity = VOCABULARY[name].quantity
        if name == "log_rho2" or quantity is None:
            continue
        ours, theirs = (np.broadcast_to(x, ok.shape)[ok] for x in (value, odd[name]))
        np.testing.assert_allclose(theirs, ours * factor(quantity), rtol=1e-6, atol=1e-8, err_msg=name)


@pytest.mark.parametrize("name", sorted(set(CORRELATIONS) - LEVELS))
def test_odd_units_change_nothing_in_a_correlation(name, many):
    """Each by itself, on the quantities of two thousand stages."""
    function = CORRELATIONS[name]
    known = many.known()
    ok = known["solved"]
    inputs = {k: np.broadcast_to(v, ok.shape)[ok] for k, v in inputs_of(function, known, 2000).items()}
    odd = {k: v * factor(VOCABULARY[k].quantity) for k, v in inputs.items()}

    scale = factor(quantities(function)["return"])
    ours, theirs = function(**inputs), function(**odd)
    np.testing.assert_allclose(theirs, ours * scale, rtol=1e-10, atol=1e-12)


@pytest.mark.parametrize("service", ["pressure", "vacuum"])
def test_odd_units_change_nothing_in_an_operation(typical, service):
    """Site and machine in odd units: the same point."""
    site = Site(pressure=101325.0, temperature=293.15, gas=typical.point["gas"])
    run = dict(service=service, basis="static", models=Models())
    one = operate(typical.blower, site, **run, speed=1466.0, flow=1.0)
    other = operate(
        in_odd_units(typical.blower), in_odd_units(site), **run,
        speed=in_odd_units(1466.0, "speed"), flow=in_odd_units(1.0, "flow"),
    )  # fmt: skip
    assert other.pressure_rise == pytest.approx(in_odd_units(one.pressure_rise, "pressure_rise"), rel=1e-9)
    assert other.stage.efficiency_static == pytest.approx(one.stage.efficiency_static, rel=1e-9)


def test_odd_units_change_nothing_in_the_inducer(typical):
    """Mach number and angle stay, the radius grows as a length."""
    gas = typical.point["gas"]
    given = dict(pt0=101325.0, Tt0=293.15, mass_flow=1.2, speed=1466.0)
    one = least_mach_inducer(gas=gas, **given, hub_ratio=0.35)
    other = least_mach_inducer(
        gas=in_odd_units(gas), **{k: in_odd_units(v, k) for k, v in given.items()}, hub_ratio=0.35
    )
    assert other.mach1s == pytest.approx(one.mach1s, rel=1e-10)
    assert other.beta1s == pytest.approx(one.beta1s, rel=1e-10)
    assert other.r1s == pytest.approx(one.r1s * UNITS["m"], rel=1e-10)


def test_the_rescaling_would_find_a_slip(typical):
    """The check itself: a correlation with a hidden length fails it."""

    def careless(*, b2, cm2):
        return cm2**2 * b2 / (b2 + 0.001)

    known = typical.known()
    odd = {k: known[k] * factor(VOCABULARY[k].quantity) for k in ("b2", "cm2")}
    scale = factor(VOCABULARY["work"].quantity)
    assert careless(**odd) != pytest.approx(supply(careless, known) * scale, rel=1e-3)


def test_records_carry_their_exponents():
    """Spot checks of the exponents that the rescaling trusts."""
    odd = in_odd_units(Triangle(u=1.0, cm=1.0, cu=1.0))
    assert odd.u == pytest.approx(UNITS["m"] / UNITS["s"])
    assert [q.exponents for q in (VOCABULARY["R"].quantity, VOCABULARY["mu1"].quantity)] == [
        (2, 0, -2, -1), (-1, 1, -1, 0),
    ]  # fmt: skip
    assert dataclasses.is_dataclass(odd)
