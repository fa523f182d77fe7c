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
from aerodesign.cad.placing import placed
from aerodesign.cad.regions import Regions
from aerodesign.cad.solid import Solid
from aerodesign.cad.step import Colour, write_step
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.core.errors import AerodesignError, MissingLibrary
from aerodesign.core.flags import Flag, raised
from aerodesign.form import Form

METAL: Colour = (0.55, 0.62, 0.70)
CAST: Colour = (0.47, 0.67, 0.56)
STEEL: Colour = (0.40, 0.43, 0.47)
GAS: Colour = (0.80, 0.71, 0.52)
"""Quiet tones of our own: cut metal, castings, shafts, rooms that the gas fills."""

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
    """How to make a part in its place in the machine, its colour and its opacity in a picture that can be turned.

    ``quick`` parts come with every design; the others take their time and belong to the drawings. ``assembled`` is False for what
    would stand twice in an assembly, such as one passage of a room that is there as a whole. ``crossing``: the gate also asks whether
    its skin crosses itself.
    """

    build: Callable[[], Solid]
    colour: Colour = METAL
    opacity: float = 1.0
    quick: bool = False
    assembled: bool = True
    crossing: bool = False


class Accepted(NamedTuple):
    """A part that passed the gate."""

    name: str
    solid: Solid
    part: Part


def parts_of(blower: Blower, form: Form) -> dict[str, Part]:
    """The parts of a single design by name. The list is here and nowhere else: files and assembly follow."""
    regions = Regions(blower, form)
    return {
        "impeller": Part(lambda: placed(impeller_solid(blower.impeller, form), form.casing), quick=True, crossing=True),
        **_casing(regions),
        "volute": Part(regions.volute, GAS, 0.35, quick=True),
        "inlet-gas": Part(regions.inlet, GAS, 0.35),
        "wheel-gas": Part(regions.annulus, GAS, 0.35),
        "passage-gas": Part(regions.passage, GAS, 0.35, assembled=False),
    }


def _casing(regions: Regions) -> dict[str, Part]:
    """The casing whole or in halves, and the room of its mount where one was asked for."""
    form = regions.form.casing
    made = {"casing": Part(regions.casing, CAST, 0.4, quick=True)}
    if form.split:
        made = {
            "casing-front": Part(lambda: regions.casing_half(-1), CAST, 0.4, quick=True),
            "casing-back": Part(lambda: regions.casing_half(1), CAST, 0.4, quick=True),
        }
    return made | ({} if form.mount == "none" else {"mount": Part(regions.mount, CAST, 0.2)})


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
            checks = accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=part.crossing, name=name)
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

    made = make({name: part for name, part in parts_of(blower, form).items() if part.quick}, write)
    made.pictures = pictures
    return made
