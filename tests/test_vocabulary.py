"""All names stand in one table: fields of records, parameters of correlations, and what a solved stage offers them."""

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from typing import get_type_hints

import numpy as np
import pytest

import aerodesign
from aerodesign.core.correlation import REGISTRY, _asked, supply
from aerodesign.core.quantities import quantities
from aerodesign.core.record import Record, is_number
from aerodesign.core.vocabulary import VOCABULARY

ROOMS = ("core", "gas", "correlations", "aero")
"""Rooms whose records an engineer's program reads and writes; the others' belong to their own drawings."""

for room in ROOMS:
    package = importlib.import_module(f"{aerodesign.__name__}.{room}")
    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"{package.__name__}.{module.name}")

CORRELATIONS = [function for room in REGISTRY.values() for function in room.values()]


def records(of: type = Record) -> Iterator[type]:
    """All records of the rooms."""
    for kind in of.__subclasses__():
        if kind.__module__.split(".")[:2] in [[aerodesign.__name__, room] for room in ROOMS]:
            yield kind
        yield from records(kind)


RECORDS = list(records())


def offered(typical) -> set[str]:
    """Names under which a solved stage offers its quantities."""
    return set(typical.known())


def used(typical) -> set[str]:
    """All names in use."""
    fields = {name for kind in RECORDS for name in kind.__dataclass_fields__}
    parameters = {name for function in CORRELATIONS for name in inspect.signature(function).parameters}
    return fields | parameters | offered(typical)


def test_every_name_in_use_is_explained(typical):
    """A new field or parameter needs a line in aerodesign/core/vocabulary.py."""
    assert len(RECORDS) > 10
    assert sorted(used(typical) - set(VOCABULARY)) == []


def test_every_explained_name_is_in_use(typical):
    """A name that went out of use leaves the table."""
    assert sorted(set(VOCABULARY) - used(typical)) == []


@pytest.mark.parametrize("owner", [*RECORDS, *CORRELATIONS], ids=lambda owner: owner.__name__)
def test_a_name_means_the_same_quantity_everywhere(owner):
    """A length is a length in every record and every correlation."""
    for name, quantity in quantities(owner).items():
        if name != "return":
            assert VOCABULARY[name].quantity == quantity, (owner, name)


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_every_number_in_a_record_has_a_quantity(kind):
    """A field without one holds a truth value, a word or another record."""
    written, hints = quantities(kind), get_type_hints(kind)
    for name in kind.__dataclass_fields__:
        if hints[name] is not bool:
            assert written.get(name) == VOCABULARY[name].quantity, name


@pytest.mark.parametrize("function", CORRELATIONS, ids=lambda f: f"{f.card.phenomenon}.{f.__name__}")
def test_every_parameter_of_a_correlation_has_a_quantity(function):
    """And so has what it returns."""
    written = quantities(function)
    assert set(written) == {*inspect.signature(function).parameters, "return"}


def test_meanings_are_one_line_and_differ():
    """Two names with one meaning are one name too many."""
    meanings = [term.meaning for term in VOCABULARY.values()]
    assert all(meaning and "\n" not in meaning and len(meaning) < 110 for meaning in meanings)
    assert len(set(meanings)) == len(meanings)


def test_a_solved_stage_offers_numbers_of_the_right_quantity(typical):
    """Under a name that stands for a number, a number is offered, and the correlations' own results agree with it."""
    known = typical.known()
    for name, value in known.items():
        if VOCABULARY[name].quantity is not None:
            assert is_number(value), name
    assert known["slip"] == pytest.approx(supply(REGISTRY["slip"]["wiesner"], known), rel=1e-12)
    assert np.isfinite(known["p5"])


def test_correlations_of_the_flow_can_all_be_supplied(typical):
    """Whatever a correlation asks for, a solved stage knows, or the card says that it stands outside of the flow."""
    outside_the_flow = {
        "backswept_line",
        "haaland",
        "galvas",
        "conrad",
        "sound_power_level",
        "specific_sound_power_level",
        "stepanoff",
    }
    known = offered(typical)
    for function in CORRELATIONS:
        if function.__name__ not in outside_the_flow:
            assert set(_asked(function)) <= known, function.__name__
