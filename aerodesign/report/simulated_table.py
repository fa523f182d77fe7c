"""The table that simulations add to: a row for each point of each machine, simulated beside predicted, for fits to come."""

import csv
import io
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero.stage import Stage
from aerodesign.cfd.answer import Judged
from aerodesign.cfd.beside import COMPARED, predicted, simulated
from aerodesign.cfd.domain import has_clearance
from aerodesign.cfd.edition import edition
from aerodesign.cfd.settings import AVERAGED
from aerodesign.cfd.simulate import Simulated, Simulation
from aerodesign.core.errors import AerodesignError

KEY = ("case", "size", "clearance", "part")
"""What tells one row from another; a run of the same replaces it. ``clearance`` is "open" or "closed"."""
OPEN, CLOSED = "open", "closed"
ACCEPTED, WAVERS, REFUSED, NONE = VERDICTS = ("accepted", "wavers", "refused", "no answer")
"""Every gate passed; all but a torque at rest, read from mean fields; a gate failed; nothing to judge."""
MACHINE = (
    "r2", "b2_over_r2", "r1s_over_r2", "r1h_over_r1s", "r3_over_r2", "blades", "splitters", "backsweep_deg", "covered",
    "thickness_over_r2", "clearance_over_b2", "tip_mach", "flow_coefficient", "diffusion_ratio",
)  # fmt: skip
RUN = ("cells", "iterations", "seconds", "averaged", "torque_deviation", "torque_error")
"""``averaged`` counts the iterations that mean fields are over; deviation of the torque from its mean, and standard error of that."""
GATES = ("mass_balance", "angular_momentum_balance", "torque_steady", "works_agree")
HEADS = (
    *KEY, "edition", "verdict", "reason", *MACHINE, *RUN, *GATES,
    *(f"{name}_{side}" for name in COMPARED for side in ("simulated", "meanline")),
)  # fmt: skip

Row = dict[str, str]


def verdict_of(point: Simulated) -> tuple[str, str]:
    """Verdict on a point, and the reason where it was not accepted."""
    if point.judged is None:
        return NONE, point.problem
    if point.accepted:
        return ACCEPTED, ""
    failed = "; ".join(f"{g.name} {g.found:.2g} above {g.allowed:g}" for g in point.judged.gates if not g.passed)
    return (WAVERS if point.judged.wavers else REFUSED), failed


def table_rows(done: Simulation, case: str) -> list[Row]:
    """A row for each point, whatever became of it."""
    return [_row(done, point, case) for point in done.points]


def row_without(case: str, size: str, part: float, reason: str, *, clearance: bool = False) -> Row:
    """The row of a point that could not even be begun."""
    return dict.fromkeys(HEADS, "") | {
        "case": case,
        "size": size,
        "clearance": OPEN if clearance else CLOSED,
        "part": f"{part:g}",
        "edition": edition(),
        "verdict": NONE,
        "reason": reason,
    }


def add_to_table(path: Path, rows: list[Row], heads: Sequence[str] = HEADS) -> int:
    """Add rows to a CSV file, replacing those of the same machine, size and part; returns how many it holds then.

    Raises AerodesignError where the file is not such a table, or cannot be written; it is then as it was.
    """
    names = [name for name in KEY if name in heads]
    kept = {tuple(row[name] for name in names): row for row in read_table(path, heads)} if path.exists() else {}
    kept |= {tuple(row[name] for name in names): row for row in rows}
    text = io.StringIO()
    writer = csv.DictWriter(text, heads, lineterminator="\n")
    writer.writeheader()
    writer.writerows(kept[key] for key in sorted(kept, key=lambda key: (*key[:-1], float(key[-1]))))
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.write_text(text.getvalue(), encoding="utf-8")
        os.replace(beside, path)
    except OSError as cause:
        raise AerodesignError(f"{path}: cannot be written: {cause.strerror}") from cause
    return len(kept)


def read_table(path: Path, heads: Sequence[str] = HEADS) -> list[Row]:
    """The rows of a table. Raises AerodesignError where the file is none, or one of another version."""
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        if tuple(reader.fieldnames or ()) != tuple(heads):
            raise AerodesignError(f"{path}: is not a table of simulations, or of another version; name another file")
        return list(reader)


def _row(done: Simulation, point: Simulated, case: str) -> Row:
    verdict, reason = verdict_of(point)
    row = row_without(case, done.task.size, point.part, reason, clearance=done.task.clearance) | {"verdict": verdict}
    numbers: dict[str, Any] = _machine(done, point.stage) | {"cells": done.mesh.quality.cells}
    if point.judged is not None:
        numbers |= _run(point.judged, point) | _compared(point.judged, point.stage, clearance=point.open_tips)
    return row | {name: f"{value:.6g}" for name, value in numbers.items()}


def _machine(done: Simulation, stage: Stage) -> dict[str, Any]:
    """What the machine is, in ratios."""
    wheel = done.task.blower.impeller
    return {
        "r2": wheel.r2,
        "b2_over_r2": wheel.b2 / wheel.r2,
        "r1s_over_r2": wheel.r1s / wheel.r2,
        "r1h_over_r1s": wheel.r1h / wheel.r1s,
        "r3_over_r2": done.task.blower.diffuser.r3 / wheel.r2,
        "blades": int(wheel.blades),
        "splitters": int(wheel.splitters),
        "backsweep_deg": np.degrees(wheel.beta2_blade),
        "covered": int(bool(wheel.covered)),
        "thickness_over_r2": wheel.thickness / wheel.r2,
        "clearance_over_b2": wheel.clearance / wheel.b2 if has_clearance(wheel) else 0,
        "tip_mach": stage.u2 / np.sqrt(stage.gas.gamma * stage.gas.R * stage.Tt0),
        "flow_coefficient": stage.flow_coefficient,
        "diffusion_ratio": stage.diffusion_ratio,
    }


def _run(judged: Judged, point: Simulated) -> dict[str, Any]:
    """How the run went."""
    found: dict[str, Any] = {"iterations": judged.iteration, "averaged": AVERAGED if judged.waver else 0}
    if judged.waver:
        found |= {"torque_deviation": judged.waver.deviation, "torque_error": judged.waver.error}
    if point.ended is not None and point.ended.seconds > 0:  # nothing for a run that was taken up
        found["seconds"] = point.ended.seconds
    return found | {
        gate.name.replace(" ", "_"): gate.found for gate in judged.gates if gate.name != "efficiency below 1"
    }


def _compared(judged: Judged, stage: Stage, *, clearance: bool) -> dict[str, Any]:
    found, said = simulated(judged.answer, stage), predicted(stage, clearance=clearance)
    sides = {"simulated": found, "meanline": said}
    return {f"{name}_{side}": values[name] for name in COMPARED for side, values in sides.items()}
