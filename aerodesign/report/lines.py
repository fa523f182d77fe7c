"""The answer in a few lines of plain text, for the terminal."""

import inspect
from dataclasses import asdict
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import numpy as np

from aerodesign import machine, whole
from aerodesign.aero.design import Design
from aerodesign.aero.models import Models  # noqa: F401  importing it fills the registry of correlations
from aerodesign.case.comparison import Comparison
from aerodesign.core.correlation import PRACTICE, REGISTRY, Source, card
from aerodesign.core.flags import raised
from aerodesign.core.texts import one_line
from aerodesign.machine import noise  # noqa: F401  the same for the machine's correlations
from aerodesign.machine.energy import energy_text
from aerodesign.machine.motor import size_name

RPM = 30 / np.pi


def summary_lines(design: Design) -> list[str]:
    """What the design is, whether it meets the duty, what limits it, and what must not be trusted."""
    stage, wheel, index = design.stage, design.blower.impeller, design.design_index
    points, low_high = design.points, design.bands.efficiency
    asked = "suction" if design.duty.service == "vacuum" else "pressure rise"
    splitters = f" + {int(wheel.splitters)} splitters" if wheel.splitters else ""
    lines = [
        f"meets the duty: {'yes' if design.meets_duty else 'NO'} "
        f"({stage.flow:.4g} m3/s, {asked} {points.wanted[index] / 1e3:.4g} kPa)",
        f"wheel: {2e3 * wheel.r2:.1f} mm, {stage.speed * RPM:.0f} rpm, tip {stage.u2:.0f} m/s, {int(wheel.blades)} blades{splitters}, "
        f"backsweep {np.degrees(wheel.beta2_blade):.1f} deg, exit width {1e3 * wheel.b2:.1f} mm",
        f"power: {_power(points.shaft_power[index])} at the shaft, {_power(points.drive_power[index])} {_where(design)}; "
        f"efficiency {100 * points.efficiency[index]:.1f} % (90 % band {100 * low_high[0]:.1f} to {100 * low_high[1]:.1f})",
        f"specific speed {design.specific_speed:.3f}, specific diameter {design.specific_diameter:.2f}",
    ]
    lines += running_lines(design)
    binding = [limit.name for limit in design.limits if limit.binding]
    lines.append("limited by: " + (", ".join(binding) if binding else "nothing; the optimum lies inside all limits"))
    if design.estimated:
        lines.append("estimated: " + ", ".join(design.estimated))
    lines += [
        f"{'NOT TO BE USED' if flag.grave else 'note'}: {flag.message}; {flag.advice}" for flag in raised(design.flags)
    ]
    return lines


def running_lines(design: Design) -> list[str]:
    """Drive, sound and the year of the machine, a line each."""
    run, at = design.running, design.design_index
    line, heard, year = run.drive_line, run.sound, run.money
    motor = (
        f"{line.standard} {size_name(power=line.rated, standard=line.standard)}, {line.grade}"
        if line.standard
        else "motor and inverter for the wheel's speed"
    )
    levels = [float(level[at]) for level in heard.a_weighted.values()]
    hours = float(np.sum(year.hours)) / 3600
    currency = one_line(design.form.money.currency, 12)
    saved = ""
    if year.replaced is not None:
        saved = f"; {100 * year.replaced.power_saved:.0f} % less than a {year.replaced.kind} machine"
    passed = [one.name for one in run.findings if not one.passed]
    return [
        f"drive: {motor}; {_power(line.wire_power[at])} from the wire, wire to air {100 * line.wire_to_air[at]:.1f} %",
        f"noise: {min(levels):.0f} to {max(levels):.0f} dB(A) sound power, +-{heard.spread:.0f} dB, blades pass at {heard.blade_passing[at]:.0f} Hz",
        f"year: {energy_text(year.energy)} in {hours:.0f} h{' (assumed)' if year.assumed else ''}, {year.cost:.0f} {currency}{saved}",
        *([f"beyond a limit, see the page: {'; '.join(passed)}"] if passed else []),
    ]


def _where(design: Design) -> str:
    return "from the supply" if design.drive.kind == "inverter" else "at the motor's shaft"


def _power(value: float) -> str:
    return f"{value / 1e3:.2f} kW" if value >= 1e3 else f"{value:.3g} W"


def comparison_lines(comparison: Comparison) -> list[str]:
    """Measured beside predicted, a line per point, and the error of each; then the errors' summary."""
    names = list(comparison.columns)
    head = ["flow m3/s"] + [f"{name} measured, predicted, error %" for name in names]
    lines = [f"measured: {comparison.measured.source or 'no source given'}", " | ".join(head)]
    for k, flow in enumerate(comparison.flow):
        cells = [f"{flow:.5f}"]
        for name in names:
            seen, said = comparison.columns[name]
            cells.append(f"{seen[k]:.5g}, {said[k]:.5g}, {100 * comparison.errors(name)[k]:+.1f}")
        lines.append(" | ".join(cells) + ("" if comparison.solved[k] else " | not solved"))
    for name in names:
        error = comparison.errors(name)
        error = error[np.isfinite(error)]
        lines.append(
            f"{name}: median error {100 * np.median(error):+.1f} %, largest {100 * error[np.argmax(np.abs(error))]:+.1f} %"
        )
    return lines


def machine_sources() -> list[tuple[str, str, Source]]:
    """The sources that the files on the machine name: file, the name there, source; each as often as it stands."""
    found = []
    for room in (machine, whole):
        for entry in sorted(iter_modules(room.__path__), key=lambda module: module.name):
            module = import_module(f"{room.__name__}.{entry.name}")
            for name, value in vars(module).items():
                one = {name: value} if isinstance(value, Source) else value
                if isinstance(one, dict) and _defined_in(module, name):
                    found += [
                        (entry.name, str(key).lower().replace("_", " "), source)
                        for key, source in one.items()
                        if isinstance(source, Source) and source is not PRACTICE
                    ]
    return found


def _defined_in(module: Any, name: str) -> bool:
    """Whether a name is given in a module's own text, not imported there."""
    return any(line.startswith((f"{name} =", f"{name}:")) for line in inspect.getsource(module).splitlines())


def source_rows() -> list[dict[str, Any]]:
    """Every correlation as plain data, by phenomenon; then the sources of the machine's tables and rules."""
    rows: list[dict[str, Any]] = [
        {"phenomenon": f"machine: {file}", "name": name, "source": asdict(source)}
        for file, name, source in machine_sources()
    ]
    for phenomenon, functions in sorted(REGISTRY.items()):
        for function in functions.values():
            known = card(function)
            valid = {name: list(bounds) for name, bounds in known.valid.items()}
            rows.append(
                {
                    "phenomenon": phenomenon,
                    "name": known.name,
                    "purpose": known.purpose,
                    "valid": valid,
                    "scatter": known.scatter,
                    "source": asdict(known.source),
                }
            )
    return rows


def source_lines() -> list[str]:
    """Every correlation in three lines: name, range, source; then the sources of the machine's tables and rules in two."""
    lines = []
    for phenomenon, functions in sorted(REGISTRY.items()):
        for function in functions.values():
            known = card(function)
            ranges = (
                ", ".join(f"{name} {low:.3g} to {high:.3g}" for name, (low, high) in known.valid.items())
                or "no range stated"
            )
            scatter = f"; scatter {known.scatter:.3g}" if known.scatter else ""
            lines += [f"{phenomenon}.{known.name}", f"    range: {ranges}{scatter}", f"    {known.source}"]
    for file, name, source in machine_sources():
        lines += [f"machine: {file.replace('_', ' ')}, {name}", f"    {source}"]
    return lines
