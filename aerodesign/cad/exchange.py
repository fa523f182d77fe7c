"""Every part of a design for other programs: the assembly as STEP, each part as STL, all of them as one GLB for a page."""

from functools import cache
from pathlib import Path

from aerodesign.aero.impeller import Blower
from aerodesign.cad.export import STEEL, Accepted, Made, Part, make, parts_of
from aerodesign.cad.gltf import Shown, write_glb
from aerodesign.cad.placing import placed
from aerodesign.cad.shaft import shaft_solid
from aerodesign.cad.step import write_step
from aerodesign.cad.stl import write_stl
from aerodesign.cad.tessellate import tessellate
from aerodesign.form import Form
from aerodesign.geometry.shaft import Pieces

DEFLECTION = 1e-4
"""How far the triangles of an STL file may lie from the true surface, metres."""
LARGEST_GLB = 3_000_000
"""Bytes that a page may be asked to load; coarser triangles are taken until the file is smaller."""
SHOWN = 4e-4
COARSER = 1.6
TRIES = 8


def make_exchange(
    blower: Blower, form: Form, folder: Path, stamp: str, schema: str = "ap214", shaft: tuple[Pieces, Pieces] = ((), ())
) -> Made:
    """Build and judge all parts, and write ``NAME.step`` and ``NAME.stl`` of each and ``assembly.step``, ``assembly.glb`` of those that passed.

    ``shaft`` holds its pieces ahead of the wheel and behind it, where they are known. ``schema`` is a
    name in :data:`aerodesign.cad.step.SCHEMAS`. Raises :class:`MissingLibrary` where the CAD kernel cannot be loaded.
    """
    passed: dict[str, Accepted] = {}

    def write(done: Accepted) -> None:
        name, shape = done.name, done.solid.shape
        skin = tessellate(shape, deflection=DEFLECTION, angle=0.5)
        write_stl(skin, folder / f"{name}.stl", stamp, deflection=DEFLECTION)
        write_step({name: shape}, folder / f"{name}.step", stamp, schema=schema, colours={name: done.part.colour})
        if done.part.assembled:
            passed[name] = done

    made = make(assembly_parts(blower, form, shaft), write)
    if passed:
        write_assembly(passed, folder / "assembly.step", stamp, schema)
        write_page_model(passed, folder / "assembly.glb", stamp)
    return made


def assembly_parts(blower: Blower, form: Form, shaft: tuple[Pieces, Pieces] = ((), ())) -> dict[str, Part]:
    """The parts of an assembly: those of :func:`~aerodesign.cad.export.parts_of` and the envelope of the shaft."""
    parts = parts_of(blower, form)
    wheel = parts["impeller"]._replace(build=cache(parts["impeller"].build))
    turned = Part(lambda: placed(shaft_solid(blower.impeller, wheel.build(), *shaft), form.casing), STEEL)
    return parts | {"impeller": wheel, "shaft": turned}


def write_assembly(passed: dict[str, Accepted], path: Path, stamp: str, schema: str = "ap214") -> Path:
    """All parts in their places as one STEP file."""
    return write_step(
        {name: done.solid.shape for name, done in passed.items()},
        path,
        stamp,
        schema=schema,
        colours={name: done.part.colour for name, done in passed.items()},
    )


def write_page_model(passed: dict[str, Accepted], path: Path, stamp: str) -> Path:
    """All parts as GLB below :data:`LARGEST_GLB`; casing and rooms of gas can be seen through."""
    deflection = SHOWN
    for _ in range(TRIES):
        shown = {
            name: Shown(
                tessellate(done.solid.shape, deflection=deflection, angle=0.5),
                done.part.colour,
                done.part.opacity,
            )
            for name, done in passed.items()
        }
        if write_glb(shown, path, stamp).stat().st_size < LARGEST_GLB:
            break
        deflection *= COARSER
    return path
