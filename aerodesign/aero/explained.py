"""How one number of a design came about: its equation, the inputs with their values, the result, source and range."""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.design import Design
from aerodesign.aero.drive_line import whole_efficiency
from aerodesign.aero.relations import RELATIONS
from aerodesign.core.book import Step
from aerodesign.core.correlation import Card, Source, supply
from aerodesign.core.errors import CaseError
from aerodesign.core.quantities import Quantity, quantities
from aerodesign.core.record import Record, is_number
from aerodesign.core.texts import did_you_mean, nearest
from aerodesign.core.vocabulary import VOCABULARY
from aerodesign.correlations.cordier import specific_diameter, specific_speed

FROM_PHENOMENON = {"critical_angle": "stall", "friction_ratio": "rotation"}
"""Names that a correlation's result goes by, where neither its phenomenon nor ``loss_`` and the phenomenon is it."""
WHAT_BECOMES_OF_IT = {
    "friction": "the stage books it times friction_ratio, for the rotation of the passage",
    "incidence": "this is the mean streamline's; the stage books hub, mean and shroud by their parts of the flow",
    "blockage": "the exit's whole blockage counts the blades' metal beside it",
    "volute_dump": "booked as the isentropic work that its fall of total pressure takes away",
    "volute_mismatch": "booked as the isentropic work that its fall of total pressure takes away",
    "volute_friction": "booked as the isentropic work that its fall of total pressure takes away",
    "cone": "a coefficient on the kinetic energy in the throat",
}
"""What the meanline does with a correlation's result before a stage holds it."""
DEFINITION = Source("aerodesign", None, "definition or conservation law, as written above")
CASE = Source("the case and the search", None, "no equation of its own")

Steps = Mapping[str, Step]
"""Steps of books by name."""

NO_STEPS: Steps = MappingProxyType({})


@dataclass(frozen=True)
class Input:
    """One thing that an equation was given."""

    name: str
    value: Any
    quantity: Quantity | None
    meaning: str


@dataclass(frozen=True)
class Explanation:
    """One number explained. ``remarks`` says what the meanline does with the result."""

    name: str
    meaning: str
    value: Any
    quantity: Quantity | None
    equation: str
    inputs: tuple[Input, ...]
    source: Source
    ranges: tuple["Range", ...] = ()
    scatter: float | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Range:
    """The source's own range of one quantity, and that quantity here."""

    name: str
    low: float
    high: float
    value: Any
    quantity: Quantity | None

    @property
    def inside(self) -> bool:
        """True where the quantity lies in the range."""
        return bool(np.all((np.asarray(self.value) >= self.low) & (np.asarray(self.value) <= self.high)))


def explainable(design: Design, more: Steps = NO_STEPS) -> list[str]:
    """Names that :func:`explain` knows: of the flow, of the machine as it is run, and of ``more`` steps."""
    names = {*RELATIONS, *_correlations(design), *steps_of(design), *more, "specific_speed", "specific_diameter"}
    return sorted(names | {name for name, value in _known(design).items() if is_number(value)})


def explain(design: Design, name: str, more: Steps = NO_STEPS) -> Explanation:
    """How a number of the design point came about. Raises CaseError for a name that is none of :func:`explainable`."""
    known, chosen, steps = _known(design), _correlations(design), {**steps_of(design), **more}
    if name in chosen:
        return _correlation(design, name, *chosen[name], known)
    if name in steps:
        return _step(design, name, steps[name])
    if name in RELATIONS:
        function = RELATIONS[name]
        inputs = {key: known[key] for key in inspect.signature(function).parameters}
        return _explanation(name, function, inputs, known[name], DEFINITION)
    if name in ("specific_speed", "specific_diameter"):
        return _size_number(design, name)
    if is_number(known.get(name)):
        return _plain(design, name, known[name])
    names = explainable(design, more)
    hint = did_you_mean(nearest(name, names)) or "leave the quantity out for a list"
    raise CaseError(f'explain "{name}": no such quantity; {hint}')


def _known(design: Design) -> dict[str, Any]:
    """Everything that has a name at the design point."""
    stage = design.stage
    found = meanline.known_quantities(
        design.blower, gas=stage.gas, pt0=stage.pt0, Tt0=stage.Tt0, mass_flow=stage.mass_flow, speed=stage.speed, alpha1=stage.alpha1,
        models=design.models,
    )  # fmt: skip
    for part in (
        design.choices,
        stage.gas,
        design.blower.impeller,
        design.blower.diffuser,
        design.blower.volute,
        stage,
    ):
        found |= {key: value for key, value in part.items() if is_number(value)}
    found |= {f"loss_{key}": value for key, value in stage.losses.items() if f"loss_{key}" not in found}
    for key in (*RELATIONS, "efficiency_impeller", "de_haller", "mach2", "pressure_coefficient"):
        if hasattr(stage, key):
            found[key] = getattr(stage, key)
    point = design.points[design.design_index]
    extra = {
        key: getattr(point, key)
        for key in ("shaft_power", "drive_power", "efficiency", "discharge_temperature", "pressure_rise")
    }
    extra |= dict(
        u1=stage.mean.u,
        w2_mixed=stage.exit.w,
        r0=design.blower.r0,
        drive_efficiency=whole_efficiency(design.drive.kind, design.form.belt),
    )
    return found | extra


def _correlations(design: Design) -> dict[str, tuple[str, Callable[..., Any]]]:
    """The correlations of the run under the names of their results: phenomenon and function."""
    found = {}
    for phenomenon, function in design.models.functions().items():
        # Incidence is an angle and a loss, mismatch a ratio and a loss: the word alone is not the loss.
        if phenomenon not in VOCABULARY or phenomenon == "slip":
            found[phenomenon] = (phenomenon, function)
        if f"loss_{phenomenon}" in VOCABULARY:
            found[f"loss_{phenomenon}"] = (phenomenon, function)
    for name, phenomenon in FROM_PHENOMENON.items():
        if phenomenon:
            found[name] = (phenomenon, design.models.functions()[phenomenon])
    return found


def steps_of(design: Design) -> dict[str, Step]:
    """The steps of the machine as it is run: drive line, sound, money."""
    run = design.running
    return {**run.drive_line.steps, **run.sound.steps, **run.money.steps}


def _step(design: Design, name: str, step: Step) -> Explanation:
    """A step of a book; of what it holds for all duty points, the design point's."""
    card = getattr(step.function, "card", None)
    inputs, value = step.inputs, step.value
    if step.pointwise:
        inputs, value = {key: _at_design(one, design) for key, one in inputs.items()}, _at_design(value, design)
    source = step.source or (card.source if card else DEFINITION)
    return _explanation(name, step.function, inputs, value, source, _ranges(card, inputs))


def _correlation(
    design: Design, name: str, phenomenon: str, function: Callable[..., Any], known: dict[str, Any]
) -> Explanation:
    """A correlation with what it asks for at the solved point; the number that the stage holds, where it is another."""
    asked = inspect.signature(function).parameters
    known = known | dict(specific_speed=design.specific_speed)
    missing = [key for key in asked if key not in known]
    if missing:
        raise CaseError(
            f'explain "{name}": is asked along the way, with {", ".join(missing)} of each step; it has no single value'
        )
    value = design.models.adjusted(phenomenon, supply(function, known))
    remarks = []
    for kind, table in (("factor", design.models.factors), ("offset", design.models.offsets)):
        if phenomenon in table:
            remarks.append(f"a calibration's {kind} {float(np.ravel(table[phenomenon])[0]):.4g} is counted")
    if phenomenon in WHAT_BECOMES_OF_IT:
        remarks.append(WHAT_BECOMES_OF_IT[phenomenon])
        held = known.get(f"loss_{phenomenon}")
        if held is not None:
            remarks.append(f"booked: {float(held):.5g} J/kg")
    card: Card = function.card  # type: ignore[attr-defined]
    inputs = {key: known[key] for key in asked}
    found = _explanation(name, function, inputs, value, card.source, _ranges(card, known), tuple(remarks))
    return replace(found, scatter=card.scatter)


def _size_number(design: Design, name: str) -> Explanation:
    function: Callable[..., Any] = specific_speed if name == "specific_speed" else specific_diameter
    value = getattr(design, name)
    given = dict(speed=design.stage.speed, diameter=2 * design.blower.impeller.r2, flow=design.stage.flow)
    # The work is the duty's, which the record keeps only within the numbers made of it.
    given["work"] = (design.stage.speed * np.sqrt(design.stage.flow) / design.specific_speed) ** (4 / 3)
    inputs = {key: given[key] for key in inspect.signature(function).parameters}
    return _explanation(name, function, inputs, value, DEFINITION)


def _plain(design: Design, name: str, value: Any) -> Explanation:
    """A number without an equation of its own: a dimension, a choice, or one that the meanline solves for with others."""
    dimensions = {
        f.name for part in (design.blower.impeller, design.blower.diffuser, design.blower.volute) for f in fields(part)
    }
    if name in {f.name for f in fields(design.choices)} - {f.name for f in fields(design.stage)}:
        words = "a choice of the case, or its default"
    elif name in dimensions or name in ("r0", "speed"):
        words = (
            "found by the search over the meanline, within the choices of the case"
            if design.sized
            else "given by the case, or estimated"
        )
    else:
        words = "solved by the meanline together with the other quantities of its station; see DEVELOPERS.md, section 4"
    term = VOCABULARY.get(name)
    return Explanation(name, term.meaning if term else "", value, term.quantity if term else None, words, (), CASE)


def _explanation(
    name: str, function: Callable[..., Any], inputs: dict[str, Any], value: Any, source: Source, ranges: tuple[Range, ...] = (),
    remarks: tuple[str, ...] = (),
) -> Explanation:  # fmt: skip
    kinds = quantities(function)
    # The machine's functions use plain words, as power, for their own inputs: the vocabulary is the flow's.
    ours = not function.__module__.startswith(("aerodesign.machine", "aerodesign.whole"))
    meaning = {key: VOCABULARY[key].meaning for key in (*inputs, name) if ours and key in VOCABULARY}
    given = tuple(Input(key, one, kinds.get(key), meaning.get(key, "")) for key, one in inputs.items())
    equation = inspect.getdoc(function) or ""
    return Explanation(
        name, meaning.get(name, ""), value, kinds.get("return"), equation, given, source, ranges, remarks=remarks
    )


def _ranges(card: Card | None, known: Mapping[str, Any]) -> tuple[Range, ...]:
    """The ranges of a correlation, with the quantities that they are of."""
    valid = card.valid if card else {}
    return tuple(
        Range(name, low, high, known[name], VOCABULARY[name].quantity)
        for name, (low, high) in valid.items()
        if name in known
    )


def _at_design(value: Any, design: Design) -> Any:
    """Of what has one entry per duty point, the design point's."""
    count = len(design.points.flow)
    if isinstance(value, Record):
        return value.but(**{key: _at_design(one, design) for key, one in value.items()})
    if isinstance(value, np.ndarray) and value.ndim and value.shape[-1] == count:
        return value[..., design.design_index]
    return value
