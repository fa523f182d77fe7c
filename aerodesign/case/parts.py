"""The smaller tables of a case: standard states, choices and limits, models, a geometry to rate, measurements."""

from pathlib import Path as FilePath
from typing import Any

import numpy as np

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.duty import Duty
from aerodesign.aero.impeller import Blower, Diffuser, Impeller, Volute
from aerodesign.aero.models import models_named
from aerodesign.aero.site_curves import Conditions
from aerodesign.aero.system import System
from aerodesign.case.calibration_file import CALIBRATION, calibrated_models, calibration_path
from aerodesign.case.contents import STANDARD_STATES, Given, Measured, StandardState
from aerodesign.case.duties import Duties
from aerodesign.case.fields import fields_of, missing, read_table, read_value
from aerodesign.case.problems import Problems
from aerodesign.core.errors import CaseError
from aerodesign.core.fields import WrongValueError
from aerodesign.core.units import Parsed
from aerodesign.form import BladeForm, CasingForm, RotorForm, Shop, WheelForm

FORMS: dict[str, type] = {
    "blade": BladeForm,
    "wheel": WheelForm,
    "casing": CasingForm,
    "shop": Shop,
    "rotor": RotorForm,
}
OPTIONS: dict[str, type] = {
    "limits": Limits,
    "drive": Drive,
    "choices": Choices,
    "conditions": Conditions,
    **FORMS,
}
ESTIMATED = "estimated"
PARTS: dict[str, type] = {"impeller": Impeller, "diffuser": Diffuser, "volute": Volute, "inlet": Blower}


def read_service(content: dict[str, Any], problems: Problems) -> str:
    """The service; "pressure" where the file does not say."""
    if "service" not in content:
        return "pressure"
    try:
        return str(read_value(fields_of(Duty)["service"], content["service"]))
    except WrongValueError as wrong:
        problems.add(("service",), content["service"], str(wrong))
        return "vacuum" if "suction" in str(content.get("duty")) else "pressure"


def read_options(content: dict[str, Any], problems: Problems) -> tuple[dict[str, dict[str, Any]], list[str]]:
    """What the file says of limits, drive and choices, and the dotted keys that it leaves at their defaults."""
    said = {
        key: read_table(content.get(key, {}), fields_of(kind), (key,), problems, free=True)
        for key, kind in OPTIONS.items()
    }
    _match_cutters(said["shop"], content.get("shop"), problems)
    return said, [f"{key}.{name}" for key, kind in OPTIONS.items() for name in fields_of(kind) if name not in said[key]]


def _match_cutters(said: dict[str, Any], table: Any, problems: Problems) -> None:
    """Every cutter of the shop has its reach: the two lists go together."""
    counts = {name: len(said.get(name, getattr(Shop(), name))) for name in ("cutters", "reaches")}
    if len(set(counts.values())) > 1:
        name = "reaches" if "reaches" in said else "cutters"
        problems.add(
            ("shop", name),
            table[name],
            f"must give one reach for each cutter: got {counts['cutters']} cutters and {counts['reaches']} reaches",
        )


def read_system(table: Any, duties: Duties | None, problems: Problems) -> tuple[System, list[str]]:
    """The plant's curve, and the key left at its default: one of the two ways to say what is fixed."""
    said = read_table(table, fields_of(System), ("system",), problems)
    values = _plain(said)
    if len(values) > 1:
        problems.add(("system", "fixed_share"), table["fixed_share"], "stands beside fixed; keep one of the two")
    elif duties is not None and "fixed" in values:
        most = float(duties.duty.pressure_rise[duties.design_index])
        if values["fixed"] > most * (1 + 1e-9):
            problems.add(
                ("system", "fixed"),
                table["fixed"],
                f"must not exceed the pressure of the design point, {most / 1e3:.4g} kPa",
            )
    return System(**values), [] if values else ["system.fixed"]


def read_states(content: dict[str, Any], problems: Problems) -> dict[str, StandardState]:
    """The states that standard and normal flows count in: the usual ones but for ``[standard]`` and ``[normal]``."""
    return {
        key: usual.but(**_plain(read_table(content.get(key, {}), fields_of(StandardState), (key,), problems)))
        for key, usual in STANDARD_STATES.items()
    }


def read_models(table: Any, problems: Problems) -> dict[str, str]:
    """Names of correlations by phenomenon, each known; under "calibration" the path of a calibration fitted with them."""
    if not isinstance(table, dict):
        problems.add(("models",), table, 'must be a table: write [models] and lines as slip = "wiesner" below')
        return {}
    before = len(problems.found)
    for phenomenon, name in table.items():
        if not isinstance(name, str):
            kind = "calibration or the path of its file" if phenomenon == CALIBRATION else "correlation"
            problems.add(("models", phenomenon), name, f"must be the name of a {kind} in quotes")
            continue
        if phenomenon == CALIBRATION:
            continue
        try:
            models_named({phenomenon: name})
        except CaseError as unknown:
            problems.add(("models", phenomenon), name, str(unknown).rsplit(": ", 1)[-1])
    if CALIBRATION not in table or len(problems.found) > before:
        return dict(table)
    named = dict(table) | {CALIBRATION: str(calibration_path(table[CALIBRATION], FilePath(problems.name).parent))}
    try:
        calibrated_models(named)
    except CaseError as wrong:
        problems.add(("models", CALIBRATION), table[CALIBRATION], str(wrong))
    return named


def read_given(table: Any, problems: Problems) -> Given:
    """The geometry of ``[rate]``: its speed, what of it is only estimated, and tables ``[rate.impeller]`` and so on."""
    speed = {"speed": fields_of(Measured)["speed"]}
    values = read_table(table, speed, ("rate",), problems, also=(ESTIMATED, *PARTS))
    table = table if isinstance(table, dict) else {}
    parts = {
        part: _plain(read_table(table[part], fields_of(kind), ("rate", part), problems))
        for part, kind in PARTS.items()
        if part in table
    }
    estimated = _estimated(table.get(ESTIMATED, []), parts, problems)
    return Given(speed=values.get("speed", float("nan")), parts=parts, estimated=estimated)


def _estimated(names: Any, parts: dict[str, dict[str, Any]], problems: Problems) -> tuple[str, ...]:
    """Names of given dimensions that are only estimates."""
    given = [f"{part}.{name}" for part, values in parts.items() for name in values]
    wrong = [name for name in names if name not in given] if isinstance(names, list) else names
    if wrong or not isinstance(names, list):
        problems.add(
            ("rate", ESTIMATED),
            names,
            f"must list dimensions that [rate] gives, such as {', '.join(given[:3]) or 'none'}",
        )
        return ()
    return tuple(names)


def read_measured(tables: Any, problems: Problems) -> tuple[Measured, ...]:
    """The measurements of ``[measured]`` or ``[[measured]]``."""
    single = not isinstance(tables, list)
    rows = [(("measured",), tables)] if single else [(("measured", i), table) for i, table in enumerate(tables)]
    found = []
    known = fields_of(Measured)
    for path, table in rows:
        before = len(problems.found)
        values = _plain(read_table(table, known, path, problems, columns=True))
        missing(table if isinstance(table, dict) else known, known, path, problems)
        lengths = {np.shape(value) for value in values.values() if np.ndim(value)}
        if len(lengths) > 1:
            problems.add(path, table, "arrays of different lengths; each needs one entry per measured point")
        if len(problems.found) == before:
            found.append(Measured(**values))
    return tuple(found)


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value.value if isinstance(value, Parsed) else value for key, value in values.items()}
