"""Which readings and sizes a test needs, by its meter, planes and power; what contradicts itself."""

from dataclasses import dataclass

from aerodesign.rig.contents import Agreed, Meter, Planes, PowerBy
from aerodesign.rig.meters import KINDS

INTO_INLET = ("bell-mouth inlet", "conical inlet")
"""Meters that the air enters from rest: the barometer is their upstream pressure."""


@dataclass(frozen=True)
class Need:
    """One of several readings or sizes that must be given, and for what."""

    one_of: tuple[str, ...]
    reason: str


def needs(meter: Meter, planes: Planes, power: PowerBy, agreed: Agreed | None) -> list[Need]:
    """Everything that must be given."""
    found = [Need((name,), "the air") for name in ("barometer", "ambient_temperature", "relative_humidity")]
    found.append(Need(("speed",), "the results"))
    found += _of_planes(planes) + _of_meter(meter, planes) + _of_power(power)
    if agreed is not None and agreed.reynolds == "ptc10":
        found += [Need((n,), "the Reynolds number of ptc10") for n in ("wheel_diameter", "exit_width", "roughness")]
    return found


def _of_planes(planes: Planes) -> list[Need]:
    found = [Need(("outlet_diameter",), "the outlet plane")]
    if planes.inlet == "pipe":
        found.append(
            Need(("inlet_pressure", "inlet_total_pressure"), 'the inlet plane, else set inlet = "open" in [planes]')
        )
        found += [Need((name,), "the inlet plane") for name in ("inlet_temperature", "inlet_diameter")]
    if planes.outlet == "pipe":
        found.append(
            Need(("outlet_pressure", "outlet_total_pressure"), 'the outlet plane, else set outlet = "open" in [planes]')
        )
    return found


def _of_meter(meter: Meter, planes: Planes) -> list[Need]:
    reason = f"the {meter.kind}"
    if meter.kind == "mass meter":
        return [Need(("mass_flow",), reason)]
    found = []
    if meter.kind == "volume meter":
        found.append(Need(("volume_flow",), reason))
    else:
        kind = KINDS[meter.kind]
        found.append(Need(("traverse",) if meter.kind == "pitot traverse" else ("meter_difference",), reason))
        found += [Need((n,), reason) for n, wanted in (("bore", kind.has_bore), ("pipe", kind.has_pipe)) if wanted]
        if meter.kind == "orifice":
            found.append(Need(("taps",), reason))
    if meter.kind in INTO_INLET:
        return found

    at_plane = {"inlet": "inlet_pressure", "outlet": "outlet_pressure"}[meter.at]
    open_there = planes.inlet == "open" if meter.at == "inlet" else planes.outlet == "open"
    found.append(Need(("meter_pressure",) if open_there else ("meter_pressure", at_plane), reason))
    if meter.at == "outlet":
        found.append(Need(("meter_temperature", "outlet_temperature"), reason))
    return found


def _of_power(power: PowerBy) -> list[Need]:
    reason = f"power by {power.by}"
    reading = {
        "torque": ("torque",),
        "shaft power": ("shaft_power",),
        "electric power": ("electric_power", "motor_efficiency"),
        "temperature rise": ("outlet_temperature",),
    }[power.by]
    return [Need((name,), reason) for name in reading]


def calls_for(meter: Meter, planes: Planes, power: PowerBy, given: set[str]) -> set[str]:
    """The given readings and sizes that enter the results; so does the probes' recovery."""
    used = {name for need in needs(meter, planes, power, None) for name in _first(need.one_of, given)}
    used |= {
        "inlet_diameter",
        "inlet_temperature",
        "outlet_temperature",
        "wheel_diameter",
        "exit_width",
        "roughness",
        "losses",
    }
    if meter.kind != "mass meter" and meter.kind not in INTO_INLET:
        used.add("meter_temperature")
    if power.by == "temperature rise":
        used.add("heat_loss")
    return (used & given) - {"taps"} | {"recovery"}


def _first(names: tuple[str, ...], given: set[str]) -> list[str]:
    return [name for name in names if name in given][:1]


def contradictions(meter: Meter, planes: Planes, given: set[str]) -> list[tuple[str, str]]:
    """Pairs of a key and what is wrong about it in view of the others."""
    found = []
    for plane in ("inlet", "outlet"):
        static, total = f"{plane}_pressure", f"{plane}_total_pressure"
        if static in given and total in given:
            found.append((total, f"beside {static}: give the static or the total pressure of a plane, not both"))
        if getattr(planes, plane) == "open":
            found += [
                (name, f"the {plane} is open in [planes]: take the reading out, or the plane is a pipe")
                for name in (static, total) if name in given
            ]  # fmt: skip
    if meter.kind in INTO_INLET:
        if meter.at == "outlet":
            found.append(("at", f'a {meter.kind} draws air from rest: set at = "inlet"'))
        if "meter_pressure" in given:
            found.append(("meter_pressure", f"the upstream pressure of a {meter.kind} is the barometer; take it out"))
    kind = KINDS.get(meter.kind)
    if kind is not None and kind.has_bore and kind.has_pipe and meter.bore >= 0.95 * meter.pipe:
        found.append(("bore", "must be smaller than 0.95 of the pipe"))
    return found
