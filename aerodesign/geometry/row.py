"""All blades of a wheel that differ: the full blade and the splitter, with one fillet that fits both.

A fillet that is too large for the room between two blades, under the tip or at the nose shrinks by steps, with a flag.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from aerodesign.core.errors import RejectedSolid
from aerodesign.core.flags import Flag
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.meridional import BEFORE, Array
from aerodesign.geometry.roots import NoBracket
from aerodesign.geometry.skin import Fillet, Skin, skin

RADIUS_STEPS = (1.0, 0.8, 0.6, 0.45, 0.3, 0.2, 0.0)
ROOM = 0.06
"""Least free part of the pitch between the fillets of neighbours."""


@dataclass(frozen=True, eq=False)
class BladeRow:
    """Skins of the full blade (at theta of the blading) and of the splitter (``splitter_turn`` further, or None)."""

    full: Skin
    splitter: Skin | None
    fillet: float
    splitter_turn: float = 0.0
    flags: list[Flag] = field(default_factory=list)


def blade_row(blading: Blading, share: float = 1.0) -> BladeRow:
    """The skins of a wheel's blades, covered ones with fillets at both ends, of at most a ``share`` of the radius asked for.

    Raises :class:`RejectedSolid`.
    """
    asked = float(blading.impeller.fillet)
    for step in RADIUS_STEPS:
        row, trouble = _tried(blading, share * step * asked)
        if row:
            return replace(row, flags=_flags(row, asked))
        if step == 1.0 and not blading.closed and not _tried(blading, 0.0)[0]:
            break
    raise RejectedSolid(f"blades: {trouble}; take fewer or thinner blades, or a larger r1h")


def _tried(blading: Blading, radius: float) -> tuple[BladeRow | None, str]:
    """The row with a fillet of that radius, or why it does not fit."""
    try:
        row = _row(blading, radius)
    except NoBracket as error:
        return None, str(error)
    trouble = _crowded(blading, row)
    return (None, trouble) if trouble else (row, "")


def _row(blading: Blading, radius: float) -> BladeRow:
    p = blading.impeller
    if blading.closed and radius <= 0:
        raise NoBracket("a full round trailing edge needs a root fillet, and none has room")
    radii = {"hub_radius": radius, "tip_radius": radius if bool(p.covered) else 0.0}
    full = skin(blading, start=0.0, **radii)
    splitter = skin(blading, start=float(p.splitter_start), **radii) if p.splitters > 0 else None
    return BladeRow(full, splitter, radius, blading.splitter_turn)


def _crowded(blading: Blading, row: BladeRow) -> str:
    """Where neighbours come too close on a wall: a sentence, or nothing."""
    pitch = 2 * np.pi / float(blading.impeller.blades)
    pairs = [(row.full, row.full, pitch)]
    if row.splitter is not None:
        turn = blading.splitter_turn
        pairs = [(row.full, row.splitter, turn), (row.splitter, row.full, pitch - turn)]
    for name in ("hub", "tip"):
        for behind, ahead, turn in pairs:
            free = _free(getattr(behind, name), getattr(ahead, name), turn, behind.nose)
            if free < ROOM * turn:
                return f"only {100 * free / turn:.0f} % of the pitch is free between blades at the {name}"
    return ""


def _free(behind: Fillet, ahead: Fillet, turn: float, nose: int) -> float:
    """Smallest angle between the pressure side of one blade and the suction side of the next on a wall."""
    theta1, t1 = behind.track[nose:].T
    theta2, t2 = ahead.track[nose::-1].T
    t1, t2 = np.maximum.accumulate(t1), np.maximum.accumulate(t2)
    t = np.linspace(max(t1[0], t2[0]), 1.0, 200)
    return float(np.min(np.interp(t, t2, theta2) + turn - np.interp(t, t1, theta1)))


def _flags(row: BladeRow, asked: float) -> list[Flag]:
    skins: list[Skin] = [row.full] + ([row.splitter] if row.splitter else [])
    at_nose = min(fillet.at_nose for s in skins for fillet in (s.hub, s.tip))
    advice = "ask for a smaller fillet, or fewer or thinner blades"
    return [
        Flag(
            "fillet smaller",
            row.fillet < asked,
            f"the fillet was made {1e3 * row.fillet:.2g} mm instead of {1e3 * asked:.2g} mm: no room between the blades",
            advice,
            row.fillet,
            asked,
        ),
        Flag(
            "fillet smaller at the nose",
            at_nose < 1.0,
            f"the fillet shrinks to {1e3 * at_nose * row.fillet:.2g} mm round the leading edge, which is too sharp for it",
            "take thicker blades or a smaller fillet if the root of the leading edge is highly stressed",
            at_nose * row.fillet,
            asked,
        ),
    ]


def tracks_start(row: BladeRow) -> float:
    """The most upstream t that a blade or fillet reaches on any wall."""
    lowest: Array = np.array([np.min(fillet.track[:, 1]) for fillet in (row.full.hub, row.full.tip)])
    return float(lowest.min())


def inlet_lead(blading: Blading, row: BladeRow) -> float:
    """How far ahead of the leading edge, in t, the wheel's walls begin: clear of the blades' fillets."""
    reach = 0.4 * row.fillet + 0.01 * float(blading.impeller.r2)
    speed = float(blading.meridional.hub.slope(0.0)[0])
    lead = reach / speed - min(tracks_start(row), 0.0)
    if lead >= BEFORE:
        raise RejectedSolid("hub: the fillet reaches too far ahead of the blades; ask for a smaller fillet")
    return lead
