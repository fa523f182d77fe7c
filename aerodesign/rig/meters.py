"""Kinds of flow meters: which coefficient, which expansibility, in what range, how well known; and the flow they measured."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Density, Length, MassFlow, Pressure, Ratio, Values, Viscosity
from aerodesign.core.record import Record, record
from aerodesign.rig import discharge

PASSES = 10
"""Passes on the Reynolds number: the coefficient hardly depends on it; ten leave less than 1e-12."""


@record
class Metered(Record):
    """What a meter measured. ``reynolds`` counts in the pipe, at an inlet nozzle in the throat.

    The spreads are the standard's uncertainties at 95 %, as parts of coefficient and expansibility.
    """

    mass_flow: MassFlow
    coefficient: Ratio
    expansibility: Ratio
    reynolds: Ratio
    beta: Ratio
    coefficient_spread: Ratio
    expansibility_spread: Ratio


@dataclass(frozen=True)
class Kind:
    """A kind of meter. ``limits`` are the standard's own, by ``pipe`` (m), ``beta`` and ``reynolds``.

    ``coefficient_spread`` and ``expansibility_spread`` are relative, at 95 %. ``beta`` is 0 where the flow starts from rest.
    """

    coefficient: Callable[..., Ratio]
    expansibility: Callable[..., Ratio]
    coefficient_spread: Callable[..., Ratio]
    expansibility_spread: Callable[..., Ratio]
    source: Source
    limits: dict[str, tuple[float, float]] = field(default_factory=dict)
    has_bore: bool = True
    has_pipe: bool = True


def _orifice_spread(*, beta: Ratio, pipe: Length) -> Ratio:
    middle = np.where(beta < 0.2, 0.7 - beta, np.where(beta <= 0.6, 0.5, 1.667 * beta - 0.5))
    small = 0.9 * (0.75 - beta) * np.maximum(2.8 - 2.8 * pipe / discharge.SMALL_PIPE, 0)
    return 0.01 * (middle + small)[()]


def _isa_spread(*, beta: Ratio, pipe: Length) -> Ratio:
    return 0.01 * np.where(beta <= 0.6, 0.8, 2 * beta - 0.4)[()]


def _constant(value: float) -> Callable[..., Ratio]:
    def coefficient(**_: Values | str) -> Ratio:
        return value

    return coefficient


def _orifice_coefficient(*, beta: Ratio, pipe: Length, reynolds: Ratio, taps: str) -> Ratio:
    return discharge.orifice(beta=beta, pipe=pipe, reynolds=reynolds, taps=taps)


def _isa_coefficient(*, beta: Ratio, pipe: Length, reynolds: Ratio, taps: str) -> Ratio:
    return discharge.isa_1932_nozzle(beta=beta, reynolds=reynolds)


def _long_coefficient(*, beta: Ratio, pipe: Length, reynolds: Ratio, taps: str) -> Ratio:
    return discharge.long_radius_nozzle(beta=beta, reynolds=reynolds)


def _pitot(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    return discharge.pitot_expansibility(pressure=pressure, difference=difference, gamma=gamma)


def _of_difference(factor: float) -> Callable[..., Ratio]:
    """A spread of the expansibility: so many times the difference over the upstream pressure."""

    def spread(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
        return factor * difference / pressure

    return spread


def _orifice_expansibility_spread(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    return 0.035 * difference / (gamma * pressure)


def _venturi_expansibility_spread(*, beta: Ratio, pressure: Pressure, difference: Pressure, gamma: Ratio) -> Ratio:
    return 0.01 * (4 + 100 * beta**8) * difference / pressure


def _venturi(coefficient: float, spread: float, pipe: tuple[float, float], beta: tuple[float, float]) -> Kind:
    return Kind(
        _constant(coefficient), discharge.nozzle_expansibility, _constant(spread), _venturi_expansibility_spread,
        discharge.VENTURI, {"pipe": pipe, "beta": beta, "reynolds": (2e5, 2e6)},
    )  # fmt: skip


def _inlet(coefficient: float, spread: float) -> Kind:
    return Kind(
        _constant(coefficient), discharge.nozzle_expansibility, _constant(spread), _of_difference(0.02),
        discharge.INLET, {"reynolds": (1e5, 1e8)}, has_pipe=False,
    )  # fmt: skip


KINDS: dict[str, Kind] = {
    "orifice": Kind(
        _orifice_coefficient, discharge.orifice_expansibility, _orifice_spread, _orifice_expansibility_spread,
        discharge.ORIFICE, {"pipe": (0.05, 1.0), "beta": (0.1, 0.75), "reynolds": (5e3, 1e9)},
    ),
    "ISA 1932 nozzle": Kind(
        _isa_coefficient, discharge.nozzle_expansibility, _isa_spread, _of_difference(0.02),
        discharge.NOZZLE, {"pipe": (0.05, 0.5), "beta": (0.3, 0.8), "reynolds": (7e4, 1e7)},
    ),
    "long-radius nozzle": Kind(
        _long_coefficient, discharge.nozzle_expansibility, _constant(0.02), _of_difference(0.02),
        discharge.NOZZLE, {"pipe": (0.05, 0.63), "beta": (0.2, 0.8), "reynolds": (1e4, 1e7)},
    ),
    "cast venturi": _venturi(0.984, 0.007, (0.1, 0.8), (0.3, 0.75)),
    "machined venturi": _venturi(0.995, 0.01, (0.05, 0.25), (0.4, 0.75)),
    "welded venturi": _venturi(0.985, 0.015, (0.2, 1.2), (0.4, 0.7)),
    "bell-mouth inlet": _inlet(0.99, 0.015),
    "conical inlet": _inlet(0.96, 0.02),
    "pitot traverse": Kind(
        _constant(1.0), _pitot, _constant(0.02), _constant(0.0), discharge.TRAVERSE, {}, has_bore=False,
    ),
}  # fmt: skip
"""The kinds by name. Venturi tubes are the classical ones; spreads of inlets and traverse are common practice, no source."""


def measured_flow(
    *,
    kind: str,
    bore: Length,
    pipe: Length,
    pressure: Pressure,
    difference: Pressure,
    density: Density,
    viscosity: Viscosity,
    gamma: Ratio,
    taps: str = "corner",
    coefficient: Ratio = float("nan"),
) -> Metered:
    """Mass flow through a meter of one of the :data:`KINDS`; ``bore`` or ``pipe`` is nan where the kind has none.

    ``pressure`` and ``density`` are the static ones upstream (of an inlet nozzle: of the air at rest; of a Pitot
    traverse: at the traverse). A ``coefficient`` that is not nan, from a calibration, replaces the standard's.
    """
    meter = KINDS[kind]
    throat = bore if meter.has_bore else pipe
    beta = bore / pipe if meter.has_bore and meter.has_pipe else 0.0 * throat
    across = pipe if meter.has_pipe else throat

    state = dict(beta=beta, pressure=pressure, difference=difference, gamma=gamma)
    epsilon = meter.expansibility(**state)
    ideal = np.pi / 4 * throat**2 / np.sqrt(1 - beta**4) * epsilon * np.sqrt(2 * density * difference)
    per_flow = 4 / (np.pi * across * viscosity)

    C = 0.0 * ideal + 1.0
    for _ in range(PASSES):
        standard: Any = meter.coefficient(beta=beta, pipe=across, reynolds=per_flow * C * ideal, taps=taps)
        C = np.where(np.isnan(coefficient), standard, coefficient)[()]
    flow = C * ideal
    return Metered(
        mass_flow=flow,
        coefficient=C + 0 * flow,
        expansibility=epsilon,
        reynolds=per_flow * flow,
        beta=beta,
        coefficient_spread=meter.coefficient_spread(beta=beta, pipe=across),
        expansibility_spread=meter.expansibility_spread(**state),
    )
