"""Drive, sound, money and fit of a design as plain data, all numbers in SI units."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.core.limit import Limit
from aerodesign.core.plain import to_plain
from aerodesign.geometry.fit import fit


def running_record(design: Design) -> dict[str, Any]:
    """Every number of the chapters on running the machine; findings with value, bounds, margin, source and advice."""
    run, place = design.running, fit(design.blower, design.form.fit, design.form.casing)
    old = run.money.replaced
    return {
        "drive_line": _plain(run.drive_line),
        "sound": _plain(run.sound),
        "money": _plain(run.money, leave=("replaced",)) | {"replaced": None if old is None else _plain(old)},
        "fit": {
            **{
                name: to_plain(getattr(place, name))
                for name in ("across", "tall", "below", "discharge_x", "discharge_y")
            },
            "connections": [
                {"name": one.name, "bore": one.bore, "nominal": one.nominal, "standard": one.standard, "tube": one.tube}
                | {"flange": None if one.flange is None else one.flange._asdict()}
                for one in place.connections
            ],
            "findings": finding_rows(place.findings),
        },
    }


def finding_rows(findings: Sequence[Limit]) -> list[dict[str, Any]]:
    """Findings as plain data; a bound that is infinite is None."""
    return [
        {
            "name": one.name,
            "value": to_plain(one.value),
            "low": _finite(one.low),
            "high": _finite(one.high),
            "margin": _finite(one.margin),
            "passed": bool(one.passed),
            "source": str(one.source),
            "advice": one.advice,
        }
        for one in findings
    ]


def _plain(record: Any, leave: Sequence[str] = ()) -> dict[str, Any]:
    found = {f.name: getattr(record, f.name) for f in fields(record) if f.name not in (*leave, "steps", "findings")}
    plain = {name: _finite_all(to_plain(value)) for name, value in found.items()}
    return plain | ({"findings": finding_rows(record.findings)} if hasattr(record, "findings") else {})


def _finite_all(plain: Any) -> Any:
    """Plain data with None for what is infinite: JSON knows no infinity."""
    if isinstance(plain, dict):
        return {name: _finite_all(value) for name, value in plain.items()}
    if isinstance(plain, list):
        return [_finite_all(value) for value in plain]
    return _finite(plain) if isinstance(plain, float) else plain


def _finite(value: Any) -> float | None:
    return float(value) if np.isfinite(value) else None
