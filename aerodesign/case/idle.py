"""Settings of a case that have no effect, because of another one: told, so that nobody waits for what they ask."""

from collections.abc import Callable
from typing import Any, NamedTuple

from aerodesign.aero.sections import Ellipse, Rectangle
from aerodesign.case.contents import Case
from aerodesign.case.fields import fields_of
from aerodesign.case.parts import OPTIONS
from aerodesign.form import blade, wheel
from aerodesign.form.money import NOTHING
from aerodesign.form.rotor import ANY

EVERY: tuple[str, ...] = ()
"""All keys of a table, but for those that others need."""


def _wheel(case: Case, name: str) -> Any:
    """What the case says of the wheel: of a machine that it describes, or its choice for one to be sized."""
    described = case.given.parts.get("impeller", {}) if case.given is not None else {}
    return described.get(name, getattr(case.choices, name))


class Need(NamedTuple):
    """Keys of a table with what they need to have an effect, in words of the case file, and whether that is there."""

    table: str
    keys: tuple[str, ...]
    words: str
    met: Callable[[Case], bool]


NEEDS = (
    Need("belt", EVERY, 'drive.kind = "belt"', lambda case: case.drive.kind == "belt"),
    Need(
        "replaces", ("efficiency", "flow", "drive_efficiency"), "replaces.kind, the kind of machine to be replaced",
        lambda case: case.form.replaces.kind != NOTHING,
    ),
    Need("rotor", ("series",), "rotor.bearing left open", lambda case: case.form.rotor.bearing == ANY),
    Need("wheel", ("back_at", "back_thickness"), f'wheel.back = "{wheel.POINTS}"', lambda case: case.form.wheel.back == wheel.POINTS),
    Need("wheel", ("taper",), f'wheel.mounting = "{wheel.TAPER}"', lambda case: case.form.wheel.mounting == wheel.TAPER),
    Need(
        "wheel", ("pilot_diameter", "pilot_depth"), f'wheel.mounting = "{wheel.TIE_BOLT}"',
        lambda case: case.form.wheel.mounting == wheel.TIE_BOLT,
    ),
    Need("wheel", ("nose_length",), f'a wheel.nose other than "{wheel.BLUNT}"', lambda case: case.form.wheel.nose != wheel.BLUNT),
    Need("wheel", ("vane_height",), "wheel.back_vanes", lambda case: case.form.wheel.back_vanes > 0),
    Need("wheel", ("hole_at", "hole_diameter"), "wheel.balance_holes = true", lambda case: case.form.wheel.balance_holes),
    Need(
        "blade", ("angles_at", "hub_angles", "shroud_angles"), f'blade.angles = "{blade.POINTS}"',
        lambda case: case.form.blade.angles == blade.POINTS,
    ),
    Need(
        "blade", ("hub_loading", "shroud_loading"), f'blade.angles = "{blade.LOADING}"',
        lambda case: case.form.blade.angles == blade.LOADING,
    ),
    Need(
        "blade", ("trailing_edge_ratio",), f'a blade.trailing_edge other than "{blade.CUT}"',
        lambda case: case.form.blade.trailing_edge != blade.CUT,
    ),
    Need("blade", ("splitter_position",), "choices.splitters = true", lambda case: bool(_wheel(case, "splitters"))),
    Need("blade", ("clearance_inlet",), "a semi-open wheel (choices.covered = false)", lambda case: not _wheel(case, "covered")),
    Need("casing", ("centre_height",), 'casing.mount = "feet"', lambda case: case.form.casing.mount == "feet"),
    Need("choices", ("volute_width",), f'choices.volute_section = "{Rectangle.name}"', lambda case: case.choices.volute_section == Rectangle.name),
    Need("choices", ("volute_aspect",), f'choices.volute_section = "{Ellipse.name}"', lambda case: case.choices.volute_section == Ellipse.name),
)  # fmt: skip


def without_effect(case: Case) -> list[str]:
    """A line for each need that is not met of settings that the case gives; a machine that is only rated has its own dimensions."""
    left = set(case.defaults)
    lines = []
    for table, keys, words, met in NEEDS:
        given = [f"{table}.{key}" for key in keys or fields_of(OPTIONS[table]) if f"{table}.{key}" not in left]
        if given and not met(case):
            lines.append(f"{', '.join(given)}: without effect, needs {words}")
    return lines
