"""The gate: no solid leaves under its final name unless it is closed, whole, of the expected size, and reads back."""

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.cad import shapes
from aerodesign.cad.crossing import crossings
from aerodesign.cad.step import read_step, write_step
from aerodesign.cad.tessellate import Triangles, tessellate
from aerodesign.core.errors import RejectedSolid
from aerodesign.core.quantities import Length

Array = NDArray[np.float64]

VOLUME_WITHIN = 1e-3
"""Volume against the independent integral."""
REREAD_WITHIN = 1e-6
TOLERANCE: Length = 3e-6
"""Largest tolerance of an edge or vertex; wheels come out below 1e-6."""
SKIN_WITHIN = 0.02
"""Volume inside the triangles, which cut every curve short."""

FINE = 4e-3
"""Largest deflection of the triangles over the cube root of the volume."""
CLOSER = 3.0
"""How much finer the triangles are made once where they cross: surfaces that only pass close by then come apart."""


@dataclass(frozen=True)
class Check:
    """One question put to a solid: what was found, what is allowed, and whether that is met."""

    name: str
    got: float
    allowed: str
    passed: bool


@dataclass(frozen=True)
class Acceptance:
    """The checks of a solid that passed; ``volume`` in m3, ``tolerance`` (the largest) in metres."""

    checks: tuple[Check, ...]
    volume: float
    tolerance: float


def accept(
    shape: Any,
    *,
    volume: float,
    bounds: Array | None = None,
    tolerance: Length = TOLERANCE,
    deflection: Length = 3e-4,
    crossing: bool = False,
    name: str = "solid",
) -> Acceptance:
    """Check a shape of the kernel against its expected ``volume`` (m3) and ``bounds`` ((2, 3), metres).

    Raises :class:`RejectedSolid` that names what failed. ``tolerance`` is the largest allowed in the solid,
    ``deflection`` that of the triangles, finer for a small body; with ``crossing`` they must not cross each other.
    """
    checks, found, largest = _topology(shape), shapes.volume(shape), shapes.largest_tolerance(shape)
    if all(check.passed for check in checks):
        checks += [
            Check("volume in m3", found, "above 0", found > 0),
            _within("volume against the integral", abs(found / volume - 1), VOLUME_WITHIN),
            _within("largest tolerance in m", largest, tolerance),
            *_skin(shape, found, bounds, min(deflection, FINE * abs(found) ** (1 / 3)), crossing),
            *_reread(shape),
        ]
    failed = [f"{check.name}: got {check.got:.6g}, allowed {check.allowed}" for check in checks if not check.passed]
    if failed:
        raise RejectedSolid(f"{name} was not accepted: {'; '.join(failed)}")
    return Acceptance(tuple(checks), found, largest)


def _equal(name: str, got: float, wanted: float) -> Check:
    return Check(name, got, f"{wanted:g}", got == wanted)


def _within(name: str, got: float, limit: float) -> Check:
    return Check(name, got, f"up to {limit:g}", bool(got <= limit))


def _topology(shape: Any) -> list[Check]:
    return [
        _equal("solids", len(shapes.parts(shape, "SOLID")), 1),
        _equal("shells", len(shapes.parts(shape, "SHELL")), 1),
        _equal("edges that do not join two faces", shapes.edges_not_shared(shape), 0),
        _equal("valid for the kernel", float(shapes.valid(shape)), 1),
    ]


def _skin(shape: Any, volume: float, bounds: Array | None, deflection: float, crossing: bool) -> list[Check]:
    skin = tessellate(shape, deflection=deflection, angle=0.7)
    checks = [
        _equal("open edges of the triangles", skin.open_edges, 0),
        _within("volume inside the triangles", abs(skin.volume / volume - 1), SKIN_WITHIN),
    ]
    if crossing:
        checks.append(_equal("places where the skin crosses itself", _crossed(shape, skin, deflection), 0))
    if bounds is not None:
        box = np.array([skin.points.min(axis=0), skin.points.max(axis=0)])
        checks.append(_within("bounding box in m", float(np.abs(box - bounds).max()), 2 * deflection))
    return checks


def _crossed(shape: Any, skin: Triangles, deflection: float) -> int:
    """Places where the triangles cross each other, and still do when they are finer."""
    if not len(crossings(skin)):
        return 0
    return len(crossings(tessellate(shape, deflection=deflection / CLOSER, angle=0.4)))


def _reread(shape: Any) -> list[Check]:
    with tempfile.TemporaryDirectory() as folder:
        solids = read_step(write_step({"solid": shape}, Path(folder) / "solid.step", "check"))
    # A coarse integral will do: the same rule on the same surfaces errs alike on both sides.
    before, after = shapes.volume(shape, within=1e-3), sum(shapes.volume(solid, within=1e-3) for solid in solids)
    change = abs(after / before - 1)
    return [_equal("solids read back", len(solids), 1), _within("volume read back", change, REREAD_WITHIN)]
