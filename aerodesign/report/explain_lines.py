"""An explanation of one number as lines for the terminal."""

import re
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.aero.explained import Explanation
from aerodesign.case import read_case
from aerodesign.case.run import design_case, rate_case
from aerodesign.core.quantities import Quantity, quantities
from aerodesign.core.record import Record
from aerodesign.core.units import format as as_text
from aerodesign.core.units import unit_of
from aerodesign.whole.explained import explain, explainable

WORDS = {r"\dot m": "mass_flow", r"\left": "", r"\right": "", r"\cdot": "*", r"\Big": "", r"\quad": " ", r"\le": "<=",
         r"\ge": ">=", r"\,": " ", r"\ ": " ", r"\;": " "}  # fmt: skip
"""What is left of LaTeX in a line of plain text."""

MANY = 12
"""Of arrays that are longer only the ends of their range are printed."""

ROUND_OFF = 1e-9
"""Less than this part of the other end is nothing."""


def explained_case(path: Path, name: str | None, units: str = "si") -> list[str]:
    """The lines for a case file: one quantity explained, or the list of all."""
    case = read_case(path)
    design = rate_case(case).design if case.given is not None and case.duty is None else design_case(case)
    return list_lines(design) if name is None else explain_lines(design, name, units)


def explain_lines(design: Design, name: str, units: str = "si") -> list[str]:
    """How a number came about: value, equation, inputs, source, range. Raises CaseError for an unknown name."""
    return lines_of(explain(design, name), units)


def lines_of(found: Explanation, units: str = "si") -> list[str]:
    """An explanation as lines."""
    lines = [f"{found.name} = {shown(found.value, found.quantity, units)}"]
    lines += [f"    {found.meaning}"] if found.meaning else []
    lines += ["equation", *(f"    {line}" for line in plain_text(found.equation).splitlines() if line.strip())]
    if found.inputs:
        width = max(len(one.name) for one in found.inputs)
        texts = [shown(one.value, one.quantity, units) for one in found.inputs]
        wide = min(max(map(len, texts)), 24)
        lines.append("inputs")
        lines += [
            f"    {one.name:<{width}}  {text:<{wide}}  {one.meaning}".rstrip()
            for one, text in zip(found.inputs, texts, strict=True)
        ]
    lines += ["source", f"    {found.source}"]
    lines += _range_lines(found, units)
    return lines + [f"note: {remark}" for remark in found.remarks]


def list_lines(design: Design) -> list[str]:
    """Every name that can be explained, with its meaning."""
    names = explainable(design)
    width = max(map(len, names))
    return [f"{name:<{width}}  {plain_text(meaning)}".rstrip() for name, meaning in names.items()]


def _range_lines(found: Explanation, units: str) -> list[str]:
    if not found.ranges:
        return ["range", "    none stated", *_scatter(found)]
    lines = ["range"]
    for one in found.ranges:
        span = f"{shown(one.low, one.quantity, units)} to {shown(one.high, one.quantity, units)}"
        state = "inside" if one.inside else "OUTSIDE, an extrapolation"
        lines.append(f"    {one.name} {span}: {state}, {shown(one.value, one.quantity, units)}")
    return lines + _scatter(found)


def _scatter(found: Explanation) -> list[str]:
    return [f"    scatter {found.scatter:.3g}, one standard deviation"] if found.scatter else []


def shown(value: Any, quantity: Quantity | None, units: str = "si") -> str:
    """A value of any kind as text with its unit."""
    if isinstance(value, str):
        return value
    if isinstance(value, Record):
        kinds = quantities(type(value))
        return ", ".join(f"{name} {shown(one, kinds.get(name), units)}" for name, one in value.items())
    if is_dataclass(value):
        return getattr(value, "name", f"a {type(value).__name__.lower()}")
    if np.size(value) > MANY:
        ends = np.array([np.min(value), np.max(value)])
        ends[np.abs(ends) < ROUND_OFF * np.abs(ends).max()] = 0.0
        low, high = (shown(end, quantity, units) for end in ends)
        return f"{np.size(value)} values from {low} to {high}"
    if np.ndim(value):
        return ", ".join(shown(one, quantity, units) for one in np.ravel(value))
    if quantity is None:
        return f"{float(value):.5g}" if not isinstance(value, (bool, int, np.bool_)) else str(value)
    return as_text(float(value), quantity, unit_of(quantity, units), digits=5).strip()


def plain_text(docstring: str) -> str:
    """A docstring without the marks of its mathematics: ``sqrt(cos beta_2b)`` for what a page would typeset."""

    def plain(match: re.Match[str]) -> str:
        text = match[1]
        text = re.sub(r"\\(?:text|mathrm)\{([^{}]*)\}", r"\1", text)
        text = re.sub(r"\\frac(\d)(\d)", r"\\frac{\1}{\2}", text)
        text = re.sub(r"\\frac\s*(\w)\s*(\\?\w+)", r"\\frac{\1}{\2}", text)
        for _ in range(4):
            text = re.sub(r"\\frac\{([^{}]*)\}\{([^{}]*)\}", r"(\1)/(\2)", text)
            text = re.sub(r"\\(?:bar|hat)\{?\s*(\w)\}?", r"\1", text)
            text = re.sub(r"\\sqrt\{([^{}]*)\}", r" sqrt(\1)", text)
            text = re.sub(r"([_^])\{([\w.]*)\}", r"\1\2", text)
            text = re.sub(r"([_^])\{([^{}]*)\}", r"\1(\2)", text)
        for mark, word in WORDS.items():
            # a command ends where its letters end: \le is no part of \left
            text = re.sub(re.escape(mark) + (r"(?![A-Za-z])" if mark[-1].isalpha() else ""), word, text)
        text = re.sub(r"\\([A-Za-z]+)", r" \1 ", text).replace("{", "(").replace("}", ")")
        text = re.sub(r"\s+([_^)])", r"\1", re.sub(r" +", " ", text))
        return re.sub(r"\(\s+", "(", text).strip()

    text = re.sub(r"\.\. math::\s+(.*?)(?=\n\s*\n|\Z)", plain, docstring, flags=re.DOTALL)
    text = re.sub(r":math:`([^`]*)`", plain, text, flags=re.DOTALL)
    text = re.sub(r":\w+:`~?(?:[\w.]*\.)?(\w+)`", r"\1", text)
    return re.sub(r"``([^`]*)``", r"\1", text)
