"""The validation page: every measured case beside its prediction, as text and pictures that are committed."""

from pathlib import Path

import numpy as np

from aerodesign.aero.scatter import ABSOLUTE, RELATIVE
from aerodesign.core.errors import CaseError
from aerodesign.core.flags import raised
from aerodesign.report.figures_base import save_svg
from aerodesign.report.figures_validation import validation
from aerodesign.report.held import JUDGED, NEAR, Held, Sum, amount, hold
from aerodesign.report.held_simulated import simulated_lines

PATTERN = "measured-*.toml"
LEFT_OUT = "left-out.md"
"""A text beside the cases that ends the page: published machines that were left out, and why."""

ENOUGH = 10
"""Points from which on a share of them means something."""

WORDS = {"pressure_rise": "pressure rise", "work": "work", "efficiency": "efficiency"}
UNITS = {"pressure_rise": "Pa", "work": "J/kg", "efficiency": "%"}
PLANES = {"2": "behind the impeller (2)", "3": "the end of the vaneless diffuser (3)", "5": "the discharge flange (5)"}


def validate(cases: Path, out: Path) -> list[str]:
    """Hold every ``measured-*.toml`` of a folder against the prediction; page and pictures go to ``out``.

    Returns lines for the terminal. The files hold no date: the same cases and code give the same bytes. Raises CaseError where
    the folder has no such case, or one cannot be rated.
    """
    cases, out = Path(cases), Path(out)
    paths = sorted(cases.glob(PATTERN))
    if not paths:
        raise CaseError(f"{cases}: has no case {PATTERN}; name the folder of the measured cases")
    held = {path: hold(path) for path in paths}
    every = [one for some in held.values() for one in some]

    out.mkdir(parents=True, exist_ok=True)
    for path, some in held.items():
        save_svg(validation(some), out / f"{path.stem}.svg")
    left_out = cases / LEFT_OUT
    remarks = left_out.read_text(encoding="utf-8") if left_out.is_file() else ""
    simulated = {path: simulated_lines(cases, path, some) for path, some in held.items()}
    (out / "README.md").write_text(page(held, remarks, simulated), encoding="utf-8")
    return [
        *(f"{some[0].case.title}: {'; '.join(_short(one) for one in some)}" for some in held.values()),
        *(f"target, {row[0]}: {row[1]}; found {row[2]}: {row[3]}" for row in targets(every)),
        f"written: {out / 'README.md'}, {len(held)} pictures",
    ]


def page(held: dict[Path, list[Held]], left_out: str = "", simulated: dict[Path, list[str]] | None = None) -> str:
    """The page as text in GitHub's flavour of Markdown; ``simulated`` holds lines that end a machine's section."""
    every = [one for some in held.values() for one in some]
    lines = [
        "# Predictions held against measurements",
        "",
        "Made by `aerodesign validate cases`; no number in its tables is typed by hand. Each machine is "
        "here with every point of it that was at hand. No coefficient was fitted to any of them. Errors are predicted over measured, less one; "
        "those of an efficiency are in points. The band at a point is the stated 90 % interval of the prediction: a measured value outside "
        "of it is a **miss**.",
        "",
        "## In sum",
        "",
        *_table(
            ("quantity", "flows", "points", "machines", "median error", "90 % within", "rms", "inside the band"),
            [row for name in JUDGED for row in _sums(every, name)],
        ),
        "",
        f'"near design": {100 * NEAR[0]:.0f} to {100 * NEAR[1]:.0f} % of the design flow, which is that of the case\'s duty, else that of '
        "the measured points' middle. Sizes of errors, without sign.",
        "",
        "## Against the targets",
        "",
        "For a prediction before any test, coefficients frozen:",
        "",
        *_table(("what", "target", "found", ""), targets(every)),
        "",
        "The cases are few: a row met by two points proves little.",
    ]
    for path, some in held.items():
        lines += ["", *_machine(path, some), *(simulated or {}).get(path, [])]
    return "\n".join([*lines, *(["", left_out.strip()] if left_out else [])]) + "\n"


def _table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> list[str]:
    return ["| " + " | ".join(row) + " |" for row in (heads, tuple("---" for _ in heads), *rows)]


def _size(value: float, name: str, sign: str = "") -> str:
    return f"{100 * value:{sign}.1f} " + ("points" if name == "efficiency" else "%")


def _sums(held: list[Held], name: str) -> list[tuple[str, ...]]:
    """Rows of the summary for a quantity: over all points and near the design flow."""
    rows: list[tuple[str, ...]] = []
    for flows, among in (("all", ""), ("near design", "near_design")):
        found = amount(held, name, among)
        if found is None:
            rows.append((WORDS[name], flows, "0", "0", "not measured", "", "", ""))
            continue
        sizes = (_size(value, name) for value in (found.median, found.most, found.rms))
        inside = f"{100 * found.inside:.0f} %"
        rows.append((WORDS[name], flows, str(found.points), str(found.machines), *sizes, inside))
    return rows


def targets(held: list[Held]) -> list[tuple[str, ...]]:
    """Rows of what was promised, its target, what was found, and whether that is met."""

    def row(what: str, target: str, found: Sum | None, text: str, met: bool) -> tuple[str, ...]:
        if found is None:
            return what, target, "nothing measured", "not tested"
        points = f"{found.points} point{'s' * (found.points > 1)}, {found.machines} machine{'s' * (found.machines > 1)}"
        verdict = "**missed**" if not met else "met" if found.points >= ENOUGH else "met, by too few points to tell"
        return what, target, f"{text} ({points})", verdict

    rows = []
    one = amount(held, "efficiency", "at_design")
    text = f"median {_size(one.median, 'efficiency')}, 90 % within {_size(one.most, 'efficiency')}" if one else ""
    good = bool(one and one.median <= 0.010 and one.most <= 0.020)
    rows.append(row("efficiency at design", "median 1.0 point, 90 % within 2.0", one, text, good))
    one = amount(held, "efficiency", "near_design")
    text = f"{_size(one.rms, 'efficiency')} rms" if one else ""
    rows.append(row("efficiency near design", "1.5 points rms", one, text, bool(one and one.rms <= 0.015)))
    for name, limit in (("work", 0.025), ("pressure_rise", 0.030)):
        for flows, among in (("all flows", ""), ("near design", "near_design")):
            one = amount(held, name, among)
            text = f"90 % within {_size(one.most, name)}" if one else ""
            target = f"90 % within {_size(limit, name)}"
            rows.append(row(f"{WORDS[name]}, {flows}", target, one, text, bool(one and one.most <= limit)))
    for name in JUDGED:
        one = amount(held, name)
        text = f"{100 * one.inside:.0f} %" if one else ""
        met = bool(one and 0.85 <= one.inside <= 0.95)
        rows.append(row(f"points inside the 90 % band, {WORDS[name]}", "85 to 95 %", one, text, met))
        if one and one.points < ENOUGH:
            rows[-1] = (*rows[-1][:3], "too few points to tell")
    rows.append(("choke flow", "2 %", "no case holds a measured one", "not tested"))
    rows.append(("surge flow", "80 % within 8 %", "no case holds a measured one", "not tested"))
    return rows


def _machine(path: Path, held: list[Held]) -> list[str]:
    """A machine's section: picture, what was measured, verdicts, the table of all points."""
    case, design = held[0].case, held[0].rated.design
    lines = [
        f"## {case.title}",
        "",
        f"![measured and predicted]({path.stem}.svg)",
        "",
        case.notes.strip().replace("\n", " "),
        "",
    ]
    estimated = [name for name in design.estimated if name in RELATIVE or name in ABSOLUTE]
    if estimated:
        lines += [f"Not published, therefore estimated and part of the band: {', '.join(estimated)}.", ""]
    ranges = [flag.message for flag in raised(design.flags) if flag.code == "range"]
    if ranges:
        lines += ["Correlations outside of their stated range at the design flow:", "", *(f"- {r}" for r in ranges), ""]
    for number, one in enumerate(held, start=1):
        measured = one.comparison.measured
        tolerance = f" Its uncertainty: {100 * measured.tolerance:.3g} %." if np.isfinite(measured.tolerance) else ""
        planes = f"Between the inlet flange and {PLANES[measured.plane]}. " if "pressure_rise" in one.quantities else ""
        lines += [
            f"### {measured.source or f'Measurement {number}'}",
            "",
            f"Trust: {measured.trust or 'not graded'}. {planes}"
            f"{_sentence(measured.definition)}{tolerance}",
            "",
            *(f"- {verdict}" for verdict in _verdicts(one)),
            "",
            *_table(("flow, m³/s", "rpm", "quantity", "measured", "predicted", "90 % band", "error", "band"), _rows(one)),
            "",
        ]  # fmt: skip
    return lines[:-1]


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else ""


def _short(one: Held) -> str:
    """The errors of one table in a few words."""
    words = []
    for name in one.quantities:
        error, inside = one.error(name), one.inside(name)
        if np.isfinite(error).any():
            at_most = f", 90 % within {_size(np.nanquantile(np.abs(error), 0.9), name)}" if error.size > 1 else ""
            words.append(
                f"{WORDS[name]} {_size(np.nanmedian(error), name, '+')} median{at_most}, {inside.sum()} of {inside.size} in the band"
            )
    return ", ".join(words)


def _verdicts(one: Held) -> list[str]:
    """What the errors of one table say, a sentence per quantity; the target that was set, and who makes the band wide."""
    lines = []
    for name in one.quantities:
        error = one.error(name)
        known = np.isfinite(error)
        if not known.any():
            lines.append(f"{WORDS[name]}: no point could be solved.")
            continue
        worst = int(np.nanargmax(np.abs(error)))
        several = error.size > 1
        text = f"{WORDS[name]}: " + ("median " if several else "") + f"error {_size(np.nanmedian(error), name, '+')}"
        if several:
            text += f", 90 % of the points within {_size(np.nanquantile(np.abs(error), 0.9), name)}"
            text += f", largest {_size(error[worst], name, '+')} at {one.comparison.flow[worst]:.4g} m³/s"
        misses = int((~one.inside(name)).sum())
        whole = f"{misses} of {error.size} outside the band" if misses else "all inside the band"
        single = "a miss, outside the band" if misses else "inside the band"
        text += f"; {whole if several else single}"
        text += f"; {int((~known).sum())} not solved" if not known.all() else ""
        if name in one.comparison.derived:
            text += f" (the measured {WORDS[name]} follows from what was measured)"
        middle = int(np.argmin(np.abs(np.log(one.flow_ratio))))
        parts = sorted(one.bands[name].contributors.items(), key=lambda item: -item[1][middle])[:2]
        shares = " and ".join(f"{key.replace('_', ' ')} ({100 * part[middle]:.0f} %)" for key, part in parts)
        lines.append(f"{text}. Its band at the design flow comes mostly from {shares}.")
    if one.asked is not None:
        name, limit, chosen = one.asked
        good = np.abs(one.error(name)[chosen]) <= limit
        span = (
            f" from {one.comparison.flow[chosen].min():.4g} to {one.comparison.flow[chosen].max():.4g} m³/s"
            if chosen.sum() > 1
            else ""
        )
        verdict = "met" if good.all() else "**missed**"
        lines.append(
            f"Asked beforehand: {WORDS[name]} within {_size(limit, name)}{span}. {verdict}: {good.sum()} of {good.size} points are."
        )
    return lines


def _number(value: float) -> str:
    """Four digits, without an exponent; a dash where there is no number."""
    if not np.isfinite(value):
        return "-"
    digits = 4 - int(np.floor(np.log10(max(abs(value), 1e-3)))) - 1
    return f"{round(value, digits):.{max(digits, 0)}f}"


def _rows(one: Held) -> list[tuple[str, ...]]:
    """A row for each point and quantity."""
    rows = []
    for k, (flow, speed) in enumerate(zip(one.comparison.flow, one.comparison.speed, strict=True)):
        for name in one.quantities:
            seen, said = (float(side[k]) for side in one.comparison.columns[name])
            if not np.isfinite(seen):
                continue
            band, scale = one.bands[name], 100 if name == "efficiency" else 1
            numbers = (_number(scale * value) for value in (seen, said))
            span = f"{_number(scale * band.low[k])} to {_number(scale * band.high[k])}"
            error = one.error(name)[k]
            verdict = "inside" if one.inside(name)[k] else "**miss**"
            rows.append((
                f"{flow:.5f}", f"{speed * 30 / np.pi:.0f}", f"{WORDS[name]}, {UNITS[name]}", *numbers, span,
                _size(error, name, "+") if np.isfinite(error) else "not solved", verdict,
            ))  # fmt: skip
    return rows
