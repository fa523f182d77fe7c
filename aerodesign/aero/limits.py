"""The limits that a design must keep, each with its value, bounds, and what to do when it binds."""

from collections.abc import Callable

import numpy as np

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.sections import Rectangle
from aerodesign.aero.stage import Stage
from aerodesign.core.limit import Limit
from aerodesign.core.quantities import Values
from aerodesign.machine.drive import fastest_speed
from aerodesign.machine.materials import MATERIALS
from aerodesign.machine.noise import sound_power_level

LARGEST = 1e6
"""A ratio beyond this is given as this: still a number to print."""


def check(stage: Stage, *, limits: Limits, drive: Drive, choices: Choices, rise: Values) -> list[Limit]:
    """All limits of a stage. Ranges are those of common practice (no source) unless the case gives them."""
    wheel, diffuser, volute = stage.blower.impeller, stage.blower.diffuser, stage.blower.volute
    material = MATERIALS[limits.material]
    degrees = np.radians

    found = [
        Limit(
            "tip speed",
            stage.u2,
            high=material.tip_speed,
            quantity="velocity",
            advice=f"a stronger wheel than {material.name}, less backsweep, or a second stage",
        ),
        Limit(
            "gas temperature at the wheel",
            stage.Tt2,
            high=_lowest(material.temperature, limits.wheel_temperature),
            quantity="temperature",
            advice="another material, or less pressure in one stage",
        ),
        Limit(
            "wheel speed",
            stage.speed,
            high=_lowest(fastest_speed(kind=drive.kind, frequency=drive.frequency, slip=drive.slip), limits.speed),
            quantity="speed",
            advice="another drive kind",
        ),
        Limit("relative Mach number at the inducer tip", stage.mach1s, high=0.95, advice="a lower speed"),
        Limit(
            "inducer tip over exit radius",
            wheel.r1s / wheel.r2,
            0.35,
            0.75,
            advice="another speed: the specific speed is out of range",
        ),
        Limit(
            "exit width over radius",
            wheel.b2 / wheel.r2,
            0.035,
            0.28,
            advice="another speed: the specific speed is out of range",
        ),
        Limit("choke margin", stage.choke_margin, low=0.10, advice="a larger eye or fewer blades"),
        Limit(
            "diffusion ratio w1s/w2",
            stage.diffusion_ratio,
            high=1.7,
            hard=False,
            advice="less backsweep or a lower exit flow coefficient costs; a higher one helps",
        ),
        Limit("de Haller ratio w2/w1", stage.de_haller, low=0.65, hard=False, advice="a narrower exit"),
        Limit(
            "flow angle into the diffuser",
            stage.alpha_diffuser,
            degrees(55),
            degrees(70),
            hard=False,
            quantity="angle",
            advice="a wider or narrower exit",
        ),
        Limit(
            "stall margin in flow angle",
            stage.stall_margin,
            low=degrees(5),
            hard=False,
            quantity="angle",
            advice="a narrower diffuser",
        ),
        Limit("blade loading 2 dW / (w1 + w2)", stage.blade_loading, high=0.9, hard=False, advice="more blades"),
        Limit("diffusion factor", stage.diffusion_factor, high=0.6, hard=False, advice="more blades"),
        Limit(
            "height of the volute over the base circle's radius",
            np.minimum(volute.size4 / diffuser.r3, LARGEST),
            high=4.0,
            advice=_slimmer(choices),
        ),
        Limit("work coefficient", stage.work_coefficient, 0.35, 0.85, hard=False, advice="another backsweep"),
    ]
    if np.isfinite(limits.diameter):
        found.append(
            Limit("impeller diameter", 2 * wheel.r2, high=limits.diameter, quantity="length", advice="a higher speed")
        )
    if np.isfinite(limits.casing):
        across = 2 * diffuser.r3 + volute.size4
        found.append(
            Limit(
                "casing across the spiral",
                across,
                high=limits.casing,
                quantity="length",
                advice="a smaller diffuser ratio or volute area factor",
            )
        )
    if np.isfinite(limits.power_level):
        level = sound_power_level(flow=stage.flow, pressure_rise=rise)
        found.append(
            Limit(
                "sound power level, estimated within 10 dB",
                level,
                high=limits.power_level,
                hard=False,
                advice="a silencer or lagging",
            )
        )
    return found


def _slimmer(choices: Choices) -> str:
    """What makes a volute less high; between parallel walls its height grows exponentially with the flow over the width."""
    if choices.volute_section == Rectangle.name:
        return f"a volute_width above {float(choices.volute_width):g}, or another volute_section"
    return "another volute_section, or a smaller volute_area_factor"


def penalty(found: list[Limit]) -> Values:
    """What the search adds to its objective (points of efficiency as a ratio): grows at once outside, hard limits tenfold."""
    return sum(
        (10.0 if limit.hard else 1.0) * limit.excess + (0.05 if limit.hard else 0.01) * (limit.excess > 0)
        for limit in found
    )


def _lowest(*bounds: float) -> float:
    return float(np.nanmin(bounds))


Check = Callable[[Stage], list[Limit]]
