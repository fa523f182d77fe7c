"""Every correlation carries its source, range and meaning; the registry finds it, and models are chosen by name."""

import importlib
import inspect
import pkgutil

import numpy as np
import pytest

from aerodesign import correlations
from aerodesign.aero.models import Models, models_named
from aerodesign.core.correlation import PRACTICE, REGISTRY, Source, card, correlation, outside, supply
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import quantities
from aerodesign.core.vocabulary import VOCABULARY
from aerodesign.correlations.slip import stanitz, wiesner
from aerodesign.machine import noise

MODULES = [
    importlib.import_module(f"{correlations.__name__}.{m.name}") for m in pkgutil.iter_modules(correlations.__path__)
] + [noise]
ALL = {f"{phenomenon}.{name}": f for phenomenon, group in REGISTRY.items() for name, f in group.items()}


@pytest.mark.parametrize("name", ALL)
def test_card(name):
    """Source with author and title, first line of the docstring as purpose, a range that is one, a positive scatter."""
    function = ALL[name]
    found = card(function)

    assert f"{found.phenomenon}.{found.name}" == name
    assert quantities(function)["return"] == quantities(next(iter(REGISTRY[found.phenomenon].values())))["return"]
    assert found.source.author
    assert found.source.title
    assert found.purpose == inspect.getdoc(function).splitlines()[0].strip()
    assert len(found.purpose) > 20
    assert found.scatter is None or found.scatter > 0
    for quantity, (low, high) in found.valid.items():
        assert quantity in VOCABULARY
        assert low < high


@pytest.mark.parametrize("name", ALL)
def test_parameters_are_keywords_without_defaults(name):
    """Two floats in a row will be swapped one day; a hidden default is a hidden choice."""
    for parameter in inspect.signature(ALL[name]).parameters.values():
        assert parameter.kind is inspect.Parameter.KEYWORD_ONLY
        assert parameter.default is inspect.Parameter.empty


def test_registry_lists_every_marked_function_under_its_phenomenon():
    """And nothing else; a phenomenon is a module's, or a part of its own."""
    marked = {
        (member.card.phenomenon, name)
        for module in MODULES
        for name, member in vars(module).items()
        if inspect.isfunction(member) and hasattr(member, "card") and member.__module__ == module.__name__
    }
    assert set(Models().functions()) <= set(REGISTRY)
    assert marked == {(phenomenon, name) for phenomenon, group in REGISTRY.items() for name in group}


def test_sources_say_where_they_were_read():
    """An author with a year was not read unless an opened page is named; practice and own derivations have no year."""
    for name, function in ALL.items():
        source = card(function).source
        if source.year is None:
            continue
        assert source.from_memory or any(word in source.where + source.title for word in ("coded in", "printed at")), (
            name
        )
    assert str(PRACTICE) == "common practice: no source"
    assert "[from memory]" in str(card(wiesner).source)


def test_ranges_are_stated_in_what_a_solved_stage_offers(typical):
    """So that a range left shows as a flag, and never goes unseen."""
    offered = set(typical.known())
    for phenomenon, function in Models().functions().items():
        if phenomenon == "cordier":  # its range is the sizing's, before any stage is solved
            continue
        assert set(card(function).valid) <= offered, phenomenon


def test_outside_masks_each_input_with_a_range():
    """Both ends belong to the range; an input that is not given is not judged."""
    low, high = card(wiesner).valid["blades_effective"]
    mask = outside(wiesner, blades_effective=np.array([low - 1, low, high, high + 1]), beta2_blade=np.radians(40))

    assert set(mask) == {"blades_effective", "beta2_blade"}
    assert mask["blades_effective"].tolist() == [True, False, False, True]
    assert not mask["beta2_blade"]
    assert np.ndim(mask["beta2_blade"]) == 0


def test_outside_flags_nothing_of_a_typical_machine(typical):
    """Every default correlation is used within its range at the design point of an ordinary blower."""
    known = typical.known()
    for phenomenon, function in Models().functions().items():
        assert not any(np.any(mask) for mask in outside(function, **known).values()), phenomenon


def test_supply_gives_what_is_asked_and_no_more():
    """A correlation gets its parameters from many; where one is missing Python names it."""
    known = dict(blades_effective=12, beta2_blade=0.7, radius_ratio=0.5, other=1)
    assert supply(stanitz, known) == pytest.approx(1 - 0.63 * np.pi / 12)
    with pytest.raises(TypeError, match="radius_ratio"):
        supply(wiesner, {k: v for k, v in known.items() if k != "radius_ratio"})


def test_adding_a_correlation_is_one_function(typical, monkeypatch):
    """A marked function is at once in the registry, on offer by name, and solves a stage."""
    monkeypatch.setitem(REGISTRY, "test_correlations", {})

    @correlation(source=Source("A. Author", 2000, "A slip factor", from_memory=True), valid={"blades": (3, 30)})
    def guided(*, blades):
        """Slip factor of one: blades without number, for a test."""
        return 1 + 0 * blades

    assert REGISTRY["test_correlations"] == {"guided": guided}
    stage = typical.solve(models=Models(slip=guided))
    assert stage.slip == 1
    assert stage.work > typical.solve().work


def test_models_by_name():
    """Words stand for functions only here; the others keep their defaults."""
    models = models_named({"slip": "stanitz", "inlet": "elbow", "volute_friction": "half_turn_friction"})

    assert models.slip is stanitz
    assert models.inlet.__name__ == "elbow"
    assert models.volute_friction.__name__ == "half_turn_friction"
    assert models.friction is Models().friction


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ({"slop": "wiesner"}, r"models\.slop: no such phenomenon; there are inlet, preswirl, slip, "),
        ({"slip": "weisner"}, r'models\.slip = "weisner": no such correlation; there are wiesner, stanitz, stodola'),
    ],
)
def test_unknown_names_are_refused_with_the_known_ones(names, said):
    """The message names the key, what was got, and what there is."""
    with pytest.raises(CaseError, match=said):
        models_named(names)


def test_every_name_on_offer_can_take_its_place(typical):
    """A case file that picks any correlation listed for a phenomenon must not fail when the stage is solved."""
    for phenomenon, default in Models().functions().items():
        if phenomenon == "cordier":
            continue
        for name in REGISTRY[phenomenon]:
            if name == default.__name__:
                continue
            try:
                stage = typical.solve(models=models_named({phenomenon: name}))
            except TypeError as problem:
                pytest.fail(f'models.{phenomenon} = "{name}": {problem}')
            assert 0.6 < stage.efficiency_total < 0.95, (phenomenon, name)


@pytest.mark.parametrize("name", ["slip", "loading", "volute_friction"])
def test_factors_and_offsets(name):
    """A factor multiplies, an offset adds afterwards; other phenomena stay."""
    models = Models(factors={name: 2.0}, offsets={name: 0.5})
    assert models.adjusted(name, 3.0) == pytest.approx(6.5)
    assert models.adjusted("mixing", 3.0) == 3.0
