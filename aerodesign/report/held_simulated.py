"""Simulations of measured machines: beside the measurement and the prediction, and what the measured rise says of both."""

from pathlib import Path

import numpy as np

from aerodesign.aero.operation import operate
from aerodesign.aero.stage import Stage
from aerodesign.cfd.beside import LEVER, predicted
from aerodesign.gas.perfect import isentropic_work
from aerodesign.report.held import Held
from aerodesign.report.simulated_page import finest
from aerodesign.report.simulated_table import ACCEPTED, OPEN, WAVERS, Row, read_table

TABLE = Path("simulated") / "measured.csv"
"""Beside the cases: made by 'aerodesign simulate cases/measured-*.toml --finer --table cases/simulated/measured.csv'."""
NEAR = 0.03
"""How far a measured point's flow may lie from the simulated one, as a part of it."""

HEADS = ("flow, m³/s", "quantity", "measured", "meanline", "simulated", "meanline's error", "simulation's error")


def simulated_lines(cases: Path, path: Path, held: list[Held]) -> list[str]:
    """A section on the simulated points of a measured case; nothing where there are none."""
    table = cases / TABLE
    rows = [row for row in read_table(table) if row["case"] == path.stem] if table.is_file() else []
    believed = [row for row in finest(rows) if row["verdict"] in (ACCEPTED, WAVERS)]
    if not believed:
        return []
    lines = ["| " + " | ".join(HEADS) + " |", "|" + " --- |" * len(HEADS)]
    for row in sorted(believed, key=lambda row: float(row["part"])):
        lines += [f"| {' | '.join(cells)} |" for cells in _rows(held, row)]
    states = "; ".join(f"{row['part']} of the design flow: {row['cells']} cells, {_state(row)}" for row in believed)
    return [
        "",
        "### Simulated",
        "",
        f"{states}. Only the wheel and an annulus behind it are simulated, without clearance, leakage and what lies ahead of the blades; "
        "`aerodesign simulate cases/measured-*.toml --finer --table cases/simulated/measured.csv` makes the numbers. The blockage needed is the one "
        "with which the meanline, its slip kept, finds the swirl. The last row is the part of the kinetic energy behind the "
        "wheel that must be lost on the way to where the rise was measured: a work that asks for more than all of it cannot be true. "
        "[What follows](../simulated/reading.md).",
        "",
        *lines,
    ]


def _state(row: Row) -> str:
    if row["verdict"] == ACCEPTED:
        return "every gate passed"
    return (
        f"never at rest, mean of {row['averaged']} iterations, torque's deviation {100 * float(row['torque_deviation']):.2g} %, "
        f"its mean known to {100 * float(row['torque_error']):.1g} %"
    )


def _rows(held: list[Held], row: Row) -> list[tuple[str, ...]]:
    """Work, blockage needed, and the part of the kinetic energy to be lost, of one simulated point."""
    design = held[0].rated.design
    stage = operate(
        design.blower, design.site, service=design.duty.service, basis=design.duty.basis,
        flow=float(row["part"]) * float(design.flow), speed=float(design.speed), models=design.models,
    ).stage  # fmt: skip
    flow, said = f"{float(stage.flow):.4g}", predicted(stage, clearance=row["clearance"] == OPEN)
    work, rise = _measured(held, stage, "work"), _measured(held, stage, "pressure_rise")
    found = {name: float(row[f"{name}_simulated"]) for name in ("work", "cu2", "loss_impeller", "needed_blockage")}
    rows = [_row(flow, "work given to the gas, J/kg", work, said["work"], found["work"], "{:.4g}")]
    beta = stage.blower.impeller.beta2_blade
    if abs(beta) >= LEVER:
        swirl = work / stage.u2
        needed = 1 - stage.exit.cm * np.tan(beta) / (stage.slip * stage.u2 - swirl)
        rows.append(
            _row(
                flow,
                "blockage needed",
                needed,
                said["needed_blockage"],
                found["needed_blockage"],
                "{:.3f}",
                errors=False,
            )
        )
    if np.isfinite(rise):
        head = isentropic_work(gas=stage.gas, Tt=stage.Tt0, pressure_ratio=1 + rise / stage.pt0)
        kinetic = [(cu2**2 + stage.exit.cm**2) / 2 for cu2 in (said["cu2"], found["cu2"])]
        spare = [side["work"] - side["loss_impeller"] - stage.losses["inlet"] - head for side in (said, found)]
        lost = [float(over / energy) for over, energy in zip(spare, kinetic, strict=True)]
        words = "part of the kinetic energy that must be lost"
        rows.append(_row(flow, words, float("nan"), lost[0], lost[1], "{:.2f}", errors=False))
    return rows


def _row(
    flow: str, name: str, seen: float, said: float, found: float, style: str, *, errors: bool = True
) -> tuple[str, ...]:
    shown = errors and np.isfinite(seen)
    error = [f"{100 * (value / seen - 1):+.1f} %" if shown else "" for value in (said, found)]
    return (
        flow,
        name,
        style.format(seen) if np.isfinite(seen) else "",
        style.format(said),
        style.format(found),
        *error,
    )


def _measured(held: list[Held], stage: Stage, name: str) -> float:
    """What was measured at a stage's flow and speed, scaled to its speed where that was a little off; the duty's rise for a case that has one."""
    for one in held:
        same = np.abs(one.comparison.speed / stage.speed - 1) < NEAR
        off = np.abs(one.comparison.flow / one.comparison.speed / (stage.flow / stage.speed) - 1)
        n = int(np.argmin(np.where(same, off, np.inf)))
        if name in one.comparison.columns and same[n] and off[n] < NEAR:
            return float(one.comparison.columns[name][0][n] * (stage.speed / one.comparison.speed[n]) ** 2)
    if name == "pressure_rise" and held[0].case.duty is not None:
        duty = held[0].case.design_duty
        if abs(float(duty.flow) / float(stage.flow) - 1) < NEAR:
            return float(duty.pressure_rise)
    return float("nan")
