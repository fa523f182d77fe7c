"""How far the prediction may be off: the scatter of the correlations carried through the meanline."""

from dataclasses import dataclass

import numpy as np

from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.core.correlation import card
from aerodesign.core.quantities import Speed, Values, VolumeFlow

UNSTATED = 0.3
"""Relative scatter (one standard deviation) of a loss whose source states none: common practice, no source."""

OFFSETS = {"slip": 0.02}
"""Phenomena whose scatter is absolute."""


@dataclass(frozen=True)
class Bands:
    """90 % intervals (low, high) at one operating point, and each phenomenon's part of the variance of efficiency and rise."""

    rise: tuple[float, float]
    work: tuple[float, float]
    efficiency: tuple[float, float]
    contributors: dict[str, dict[str, float]]
    samples: int


def bands(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    flow: VolumeFlow,
    speed: Speed,
    models: Models,
    samples: int = 4000,
) -> Bands:
    """Draw every phenomenon's factor (or the slip's offset) from its scatter, independently, and take the 5 and 95 % quantiles.

    Deterministic: fixed seed. The correlations' common bias is not in it: no machine tells that before it is tested.
    """
    rng = np.random.default_rng(20)
    factors: dict[str, Values] = dict(models.factors)
    offsets: dict[str, Values] = dict(models.offsets)
    drawn = {}
    for phenomenon, function in models.functions().items():
        if phenomenon in ("stall", "cordier"):
            continue
        normal = rng.standard_normal(samples)
        drawn[phenomenon] = normal
        if phenomenon in OFFSETS:
            offsets[phenomenon] = offsets.get(phenomenon, 0) + (card(function).scatter or OFFSETS[phenomenon]) * normal
        else:
            spread = np.log1p(card(function).scatter or UNSTATED)
            factors[phenomenon] = factors.get(phenomenon, 1) * np.exp(spread * normal)
    from dataclasses import replace

    result = operate(
        blower,
        site,
        service=service,
        basis=basis,
        flow=flow,
        speed=speed,
        models=replace(models, factors=factors, offsets=offsets),
    )
    efficiency = result.stage.efficiency_static if basis == "static" else result.stage.efficiency_total
    outputs = {"rise": result.pressure_rise, "work": result.stage.work, "efficiency": efficiency}
    contributors = {
        name: {p: float(np.corrcoef(normal, value)[0, 1] ** 2) for p, normal in drawn.items()}
        for name, value in outputs.items()
    }
    quantiles = {name: tuple(np.quantile(value, [0.05, 0.95]).tolist()) for name, value in outputs.items()}
    return Bands(**quantiles, contributors=contributors, samples=samples)
