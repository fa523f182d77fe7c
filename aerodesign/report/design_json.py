"""The design record as JSON: what was asked, the flow path, and the results; read back, it is solved anew."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.design import Design, analyse
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.impeller import Blower, Diffuser, Impeller, Volute
from aerodesign.aero.limits import check
from aerodesign.aero.models import models_named
from aerodesign.aero.operation import inlet_state
from aerodesign.aero.proposal import chosen_section
from aerodesign.aero.sections import Section
from aerodesign.aero.site_curves import Conditions
from aerodesign.aero.system import System
from aerodesign.core.errors import AerodesignError
from aerodesign.core.flags import raised
from aerodesign.core.plain import from_plain, to_plain
from aerodesign.core.texts import file_text, one_line, shown_path, shown_value
from aerodesign.form import Form
from aerodesign.report.machine_chapter import machine_record
from aerodesign.report.running_record import running_record
from aerodesign.whole import MachineCheck

SCHEMA = "aerodesign design 1"
ASKED: dict[str, type] = {"duty": Duty, "site": Site, "limits": Limits, "drive": Drive, "choices": Choices}
LATER: dict[str, type] = {"system": System, "conditions": Conditions, "form": Form}
"""What records of earlier versions lack; the defaults then hold."""


def design_record(design: Design, *, title: str, stamp: str, machine: MachineCheck | None = None) -> dict[str, Any]:
    """Plain data of a design, all numbers in SI units; keys are the names of the vocabulary. With the check of its machine where there is one."""
    stage = design.stage
    results = {name: to_plain(value) for name, value in stage.items() if name not in ("blower", "gas", "flags")}
    results |= {
        name: to_plain(getattr(stage, name))
        for name, member in vars(type(stage)).items()
        if isinstance(member, property)
    }
    points = {name: to_plain(value) for name, value in design.points.items() if name != "operation"}
    checked = {"machine": machine_record(machine)} if machine is not None else {}
    return {
        "schema": SCHEMA,
        "title": title,
        "stamp": stamp,
        "asked": {
            "duty": to_plain(design.duty),
            "site": to_plain(design.site),
            "limits": to_plain(design.limits_asked),
            "drive": to_plain(design.drive),
            "choices": to_plain(design.choices),
            "system": to_plain(design.control.system),
            "conditions": to_plain(design.conditions),
            "form": to_plain(design.form),
            "design_index": design.design_index,
            "models": {name: card.name for name, card in design.sources.items()},
            "factors": to_plain(dict(design.models.factors)),
            "offsets": to_plain(dict(design.models.offsets)),
        },
        "blower": to_plain(design.blower),
        "design_point": results,
        "points": points,
        "running": running_record(design),
        "radial_force": to_plain(design.radial),
        "bands": {name: getattr(design.bands, name) for name in ("rise", "work", "efficiency", "choke", "stall")},
        "control": {
            kind: {
                "turndown": to_plain(down.ratio),
                "ends_at": down.limit,
                "yearly_energy": to_plain(design.control.energy[kind]),
            }
            for kind, down in design.control.turndown.items()
        },
        "limits": [
            {
                "name": limit.name,
                "value": to_plain(limit.value),
                "low": _finite(limit.low),
                "high": _finite(limit.high),
                "hard": limit.hard,
                "binding": bool(limit.binding),
                "passed": bool(limit.passed),
            }
            for limit in design.limits
        ],
        "flags": [
            {"code": f.code, "message": f.message, "advice": f.advice, "grave": f.grave} for f in raised(design.flags)
        ],
        "meets_duty": design.meets_duty,
        "specific_speed": to_plain(design.specific_speed),
        "specific_diameter": to_plain(design.specific_diameter),
        "estimated": list(design.estimated),
        **checked,
    }


def write_design(path: Path, record: dict[str, Any]) -> None:
    """Write a record of :func:`design_record` as JSON."""
    path.write_text(json.dumps(record, indent=1, allow_nan=False) + "\n", encoding="utf-8")


def read_design(path: str | Path) -> Design:
    """Read a design record back: the flow path as written, its design point, duty points and map solved anew.

    Of a calibration the coefficients come back, not how well the test determined them: the bands are then as wide as without.

    Raises AerodesignError, in one line, for a file that is no such record.
    """
    name = shown_path(path)
    text = file_text(path, "a design record", "the JSON text design.json of a result's folder")
    try:
        record = json.loads(text)
        if record["schema"] != SCHEMA:
            raise AerodesignError(f'{name}: schema is {shown_value(record["schema"])}, this version reads "{SCHEMA}"')
        return _restored(record)
    except (KeyError, TypeError, ValueError, RecursionError) as cause:
        reason = one_line(f"{type(cause).__name__}: {cause}", 120)
        raise AerodesignError(f"{name}: is no design record of aerodesign ({reason})") from cause


def title_and_stamp(path: str | Path) -> tuple[str, str]:
    """What a design record, known to be one, is called and by which input and version it was made."""
    record = json.loads(Path(path).read_text(encoding="utf-8"))
    return str(record.get("title", "")), str(record.get("stamp", ""))


def _restored(record: dict[str, Any]) -> Design:
    asked = record["asked"]
    parts: dict[str, Any] = {name: from_plain(kind, asked[name]) for name, kind in ASKED.items()}
    parts |= {name: from_plain(kind, asked.get(name, {})) for name, kind in LATER.items()}
    duty, site, choices = parts["duty"], parts["site"], parts["choices"]
    blower = _blower(record["blower"], chosen_section(choices))
    models = replace(models_named(asked["models"]), factors=asked.get("factors", {}), offsets=asked.get("offsets", {}))
    index = int(asked["design_index"])
    point = duty[index] if duty.shape else duty
    inlet = inlet_state(point, site, inlet_velocity=choices.inlet_velocity)
    stage = meanline.solve(
        blower,
        gas=inlet.gas,
        pt0=inlet.pt0,
        Tt0=inlet.Tt0,
        mass_flow=point.mass_flow,
        speed=record["design_point"]["speed"],
        models=models,
    )
    found = check(stage, limits=parts["limits"], drive=parts["drive"], choices=choices, rise=point.pressure_rise)
    return analyse(
        blower,
        stage,
        duty,
        site,
        limits=parts["limits"],
        drive=parts["drive"],
        choices=choices,
        system=parts["system"],
        conditions=parts["conditions"],
        form=parts["form"],
        models=models,
        design_index=index,
        found=found,
        estimated=tuple(record["estimated"]),
    )


def _blower(plain: dict[str, Any], section: Section) -> Blower:
    volute = dict(plain["volute"])
    del volute["section"]
    return Blower(
        r0=plain["r0"],
        impeller=from_plain(Impeller, plain["impeller"]),
        diffuser=from_plain(Diffuser, plain["diffuser"]),
        volute=from_plain(Volute, volute, section=section),
    )


def _finite(bound: float) -> float | None:
    return float(bound) if np.isfinite(bound) else None
