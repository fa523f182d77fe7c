"""A cross-section of the volute for a drawing."""

from dataclasses import fields, replace

import numpy as np

from aerodesign.aero.impeller import Diffuser, Volute
from aerodesign.core.quantities import Length
from aerodesign.drawing.view import MM, Array

FINE = 121
"""Points of an outline, or of one piece of it, where its family counts them."""


def section_outline(volute: Volute, diffuser: Diffuser, size: Length) -> Array:
    """Points (z, r) in mm of the section of a given size, z from the middle of the slot."""
    section = volute.section
    if any(f.name == "points" for f in fields(section)):  # type: ignore[arg-type]
        section = replace(section, points=FINE)  # type: ignore[type-var]
    outline = section.outline(size=size, r3=diffuser.r3, b3=diffuser.b3)
    return MM * np.stack([np.asarray(outline.z), np.asarray(outline.r)], axis=1)
