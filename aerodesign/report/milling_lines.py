"""The milling checks as text for the page and as plain data for ``milling.json``."""

from typing import Any

import numpy as np

from aerodesign.core.plain import to_plain
from aerodesign.milling import judge
from aerodesign.milling.changes import Change
from aerodesign.milling.finding import Finding
from aerodesign.milling.survey import DEFERENCE, Survey
from aerodesign.milling.work import Work
from aerodesign.report.display import Units

HEADS = ["check", "value", "limit", "margin", "where", "limit from"]
WORK_HEADS = ["work", "cutter", "area", "step", "passes", "time"]
CHANGE_HEADS = ["change", "from", "to", "ball then"]
SCHEMA = "aerodesign milling 1"


def milling_chapter(survey: Survey, units: Units) -> dict[str, Any]:
    """Everything that the page's chapter shows, as text."""
    found = judge.findings(survey)
    return {
        "verdict": verdict(survey, units),
        "heads": HEADS,
        "rows": [_row(one, units) for one in found],
        "advice": [f"{one.name}: {one.advice}." for one in found if not one.kept],
        "change": change_line(survey, units),
        "change_heads": CHANGE_HEADS,
        "changes": [_change_row(change, units) for change in survey.changes],
        "work_heads": WORK_HEADS,
        "work": _work_rows(survey.work, units) if survey.work else [],
        "time": _time_line(survey, units),
        "casting": [_row(one, units) for one in survey.casting],
        "casting_advice": [f"{one.name}: {one.advice}." for one in survey.casting if not one.kept],
        "deference": DEFERENCE,
    }


def verdict(survey: Survey, units: Units) -> str:
    """What cutter it takes, in a sentence or two."""
    ball = units.text(survey.largest_ball, "length", 3)
    if not survey.cutter:
        return f"No cutter on hand passes between the blades: the largest ball that does has a diameter of {ball}."
    text = (
        f"A ball cutter of {size_text(survey.cutter, units)} passes between the blades along the whole hub; "
        f"the largest ball that does is {ball} across."
    )
    if survey.hub and survey.sides and min(survey.hub.part, survey.sides.part) < 1:
        text += (
            f" It reaches {100 * survey.hub.part:.0f} % of the places tried on the hub and {100 * survey.sides.part:.0f} % of those "
            "on the blades: see below for what is in the way."
        )
    if survey.root_cutter and survey.root_cutter < survey.cutter:
        text += f" The fillets of {units.text(survey.fillet, 'length', 3)} take a cutter of {size_text(survey.root_cutter, units)} at most"
        text += ", but fillets of the large cutter's radius would have room." if survey.fillet_grows else "."
    elif not survey.root_cutter:
        text += f" No cutter on hand is small enough for fillets of {units.text(survey.fillet, 'length', 3)}: they will come out larger."
    return text


def change_line(survey: Survey, units: Units) -> str:
    """The smallest change that lets the next larger cutter in."""
    if not survey.next_cutter:
        return "Every cutter on hand passes."
    size = size_text(survey.next_cutter, units)
    if not survey.changes:
        return f"No single change that was tried (fewer blades, splitters, a wider exit) lets the next larger cutter, {size}, pass."
    first = survey.changes[0]
    name, before, after, _ = _change_row(first, units)
    return (
        f"The smallest change that lets the next larger cutter, {size}, pass: {name}, {before} to {after}. Each change was tried by making "
        "the blades anew with everything else held; put it into the case and design again before believing it."
    )


def _row(one: Finding, units: Units) -> list[str]:
    limit = "" if not one.sense else f"{one.sense} {units.text(one.limit, one.quantity, 3)}"
    margin = (
        ""
        if not one.sense
        else "passed over"
        if not one.kept
        else f"{100 * one.margin:.0f} %"
        if one.margin > 0
        else ""
    )
    where = one.place(lambda value, quantity: units.text(value, quantity, 3))
    return [one.name, units.text(one.value, one.quantity, 3), limit, margin, where, one.source if one.sense else ""]


def _change_row(change: Change, units: Units) -> list[str]:
    kind = {"ratio": "percent"}.get(change.quantity, change.quantity)
    before, after = (units.text(value, kind, 3) for value in (change.before, change.after))
    return [change.name, before, after, units.text(2 * change.radius, "length", 3)]


def _work_rows(work: Work, units: Units) -> list[list[str]]:
    rows = [["roughing " + volume_text(work.volume, units), "", "", "", "", units.text(work.roughing, "time", 3)]]
    for part in work.parts:
        rows.append([
            f"finishing {part.name}", size_text(part.cutter, units), units.text(part.area, "area", 3), units.text(part.step, "length", 3),
            str(part.passes), units.text(part.time, "time", 3),
        ])  # fmt: skip
    rows.append(["approach and retreat", "", "", "", "", units.text(work.idle, "time", 3)])
    rows.append(["setting up", "", "", "", "", units.text(work.setup, "time", 3)])
    rows.append(["together", "", "", "", "", units.text(work.total, "time", 3)])
    return rows


def size_text(diameter: float, units: Units) -> str:
    """A cutter's diameter as it is ordered: 6 mm, not 6.00 mm."""
    return f"{units.value(diameter, 'length'):.3g} {units.label('length')}"


def rate_text(feed: float, units: Units) -> str:
    """A feed as machines count it, a minute."""
    return f"{60 * feed / 0.0254:.3g} in/min" if units.system == "us" else f"{60e3 * feed:.4g} mm/min"


def volume_text(volume: float, units: Units) -> str:
    """A volume in cubic centimetres, or cubic inches."""
    return f"{volume / 0.0254**3:.3g} in³" if units.system == "us" else f"{1e6 * volume:.4g} cm³"


def _time_line(survey: Survey, units: Units) -> str:
    """Hours and money, with the rates that they rest on."""
    work, shop = survey.work, survey.shop
    if work is None:
        return ""
    return (
        f"About {work.total / 3600:.1f} h on the machine, {work.cost:.0f} at {float(shop.hourly_rate):.0f} an hour (in the "
        "currency of the rate), within a factor of two at best. "
        f"Ridges {units.text(float(shop.scallop), 'length', 2)} high at a feed of {rate_text(float(shop.feed), units)}; "
        f"roughing {volume_text(60 * float(shop.removal_rate), units)}/min. Turning, balancing, inspection and material are not in it."
    )


def milling_record(survey: Survey, *, stamp: str) -> dict[str, Any]:
    """The checks as plain data in SI units."""
    return {
        "schema": SCHEMA,
        "stamp": stamp,
        "note": DEFERENCE,
        "shop": to_plain(survey.shop),
        "cutter": survey.cutter,
        "root_cutter": survey.root_cutter,
        "next_cutter": survey.next_cutter,
        "largest_ball": survey.largest_ball,
        "findings": [_finding(one) for one in judge.findings(survey)],
        "casting": [_finding(one) for one in survey.casting],
        "gaps": [to_plain(vars(gap)) for gap in survey.gaps],
        "balls": [
            {"name": ball.name, "along": to_plain(ball.along), "radius": to_plain(ball.radius), "centre": to_plain(ball.centre)}
            for ball in survey.balls
        ],
        "blade": [
            {"name": one.name, "length": to_plain(one.length), "height": to_plain(one.height), "radius": to_plain(_finite(one.radius))}
            for one in survey.maps
        ],
        "changes": [to_plain(vars(change)) for change in survey.changes],
        "work": _plain_work(survey.work) if survey.work else None,
    }  # fmt: skip


def _finite(values: Any) -> Any:
    return np.where(np.isfinite(values), values, np.nan)


def _finding(one: Finding) -> dict[str, Any]:
    where = one.place(lambda value, quantity: f"{value:.6g} {'m' if quantity == 'length' else 'rad'}")
    return {
        "name": one.name, "value": to_plain(one.value), "quantity": one.quantity, "sense": one.sense, "limit": to_plain(one.limit),
        "margin": to_plain(one.margin), "kept": one.kept, "where": where, "source": one.source, "advice": one.advice,
    }  # fmt: skip


def _plain_work(work: Work) -> dict[str, Any]:
    plain = {name: value for name, value in vars(work).items() if name != "parts"}
    return to_plain(plain | {"total": work.total, "parts": [vars(part) for part in work.parts]})
