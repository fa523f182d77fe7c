"""The solids of a flow path, judged and written: what another process is asked to make beside the rest of a result."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from aerodesign.aero.impeller import Blower
from aerodesign.cad.gate import Acceptance, accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import load
from aerodesign.cad.solid import Solid
from aerodesign.cad.step import Colour, write_step
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.cad.volute import volute_solid
from aerodesign.core.errors import AerodesignError, MissingLibrary
from aerodesign.core.flags import Flag, raised
from aerodesign.core.quantities import Length
from aerodesign.form import Form

METAL: Colour = (0.55, 0.62, 0.70)
STEEL: Colour = (0.40, 0.43, 0.47)
GAS: Colour = (0.80, 0.71, 0.52)
"""Quiet tones of our own: cut metal, shafts, rooms that the gas fills."""

COARSE = 4e-4
"""Deflection in metres of the triangles for pictures."""


@dataclass
class Made:
    """Solids that passed the gate and were written: by name their checks, triangles for pictures, flags, and seconds of the processor.

    ``missing`` holds a line for each solid that could not be made.
    """

    checks: dict[str, Acceptance] = field(default_factory=dict)
    pictures: dict[str, Triangles] = field(default_factory=dict)
    flags: dict[str, list[Flag]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)


class Part(NamedTuple):
    """How to make a part, where its origin lies on the wheel's axis (m), and its colour.

    ``assembled`` is False for what would stand twice in an assembly, such as one passage of a room that is there as a whole.
    """

    build: Callable[[], Solid]
    place: Length = 0.0
    colour: Colour = METAL
    assembled: bool = True


class Accepted(NamedTuple):
    """A part that passed the gate."""

    name: str
    solid: Solid
    part: Part


def parts_of(blower: Blower, form: Form) -> dict[str, Part]:
    """The parts of a single design by name. The list is here and nowhere else: files and assembly follow."""
    wheel = blower.impeller
    middle = float(wheel.axial_length - wheel.b2 / 2)
    return {
        "impeller": Part(lambda: impeller_solid(wheel, form)),
        "volute": Part(lambda: volute_solid(blower.volute, blower.diffuser, r2=wheel.r2), middle, GAS),
    }


def make(parts: Mapping[str, Part], write: Callable[[Accepted], None]) -> Made:
    """Build and judge parts, one after the other, and hand each that passes the gate to ``write``.

    A part that cannot be built, judged or written is listed in ``missing``, and the next one's turn comes. Raises
    :class:`MissingLibrary` where the CAD kernel cannot be loaded.
    """
    load("cadquery")
    made = Made()
    for name, part in parts.items():
        begun = time.process_time()
        try:
            solid = part.build()
            checks = accept(solid.shape, volume=solid.volume, bounds=solid.bounds, name=name)
            write(Accepted(name, solid, part))
        except MissingLibrary:
            raise
        except AerodesignError as cause:
            made.missing.append(f"{name}.step: {cause}")
        except Exception as cause:  # whatever the kernel throws is told, not shown as a trace
            made.missing.append(f"{name}.step: the CAD kernel failed ({type(cause).__name__}: {cause})")
        else:
            made.checks[name] = checks
            made.flags[name] = raised(solid.flags)
            made.seconds[name] = time.process_time() - begun
    return made


def make_solids(blower: Blower, form: Form, folder: Path, stamp: str) -> Made:
    """Build, judge and write ``impeller.step`` and ``volute.step`` of a single design into a folder.

    Raises :class:`MissingLibrary` where the CAD kernel cannot be loaded; a solid that cannot be built or does not pass the gate is
    not written, and listed.
    """
    pictures: dict[str, Triangles] = {}

    def write(done: Accepted) -> None:
        name, shape = done.name, done.solid.shape
        write_step({name: shape}, folder / f"{name}.step", stamp, colours={name: done.part.colour})
        pictures[name] = tessellate(shape, deflection=COARSE)

    made = make(parts_of(blower, form), write)
    made.pictures = pictures
    return made
