"""The tables that only the page shows: duty points, dimensions, losses, limits, sources, mesh."""

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.core.correlation import Card, Source, card
from aerodesign.core.errors import AerodesignError
from aerodesign.core.quantities import quantities
from aerodesign.core.units import FOOT
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.throat import estimated_area, throat
from aerodesign.machine.materials import MATERIALS
from aerodesign.machine.noise import sound_power_level
from aerodesign.mesh.passage import Mesh
from aerodesign.mesh.quality import Quality
from aerodesign.report.answer import limit_text, power_word
from aerodesign.report.display import Units
from aerodesign.report.losses import loss_book
from aerodesign.report.tables import Column, Table, rise_word


def duty_table(design: Design) -> Table:
    """What is asked at each duty point and what the machine does there."""
    points = design.points
    word = rise_word(design)
    columns = (
        Column("point"), Column("flow", "volume flow"), Column(f"{word} asked", "pressure rise"), Column("reached", "pressure rise"),
        Column("met"), Column("speed", "speed"), Column("shaft power", "power"), Column(power_word(design).lower(), "power"),
        Column("efficiency", "percent"), Column("discharge", "temperature"), Column("time a year", "time"),
    )  # fmt: skip
    rows = []
    for i in range(len(points.flow)):
        one = points[i]
        name = f"{i + 1}, design" if i == design.design_index else str(i + 1)
        rows.append([
            name, one.flow, one.wanted, one.pressure_rise, "yes" if one.met else "NO", one.speed, one.shaft_power, one.drive_power,
            one.efficiency, one.discharge_temperature, one.hours if one.hours > 0 else float("nan"),
        ])  # fmt: skip
    return Table(columns, rows)


def dimension_rows(design: Design, units: Units) -> list[tuple[str, str, str]]:
    """Main dimensions: what, symbol, value."""
    blower = design.blower
    wheel, diffuser, volute = blower.impeller, blower.diffuser, blower.volute
    lengths = [
        ("inlet flange diameter", "2 r0", 2 * blower.r0), ("eye diameter", "2 r1s", 2 * wheel.r1s),
        ("hub diameter at the leading edge", "2 r1h", 2 * wheel.r1h), ("wheel diameter", "2 r2", 2 * wheel.r2),
        ("exit width", "b2", wheel.b2), ("axial length of the wheel", "", wheel.axial_length), ("bore", "", wheel.bore),
        ("blade thickness at the hub", "", wheel.thickness_hub), ("blade thickness at the shroud", "", wheel.thickness_shroud),
        ("eye seal gap" if wheel.covered else "blade tip clearance", "", wheel.clearance), ("fillet radius", "", wheel.fillet),
        ("diffuser exit diameter", "2 r3", 2 * diffuser.r3), ("diffuser width", "b3", diffuser.b3),
        ("volute section height at the throat", "", volute.size4), ("tongue radius", "", volute.tongue_radius),
        ("exit cone length", "", volute.cone_length), ("discharge flange diameter", "2 r5", 2 * volute.r5),
    ]  # fmt: skip
    angles = [
        ("blade angle at the leading edge, hub", "β1h", wheel.beta1h_blade), ("blade angle at the leading edge, shroud", "β1s", wheel.beta1s_blade),
        ("backsweep at the exit", "β2", wheel.beta2_blade), ("exit cone, full angle", "", volute.cone_angle),
    ]  # fmt: skip
    blades = f"{wheel.blades:.0f}" + (f" and {wheel.splitters:.0f} splitters" if wheel.splitters > 0 else "")
    rows = [("wheel", "", "covered" if wheel.covered else "semi-open"), ("blades", "Z", blades)]
    rows += [(name, symbol, units.text(float(value), "length")) for name, symbol, value in lengths]
    rows += [(name, symbol, units.text(float(value), "angle")) for name, symbol, value in angles]
    rows += [
        ("volute throat area", "A4", units.text(float(volute.A4), "area")),
        ("volute section", "", volute.section.name),
        ("wheel material asked", "", design.limits_asked.material),
        ("specific speed", "ωs", f"{design.specific_speed:.3f}"),
        ("specific diameter", "δs", f"{design.specific_diameter:.2f}"),
        ("flow coefficient V / (u2 D2²)", "φ", f"{design.stage.flow_coefficient:.4f}"),
        ("pressure coefficient Δh / u2²", "ψ", f"{design.stage.pressure_coefficient:.3f}"),
        ("work coefficient w / u2²", "λ", f"{design.stage.work_coefficient:.3f}"),
    ]
    return rows


def loss_rows(design: Design, units: Units) -> list[tuple[str, str, str]]:
    """Losses in the order of the flow: name, energy, points of efficiency; then their sum with the efficiency."""
    book = loss_book(design.stage, basis=design.duty.basis)
    stage = design.stage
    left = float(stage.efficiency_static if design.duty.basis == "static" else stage.efficiency_total)
    entries = [(loss.name, loss.share) for loss in book]
    entries.append((f"isentropic efficiency, total to {design.duty.basis}", left))
    entries.append(("work on the gas", sum(share for _, share in entries)))
    energy = units.value(float(stage.work), "specific energy")
    return [(name, f"{share * energy:.3f}", f"{100 * share:.2f}") for name, share in entries]


def limit_rows(design: Design, units: Units) -> list[tuple[str, str, str, str, str]]:
    """Limits: name, value, allowed, whether it is hard, and its state."""
    rows = []
    for limit in design.limits:
        state = "PASSED OVER" if not limit.passed else "binding" if limit.binding else ""
        rows.append((limit.name, *limit_text(limit, units), "limit" if limit.hard else "guideline", state))
    return rows


def trust(source: Source) -> str:
    """How far a source can be trusted: whether somebody opened it."""
    if source.from_memory:
        return "from memory"
    if source.author == "common practice":
        return "common practice, no source"
    return "derived here" if source.author == "aerodesign" else "read"


def source_rows(design: Design) -> list[tuple[str, str, str, str, str]]:
    """Sources of this run: phenomenon, correlation, source, trust, scatter."""
    used = dict(design.sources) | {"noise": card(sound_power_level)}
    rows = [
        (name.replace("_", " "), one.name.replace("_", " "), _citation(one.source), trust(one.source), _scatter(one))
        for name, one in used.items()
    ]
    material = MATERIALS[design.limits_asked.material]
    rows.append(("tip speed", material.name, _citation(material.source), trust(material.source), ""))
    rows.append(("drive", design.drive.kind, "speeds and efficiencies of drives", "common practice, no source", ""))
    return rows


def _citation(source: Source) -> str:
    return str(source).removesuffix(" [from memory]")


def _scatter(known: Card) -> str:
    return "" if known.scatter is None else "10 dB" if known.phenomenon == "noise" else f"{known.scatter:.3g}"


def mesh_rows(mesh: Mesh, units: Units) -> list[tuple[str, str]]:
    """Counts of a mesh and its quality."""
    kinds = {name: q.name for name, q in quantities(Quality).items()}
    rows = [("points", f"{len(mesh.points)}")]
    for name, value in mesh.quality.items():
        words = (
            name.replace("_", " ").replace(" max", ", largest").replace(" min", ", least").replace(" mean", ", mean")
        )
        # the quantities without a kind are volumes
        rows.append((words, units.text(float(value), kinds[name], 3) if name in kinds else f"{value:.3g} m³"))
    return rows


def radial_line(design: Design, units: Units) -> str:
    """The volute's radial force on the wheel at the duty points, by both estimates."""
    force, rule = np.atleast_1d(design.radial.force), np.atleast_1d(design.radial.by_rule)
    worst = int(np.argmax(np.maximum(force, rule)))
    return (
        f"Radial force of the volute on the wheel, largest over the duty points (point {worst + 1}): {units.text(force[worst], 'force')} by the "
        f"balance of moments round the spiral, {units.text(rule[worst], 'force')} by Stepanoff's rule for pump volutes (from memory). At the "
        "edges of the map it is larger; weight, unbalance, thrust and belt pull come on top."
    )


def throat_line(design: Design, units: Units) -> str:
    """The inducer's throat between the blade surfaces beside the meanline's; nothing for a wheel whose blades cannot be drawn."""
    wheel = design.blower.impeller
    try:
        found = throat(Blading(wheel, design.form.blade)).area
    except AerodesignError:
        return ""
    promised = estimated_area(wheel)
    return (
        f"Throat of the inducer, measured between the blade surfaces: {units.text(found, 'area', 4)}; the meanline chokes "
        f"{units.text(promised * float(wheel.throat_ratio), 'area', 4)}. The blade angles at the leading edge promise "
        f"{units.text(promised, 'area', 4)} ({100 * (found / promised - 1):+.1f} % by the surfaces)."
    )


def service_line(design: Design, units: Units) -> str:
    """Service, gas and site in a line."""
    site, duty = design.site, design.duty
    what = {
        "pressure": "Pressure service: draws from the site and blows against a pressure",
        "vacuum": "Vacuum service: draws against a suction and blows out at the site's pressure",
    }[duty.service]
    moist = f", relative humidity {100 * site.relative_humidity:.0f} %" if "air" in site.gas.name else ""
    gas = f"{site.gas.name}{moist} (R {site.gas.R:.1f} J/kg K, gamma {site.gas.gamma:.3f})"
    height = f"{site.altitude / FOOT:.0f} ft" if units.system == "us" else f"{site.altitude:.0f} m"
    altitude = "" if np.isnan(site.altitude) else f" ({height} above the sea)"
    return (
        f"{what}. Site {units.text(site.pressure, 'pressure')} absolute{altitude}, inlet {units.text(site.temperature, 'temperature')}, "
        f"{gas}; drive: {design.drive.kind}."
    )
