"""A simulated volute's answers as lines, rows and plain data: each gate printed, each quantity beside the meanline's."""

from typing import Any

import numpy as np

from aerodesign.cfd.volute_beside import COMPARED, loss_parts, volute_predicted, volute_simulated
from aerodesign.cfd.volute_simulate import SimulatedVolute, VoluteSimulation
from aerodesign.report.simulated import RPM, answer_record, gate_text, outcome_record
from aerodesign.report.simulated_table import Row

LEFT_OUT = (
    "not simulated: the wheel's wakes and its answer to uneven pressure (flow and swirl come in even), rough walls, the tongue's "
    "unsteadiness, the pipe behind the flange. The force is that on the wheel's exit cylinder, steady part only; both estimates of the "
    "meanline are rules of thumb."
)
VOLUTE = ("r2", "r3_over_r2", "b3_over_r3", "throat_over_r3", "section", "mismatch", "alpha3_deg")
GATES = ("mass_balance", "angular_momentum_balance", "loss_settled", "force_settled")
VOLUTE_HEADS = (
    "case", "size", "part", *VOLUTE, "cells", "iterations", "accepted", *GATES,
    *(f"{name}_{side}" for name in COMPARED for side in ("simulated", "meanline")),
    "direction_deg",
)  # fmt: skip
"""Columns of the table that volutes add to."""


def volute_lines(done: VoluteSimulation) -> list[str]:
    """What was simulated, whether it may be believed, and the numbers side by side."""
    lines: list[str] = []
    for point in done.points:
        if point.mesh is not None and not lines:
            word = "nothing wrong" if point.mesh.fine else "FAULTS, see log.mesh"
            lines.append(
                f"mesh of the volute: {point.mesh.cells} cells ({done.task.size}), non-orthogonality {point.mesh.non_orthogonality:.0f} deg and "
                f"skewness {point.mesh.skewness:.1f} at most; the solver's own check finds {word}"
            )
        lines += ["", *volute_point_lines(point)] if lines else volute_point_lines(point)
    if any(point.judged for point in done.points):
        lines += ["", LEFT_OUT]
    return lines


def volute_point_lines(point: SimulatedVolute) -> list[str]:
    """One point: the verdict, the gates, and simulated beside predicted."""
    name = f"volute at flow {point.part:g} of design, {point.stage.flow:.4g} m3/s at {point.stage.speed * RPM:.0f} rpm"
    if point.judged is None:
        return [f"{name}: {'no answer: ' + point.problem if point.problem else f'written to {point.case}'}"]
    verdict = "accepted" if point.accepted else "NOT TO BE BELIEVED"
    rest = "" if point.ended is None or point.ended.steady else ", swinging to the end"
    lines = [f"{name}: {verdict} after {point.judged.iteration} iterations{rest}"]
    lines += [f"  {gate_text(gate)}" for gate in point.judged.gates]
    lines.append(f"  {'':50s}{'simulated':>12s}{'meanline':>12s}{'':>9s}")
    found, said = volute_simulated(point.judged.answer), volute_predicted(point.stage)
    for key, words in COMPARED.items():
        lines.append(f"  {words:50s}{found[key]:12.5g}{said[key]:12.5g}{100 * (found[key] / said[key] - 1):+8.1f} %")
    parts = ", ".join(f"{name.replace('_', ' ')} {value:.0f}" for name, value in loss_parts(point.stage).items())
    answer = point.judged.answer
    lines.append(f"  the meanline's loss behind the base circle, J/kg: {parts}")
    lines.append(
        f"  force: {answer.force_pressure:.3g} N of pressure, {answer.force_momentum:.2g} N of momentum, towards "
        f"{np.degrees(answer.direction) % 360:.0f} deg from the tongue with the rotation; pressure round the wheel's exit varies by "
        f"{100 * answer.distortion2:.1f} % of the dynamic pressure there"
    )
    return lines


def volute_record(done: VoluteSimulation, *, title: str, stamp: str) -> dict[str, Any]:
    """Everything as plain data, SI units."""
    return {
        "title": title,
        "stamp": stamp,
        "size": done.task.size,
        "left_out": LEFT_OUT,
        "points": [_record(point) for point in done.points],
    }


def _record(point: SimulatedVolute) -> dict[str, Any]:
    record = outcome_record(point)
    if point.judged is not None and point.mesh is not None:
        record |= {"cells": point.mesh.cells, "mesh_check_passed": point.mesh.fine} | answer_record(
            point, found=volute_simulated(point.judged.answer), said=volute_predicted(point.stage)
        )
    return record


def volute_rows(done: VoluteSimulation, case: str) -> list[Row]:
    """A row for each point that has an answer, believed or not."""
    return [_row(done, point, case) for point in done.points if point.judged is not None and point.mesh is not None]


def _row(done: VoluteSimulation, point: SimulatedVolute, case: str) -> Row:
    assert point.judged is not None
    assert point.mesh is not None
    stage, blower = point.stage, done.task.blower
    found, said = volute_simulated(point.judged.answer), volute_predicted(stage)
    row: dict[str, Any] = {
        "case": case,
        "size": done.task.size,
        "part": f"{point.part:g}",
        "r2": blower.impeller.r2,
        "r3_over_r2": blower.diffuser.r3 / blower.impeller.r2,
        "b3_over_r3": blower.diffuser.b3 / blower.diffuser.r3,
        "throat_over_r3": blower.volute.size4 / blower.diffuser.r3,
        "section": blower.volute.section.name,
        "mismatch": stage.volute_mismatch,
        "alpha3_deg": np.degrees(np.arctan2(stage.cu3, stage.cm3)),
        "cells": point.mesh.cells,
        "iterations": point.judged.iteration,
        "accepted": int(point.accepted),
        "direction_deg": np.degrees(point.judged.answer.direction) % 360,
    }
    row |= {name: gate.found for gate in point.judged.gates if (name := gate.name.replace(" ", "_")) in GATES}
    row |= {f"{name}_simulated": found[name] for name in COMPARED}
    row |= {f"{name}_meanline": said[name] for name in COMPARED}
    return {name: value if isinstance(value, str) else f"{value:.6g}" for name, value in row.items()}
