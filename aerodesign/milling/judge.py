"""The survey held against the shop's limits: one finding a check."""

import numpy as np

from aerodesign.milling import flank
from aerodesign.milling.finding import SHOP, Finding
from aerodesign.milling.survey import Survey

WALLS, REACH, TILT = "walls", "reach", "tilt"
IN_THE_WAY = {
    WALLS: "blades, hub or cover leave no straight way for it",
    REACH: "the holder would touch: it does not stand out far enough",
    TILT: "the machine cannot tilt so far",
}


def findings(survey: Survey) -> list[Finding]:
    """All findings of a survey but those on casting and printing, which it holds itself."""
    return _room(survey) + (_reach(survey) if survey.cutter else []) + _machine(survey) + _flank(survey)


def _room(survey: Survey) -> list[Finding]:
    """Gaps, balls and fillets against the smallest cutter and the one chosen."""
    shop = survey.shop
    smallest = float(min(shop.cutters))
    wanted = survey.cutter or smallest
    tight = survey.tightest
    at = tight.centre[tight.least]
    gap = min(survey.gaps, key=lambda one: one.distance)
    return [
        Finding(
            "least gap between neighbouring blades",
            gap.distance,
            "length",
            wanted + 2 * float(shop.stock),
            "at least",
            f"{gap.name}, at {_place(gap.r, gap.z)}, where the blade is {1e3 * gap.depth:.3g} mm high",
            advice=_first_change(survey),
        ),
        Finding(
            "largest ball that passes on the hub, diameter",
            survey.largest_ball,
            "length",
            wanted + 2 * float(shop.stock),
            "at least",
            f"{tight.name}, its centre at {_place(float(np.hypot(at[0], at[1])), float(at[2]))}",
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


def _first_change(survey: Survey) -> str:
    return "see the changes below" if survey.changes else "take fewer blades, or cutters of a smaller diameter"


def _reach(survey: Survey) -> list[Finding]:
    """What the chosen cutter reaches, how far it stands out, how far the axis leans."""
    hub, sides = survey.hub, survey.sides
    assert hub is not None and sides is not None
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
            f"places that any straight tool reaches; holder {2e3 * hub.tool.holder:.3g} mm",
            advice="take a slimmer holder or a longer cutter",
        )
    )
    low, high = hub.tilts
    made.append(Finding("least range of tilt along the hub", high - low, "angle", where=_span("tilt from the wheel's axis", low, high)))
    low, high = hub.leads
    made.append(Finding("least range of lead along the hub", high - low, "angle", where=_span("lead with the flow", low, high)))
    if bool(survey.impeller.covered):
        both = [sum(part) for part in zip(hub.entered(), sides.entered(), strict=True)]
        made += [
            Finding(f"part reached from the {side} alone", part / 2, "percent", where="hub and blade sides of the covered wheel")
            for side, part in zip(("inlet", "exit"), both, strict=True)
        ]
    return made


def _missed(missed: dict[str, int], places: int) -> str:
    words = [f"{count} of {places}: {IN_THE_WAY[why]}" for why, count in missed.items() if count]
    return "; ".join(words) or f"{places} places tried"


def _span(what: str, low: float, high: float) -> str:
    if np.isnan(low):
        return "nothing is reached"
    low, high = np.degrees([low, high])
    return f"{what} {low:.0f}° throughout" if round(low) == round(high) else f"{what} {low:.0f}° to {high:.0f}°"


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
    twist = max(float(np.max(side.twist)) for side in survey.elements)
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
        Finding("twist along a straight element", twist, "angle", where="angle between the normals at hub and tip; " + where),
    ]
    if survey.cutter:
        radius = survey.cutter / 2
        cut = float(flank.overcut(radius=radius, twist=twist))
        best = float(flank.least_error(radius=radius, twist=twist))
        largest = 2e3 * float(flank.largest_radius(error=allowed, twist=twist))
        made.append(
            Finding(
                "overcut of a flank of that twist",
                cut,
                "length",
                allowed,
                "at most",
                f"cutter of {1e3 * survey.cutter:.3g} mm on both ends of the element; {1e6 * best:.2g} um at its best place",
                "derived here (aerodesign.milling.flank); limit: " + SHOP,
                f"take a cutter up to {largest:.2g} mm, or mill point by point",
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


def _place(r: float, z: float) -> str:
    return f"radius {1e3 * r:.1f} mm, {1e3 * z:.1f} mm from the leading edge's plane"


