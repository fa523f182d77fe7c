"""How far the prediction may be off: all that scatters (:mod:`aerodesign.aero.scatter`) carried through the meanline.

A bias that the correlations share is in no band: no machine tells that before it is tested.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.blocks import solve_blocks
from aerodesign.aero.duty import Site
from aerodesign.aero.impeller import Blower
from aerodesign.aero.models import Models
from aerodesign.aero.operation import operate, static_pressure
from aerodesign.aero.performance_map import performance_map, stall_criteria
from aerodesign.aero.scatter import Array, Drawn, draw
from aerodesign.aero.stage import PASSAGES
from aerodesign.core.correlation import supply
from aerodesign.core.quantities import Pressure, Speed, Values, VolumeFlow
from aerodesign.correlations.stall import inducer_incidence
from aerodesign.gas.perfect import isentropic_work

SAMPLES = 20_000
"""Samples of the operating point: the ends of its bands are then sure within 1.5 % of their width."""

LINES = 512
"""Whole speed lines sampled for choke, stall and the band on the map, at ``LINE_FLOWS`` flows each."""

LINE_FLOWS = 25

SIDES = (0.05, 0.95)
"""The ends of a 90 % interval."""

KEPT = ("pt5", "p5", "work")
CHOKES = tuple(f"choke_{name}" for name in PASSAGES)

Kept = Mapping[str, Any]


@dataclass(frozen=True)
class Interval:
    """A 90 % interval, ``low`` and ``high`` of shape (points,), and each input's part of the variance, by name."""

    low: Array
    high: Array
    contributors: dict[str, Array]


@dataclass(frozen=True)
class Line:
    """The 90 % interval of the pressure rise along the speed line of the operating point: arrays of equal length."""

    flow: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class Bands:
    """90 % intervals (low, high) at one operating point and for its speed line, and who makes them wide.

    ``rise``, ``work`` and ``efficiency`` at the point; ``choke`` and ``stall`` as volume flows at the point's speed, where
    the stall band mixes the criteria, each as likely as the others. ``contributors`` holds, per quantity, each input's part
    of the variance, ``unsolved`` the part of the samples at the point whose meanline did not close (they count all the same).
    """

    rise: tuple[float, float]
    work: tuple[float, float]
    efficiency: tuple[float, float]
    choke: tuple[float, float]
    stall: tuple[float, float]
    contributors: dict[str, dict[str, float]]
    samples: int
    line: Line
    unsolved: float = 0.0
    estimated: tuple[str, ...] = field(default=())

    def biggest(self, quantity: str, count: int = 2) -> list[tuple[str, float]]:
        """The biggest contributors to a quantity's variance: name and part."""
        return sorted(self.contributors[quantity].items(), key=lambda item: -item[1])[:count]


def bands(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    flow: VolumeFlow,
    speed: Speed,
    models: Models,
    line: VolumeFlow | None = None,
    estimated: tuple[str, ...] = (),
    samples: int = SAMPLES,
    scatter: float = 1.0,
) -> Bands:
    """Draw all that scatters ``samples`` times and take the 5 and 95 % quantiles. Deterministic: fixed seeds.

    What a calibration found is drawn from what it left open instead. ``line`` holds the first and last flow of the speed
    line, which is looked for where it is not given; ``estimated`` names dimensions that are estimates; ``scatter``
    multiplies every scatter.
    """
    common: dict[str, Any] = dict(service=service, basis=basis, models=models)
    ends = _line_ends(blower, site, flow=flow, speed=speed, **common) if line is None else line
    flows = np.linspace(np.min(ends), np.max(ends), LINE_FLOWS)

    drawn = draw(blower, models, estimated=estimated, samples=samples, scale=scatter)
    point = run_samples(drawn, blower, site, flow=np.array([flow]), speed=speed, keep=KEPT, **common)
    found = {name: _interval(value, drawn) for name, value in _headline(point, site, basis).items()}

    few = draw(blower, models, estimated=estimated, samples=LINES, scale=scatter, seed=21)
    keep = (*KEPT, *CHOKES, "stall_margin", "incidence_shroud")
    lines = run_samples(few, blower, site, flow=flows, speed=speed, keep=keep, **common)
    nominal = operate(blower, site, flow=flows, speed=speed, **common).stage
    low, high = _quantiles(lines["rise"])

    rng = np.random.default_rng(22)
    choke = _choke(few, lines, nominal, flows)
    found["choke"] = _interval(_response(few, choke, drawn, rng)[:, None], drawn)
    criteria = {name: _response(few, value, drawn, rng) for name, value in _stall(few, lines, flows).items()}
    which = rng.integers(len(criteria), size=samples)
    stall = np.choose(which, list(criteria.values()))
    found["stall"] = _interval(stall[:, None], drawn)
    means = np.array([value.mean() for value in criteria.values()])[which]
    found["stall"].contributors["choice_of_criterion"] = np.array([means.var() / max(stall.var(), 1e-300)])

    return Bands(
        **{name: (float(one.low[0]), float(one.high[0])) for name, one in found.items()},
        contributors={
            name: {key: float(part[0]) for key, part in one.contributors.items()} for name, one in found.items()
        },
        samples=samples,
        line=Line(flow=flows, low=low, high=high),
        unsolved=float(1 - point["solved"].mean()),
        estimated=estimated,
    )


def intervals(
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    flow: VolumeFlow,
    speed: Speed,
    models: Models,
    keep: tuple[str, ...],
    read: Callable[[Kept], dict[str, Values]],
    estimated: tuple[str, ...] = (),
    samples: int = SAMPLES,
) -> dict[str, Interval]:
    """90 % intervals of whatever ``read`` makes of the samples, at many operating points at once.

    ``flow`` and ``speed`` have the shape (points,). ``read`` gets the fields or properties of a stage that ``keep`` names,
    and ``pt0`` and ``rise``, each of shape (samples, points), and gives quantities of that shape by name.
    """
    drawn = draw(blower, models, estimated=estimated, samples=samples)
    common: dict[str, Any] = dict(service=service, basis=basis, models=models)
    kept = run_samples(drawn, blower, site, flow=flow, speed=speed, keep=(*KEPT, *keep), **common)
    return {name: _interval(value, drawn) for name, value in read(kept).items()}


def run_samples(
    drawn: Drawn,
    blower: Blower,
    site: Site,
    *,
    service: str,
    basis: str,
    flow: VolumeFlow,
    speed: Speed,
    models: Models,
    keep: tuple[str, ...],
) -> dict[str, NDArray[Any]]:
    """Solve every sample at every point; what ``keep`` names, ``rise`` and ``pt0``, each of shape (samples, points).

    The samples breathe the inlet state of the undisturbed machine. In vacuum service theirs differs by some parts in a
    hundred, which the ratio of pressures feels through the Reynolds number alone; the suction is taken at their own.
    """
    gas, Tt0 = site.gas, site.temperature
    breathes = operate(blower, site, service=service, basis=basis, flow=flow, speed=speed, models=models).stage.pt0
    pt0 = np.broadcast_to(breathes, np.shape(flow))
    kept = solve_blocks(
        drawn.blower,
        gas=gas,
        pt0=pt0,
        Tt0=Tt0,
        mass_flow=flow * pt0 / (gas.R * Tt0),
        speed=speed,
        models=drawn.models,
        keep=tuple(dict.fromkeys(keep)),
    )
    reached = kept["p5"] if basis == "static" else kept["pt5"]
    rise = reached - pt0
    if service == "vacuum":
        own = site.pressure / np.clip(reached / pt0, 0.5, 5)
        rise = site.pressure - static_pressure(
            gas=gas, pt=own, Tt=Tt0, mass_flow=flow * own / (gas.R * Tt0), area=drawn.blower.A0
        )
    return kept | {"rise": rise, "pt0": np.broadcast_to(pt0, rise.shape)}


def _headline(kept: Kept, site: Site, basis: str) -> dict[str, Values]:
    reached: Pressure = kept["p5"] if basis == "static" else kept["pt5"]
    useful = isentropic_work(gas=site.gas, Tt=site.temperature, pressure_ratio=reached / kept["pt0"])
    return {"rise": kept["rise"], "work": kept["work"], "efficiency": useful / kept["work"]}


def _interval(values: Array, drawn: Drawn) -> Interval:
    """Quantiles over the samples, and each input's part of the variance; shape (points,).

    The part is that of the best fit by a deviate and its square: the squared correlations with ``z`` and ``z**2 - 1``, which are
    uncorrelated. What inputs do only together is nobody's part.
    """
    low, high = _quantiles(values)
    known = np.isfinite(values)
    about = np.where(known, values - np.nanmean(np.where(known, values, np.nan), axis=0), 0)
    spread = np.sum(about**2, axis=0)
    parts = {}
    for name, z in drawn.deviates.items():
        squares = [(term @ about) ** 2 / np.maximum(term**2 @ known, 1e-300) for term in (z, z**2 - 1)]
        parts[name] = (squares[0] + squares[1]) / np.maximum(spread, 1e-300)
    return Interval(low=low, high=high, contributors=parts)


def _quantiles(values: Array) -> tuple[Array, Array]:
    """Ends of the 90 % interval over the samples; a sample without a finite value has no part in it."""
    low, high = np.nanquantile(np.where(np.isfinite(values), values, np.nan), SIDES, axis=0)
    return low, high


def _line_ends(blower: Blower, site: Site, *, flow: VolumeFlow, speed: Speed, **common: Any) -> VolumeFlow:
    chart = performance_map(
        blower, site, speeds=np.array([speed]), design_flow=flow, design_speed=speed, flows=3, **common
    )
    return np.asarray(chart.operation.flow[0])


def _choke(drawn: Drawn, lines: Kept, nominal: Any, flows: Array) -> Array:
    """Volume flow at which each sample chokes, from the state at the line's end on along the undisturbed line's tangent.

    The choking flow of a passage behind the wheel depends on the pressure ahead of it and so on the flow itself.
    """
    # In vacuum service the gas ahead of the wheel grows denser along the line.
    density = nominal.mass_flow / flows
    chokes = [lines[name][:, -1] * (drawn.throat[:, 0] if name == "choke_inducer" else 1) for name in CHOKES]
    least = np.minimum.reduce(chokes) / density[-1]
    undisturbed = np.broadcast_to(nominal.choke_flow, flows.shape) / density
    slope = np.clip((undisturbed[-1] - undisturbed[-2]) / (flows[-1] - flows[-2]), -3, 0.5)
    return np.asarray(flows[-1] + (least - flows[-1]) / (1 - slope))


def _stall(drawn: Drawn, lines: Kept, flows: Array) -> dict[str, Array]:
    """Flow at which each sample meets each criterion; the line's lowest flow where it never does, nan where parts are missing."""
    allowed = supply(inducer_incidence, {"beta1s_blade": drawn.blower.impeller.beta1s_blade})
    found = stall_criteria(
        flow=np.broadcast_to(flows, lines["rise"].shape),
        pressure_rise=lines["rise"],
        diffuser_margin=lines["stall_margin"] + drawn.critical_angle,
        inducer_margin=allowed + drawn.tip_incidence - lines["incidence_shroud"],
    )
    whole = np.isfinite(lines["rise"]).all(axis=1)
    return {
        name: np.where(whole, np.where(np.isfinite(value), value, flows[0]), np.nan) for name, value in found.items()
    }


def _response(few: Drawn, values: Array, many: Drawn, rng: np.random.Generator) -> Array:
    """Values at many deviates from those at few, by a polynomial without mixed terms; its misfit is drawn from its residuals."""

    def terms(drawn: Drawn) -> Array:
        z = np.array(list(drawn.deviates.values()))
        return np.concatenate([np.ones_like(z[:1]), z, z**2]).T

    known = np.isfinite(values)
    if known.sum() < 2 * terms(few).shape[1]:
        return np.full(terms(many).shape[0], np.nan)
    basis = terms(few)[known]
    coefficients, *_ = np.linalg.lstsq(basis, values[known], rcond=None)
    residual = values[known] - basis @ coefficients
    # what the fit's freedom took from the residuals comes back
    residual = residual * np.sqrt(len(residual) / (len(residual) - basis.shape[1]))
    drawn = terms(many) @ coefficients + rng.choice(residual, size=terms(many).shape[0])
    return np.clip(drawn, 0, None)
