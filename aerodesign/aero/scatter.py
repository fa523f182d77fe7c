"""What the bands draw: every correlation about its data, what no correlation covers, and dimensions that were estimated."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.coefficients import OFFSETS, UNCERTAIN_ELSEWHERE, CalibratedModels, scatter_of
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.core.correlation import card
from aerodesign.core.quantities import Ratio, Values

Array = NDArray[np.float64]

THROAT = 0.02
"""Scatter of the inducer throat's capacity: boundary layers block 0 to 4 % of it (common practice, no source)."""

TIP_INCIDENCE = float(np.radians(2))
"""Scatter of the incidence at which an inducer's tip stalls: common practice, no source."""

CRITICAL_ANGLE = float(np.radians(2))
"""Scatter of the critical angle of a vaneless diffuser where its correlation states none."""

RELATIVE = {
    "impeller.r1h": 0.15,
    "impeller.axial_length": 0.15,
    "impeller.b1": 0.10,
    "impeller.thickness_hub": 0.30,
    "impeller.thickness_shroud": 0.30,
    "impeller.clearance": 0.30,
    "impeller.roughness": 0.50,
    "diffuser.r3": 0.05,
    "diffuser.b3": 0.10,
    "volute.A4": 0.10,
    "volute.size4": 0.10,
    "volute.r5": 0.05,
    "volute.cone_length": 0.30,
    "inlet.r0": 0.10,
}
"""Scatter of an estimated dimension, one standard deviation of its logarithm: how far machines of ordinary proportions lie
from the estimates of :mod:`aerodesign.aero.rating` (common practice, no source). A throat's size counts by its area.
"""

ABSOLUTE = {
    name: float(np.radians(3)) for name in ("impeller.beta1h_blade", "impeller.beta1s_blade", "impeller.beta2_blade")
}
"""Scatter of an estimated blade angle."""


@dataclass(frozen=True)
class Drawn:
    """Machines and models that scatter, arrays of shape ``(samples, 1)``, and the independent normal deviates behind them.

    ``throat`` multiplies the inducer's choking flow; ``critical_angle`` and ``tip_incidence`` add to the angles at which
    diffuser and inducer stall.
    """

    blower: Blower
    models: Models
    throat: Ratio
    critical_angle: Values
    tip_incidence: Values
    deviates: dict[str, Array]


def draw(
    blower: Blower,
    models: Models,
    *,
    estimated: tuple[str, ...] = (),
    samples: int,
    scale: float = 1.0,
    seed: int = 20,
) -> Drawn:
    """Draw everything that scatters, independently but for what a calibration found together.

    ``estimated`` names dimensions as ``"impeller.clearance"``; ``scale`` multiplies every scatter. The second half of the
    samples mirrors the first, so that whatever is linear in the deviates has no sampling error in its mean.
    """
    rng = np.random.default_rng(seed)

    def normal(*shape: int) -> Array:
        half = rng.standard_normal((*shape, (samples + 1) // 2))
        return np.concatenate([half, -half], axis=-1)[..., :samples]

    scatters = {
        p: scatter_of(p, function) for p, function in models.functions().items() if p not in UNCERTAIN_ELSEWHERE
    }
    deviates = {phenomenon: normal() for phenomenon in scatters}
    drawn = dict(deviates)
    if isinstance(models, CalibratedModels):
        _calibrate(deviates, drawn, scatters, models, normal(len(models.coefficients)))

    factors: dict[str, Values] = dict(models.factors)
    offsets: dict[str, Values] = dict(models.offsets)
    for phenomenon, deviate in deviates.items():
        move = scale * scatters[phenomenon] * deviate[:, None]
        if phenomenon in OFFSETS:
            offsets[phenomenon] = offsets.get(phenomenon, 0) + move
        else:
            factors[phenomenon] = factors.get(phenomenon, 1) * np.exp(move)

    others = {name: normal() for name in ("throat_blockage", "critical_angle", "tip_incidence")}
    dimensions = {name: normal() for name in estimated if name in RELATIVE or name in ABSOLUTE}
    angle = card(models.stall).scatter or CRITICAL_ANGLE
    return Drawn(
        blower=varied(blower, {name: scale * z[:, None] for name, z in dimensions.items()}),
        models=replace(models, factors=factors, offsets=offsets),
        throat=np.exp(scale * THROAT * others["throat_blockage"][:, None]),
        critical_angle=scale * angle * others["critical_angle"][:, None],
        tip_incidence=scale * TIP_INCIDENCE * others["tip_incidence"][:, None],
        deviates=drawn | others | {f"{name} (estimated)": z for name, z in dimensions.items()},
    )


def varied(blower: Blower, deviates: dict[str, Values]) -> Blower:
    """The flow path with estimated dimensions moved by so many of their scatters."""
    changes: dict[str, dict[str, Any]] = {"impeller": {}, "diffuser": {}, "volute": {}, "inlet": {}}
    for name, deviate in deviates.items():
        part, field = name.split(".")
        value = blower.r0 if part == "inlet" else getattr(getattr(blower, part), field)
        moved = value + ABSOLUTE[name] * deviate if name in ABSOLUTE else value * np.exp(RELATIVE[name] * deviate)
        changes[part][field] = moved
    _throat(blower, changes, deviates)
    return blower.but(
        r0=changes["inlet"].get("r0", blower.r0),
        impeller=blower.impeller.but(**changes["impeller"]),
        diffuser=blower.diffuser.but(**changes["diffuser"]),
        volute=blower.volute.but(**changes["volute"]),
    )


def _throat(blower: Blower, changes: dict[str, dict[str, Any]], deviates: dict[str, Values]) -> None:
    """A throat of another area, or on another base circle, has its centroid elsewhere: along the tangent at the estimate.

    The meanline asks the volute for area and centroid alone, so the size stays as it was.
    """
    volute, diffuser, wanted = blower.volute, blower.diffuser, changes["volute"]
    wanted.pop("size4", None)
    area = volute.A4
    for name in ("volute.size4", "volute.A4"):
        if name in deviates:
            area = area * np.exp(RELATIVE[name] * deviates[name])
    shape = dict(r3=diffuser.r3, b3=diffuser.b3)
    size = np.array([volute.size4, 1.01 * volute.size4])
    areas, centroids = volute.section.area(size=size, **shape), volute.section.centroid_radius(size=size, **shape)
    slope = (centroids[1] - centroids[0]) / (areas[1] - areas[0])
    outward = changes["diffuser"].get("r3", diffuser.r3) - diffuser.r3
    wanted |= {"A4": area, "r4": volute.r4 + slope * (area - volute.A4) + outward}


def _calibrate(
    deviates: dict[str, Array],
    drawn: dict[str, Array],
    scatters: dict[str, float],
    models: CalibratedModels,
    normal: Array,
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
