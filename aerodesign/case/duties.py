"""The duty points of a case: what passes the machine, and which pressure it must make."""

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from aerodesign.aero.duty import Duty, Site
from aerodesign.case.contents import StandardState
from aerodesign.case.fields import fields_of, read_table
from aerodesign.case.lines import Path
from aerodesign.case.problems import ABSENT, Problems
from aerodesign.core.bounds import Accepts, Within
from aerodesign.core.fields import Field
from aerodesign.core.quantities import Density, MassFlow, Pressure
from aerodesign.core.record import Record, record
from aerodesign.core.units import UNSPECIFIED, Parsed
from aerodesign.gas.air import dry_air_density, humidity_ratio
from aerodesign.gas.perfect import density

DEEPEST = 0.9
"""Suction as a part of the site's pressure beyond which there is hardly gas left to move."""


@record
class VacuumKeys(Record):
    """What a duty point of vacuum service has in place of ``pressure_rise``."""

    suction: Annotated[
        Pressure,
        Accepts("vacuum", advice="give the suction as a positive number below the site's pressure"),
        Within("1 mbar", "1150 mbar", advice="the suction is a positive number"),
    ]


@dataclass(frozen=True)
class Duties:
    """All duty points, which of them is the design point, how each flow was given, and the keys left at defaults."""

    duty: Duty
    design_index: int
    flow_references: tuple[str, ...]
    defaults: list[str]


def read_duties(
    tables: Any, service: str, site: Site | None, air: bool, states: dict[str, StandardState], problems: Problems
) -> Duties | None:
    """The duty points of ``[duty]`` or ``[[duty]]``; None where they are wrong or the site is not known."""
    before = len(problems.found)
    single = not isinstance(tables, list)
    listed = [tables] if single else tables
    rows: list[tuple[Path, Any]] = [(("duty",) if single else ("duty", i), table) for i, table in enumerate(listed)]
    if not rows:
        problems.add(("duty",), tables, "is empty; give at least one duty point")

    points: list[dict[str, Any]] = []
    references: list[str] = []
    for path, table in rows:
        values = read_table(table, _fields(service), path, problems, also=("design",))
        _complete(values, table, path, service, site, problems)
        if site is not None and len(problems.found) == before:
            flow = values.pop("flow", values.get("mass_flow"))
            pressure = site.pressure - values["pressure_rise"] if service == "vacuum" else site.pressure
            rho = float(density(gas=site.gas, p=pressure, T=site.temperature))
            references.append("mass" if not isinstance(flow, Parsed) else _reference(flow))
            mass = flow if not isinstance(flow, Parsed) else _mass_flow(flow, rho, site, air, states)
            points.append({"hours": 0.0, "basis": "static"} | values | {"mass_flow": mass, "flow": mass / rho})
    design = _design_index(rows, single, problems)
    if len({point["basis"] for point in points}) > 1:
        problems.add(("duty",), ABSENT, "all points must have the same basis, static or total")
    if site is None or len(problems.found) > before:
        return None

    names = [name for name in points[0] if name != "basis"]
    columns = {name: np.array([float(point[name]) for point in points]) for name in names}
    given = {key for _, table in rows for key in table}
    return Duties(
        duty=Duty(**columns, service=service, basis=points[0]["basis"]),
        design_index=design,
        flow_references=tuple(references),
        defaults=[f"duty.{name}" for name in ("hours", "basis") if name not in given],
    )


def _fields(service: str) -> dict[str, Field]:
    fields = {name: field for name, field in fields_of(Duty).items() if name != "service"}
    if service == "vacuum":
        del fields["pressure_rise"]
        fields |= fields_of(VacuumKeys)
    return fields


def _complete(
    values: dict[str, Any], table: Any, path: Path, service: str, site: Site | None, problems: Problems
) -> None:
    """Check what the keys of a point mean together; puts the suction where the duty's pressure rise stands."""
    if not isinstance(table, dict):
        return
    if "flow" in table and "mass_flow" in table:
        problems.add((*path, "mass_flow"), table["mass_flow"], "stands beside flow; keep one of the two")
    elif "flow" not in table and "mass_flow" not in table:
        problems.add((*path, "flow"), ABSENT, 'is missing; give it as in "1800 m3/h", or mass_flow as in "0.6 kg/s"')
    key = "suction" if service == "vacuum" else "pressure_rise"
    if key not in table:
        problems.add((*path, key), ABSENT, f'is missing; {service} service needs it, as in "20 kPa"')
    elif key in values:
        values["pressure_rise"] = values.pop(key).value
        if service == "vacuum" and site is not None and values["pressure_rise"] >= DEEPEST * site.pressure:
            most = f"{DEEPEST * site.pressure / 1e3:.4g} kPa, {DEEPEST:.0%} of the site's pressure"
            problems.add((*path, key), table[key], f"must be below {most}")


def _design_index(rows: list[tuple[Path, Any]], single: bool, problems: Problems) -> int:
    marked = []
    for number, (path, table) in enumerate(rows):
        mark = table.get("design", False) if isinstance(table, dict) else False
        if not isinstance(mark, bool):
            problems.add((*path, "design"), mark, "must be true or false, without quotes")
        elif mark:
            marked.append(number)
    if len(rows) == 1:
        return 0
    if len(marked) != 1:
        said = "no point is" if not marked else f"{len(marked)} points are"
        problems.add(("duty",), ABSENT, f"{said} marked as the design point; write design = true in one of them")
        return 0
    return marked[0]


def _reference(flow: Parsed) -> str:
    return "actual" if flow.reference == UNSPECIFIED else flow.reference


def _mass_flow(flow: Parsed, rho: Density, site: Site, air: bool, states: dict[str, StandardState]) -> MassFlow:
    """Mass flow of gas with its moisture. A standard flow counts the dry air; the site's moisture comes on top."""
    reference = _reference(flow)
    if reference == "actual":
        return float(flow.value * rho)
    state = states[reference]
    if not air:
        return float(flow.value * density(gas=site.gas, p=state.pressure, T=state.temperature))
    dry = dry_air_density(p=state.pressure, T=state.temperature, relative_humidity=state.relative_humidity)
    moisture = humidity_ratio(p=site.pressure, T=site.temperature, relative_humidity=site.relative_humidity)
    return float(flow.value * dry * (1 + moisture))
