"""Would the wheel cast or print: simple warnings on wall, draft and overhang. All limits are common practice, no source.

The foundry or the printer decides; shrinkage, feeding, cores, supports and the metal's strength as cast or printed are not looked at.
"""

import numpy as np

from aerodesign.geometry.meridional import Array
from aerodesign.milling.finding import PRACTICE, Finding
from aerodesign.milling.sheets import Sheet
from aerodesign.milling.wheel import Wheel

WALLS = {"sand casting": 0.004, "investment casting": 0.0015, "printing in a powder bed": 0.0008}
"""Least wall in metres that a process fills or builds in light alloy."""
DRAFT = np.radians(1.0)
"""Least slope of a wall against the direction in which a pattern is drawn."""
OVERHANG = np.radians(45.0)
"""A wall that leans out further than this from the direction of building needs supports."""


def draft(outward: Array) -> Array:
    """Slope of walls against a pull along the axis towards the inlet (-z), positive where they open; ``outward`` are unit normals."""
    return np.arcsin(np.clip(-outward[..., 2], -1, 1))


def casting_findings(wheel: Wheel) -> list[Finding]:
    """Wall, draft and overhang of the blades."""
    p = wheel.impeller
    wall = float(min(p.thickness_hub, p.thickness_shroud))
    found = [
        Finding(
            f"least wall, {process}",
            wall,
            "length",
            limit,
            "at least",
            "blade at the tip" if p.thickness_shroud <= p.thickness_hub else "blade at the hub",
            source=PRACTICE,
            advice="thicken the blades or take another process",
        )
        for process, limit in WALLS.items()
    ]
    sheets = [sheet for blade in wheel.blades[:-1] for sheet in (blade.pressure, blade.suction)]
    slopes = np.concatenate([draft(sheet.outward).ravel() for sheet in sheets])
    cells = np.concatenate([_cells(sheet) for sheet in sheets])
    drawn = float(np.sum(cells[slopes >= DRAFT]) / np.sum(cells))
    under = float(np.sum(cells[slopes < -OVERHANG]) / np.sum(cells))
    return [
        *found,
        Finding(
            "blade sides with 1° of draft for one axial pull",
            drawn,
            "percent",
            1.0,
            "at least",
            "both sides of all blades",
            source=PRACTICE,
            advice="expect a lost pattern, cores or a die of several parts",
        ),
        Finding(
            "blade sides that overhang by more than 45°, printed back down",
            under,
            "percent",
            0.0,
            "at most",
            "both sides of all blades" + (", cover not counted" if bool(p.covered) else ""),
            source=PRACTICE,
            advice="expect supports there, or turn the wheel while it is built",
        ),
    ]


def _cells(sheet: Sheet) -> Array:
    """Area that each point of a face stands for."""
    along, across = np.gradient(sheet.face, axis=0), np.gradient(sheet.face, axis=1)
    return np.asarray(np.linalg.norm(np.cross(along, across), axis=2).ravel())
