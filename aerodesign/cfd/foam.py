"""The solver's text files: headers, lists and fields, written and read. Plain ASCII, so that a case can be edited by hand."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.errors import AerodesignError

Values = NDArray[np.float64]

KINDS = {1: ("volScalarField", "scalar"), 3: ("volVectorField", "vector")}
"""Class of a field and of its values, by the numbers in a value."""

BLOCK = 50_000
"""Rows that are made into text at once."""

DIMENSIONS = {
    "U": "[0 1 -1 0 0 0 0]",
    "p": "[1 -1 -2 0 0 0 0]",
    "T": "[0 0 0 1 0 0 0]",
    "k": "[0 2 -2 0 0 0 0]",
    "omega": "[0 0 -1 0 0 0 0]",
    "nut": "[0 2 -1 0 0 0 0]",
    "alphat": "[1 -1 -1 0 0 0 0]",
}
"""Powers of kilogram, metre, second, kelvin, mole, ampere, candela."""
FIELDS = tuple(DIMENSIONS)
"""The fields that a run begins with and that a state on disc holds."""


class CaseFileError(AerodesignError):
    """A file of a simulation that is missing, cut short or not what it should be."""


@dataclass(frozen=True)
class Field:
    """A field as read: values in the cells (n,) or (n, 3) - or one value for all - and those on the faces of patches."""

    cells: Values
    patches: Mapping[str, Values]


def header(kind: str, name: str, location: str, note: str = "") -> str:
    """The opening of every file."""
    remark = f"// {note}\n" if note else ""
    return (
        f"{remark}FoamFile\n{{\n    version 2.0;\n    format ascii;\n    class {kind};\n"
        f'    location "{location}";\n    object {name};\n{f"    note {chr(34)}{note}{chr(34)};{chr(10)}" if note else ""}}}\n\n'
    )


def whole_numbers(values: NDArray[np.integer[Any]]) -> str:
    """A list of whole numbers, one a line."""
    return _digits(values[:, None], before="", after="\n")


def points(values: Values) -> str:
    """A list of points to fifteen digits, so that periodic sides match beyond 1e-12 of their size."""
    return _listed("(%.15g %.15g %.15g)\n", values)


def quads(values: NDArray[np.integer[Any]]) -> str:
    """A list of faces with four corners."""
    return _digits(values, before="4(", after=")\n")


def _digits(values: NDArray[np.integer[Any]], *, before: str, after: str) -> str:
    """Rows of whole numbers in brackets under their count, all numbers as wide as the largest; ten times as fast as one by one."""
    count, columns = values.shape
    width = len(str(int(values.max(initial=0)))) + 1
    blank = f"{before}{' ' * width * columns}{after}".encode()
    lines = []
    for start in range(0, count, BLOCK):
        left = values[start : start + BLOCK].astype(np.int32)
        rows = np.frombuffer(bytearray(blank * len(left)), np.uint8).reshape(len(left), len(blank))
        numbers = rows[:, len(before) : len(before) + width * columns].reshape(len(left), columns, width)
        for place in range(width - 1, 0, -1):
            tens = left // 10
            digit = (left - 10 * tens + ord("0")).astype(np.uint8)
            numbers[..., place] = digit if place == width - 1 else np.where(left > 0, digit, ord(" "))
            left = tens
        rows[:, len(before) : len(before) + width * columns] = numbers.reshape(len(rows), -1)
        lines.append(rows.tobytes().decode("ascii"))
    return f"{count}\n(\n" + "".join(lines) + ")\n"


def _listed(row: str, values: NDArray[Any]) -> str:
    """Rows in brackets under their count; made in blocks, as numbers outside of an array take ten times their room."""
    blocks = [values[start : start + BLOCK] for start in range(0, len(values), BLOCK)]
    return (
        f"{len(values)}\n(\n" + "".join((row * len(block)) % tuple(block.ravel().tolist()) for block in blocks) + ")\n"
    )


def inner(values: Values | float) -> str:
    """The values of a field in the cells: one number for all, or one a cell."""
    if np.ndim(values) == 0:
        return f"uniform {float(values):.10g}"
    values = np.asarray(values, float)
    width = 1 if values.ndim == 1 else values.shape[1]
    one = "%.9g\n" if width == 1 else "(" + " ".join(["%.9g"] * width) + ")\n"
    return f"nonuniform List<{KINDS[width][1]}>\n" + _listed(one, values)


def field_text(name: str, cells: Values | float, patches: Mapping[str, str], *, dimensions: str = "") -> str:
    """A field's file: values in the cells, and a line for the condition on each patch."""
    vector = np.ndim(cells) == 2 or name == "U"
    body = "".join(f"    {patch} {{ {condition} }}\n" for patch, condition in patches.items())
    return (
        header(KINDS[3 if vector else 1][0], name, "0")
        + f"dimensions {dimensions or DIMENSIONS[name]};\n\ninternalField {inner(cells)};\n\nboundaryField\n{{\n{body}}}\n"
    )


def read_field(path: Path) -> Field:
    """Read a field. Raises CaseFileError where the file is missing, cut short, or holds no numbers."""
    text = _text(path)
    start = text.find("internalField")
    split = text.find("boundaryField", start)
    if start < 0 or split < 0:
        raise CaseFileError(f"{path}: is not a whole field; the run was perhaps cut off while it wrote")
    try:
        cells = _values(text[start + len("internalField") : split])
        patches = {name: _values(body) for name, body in _bodies(text[split:]) if body}
    except ValueError as cause:
        raise CaseFileError(f"{path}: cannot be read ({cause}); the run was perhaps cut off while it wrote") from cause
    if not np.all(np.isfinite(cells)):
        raise CaseFileError(f"{path}: holds values that are not numbers: the run diverged")
    return Field(cells=cells, patches=patches)


def _text(path: Path) -> str:
    try:
        text = path.read_text(encoding="utf-8", errors="replace")
    except OSError as cause:
        raise CaseFileError(f"{path}: cannot be read: {cause.strerror}") from cause
    if re.search(r"format\s+binary", text[:1000]):
        raise CaseFileError(f"{path}: is binary; set writeFormat ascii in system/controlDict")
    return text


def _bodies(text: str) -> list[tuple[str, str]]:
    """Names of the patches with the text of their ``value``; empty where a patch has none."""
    found = []
    for match in re.finditer(r"^\s*(\w+)\s*\{((?:[^{}]|\n)*?)\}", text[text.index("{") + 1 :], re.MULTILINE):
        value = re.search(r"\bvalue\s+((?:non)?uniform\b.*?);\s*(?:\n|$|[a-zA-Z])", match[2] + "\n", re.DOTALL)
        found.append((match[1], value[1] if value else ""))
    return found


def _values(text: str) -> Values:
    """Numbers of ``uniform ...`` or ``nonuniform List<...> n ( ... )``, the count checked."""
    text = text.strip()
    if text.startswith("uniform"):
        numbers = np.array(text[7:].strip(" \n;()").split(), float)
        return numbers if numbers.size > 1 else numbers.reshape(())
    match = re.match(r"nonuniform\s+List<(\w+)>\s*(\d+)\s*\(?", text)
    if match is None:
        raise ValueError("neither uniform nor a list")
    width, count = (3 if match[1] == "vector" else 1), int(match[2])
    numbers = np.array(text[match.end() :].replace("(", " ").replace(")", " ").replace(";", " ").split(), float)
    if numbers.size != width * count:
        raise ValueError(f"{numbers.size} numbers where {width * count} are announced")
    return numbers.reshape(count, width) if width > 1 else numbers
