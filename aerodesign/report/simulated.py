"""A simulation's answers as lines, rows and plain data: each gate printed, each quantity beside the meanline's."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from aerodesign.cfd.answer import Gate
from aerodesign.cfd.beside import COMPARED, predicted, simulated, whole_machine
from aerodesign.cfd.simulate import Simulated, Simulation, Task
from aerodesign.cfd.volute_simulate import SimulatedVolute
from aerodesign.core.plain import to_plain

RPM = 30 / np.pi
LEFT_OUT = (
    "not simulated: {gap}disc friction, leakage, fillets, inlet and volute; walls are smooth. "
    "Loss and efficiency are therefore the best that this shape can do, not what a machine will show."
)


def simulation_lines(done: Simulation) -> list[str]:
    """What was simulated, whether it may be believed, and the numbers side by side."""
    quality, task = done.mesh.quality, done.task
    lines = [
        f"mesh: {quality.cells} hexahedra ({task.mesh_words}), least scaled Jacobian {quality.scaled_jacobian_min:.2f}, "
        f"non-orthogonality {np.degrees(quality.non_orthogonality_max):.0f} deg at most, aspect {quality.aspect_max:.0f}"
    ]
    for point in done.points:
        lines += ["", *point_lines(point)]
    if any(point.judged for point in done.points):
        lines += ["", left_out(task)]
    return lines


def left_out(task: Task) -> str:
    """What a simulation lacks, and what follows."""
    return LEFT_OUT.format(gap="" if task.clearance else "tip gap, ")


def point_lines(point: Simulated) -> list[str]:
    """One point: the verdict, the gates, and simulated beside predicted."""
    name = f"flow {point.part:g} of design, {point.stage.flow:.4g} m3/s at {point.stage.speed * RPM:.0f} rpm"
    if point.judged is None:
        return [f"{name}: {'no answer: ' + point.problem if point.problem else f'written to {point.case}'}"]
    ended = point.ended
    verdict = "accepted" if point.accepted else "NOT TO BE BELIEVED"
    rest = "" if ended is None or ended.steady else ", did not become steady"
    lines = [f"{name}: {verdict} after {point.judged.iteration} iterations{rest}"]
    lines += [f"  {gate_text(gate)}" for gate in point.judged.gates]
    lines.append(f"  {'':46s}{'simulated':>12s}{'meanline':>12s}{'':>9s}")
    for words, found, said in rows(point):
        lines.append(f"  {words:46s}{found:12.5g}{said:12.5g}{100 * (found / said - 1):+8.1f} %")
    return lines


def gate_text(gate: Gate) -> str:
    """A gate in one line."""
    word = "passed" if gate.passed else "FAILED"
    return f"{word}  {gate.name}: {gate.found:.2g}, at most {gate.allowed:g} ({gate.text})"


def rows(point: Simulated) -> list[tuple[str, float, float]]:
    """Words, simulated and predicted for each quantity of a point that has an answer."""
    assert point.judged is not None
    found, said = simulated(point.judged.answer, point.stage), predicted(point.stage, clearance=point.open_tips)
    return [(words, found[name], said[name]) for name, words in COMPARED.items() if np.isfinite(said[name])]


def simulation_record(done: Simulation, *, title: str, stamp: str) -> dict[str, Any]:
    """Everything as plain data, SI units."""
    return {
        "title": title,
        "stamp": stamp,
        "size": done.task.size,
        "mesh": to_plain(done.mesh.quality),
        "left_out": left_out(done.task),
        "points": [point_record(point) for point in done.points],
    }


def point_record(point: Simulated) -> dict[str, Any]:
    """One point as plain data."""
    record = outcome_record(point)
    if point.judged is not None:
        record |= answer_record(
            point,
            found=simulated(point.judged.answer, point.stage),
            said=predicted(point.stage, clearance=point.open_tips),
        )
    return record


def outcome_record(point: Simulated | SimulatedVolute) -> dict[str, Any]:
    """Which point it was and what became of it."""
    return {
        "part": point.part,
        "flow": float(point.stage.flow),
        "speed": float(point.stage.speed),
        "case": point.case.name,
        "accepted": point.accepted,
        "problem": point.problem,
    }


def answer_record(
    point: Simulated | SimulatedVolute, *, found: Mapping[str, Any], said: Mapping[str, Any]
) -> dict[str, Any]:
    """Gates and answer of a point that has one, with what was found beside what the meanline said."""
    assert point.judged is not None
    return {
        "iterations": point.judged.iteration,
        "steady": bool(point.ended and point.ended.steady),
        "gates": [
            {"name": g.name, "found": to_plain(g.found), "allowed": g.allowed, "passed": g.passed}
            for g in point.judged.gates
        ],
        "answer": to_plain(point.judged.answer),
        "simulated": {name: to_plain(value) for name, value in found.items()},
        "predicted": {name: to_plain(value) for name, value in said.items()},
    }


def points_text(done: Simulation, stamp: str) -> str:
    """Accepted points as a file that 'aerodesign calibrate' reads; empty where there is none."""
    task, names = done.task, {"flow": "m3/s", "speed": "rpm", "pressure_rise": "Pa", "power": "W", "efficiency": ""}
    table = [
        whole_machine(point.judged.answer, point.stage, site=task.site, service=task.service, clearance=point.open_tips)
        for point in done.points
        if point.accepted and point.judged is not None
    ]
    if not table:
        return ""
    lines = [
        f"# {stamp}",
        "# simulated wheel and diffuser; clearance, disc friction, recirculation, leakage, inlet and volute as predicted",
        "# basis = total",
        "# power_at = gas",
        ", ".join(f"{name} [{unit}]" if unit else name for name, unit in names.items()),
    ]
    for row in table:
        lines.append(", ".join(f"{row[name] * (RPM if name == 'speed' else 1):.8g}" for name in names))
    return "\n".join(lines) + "\n"
