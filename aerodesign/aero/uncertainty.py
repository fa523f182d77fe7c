"""How far the prediction may be off: the scatter of the correlations carried through the meanline."""

from dataclasses import dataclass, replace

import numpy as np

from aerodesign.aero.coefficients import OFFSETS, UNCERTAIN_ELSEWHERE, CalibratedModels, scatter_of
from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate
from aerodesign.core.quantities import Speed, Values, VolumeFlow


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

    What a calibration found is drawn from what it left open instead. Deterministic: fixed seed. The correlations' common bias
    is not in it: no machine tells that before it is tested.
    """
    rng = np.random.default_rng(20)
    scatters = {
        p: scatter_of(p, function) for p, function in models.functions().items() if p not in UNCERTAIN_ELSEWHERE
    }
    deviates: dict[str, Values] = {phenomenon: rng.standard_normal(samples) for phenomenon in scatters}
    drawn = dict(deviates)
    if isinstance(models, CalibratedModels):
        _calibrate(deviates, drawn, scatters, models, rng.standard_normal((len(models.coefficients), samples)))

    factors: dict[str, Values] = dict(models.factors)
    offsets: dict[str, Values] = dict(models.offsets)
    for phenomenon, deviate in deviates.items():
        if phenomenon in OFFSETS:
            offsets[phenomenon] = offsets.get(phenomenon, 0) + scatters[phenomenon] * deviate
        else:
            factors[phenomenon] = factors.get(phenomenon, 1) * np.exp(scatters[phenomenon] * deviate)
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


def _calibrate(
    deviates: dict[str, Values],
    drawn: dict[str, Values],
    scatters: dict[str, float],
    models: CalibratedModels,
    normal: Values,
) -> None:
    """Replace the part of the deviates that a calibration moved by draws from its covariance; the rest stays as it was.

    A factor common to several phenomena is one direction among their deviates. Across that direction they scatter as before:
    the test only told about their sum.
    """
    variances, vectors = np.linalg.eigh(models.covariance)
    known = vectors @ (np.sqrt(np.maximum(variances, 0))[:, None] * normal)
    for coefficient, deviate in zip(models.coefficients, known, strict=True):
        members = coefficient.phenomena
        direction = np.array([1 / scatters[member] for member in members])
        direction = direction / np.linalg.norm(direction)
        common = sum(u * deviates[member] for u, member in zip(direction, members, strict=True))
        for u, member in zip(direction, members, strict=True):
            own = deviates[member] - u * common
            deviates[member] = own + coefficient.scatter / scatters[member] * deviate
            drawn.pop(member)
            if len(members) > 1:
                drawn[member] = own
        drawn[f"{coefficient.name} (calibrated)"] = deviate
