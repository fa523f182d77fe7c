"""The one door to CoolProp: imported when first used, called with arrays of any shape."""

import re
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from aerodesign.core.errors import GasError, MissingLibrary
from aerodesign.core.quantities import Values
from aerodesign.core.texts import did_you_mean, nearest


@cache
def library() -> Any:
    """The CoolProp module. Raises MissingLibrary where it is not installed."""
    try:
        from CoolProp import CoolProp
    except ImportError as cause:
        raise MissingLibrary(f"gas properties need CoolProp ({cause}): pip install CoolProp") from cause
    return CoolProp


def humid(output: str, **state: Values) -> Values:
    """A property of humid air from three inputs, named as CoolProp does (``T``, ``P`` and ``R`` or ``W``); broadcasts.

    Raises GasError where no such humid air exists, as where the vapour alone would exceed the pressure.
    """
    (a, b, c), function = state, library().HAPropsSI
    return _broadcast("humid air", lambda x, y, z: function(output, a, x, b, y, c, z), *state.values())


def fluid(output: str, name: str, **state: Values) -> Values:
    """A property of a pure fluid from two inputs, named as CoolProp does (``T`` and ``P`` or ``Dmolar``); broadcasts.

    Raises GasError where CoolProp has no answer.
    """
    (a, b), function = state, library().PropsSI
    return _broadcast(name, lambda x, y: function(output, a, x, b, y, name), *state.values())


def _broadcast(what: str, function: Callable[..., Any], *inputs: Values) -> Values:
    arrays = np.broadcast_arrays(*inputs)
    flat = [np.ascontiguousarray(a, dtype=float).ravel() for a in arrays]
    try:
        values = np.asarray(function(*flat), dtype=float)
        for bad in np.flatnonzero(~np.isfinite(values))[:1]:
            # Of several states CoolProp returns the bad ones as inf; a bad one alone raises and says why.
            function(*(float(a[bad]) for a in flat))
            raise ValueError("no finite value")
    except ValueError as cause:
        reason = re.split(r" : (?:HA)?PropsSI", str(cause))[0].strip()
        raise GasError(f"{what}: no such state for CoolProp: {reason}") from cause
    return values.reshape(arrays[0].shape)[()]


def fluid_name(name: str) -> str:
    """CoolProp's own name of a pure fluid from any of its names. Raises GasError with the nearest known names."""
    exact, folded = _names()
    found = exact.get(name) or folded.get(name.casefold())
    if found is None:
        near = nearest(name.casefold(), folded, most=3, likeness=0.7)
        raise GasError(f'unknown gas "{name}": {did_you_mean(folded[n] for n in near) or COMMON}')
    return found


COMMON = "known are air, N2, O2, Ar, He, H2, CO2, CH4, C2H6, H2S, NH3, H2O and others of CoolProp"


@cache
def _names() -> tuple[dict[str, str], dict[str, str]]:
    coolprop = library()
    exact = {alias: name for name in coolprop.FluidsList() for alias in (name, *coolprop.get_aliases(name)) if alias}
    return exact, {alias.casefold(): name for alias, name in reversed(exact.items())}
