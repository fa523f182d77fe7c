"""The coefficients that a test can move, how far each may be off before any test, and models moved by one.

Every phenomenon carries a normal deviate: that of the slip adds to the slip factor, the others multiply their result by
the exponential of it. Uncertainty bands draw these deviates; a calibration finds them from test points.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.models import Models
from aerodesign.core.correlation import card
from aerodesign.core.errors import CaseError

UNSTATED = 0.3
"""Relative scatter (one standard deviation) of a loss whose source states none: common practice, no source."""

OFFSETS = {"slip": 0.02}
"""Phenomena whose scatter is absolute."""

UNCERTAIN_ELSEWHERE = ("stall", "cordier", "good_stage")
"""Phenomena without a part in pressure, work and efficiency."""

GROUPS = {
    "friction": ("friction", "vaneless"),
    "volute": ("volute_dump", "volute_mismatch", "volute_friction", "cone"),
}
"""Coefficients that move several phenomena by one factor, because a test at the flanges cannot tell them apart: the
skin friction of wheel and diffuser, and all that happens behind the volute's base circle."""


@dataclass(frozen=True)
class Coefficient:
    """A factor on some phenomena, or an offset (``absolute``) on one, and its prior ``scatter``: one standard deviation
    of the offset or of the factor's logarithm.
    """

    name: str
    phenomena: tuple[str, ...]
    absolute: bool
    scatter: float


def scatter_of(phenomenon: str, function: Callable[..., Any]) -> float:
    """One standard deviation of a phenomenon's offset, or of its factor's logarithm, as its card or common practice has it."""
    stated = card(function).scatter
    return stated or OFFSETS[phenomenon] if phenomenon in OFFSETS else float(np.log1p(stated or UNSTATED))


def coefficient(name: str, models: Models) -> Coefficient:
    """The coefficient of a name: a group, or a single phenomenon. Raises CaseError for an unknown name.

    The members of a group scatter independently of each other. Moved as one, by ``d`` in the logarithm, they lie
    ``sqrt(sum((d / s_i)**2))`` deviations from their priors, which makes ``d`` normal with ``1 / s**2 = sum(1 / s_i**2)``.
    """
    functions = {key: f for key, f in models.functions().items() if key not in UNCERTAIN_ELSEWHERE}
    members = GROUPS.get(name, (name,))
    if not set(members) <= set(functions):
        raise CaseError(
            f'coefficient "{name}": no such coefficient; there are {", ".join(dict.fromkeys([*GROUPS, *functions]))}'
        )
    scatters = np.array([scatter_of(member, functions[member]) for member in members])
    return Coefficient(name, members, members[0] in OFFSETS, float(1 / np.sqrt(np.sum(1 / scatters**2))))


def moved(
    models: Models, coefficients: tuple[Coefficient, ...], deviates: Any
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Factors and offsets of models after each coefficient moved by so many of its prior deviations.

    ``deviates`` has one entry per coefficient, a number or an array; what the models held before is kept and multiplied
    or added to.
    """
    factors, offsets = dict(models.factors), dict(models.offsets)
    for one, deviate in zip(coefficients, deviates, strict=True):
        for phenomenon in one.phenomena:
            if one.absolute:
                offsets[phenomenon] = offsets.get(phenomenon, 0) + one.scatter * deviate
            else:
                factors[phenomenon] = factors.get(phenomenon, 1) * np.exp(one.scatter * deviate)
    return factors, offsets


@dataclass(frozen=True)
class CalibratedModels(Models):
    """Models whose factors and offsets come from a test.

    ``covariance`` is how sure the test made the ``coefficients``, each counted in its prior deviations: the unit matrix
    where it told nothing.
    """

    coefficients: tuple[Coefficient, ...] = ()
    covariance: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 0)))

    def functions(self) -> dict[str, Callable[..., Any]]:
        """Phenomenon and function, in the order of the flow."""
        return {name: f for name, f in super().functions().items() if name not in ("coefficients", "covariance")}
