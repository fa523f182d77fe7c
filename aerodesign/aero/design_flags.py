"""What the user must know about a design: every flag that it may carry."""

import numpy as np

from aerodesign.aero import meanline
from aerodesign.aero.models import Models
from aerodesign.aero.performance_map import Map
from aerodesign.aero.points import Points
from aerodesign.aero.stage import Stage
from aerodesign.core.correlation import card, outside, supply
from aerodesign.core.flags import Flag
from aerodesign.core.limit import Limit

CLAIMED_RISE = (200.0, 45e3)
"""Pressure rise or suction in Pa that the tool is made for."""

CLAIMED_FLOW = (0.05, 5.0)
"""Flow in m3/s that the tool is made for, with some room beside the 0.1 to 3 that it is meant for."""


def flags_of(
    stage: Stage, points: Points, chart: Map, limits: list[Limit], models: Models, *, sized: bool
) -> list[Flag]:
    """All flags of a design: unsolved or unmet points, limits passed, correlations outside their range, stall near by.

    A limit passed is grave in a design of our own (``sized``); a machine that exists has shown that it may be passed.
    """
    flags = [
        Flag(
            "unsolved",
            ~np.asarray(stage.solved),
            "the design point did not solve",
            "do not use this result",
            grave=True,
        ),
        Flag(
            "unmet",
            ~np.asarray(points.met),
            "a duty point asks more pressure than the machine makes at its flow",
            "let the point with the highest pressure be the design point, or allow a higher speed",
            grave=True,
        ),
    ]
    flags += [
        Flag(
            "limit",
            ~np.asarray(limit.passed),
            f"{limit.name} lies outside its range",
            limit.advice,
            value=limit.value,
            limit=limit.high if np.any(limit.value > limit.high) else limit.low,
            grave=limit.hard and sized,
        )
        for limit in limits
    ]
    for what, value, (low, high), unit in (
        ("pressure", points.wanted, CLAIMED_RISE, "Pa"),
        ("flow", points.flow, CLAIMED_FLOW, "m3/s"),
    ):
        flags.append(
            Flag(
                "claim",
                np.asarray((value > high) | (value < low)),
                f"the {what} lies outside the {low:g} to {high:g} {unit} that this tool is made for",
                "have the result checked by other means",
                value=value,
                limit=high if np.any(value > high) else low,
            )
        )
    # Beyond the slowest and fastest line of the map the band goes on in proportion to the speed.
    lines = chart.speed[:, 0]
    edge = (
        np.interp(points.speed, lines, chart.stall_band[1]) * points.speed / np.clip(points.speed, lines[0], lines[-1])
    )
    nearest = int(np.argmin(points.flow / edge))
    flags.append(
        Flag(
            "stall",
            np.asarray(points.flow < edge),
            "a duty point lies inside the stall band",
            "choose a narrower diffuser or a lower exit flow coefficient, or blow off the surplus",
            value=points.flow[nearest],
            limit=edge[nearest],
        )
    )
    known = meanline.known_quantities(
        stage.blower,
        gas=stage.gas,
        pt0=stage.pt0,
        Tt0=stage.Tt0,
        mass_flow=stage.mass_flow,
        speed=stage.speed,
        models=models,
    )
    yardstick = supply(models.good_stage, known)
    flags.append(
        Flag(
            "optimism",
            np.asarray(stage.efficiency_polytropic > yardstick),
            "the predicted polytropic efficiency lies above what good large stages of this flow coefficient reach",
            "plan with the lower end of the efficiency's band until a test says more",
            value=stage.efficiency_polytropic,
            limit=yardstick,
        )
    )
    for phenomenon, function in models.functions().items():
        for name, mask in outside(function, **known).items():
            bounds = card(function).valid[name]
            flags.append(
                Flag(
                    "range",
                    mask,
                    f"{phenomenon}: {function.__name__} is used outside its range of {name} ({bounds[0]:.3g} to {bounds[1]:.3g})",
                    "trust its share of the result less",
                    value=known[name],
                    limit=bounds[1] if np.any(known[name] > bounds[1]) else bounds[0],
                )
            )
    return flags
