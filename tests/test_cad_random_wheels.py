"""Random wheels from the range that the sizing draws from, fillets on: each is one valid solid that does not cross itself, or refused in words."""

import pytest
from random_wheels import random_wheels

from aerodesign.cad.gate import TOLERANCE, accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.form.blade import TRAILING_EDGES

pytestmark = pytest.mark.solids

COUNT, SEED = 60, 4
DESIGNS = list(enumerate(random_wheels(COUNT, SEED)))


def kind(wheel, form):
    return (bool(wheel.covered), bool(wheel.splitters), form.blade.surface)


def test_the_random_wheels_are_of_every_kind():
    kinds = [kind(*design) for _, design in DESIGNS]
    assert len(set(kinds)) == 8
    assert {form.blade.trailing_edge for _, (_, form) in DESIGNS} == set(TRAILING_EDGES)
    assert all(float(wheel.fillet) > 0 for _, (wheel, _) in DESIGNS)


@pytest.mark.slow
@pytest.mark.parametrize("number", range(COUNT))
def test_a_random_wheel_passes_the_gate(number):
    wheel, form = DESIGNS[number][1]
    solid = impeller_solid(wheel, form)
    judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=True)
    assert judged.volume == pytest.approx(solid.volume, rel=5e-5)
    assert judged.tolerance <= TOLERANCE == 3e-6
