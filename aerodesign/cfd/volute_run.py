"""The volute's run: meshed and solved by its own script, watched, stopped when losses and force are steady."""

from aerodesign.cfd.history import residuals
from aerodesign.cfd.solver import LOG, Ended, Look, Watcher, attend
from aerodesign.cfd.volute_answer import FORCE_SETTLED, LOSS_SETTLED
from aerodesign.cfd.volute_case import VoluteCase, meshed
from aerodesign.cfd.volute_history import VoluteHistory, read_volute_history
from aerodesign.cfd.volute_point import VolutePoint

LEAST = 200
"""Iterations before a run may count as steady: the gas has gone round by then."""
AT_REST, BALANCED = 0.3, 0.5e-4
"""Part of what the gates allow loss and force to swing, and imbalance of flow, at which a run is ended before its iterations are used up."""


def volute_steady(history: VoluteHistory, point: VolutePoint) -> bool:
    """True once losses, force and flow balance have come to rest."""
    scale = point.dynamic * 2 * point.r2 * point.b2
    return bool(
        history.last >= LEAST
        and history.loss_swing < AT_REST * LOSS_SETTLED
        and history.force_swing < AT_REST * FORCE_SETTLED * scale
        and history.imbalance < BALANCED
    )


def look_at_volute(case: VoluteCase) -> Look:
    """How far the run of a volute is."""
    history = read_volute_history(case.path)
    if not meshed(case.path):
        words = "meshing"
    elif history.last == 0:
        words = "starting"
    else:
        force = float((history.force[-1] ** 2).sum() ** 0.5)
        words = f"total pressure falls {history.pt2[-1] - history.pt5[-1]:.0f} Pa, force {force:.2f} N"
    return Look(history.last, case.iterations, words, residuals(case.path / LOG))


def run_volute(case: VoluteCase, *, watch: Watcher | None = None, seconds: float = float("inf")) -> Ended:
    """Mesh and run a case until it is steady or its iterations are used up; see :func:`~aerodesign.cfd.solver.attend`."""
    return attend(
        case.path,
        iterations=case.iterations,
        look=lambda: look_at_volute(case),
        settled=lambda: volute_steady(read_volute_history(case.path), case.point),
        watch=watch,
        seconds=seconds,
    )
