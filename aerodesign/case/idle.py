"""Settings of a case that have no effect, because of another one: told, so that nobody waits for what they ask."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from aerodesign.aero.choices import Choices
from aerodesign.aero.impeller import Impeller
from aerodesign.aero.sections import Ellipse, Rectangle
from aerodesign.case.contents import Case
from aerodesign.case.fields import fields_of
from aerodesign.case.parts import OPTIONS
from aerodesign.form import Form, blade, wheel
from aerodesign.form.money import NOTHING
from aerodesign.form.rotor import ANY

EVERY: tuple[str, ...] = ()
"""All keys of a table."""


SIZES_ONLY = tuple(
    key
    for key in fields_of(Choices)
    if key
    not in ("inlet_velocity", "mechanical_efficiency", "volute_section", "volute_width", "volute_aspect", "volute_side")
)
"""Choices that only the search reads: a machine that the case describes has its own dimensions."""


@dataclass(frozen=True)
class Asked:
    """A case, and whether its machine is the one that it describes in ``[rate]`` or one to be sized."""

    case: Case
    rated: bool

    @property
    def form(self) -> Form:
        """The choices of form."""
        return self.case.form

    def wheel(self, name: str) -> Any:
        """A number of the wheel that is chosen or described."""
        if not self.rated:
            return getattr(self.case.choices, name)
        return self._described("impeller").get(name, fields_of(Impeller)[name].default)

    @property
    def section(self) -> str:
        """Name of the volute's section."""
        return self._described("volute")["section"].name if self.has_section else self.case.choices.volute_section

    @property
    def has_section(self) -> bool:
        """True where the case describes the section of its machine's volute."""
        return self.rated and "section" in self._described("volute")

    def _described(self, part: str) -> Mapping[str, Any]:
        return self.case.given.parts.get(part, {}) if self.case.given is not None else {}


class Need(NamedTuple):
    """Keys of a table with what they need to have an effect, in words of the case file, and whether that is there."""

    table: str
    keys: tuple[str, ...]
    words: str
    met: Callable[[Asked], bool]


NEEDS = (
    Need("belt", EVERY, 'drive.kind = "belt"', lambda asked: asked.case.drive.kind == "belt"),
    Need(
        "replaces", ("efficiency", "flow", "drive_efficiency"), "replaces.kind, the kind of machine to be replaced",
        lambda asked: asked.form.replaces.kind != NOTHING,
    ),
    Need("rotor", ("series",), "rotor.bearing left open", lambda asked: asked.form.rotor.bearing == ANY),
    Need("wheel", ("back_at", "back_thickness"), f'wheel.back = "{wheel.POINTS}"', lambda asked: asked.form.wheel.back == wheel.POINTS),
    Need("wheel", ("taper",), f'wheel.mounting = "{wheel.TAPER}"', lambda asked: asked.form.wheel.mounting == wheel.TAPER),
    Need(
        "wheel", ("pilot_diameter", "pilot_depth"), f'wheel.mounting = "{wheel.TIE_BOLT}"',
        lambda asked: asked.form.wheel.mounting == wheel.TIE_BOLT,
    ),
    Need("wheel", ("nose_length",), f'a wheel.nose other than "{wheel.BLUNT}"', lambda asked: asked.form.wheel.nose != wheel.BLUNT),
    Need("wheel", ("vane_height",), "wheel.back_vanes", lambda asked: asked.form.wheel.back_vanes > 0),
    Need("wheel", ("hole_at", "hole_diameter"), "wheel.balance_holes = true", lambda asked: asked.form.wheel.balance_holes),
    Need(
        "blade", ("angles_at", "hub_angles", "shroud_angles"), f'blade.angles = "{blade.POINTS}"',
        lambda asked: asked.form.blade.angles == blade.POINTS,
    ),
    Need(
        "blade", ("hub_loading", "shroud_loading"), f'blade.angles = "{blade.LOADING}"',
        lambda asked: asked.form.blade.angles == blade.LOADING,
    ),
    Need(
        "blade", ("trailing_edge_ratio",), f'a blade.trailing_edge other than "{blade.CUT}"',
        lambda asked: asked.form.blade.trailing_edge != blade.CUT,
    ),
    Need("blade", ("splitter_position",), "splitters of the wheel", lambda asked: bool(asked.wheel("splitters"))),
    Need("blade", ("clearance_inlet",), "a semi-open wheel", lambda asked: not asked.wheel("covered")),
    Need("casing", ("centre_height",), 'casing.mount = "feet"', lambda asked: asked.form.casing.mount == "feet"),
    Need("choices", SIZES_ONLY, "a machine to be sized; that in [rate] has its own dimensions", lambda asked: not asked.rated),
    Need("choices", ("volute_section", "volute_side"), "no section in [rate.volute]", lambda asked: not asked.has_section),
    Need("choices", ("volute_width",), f'"{Rectangle.name}" as volute_section', lambda asked: asked.section == Rectangle.name),
    Need("choices", ("volute_aspect",), f'"{Ellipse.name}" as volute_section', lambda asked: asked.section == Ellipse.name),
)  # fmt: skip


def without_effect(case: Case, *, rated: bool | None = None) -> list[str]:
    """A line for each need that is not met of settings that the case gives.

    ``rated`` says that the machine is the one described in ``[rate]``; left out it is where the case has no duty to size one for.
    """
    asked = Asked(case, case.duty is None if rated is None else rated)
    left = set(case.defaults)
    lines = []
    for table, keys, words, met in NEEDS:
        given = [f"{table}.{key}" for key in keys or fields_of(OPTIONS[table]) if f"{table}.{key}" not in left]
        if given and not met(asked):
            lines.append(f"{', '.join(given)}: without effect, needs {words}")
    return lines
