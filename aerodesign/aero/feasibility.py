"""When no single stage meets a duty: what stands in the way, and the nearest duty that works."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from aerodesign.aero.operation import inlet_density, required_work
from aerodesign.aero.sizing import Sized, Task, size
from aerodesign.core.errors import InfeasibleDuty
from aerodesign.correlations.cordier import specific_speed
from aerodesign.machine.drive import fastest_speed

NARROWEST = 0.25
"""Least specific speed of a centrifugal stage: common practice, no source."""

EFFORT, ROUNDS, HALVINGS = 64, 3, 5
"""Candidates, rounds and halvings of the search for the nearest duty: coarse, since it sizes some twenty times."""


def explain(task: Task, sized: Sized) -> InfeasibleDuty:
    """The error that says which limit stands in the way, with its number, and the nearest duties that work."""
    broken = [limit for limit in sized.limits if limit.hard and not limit.passed and np.isfinite(limit.value)]
    reasons = [
        _reason(limit.name, float(limit.value), limit.low, limit.high, limit.quantity, limit.advice) for limit in broken
    ]
    fastest = float(
        np.nanmin(
            [
                fastest_speed(kind=task.drive.kind, frequency=task.drive.frequency, slip=task.drive.slip),
                task.limits.speed,
                task.choices.speed,
            ]
        )
    )
    flow = float(task.mass_flow / inlet_density(task.inlet))
    reach = float(specific_speed(speed=fastest, flow=flow, work=float(required_work(task.inlet))))
    if reach < NARROWEST:
        reasons.insert(
            0,
            f"at the fastest speed allowed, {fastest * 30 / np.pi:.0f} rpm, the specific speed is {reach:.3f} and a centrifugal "
            f"stage needs at least {NARROWEST} (a faster drive, or more stages)",
        )
    if not reasons:
        reasons = ["no wheel reaches this pressure at this flow: the work falls short or a passage chokes"]
    return InfeasibleDuty("no single stage meets this duty: " + "; ".join(reasons) + ". " + _nearest(task, flow))


def _reason(name: str, value: float, low: float, high: float, quantity: str, advice: str) -> str:
    scale, unit = {
        "velocity": (1, " m/s"),
        "speed": (30 / np.pi, " rpm"),
        "angle": (180 / np.pi, " deg"),
        "length": (1e3, " mm"),
        "temperature": (1, " K"),
    }.get(quantity, (1, ""))
    bound = f"at most {high * scale:.5g}" if value > high else f"at least {low * scale:.5g}"
    return f"{name} would be {value * scale:.5g}{unit}, allowed is {bound}{unit} ({advice})"


def _nearest(task: Task, flow: float) -> str:
    """Sentence with the largest pressure at the same flow, and the flow nearest to the asked one at the same pressure, that work."""
    task = replace(task, choices=task.choices.but(search_effort=EFFORT))
    found = []
    pressure = _search(lambda k: _scaled(task, pressure=k), 0.02)
    if pressure is not None:
        found.append(f"{float(task.rise) * pressure / 1e3:.3g} kPa at the same flow")
    for furthest in (0.05, 20.0):
        factor = _search(lambda k: _scaled(task, flow=k), furthest)
        if factor is not None:
            found.append(f"{flow * factor:.3g} m3/s at the same pressure")
    if not found:
        return "No duty near it works either: relax the limits or the choices."
    return "The nearest duties that work: " + ", or ".join(found) + "."


def _search(scaled: Callable[[float], Task], furthest: float) -> float | None:
    """Factor nearest to 1, on the way to ``furthest``, at which the scaled task is feasible; by halving in the logarithm."""
    if not _works(scaled(furthest)):
        steps = [k for k in np.geomspace(1, furthest, 7)[1:-1] if _works(scaled(k))]
        if not steps:
            return None
        furthest = steps[0]
    works, fails = furthest, 1.0
    for _ in range(HALVINGS):
        middle = float(np.sqrt(works * fails))
        if _works(scaled(middle)):
            works = middle
        else:
            fails = middle
    return works


def _works(task: Task) -> bool:
    """Whether a short search finds a stage: it may overlook one, so the duty named as nearest may be a little too modest."""
    return size(task, rounds=ROUNDS).feasible


def _scaled(task: Task, *, pressure: float = 1.0, flow: float = 1.0) -> Task:
    """The task with another pressure rise (or suction) or flow."""
    inlet = task.inlet
    if task.service == "vacuum":
        pt0 = inlet.p5 - (inlet.p5 - inlet.pt0) * pressure
        mass_flow = task.mass_flow * flow * pt0 / inlet.pt0
        return replace(task, inlet=inlet.but(pt0=pt0), mass_flow=mass_flow, rise=task.rise * pressure)
    p5 = inlet.pt0 + (inlet.p5 - inlet.pt0) * pressure
    return replace(task, inlet=inlet.but(p5=p5), mass_flow=task.mass_flow * flow, rise=task.rise * pressure)
