"""The table that simulations add to: a row for each point of each machine, simulated beside predicted, for fits to come."""

import csv
import io
import os
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.cfd.beside import COMPARED, predicted, simulated
from aerodesign.cfd.simulate import Simulated, Simulation
from aerodesign.core.errors import AerodesignError

KEY = ("case", "size", "part")
"""What tells one row from another; a run of the same replaces it."""
MACHINE = (
    "r2", "b2_over_r2", "r1s_over_r2", "r1h_over_r1s", "r3_over_r2", "blades", "splitters", "backsweep_deg", "covered",
    "thickness_over_r2", "tip_mach", "flow_coefficient", "diffusion_ratio",
)  # fmt: skip
GATES = ("mass_balance", "angular_momentum_balance", "torque_steady", "works_agree")
HEADS = (
    *KEY, *MACHINE, "cells", "iterations", "accepted", *GATES,
    *(f"{name}_{side}" for name in COMPARED for side in ("simulated", "meanline")),
)  # fmt: skip


def table_rows(done: Simulation, case: str) -> list[dict[str, str]]:
    """A row for each point that has an answer, believed or not."""
    return [_row(done, point, case) for point in done.points if point.judged is not None]


def add_to_table(path: Path, rows: list[dict[str, str]]) -> int:
    """Add rows to a CSV file, replacing those of the same machine, size and part; returns how many it holds then.

    Raises AerodesignError where the file is not such a table, or cannot be written; it is then as it was.
    """
    kept = _read(path) if path.exists() else {}
    kept |= {tuple(row[name] for name in KEY): row for row in rows}
    text = io.StringIO()
    writer = csv.DictWriter(text, HEADS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(kept[key] for key in sorted(kept, key=lambda key: (key[0], key[1], float(key[2]))))
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.write_text(text.getvalue(), encoding="utf-8")
        os.replace(beside, path)
    except OSError as cause:
        raise AerodesignError(f"{path}: cannot be written: {cause.strerror}") from cause
    return len(kept)


def _read(path: Path) -> dict[tuple[str, ...], dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        if tuple(reader.fieldnames or ()) != HEADS:
            raise AerodesignError(f"{path}: is not a table of simulations, or of another version; name another file")
        return {tuple(row[name] for name in KEY): row for row in reader}


def _row(done: Simulation, point: Simulated, case: str) -> dict[str, str]:
    assert point.judged is not None
    stage, wheel = point.stage, done.task.blower.impeller
    found, said = simulated(point.judged.answer), predicted(stage)
    row: dict[str, Any] = {
        "case": case,
        "size": done.task.size,
        "part": f"{point.part:g}",
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
        "tip_mach": stage.u2 / np.sqrt(stage.gas.gamma * stage.gas.R * stage.Tt0),
        "flow_coefficient": stage.flow_coefficient,
        "diffusion_ratio": stage.diffusion_ratio,
        "cells": done.mesh.quality.cells,
        "iterations": point.judged.iteration,
        "accepted": int(point.accepted),
    }
    row |= {gate.name.replace(" ", "_"): gate.found for gate in point.judged.gates if gate.name != "efficiency below 1"}
    row |= {f"{name}_simulated": found[name] for name in COMPARED}
    row |= {f"{name}_meanline": said[name] for name in COMPARED}
    return {name: value if isinstance(value, str) else f"{value:.6g}" for name, value in row.items()}
