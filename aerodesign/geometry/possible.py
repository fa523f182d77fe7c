"""What cannot be a wheel, said before a surface is computed: in words of the case file, all of it at once."""

from collections.abc import Iterator

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedSolid
from aerodesign.form.blade import FULL_ROUND, BladeForm


def refuse_impossible(impeller: Impeller, form: BladeForm) -> None:
    """Raise :class:`RejectedSolid` with everything that keeps a single impeller from being built; nothing where it may be tried."""
    found = list(_impossible(impeller, form))
    if found:
        raise RejectedSolid("; ".join(found))


def _impossible(p: Impeller, form: BladeForm) -> Iterator[str]:
    for name in ("r1h", "r2", "b2", "axial_length", "thickness_hub", "thickness_shroud", "leading_edge_ratio"):
        if not getattr(p, name) > 0:
            yield f"{name} = {_said(getattr(p, name), name)} must be positive"
    for name in ("fillet", "bore", "clearance"):
        if not getattr(p, name) >= 0:
            yield f"{name} = {_said(getattr(p, name), name)} must not be negative"
    if p.b1 == 0 and p.r1h >= p.r1s:
        yield f"the hub lies above the shroud: r1h = {_mm(p.r1h)} must be below r1s = {_mm(p.r1s)}"
    blades = float(p.blades)
    if blades != round(blades) or blades < 2:
        yield f"blades = {blades:g} must be a whole number of 2 at least"
    if p.splitters not in (0, p.blades):
        yield f"splitters = {p.splitters:g} must be 0 or as many as blades = {p.blades:g}"
    if p.splitters and not 0.05 <= p.splitter_start <= 0.9:
        yield f"splitter_start = {p.splitter_start:.3g} must lie between 0.05 and 0.9 of the length"
    if form.trailing_edge == FULL_ROUND and p.fillet == 0:
        yield f'trailing_edge = "{FULL_ROUND}" needs a root fillet, got fillet = 0 mm; give one, or take "rounded" or "cut"'
    yield from _clearances(p, form)
    yield from _fillets(p)


def _clearances(p: Impeller, form: BladeForm) -> Iterator[str]:
    if bool(p.covered):
        return
    if p.clearance >= p.b2:
        yield f"clearance = {_mm(p.clearance)} is as large as the blade, which is {_mm(p.b2)} high at the exit (b2); make it smaller"
    if form.clearance_inlet >= p.r1s - p.r1h > 0:
        yield (
            f"clearance_inlet = {_mm(form.clearance_inlet)} is as large as the blade, which is {_mm(p.r1s - p.r1h)} high at the "
            "inlet; make it smaller"
        )


def _fillets(p: Impeller) -> Iterator[str]:
    """Fillets that would fill even the widest part of the passage; where there is only some room, smaller ones are made."""
    ends = 2 if bool(p.covered) else 1
    if ends * p.fillet >= p.b2 > 0:
        yield f"fillet = {_mm(p.fillet)} fills the passage, which is {_mm(p.b2)} high at the exit (b2); allowed below {_mm(p.b2 / ends)}"
    wide = 2 * np.pi * p.r2 / p.blades_exit * np.cos(p.beta2_blade) - p.thickness_hub
    if wide <= 0:
        yield (
            f"{p.blades_exit:g} blades of thickness_hub = {_mm(p.thickness_hub)} leave no passage at the exit; "
            "take fewer or thinner blades"
        )
    elif 2 * p.fillet >= wide:
        yield f"fillet = {_mm(p.fillet)} fills the passage, which is {_mm(wide)} wide at the exit; allowed below {_mm(wide / 2)}"


def _mm(length: float) -> str:
    return f"{1e3 * float(length):.4g} mm"


def _said(value: float, name: str) -> str:
    return f"{float(value):.4g}" if name == "leading_edge_ratio" else _mm(value)
