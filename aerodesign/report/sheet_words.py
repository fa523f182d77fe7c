"""What stands on a drawing sheet beside the views: table of the blade, tolerances, notes, title block.

The classes of the standards are from memory and say so on the sheet; whoever signs it looks them up.
"""

import numpy as np

from aerodesign.aero.design import Design
from aerodesign.drawing.view import MM, number
from aerodesign.geometry.blade import Blading
from aerodesign.machine.materials import MATERIALS

Row = tuple[str, ...]

STATIONS = (0, 1, 2.5, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100)
"""Per cent of the meridional length from the leading edge."""
GENERAL = (
    ("over", "up to", "± mm"),
    ("0.5", "6", "0.1"),
    ("6", "30", "0.2"),
    ("30", "120", "0.3"),
    ("120", "400", "0.5"),
    ("400", "1000", "0.8"),
    ("1000", "2000", "1.2"),
)
"""General tolerances of lengths, ISO 2768 class m: from memory."""
GRADE = ("AN2", 2.5, 3.0, 2.0)
"""Grade of performance of ISO 13348 with its tolerances of flow and pressure, power (per cent) and efficiency (points): from memory."""
BALANCE = 2.5e-3
"""Grade of balance in m/s: G 2.5 of ISO 21940-11, usual for such wheels (from memory)."""


def blade_rows(blading: Blading) -> list[Row]:
    """Camber line and thickness at hub and tip, mm and degrees, the head first."""
    x = np.array(STATIONS) / 100
    spans = [blading.span(s) for s in (0.0, 1.0)]
    rows: list[Row] = [("%", "hub z", "r", "θ", "t", "tip z", "r", "θ", "t")]
    columns = [
        (MM * p.z, MM * p.r, np.degrees(p.theta), 2 * MM * line.half_thickness_at(x))
        for line, p in ((line, line.at(x)) for line in spans)
    ]
    for i, station in enumerate(STATIONS):
        cells = [f"{column[i]:.3f}" for columns_ in columns for column in columns_]
        rows.append((f"{station:g}", *cells))
    return rows


def notes(design: Design, mass: float | None) -> list[str]:
    """Numbered remarks of the sheet; ``mass`` of the wheel in kg where its solid was made."""
    wheel, speed = design.blower.impeller, float(design.stage.speed)
    specific = BALANCE / speed
    unbalance = f"specific unbalance up to {1e6 * specific:.2f} g mm/kg"
    if mass is not None:
        unbalance += f", {1e6 * specific * mass:.2f} g mm for {mass:.3g} kg"
    speed_text = f"{speed * 30 / np.pi:.0f} rpm"
    return [
        "Predicted, not tested. To be checked and released by licensed engineers for strength, vibration, burst and explosion under "
        "the codes that apply where it runs, before any metal is cut.",
        "Blades: surface within 0.1 mm of the points in blade-points.csv, tips within 0.05 mm of their contour "
        f"(common practice, no source).{_splitters(design)}",
        f"Fillet at the blade's root R{number(MM * float(wheel.fillet))}, smaller where the solid's notes say so.",
        f"Surface of blades and hub in the gas: height of roughness {1e6 * float(wheel.roughness):.2g} µm taken by the prediction; "
        "other machined surfaces Ra 3.2 µm (common practice, no source).",
        f"Balance at {speed_text}: G {1e3 * BALANCE:g} of ISO 21940-11 (from memory), {unbalance}; where to take stock away for it, "
        "the shop proposes: on the back.",
        "Bore: fit, key or tie bolt and its tolerance are the mechanical engineer's; run-out of rim and tip contour to the bore "
        "up to 0.03 mm (common practice, no source).",
        "Spin test and its speed: by the code and the maker; a wheel that bursts goes through sheet metal.",
        f"Performance: grade {GRADE[0]} of ISO 13348, a standard for fans, by analogy (from memory): flow ± {GRADE[1]:g} %, "
        f"pressure ± {GRADE[1]:g} %, power + {GRADE[2]:g} %, efficiency - {GRADE[3]:g} points; the prediction's own band is wider, "
        "see the page.",
    ]


def _splitters(design: Design) -> str:
    wheel = design.blower.impeller
    if float(wheel.splitters) > 0:
        ahead = float(design.form.blade.splitter_position)
        return (
            f" Splitters begin at {100 * float(wheel.splitter_start):.3g} %, same camber, {ahead:.3g} of a pitch ahead."
        )
    return ""


def title_rows(
    design: Design, title: str, stamp: str, scale: str, date: str, mass: float | None
) -> list[tuple[str, str]]:
    """Fields of the title block."""
    stage = design.stage
    weight = f"{mass:.3g} kg as drawn" if mass is not None else "see the solid"
    return [
        ("title", title or "blower"),
        ("part", "impeller, " + ("covered" if bool(design.blower.impeller.covered) else "semi-open")),
        ("material", f"{design.limits_asked.material}, {MATERIALS[design.limits_asked.material].density:.0f} kg/m³"),
        ("mass", weight),
        ("rotation", f"{design.form.casing.rotation} seen from the drive"),
        (
            "speed",
            f"{float(stage.speed) * 30 / np.pi:.0f} rpm design, tip {float(stage.speed * design.blower.impeller.r2):.0f} m/s",
        ),
        ("scale", f"{scale}, A3, mm, first-angle projection"),
        ("made by", stamp),
        ("date", date),
        ("checked", ""),
        ("released", ""),
    ]
