"""A calibration as a TOML file of our own, and where a case finds the one that it names."""

import json
import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero.calibration import Calibration
from aerodesign.aero.coefficients import Coefficient
from aerodesign.aero.models import Models, models_named
from aerodesign.case.lines import lines_of
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.core.errors import CaseError
from aerodesign.core.texts import file_text, one_line, printed, shown_path

FORMAT = "aerodesign calibration 1"
CALIBRATION = "calibration"
"""The key of [models] that names one, beside the phenomena."""

ENDING = ".calibration.toml"
MOST = 40
"""Coefficients beyond which a file was not written by us."""


def calibration_path(name: str, folder: str | Path) -> Path:
    """The file of a calibration that a case in a folder names: ``hall-3`` is hall-3.calibration.toml there; a path stays one."""
    return Path(folder) / (name if name.endswith(".toml") else name + ENDING)


def uncalibrated_models(names: Mapping[str, str]) -> Models:
    """The models that a case names, without its calibration. Raises CaseError for what does not exist."""
    return models_named({phenomenon: name for phenomenon, name in names.items() if phenomenon != CALIBRATION})


def calibrated_models(names: Mapping[str, str]) -> Models:
    """The models that a case names: correlations by phenomenon, moved by the calibration at the path under "calibration".

    Raises CaseError for what does not exist, and for a calibration that was fitted with other correlations.
    """
    base = uncalibrated_models(names)
    return read_calibration(names[CALIBRATION]).models(base) if CALIBRATION in names else base


def write_calibration(path: str | Path, calibration: Calibration, name: str, stamp: str) -> None:
    """Write a calibration under a name; ``stamp`` says what made it. Raises CaseError where the file cannot be written."""
    target = Path(path)
    draft = target.with_name(target.name + ".part")
    try:
        draft.write_text(calibration_text(calibration, name, stamp), encoding="utf-8")
        os.replace(draft, target)
    except (OSError, ValueError) as cause:
        raise CaseError(f"{shown_path(path)}: cannot be written: {one_line(str(cause), 120)}") from cause


def calibration_text(calibration: Calibration, name: str, stamp: str) -> str:
    """The calibration as TOML; numbers with all their digits, so that reading gives back what was fitted."""
    low, high = calibration.tested
    lines = [
        "# Coefficients of the meanline fitted to a test. Name this file in a case: [models] calibration = ...",
        f"format = {_quoted(FORMAT)}",
        f"name = {_quoted(name)}",
        f"stamp = {_quoted(stamp)}",
        f"points = {calibration.points}",
        f"unused = {list(calibration.unused)}",
        f"tested = [{_number(low)}, {_number(high)}]  # flow coefficients Q / (u2 D2^2)",
        f"excess = {_number(calibration.excess)}  # scatter of the readings about the fit over their uncertainty, at least 1",
        f"solved = {str(calibration.solved).lower()}",
    ]
    for one, part in zip(calibration.fitted, calibration.coefficients, strict=True):
        lines += [
            "",
            "[[coefficient]]" + ("" if one.determined else "  # not determined by the test"),
            f"name = {_quoted(one.name)}",
            f"phenomena = [{', '.join(map(_quoted, part.phenomena))}]",
            f"{'offset' if part.absolute else 'factor'} = {_number(one.value)}",
            f"deviation = {_number(one.deviation)}",
            f"prior = {_number(part.scatter)}  # standard deviation before the test"
            + ("" if part.absolute else ", of the factor's logarithm"),
        ]
    rows = [f"    [{', '.join(_number(x) for x in row)}]," for row in calibration.correlation]
    lines += ["", "[errors]", "correlation = [  # of the coefficients, in their order", *rows, "]"]
    for when, errors in (("before", calibration.before), ("after", calibration.after)):
        lines.append(f"{when} = {{{', '.join(f'{key} = {_number(value)}' for key, value in errors.items())}}}")
    lines += ["", "[models]  # fitted with these; a case with others must be calibrated again"]
    lines += [f"{phenomenon} = {_quoted(function)}" for phenomenon, function in calibration.functions.items()]
    return "\n".join(lines) + "\n"


def read_calibration(path: str | Path) -> Calibration:
    """Read a calibration. Raises CaseError, with one line for each problem, for a file that is none."""
    name = shown_path(path)
    text = file_text(path, "a calibration", "a short TOML text")
    try:
        content = tomllib.loads(text)
        problems = Problems(name, lines_of(text) if content else {})
    except (ValueError, RecursionError) as cause:
        raise CaseError(f"{name}: is not valid TOML: {one_line(str(cause), 120)}; calibrate again") from cause
    if content.get("format") != FORMAT:
        problems.add(
            ("format",), content.get("format", ABSENT), f'must be "{FORMAT}"; name a file that calibrate wrote'
        )
        problems.stop()
    return _Content(content, problems).calibration()


def _quoted(text: str) -> str:
    return json.dumps(printed(text), ensure_ascii=False)


def _number(value: float) -> str:
    return repr(float(value))


class _Content:
    """A calibration's tables, checked; what is wrong gathers in ``problems``."""

    def __init__(self, content: dict[str, Any], problems: Problems) -> None:
        self.content, self.problems = content, problems

    def calibration(self) -> Calibration:
        tables = self.get((), "coefficient", list)
        coefficients: list[Coefficient] = []
        moves: list[float] = []
        left: list[float] = []
        if not 0 < len(tables) <= MOST:
            self.problems.add(("coefficient",), tables, f"must be 1 to {MOST} tables")
        for k, table in enumerate(tables[:MOST]):
            one, move, part = self.coefficient(("coefficient", k), table if isinstance(table, dict) else {})
            coefficients, moves, left = [*coefficients, one], [*moves, move], [*left, part]
        self.problems.stop()

        errors, models = self.get((), "errors", dict), self.get((), "models", dict)
        for k, one in enumerate(coefficients):
            if not set(one.phenomena) <= set(models):
                self.problems.add(
                    ("coefficient", k, "phenomena"), list(one.phenomena), "must stand in [models] too; calibrate again"
                )
        matrix = self.matrix(errors.get("correlation"), len(coefficients))
        tested = self.numbers(("tested",), self.content.get("tested"), 2)
        calibration = dict(
            before=self.mapping(("errors", "before"), errors.get("before"), float),
            after=self.mapping(("errors", "after"), errors.get("after"), float),
            functions=self.mapping(("models",), models, str),
            points=self.get((), "points", int),
            excess=self.get((), "excess", float),
            unused=tuple(n for n in self.get((), "unused", list) if type(n) is int),
            solved=self.get((), "solved", bool),
            name=self.get((), "name", str),
            stamp=self.get((), "stamp", str),
        )
        self.problems.stop()
        return Calibration(
            coefficients=tuple(coefficients), moves=np.array(moves), covariance=matrix * np.outer(left, left),
            tested=(tested[0], tested[1]), **calibration,
        )  # fmt: skip

    def get(self, path: tuple[str | int, ...], key: str, kind: type, table: dict[str, Any] | None = None) -> Any:
        """A value of a kind, or an empty one and a problem."""
        value = (self.content if table is None else table).get(key, ABSENT)
        if kind is float and type(value) is int:
            value = float(value)
        if type(value) is not kind:
            self.problems.add((*path, key), value, f"must be {_KINDS[kind]}; calibrate again")
            return kind()
        return value

    def coefficient(self, path: tuple[str | int, ...], table: dict[str, Any]) -> tuple[Coefficient, float, float]:
        """A coefficient, its move and what is left of its prior deviation, both in prior deviations."""
        name, phenomena = self.get(path, "name", str, table), self.get(path, "phenomena", list, table)
        absolute = "offset" in table
        value = self.get(path, "offset" if absolute else "factor", float, table)
        deviation, prior = self.get(path, "deviation", float, table), self.get(path, "prior", float, table)
        if not all(isinstance(p, str) for p in phenomena) or not phenomena:
            self.problems.add((*path, "phenomena"), phenomena, "must name at least one phenomenon; calibrate again")
        for key, number in (("prior", prior), ("deviation", deviation), ("factor", 1.0 if absolute else value)):
            if not 0 < number < 100:
                self.problems.add((*path, key), table.get(key, ABSENT), "must be a positive number; calibrate again")
                return Coefficient(name, (), absolute, 1.0), 0.0, 1.0
        move = value / prior if absolute else float(np.log(value)) / prior
        left = deviation / prior / (1.0 if absolute else value)
        if not (abs(move) < 100 and left < 1 + 1e-6):
            self.problems.add(
                (*path, "deviation"),
                deviation,
                "is larger than the prior, or the value is out of all reason; calibrate again",
            )
        return Coefficient(name, tuple(map(str, phenomena)), absolute, prior), move, left

    def matrix(self, rows: Any, count: int) -> Any:
        path = ("errors", "correlation")
        good = isinstance(rows, list) and len(rows) == count
        matrix = np.array([self.numbers(path, row, count) for row in rows]) if good else np.eye(max(count, 1))
        whole = (
            good
            and np.all(np.isfinite(matrix))
            and np.allclose(np.diag(matrix), 1, atol=1e-9)
            and np.allclose(matrix, matrix.T, atol=1e-9)
        )
        if not whole or np.min(np.linalg.eigvalsh(matrix)) < -1e-9:
            self.problems.add(
                path, ABSENT if rows is None else rows, f"must be a correlation matrix of {count} rows; calibrate again"
            )
            return np.eye(count)
        return matrix

    def numbers(self, path: tuple[str | int, ...], values: Any, count: int) -> list[float]:
        if not isinstance(values, list) or len(values) != count or not all(type(v) in (int, float) for v in values):
            self.problems.add(path, ABSENT if values is None else values, f"must be {count} numbers; calibrate again")
            return [0.0] * count
        return [float(np.clip(v, -1e30, 1e30)) for v in values]

    def mapping(self, path: tuple[str | int, ...], table: Any, kind: type) -> Any:
        if not isinstance(table, dict) or not all(type(v) is kind for v in table.values()):
            self.problems.add(
                path, ABSENT if table is None else table, f"must be a table of {_KINDS[kind]} each; calibrate again"
            )
            return {}
        return table


_KINDS = {
    float: "a number",
    int: "a whole number",
    str: "text",
    bool: "true or false",
    list: "an array",
    dict: "a table",
}
