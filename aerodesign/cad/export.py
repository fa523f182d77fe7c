"""The solids of a flow path, judged and written: what another process is asked to make beside the rest of a result."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from aerodesign.aero.impeller import Blower
from aerodesign.cad.gate import Acceptance, accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.kernel import load
from aerodesign.cad.placing import placed
from aerodesign.cad.regions import Regions
from aerodesign.cad.solid import Solid
from aerodesign.cad.step import write_step
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.core.errors import AerodesignError, MissingLibrary
from aerodesign.core.flags import Flag, raised
from aerodesign.form import Form

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


def casing_parts(regions: Regions) -> dict[str, Callable[[], Solid]]:
    """The casing whole or in halves, and its mount where one was asked for."""
    form = regions.form.casing
    whole: dict[str, Callable[[], Solid]] = {"casing": regions.casing}
    halves = {"casing-front": lambda: regions.casing_half(-1), "casing-back": lambda: regions.casing_half(1)}
    return (halves if form.split else whole) | ({} if form.mount == "none" else {"mount": regions.mount})


def make_solids(blower: Blower, form: Form, folder: Path, stamp: str) -> Made:
    """Build, judge and write ``impeller.step`` and ``volute.step`` of a single design into a folder.

    Raises :class:`MissingLibrary` where the CAD kernel cannot be loaded; a solid that cannot be built or does not pass the gate is
    not written, and listed.
    """
    load("cadquery")
    regions = Regions(blower, form)
    builders: dict[str, Callable[[], Solid]] = {
        "impeller": lambda: placed(impeller_solid(blower.impeller), form.casing),
        "volute": regions.volute,
        **casing_parts(regions),
        "inlet-gas": regions.inlet,
        "wheel-gas": regions.annulus,
        "passage-gas": regions.passage,
    }
    made = Made()
    for name, build in builders.items():
        begun = time.process_time()
        try:
            solid: Any = build()
            checks = accept(solid.shape, volume=solid.volume, bounds=solid.bounds, name=name)
            write_step({name: solid.shape}, folder / f"{name}.step", stamp)
        except MissingLibrary:
            raise
        except AerodesignError as cause:
            made.missing.append(f"{name}.step: {cause}")
            continue
        made.checks[name] = checks
        made.pictures[name] = tessellate(solid.shape, deflection=COARSE)
        made.flags[name] = raised(solid.flags)
        made.seconds[name] = time.process_time() - begun
    return made
