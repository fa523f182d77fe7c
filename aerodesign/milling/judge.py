"""The survey held against the shop's limits: one finding a check."""

import numpy as np

from aerodesign.milling import flank
from aerodesign.milling.access import Tool
from aerodesign.milling.finding import SHOP, Finding
from aerodesign.milling.survey import Survey
from aerodesign.milling.sweep import Sweep

PLACE = "at a radius of {} and {} behind the plane of the leading edge"
DERIVED = "derived here"
FIXED = np.radians(2.0)
"""A range of angles narrower than this is called fixed: axes are tried in steps of 4 to 15 degrees."""
WALLS, REACH, TILT = "walls", "reach", "tilt"
IN_THE_WAY = {
    WALLS: "blades, hub or cover leave no straight way for it",
    REACH: "the holder would touch: it does not stand out far enough",
    TILT: "the machine cannot tilt so far",
}


def findings(survey: Survey) -> list[Finding]:
    """All findings of a survey but those on casting and printing, which it holds itself."""
    reached = _reach(survey, survey.hub, survey.sides) if survey.hub and survey.sides else []
    return _room(survey) + reached + _machine(survey) + _flank(survey)


def _room(survey: Survey) -> list[Finding]:
    """Gaps, balls and fillets against the smallest cutter and the one chosen."""
    shop = survey.shop
    smallest = float(min(shop.cutters))
    wanted = survey.cutter or smallest
    tight = survey.tightest
    at = tight.centre[tight.least]
    gap = min(survey.gaps, key=lambda one: one.distance)
    over = "the ball passes over this place higher up the blades: a thinner cutter must finish below it"
    return [
        Finding(
            "least gap between neighbouring blades",
            gap.distance,
            "length",
            _across(survey, wanted, gap.depth) + 2 * float(shop.stock),
            "at least",
            f"{gap.name}, {PLACE}; the blade is {{}} high there"
            + (", the tapered cutter widest there" if shop.taper > 0 else ""),
            numbers=((gap.r, "length"), (gap.z, "length"), (gap.depth, "length")),
            advice=over if survey.cutter else _first_change(survey),
        ),
        Finding(
            "largest ball that passes on the hub, diameter",
            survey.largest_ball,
            "length",
            wanted + 2 * float(shop.stock),
            "at least",
            f"{tight.name}, its centre {PLACE}",
            numbers=((float(np.hypot(at[0], at[1])), "length"), (float(at[2]), "length")),
            advice=_first_change(survey),
        ),
        Finding(
            "fillet radius against the smallest cutter on hand",
            survey.fillet,
            "length",
            smallest / 2,
            "at least",
            "root of the blades" + (", both ends" if bool(survey.impeller.covered) else ""),
            advice="ask for a fillet no smaller than the cutter's radius, or let the cutter leave its own",
        ),
    ]


def _across(survey: Survey, cutter: float, depth: float) -> float:
    """Diameter of a cutter where it leaves a passage of that depth: its own, or that of its cone there."""
    tool = Tool(cutter / 2, np.inf, np.inf, float(survey.shop.taper))
    return float(2 * tool.half_width(max(depth - cutter / 2, 0.0))) if tool.taper > 0 else cutter


def _first_change(survey: Survey) -> str:
    return "see the changes below" if survey.changes else "take fewer blades, or cutters of a smaller diameter"


def _reach(survey: Survey, hub: Sweep, sides: Sweep) -> list[Finding]:
    """What the chosen cutter reaches, how far it stands out, how far the axis leans."""
    made = [
        Finding(
            f"part of the {name} that the cutter reaches",
            sweep.part,
            "percent",
            1.0,
            "at least",
            _missed(sweep.missed, len(sweep.places)),
            advice="take a longer or thinner cutter, or cut from both sides; what no straight tool reaches is undercut",
        )
        for name, sweep in (("hub", hub), ("blade sides", sides))
    ]
    out = np.nanmax([hub.stick_out, sides.stick_out])
    made.append(
        Finding(
            "cutter must stand out of its holder",
            float(out),
            "length",
            hub.tool.reach,
            "at most",
            "over all places that any straight tool reaches; holder {} thick",
            numbers=((2 * hub.tool.holder, "length"),),
            advice="take a slimmer holder or a longer cutter",
        )
    )
    made.append(_span("least range of tilt along the hub", "tilt from the wheel's axis", *hub.tilts))
    made.append(_span("least range of lead along the hub", "lead with the flow", *hub.leads))
    if bool(survey.impeller.covered):
        both = [sum(part) for part in zip(hub.entered(), sides.entered(), strict=True)]
        made += [
            Finding(
                f"part reached from the {side} alone",
                part / 2,
                "percent",
                where="hub and blade sides of the covered wheel",
            )
            for side, part in zip(("inlet", "exit"), both, strict=True)
        ]
    return made


def _missed(missed: dict[str, int], places: int) -> str:
    words = [f"{count} of {places}: {IN_THE_WAY[why]}" for why, count in missed.items() if count]
    return "; ".join(words) or f"{places} places tried"


def _span(name: str, what: str, low: float, high: float) -> Finding:
    if np.isnan(low):
        return Finding(name, float("nan"), "angle", where="nothing is reached")
    if high - low < FIXED:
        return Finding(name, 0.0, "angle", where=f"{what} {{}} throughout", numbers=((low, "angle"),))
    return Finding(name, high - low, "angle", where=f"{what} {{}} to {{}}", numbers=((low, "angle"), (high, "angle")))


def _machine(survey: Survey) -> list[Finding]:
    """The machine's own limits."""
    shop = survey.shop
    made = [
        Finding(
            "wheel radius on the machine's table",
            float(survey.impeller.r2),
            "length",
            float(shop.table_radius),
            "at most",
            advice="take a larger machine",
        )
    ]
    sweeps = [sweep for sweep in (survey.hub, survey.sides) if sweep]
    tilts = [sweep.furthest for sweep in sweeps if not np.isnan(sweep.furthest)]
    if tilts:
        made.append(
            Finding(
                "tilt that reaches all that the cutter can",
                max(tilts),
                "angle",
                float(shop.tilt),
                "at most",
                "from the wheel's axis; the table turns the wheel freely",
                advice="take a machine that tilts further, or turn the wheel over",
            )
        )
    return made


def _flank(survey: Survey) -> list[Finding]:
    """Cutting the blades with the side of a cutter."""
    shop = survey.shop
    bend = max(float(np.max(side.deviation)) for side in survey.elements)
    twists = np.concatenate([side.twist for side in survey.elements])
    twist = float(np.max(twists))
    lean = max(float(np.max(np.arccos(np.clip(-side.direction[:, 2], -1, 1)))) for side in survey.elements)
    allowed = float(shop.flank_error)
    where = "both sides of the full blade, behind its nose"
    made = [
        Finding(
            "blade off its nearest straight elements",
            bend,
            "length",
            allowed,
            "at most",
            where,
            advice="mill the blades point by point, or ask for straight elements",
        ),
        Finding(
            "twist along a straight element", twist, "angle", where="angle between the normals at hub and tip; " + where
        ),
    ]
    there = "{} wide half-way up the element, " if shop.taper > 0 else "of {} "
    cone = np.tan(float(shop.taper)) * np.concatenate([side.length for side in survey.elements]) / 2
    slim = np.cos(float(shop.taper)) * (flank.largest_radius(error=allowed, twist=twists) - cone)
    largest = 2 * max(float(np.min(slim)), 0.0)
    made.append(Finding("largest cutter whose flank keeps the error allowed", largest, "length", source=DERIVED))
    if survey.cutter:
        radius = survey.cutter / 2 / np.cos(float(shop.taper)) + cone
        deep = flank.overcut(radius=radius, twist=twists)
        worst = int(np.argmax(deep))
        best = float(flank.least_error(radius=radius[worst], twist=twists[worst]))
        made.append(
            Finding(
                "overcut of a flank of that twist",
                float(deep[worst]),
                "length",
                allowed,
                "at most",
                f"a cutter {there}on both ends of the element; at its best place it would leave {{}}",
                numbers=((2 * float(radius[worst]), "length"), (best, "length")),
                source=f"{SHOP}; overcut {DERIVED}",
                advice="take a thinner cutter, or mill point by point",
            )
        )
    made.append(
        Finding(
            "tilt of the straight elements for flank milling",
            lean,
            "angle",
            float(shop.tilt),
            "at most",
            "from the wheel's axis, largest over the blade",
            advice="mill point by point",
        )
    )
    return made
