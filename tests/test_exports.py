"""What the package offers, and that importing it stays light."""

import subprocess
import sys

import pytest

import aerodesign
from aerodesign.core.errors import AerodesignError

HEAVY = (
    "cadquery", "OCP", "matplotlib", "meshio", "CoolProp", "scipy.optimize", "scipy.interpolate", "scipy.stats",
    "pandas", "jinja2",
)  # fmt: skip


def loaded_by(code: str) -> set[str]:
    """Modules that a fresh Python has loaded after some code."""
    script = f"{code}\nimport sys\nprint(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "code",
    ["import aerodesign", "from aerodesign.aero import meanline, sizing, performance_map, blocks"],
    ids=["package", "aerodynamics"],
)
def test_import_is_light(code):
    """Neither the package nor its aerodynamics loads a library that only one room needs."""
    modules = loaded_by(code)
    assert "aerodesign" in modules
    assert {name for name in HEAVY if name in modules} == set()


def test_every_public_name_is_there():
    """Each can be had, is listed once, and comes from where the list says."""
    assert sorted(set(aerodesign.__all__)) == sorted(aerodesign.__all__)
    for name in aerodesign.__all__:
        member = getattr(aerodesign, name)
        if name in aerodesign.PUBLIC and hasattr(member, "__module__"):
            assert member.__module__.startswith(aerodesign.PUBLIC[name]), name
    assert set(aerodesign.__all__) <= set(dir(aerodesign))


def test_public_things_explain_themselves():
    """A docstring for each."""
    for name in aerodesign.PUBLIC:
        assert (getattr(aerodesign, name).__doc__ or "").strip(), name


def test_an_unknown_name_is_an_attribute_error():
    """As of any module."""
    with pytest.raises(AttributeError, match="spiral"):
        _ = aerodesign.spiral_staircase


def test_errors_have_their_own_exit_status():
    """So that a script can tell an infeasible duty from a broken case file."""

    def tree(kind):
        for child in kind.__subclasses__():
            yield child
            yield from tree(child)

    named = {kind.__name__: kind.exit_status for kind in tree(AerodesignError)}
    assert named["CaseError"] == 2
    assert named["InfeasibleDuty"] == 4
    assert all(2 <= status <= 7 for status in named.values())
