"""Uncertainties of readings and sizes: those of the file, and those that are assumed where it gives none."""

from functools import cache

from aerodesign.core.fields import Field, WrongValueError, fields_of
from aerodesign.core.quantities import Quantity, Ratio
from aerodesign.rig.contents import Meter, Planes, PowerBy, Readings, Spread
from aerodesign.rig.header import Table
from aerodesign.rig.problems import Problems
from aerodesign.rig.settings import read_spread

FACTORS = ("discharge_coefficient", "expansibility")
"""Factors about 1 on what a meter's standard says, with the standard's own uncertainty unless the file gives one."""

ASSUMED: dict[str, Spread] = {
    "barometer": Spread(50.0),
    "relative_humidity": Spread(0.05),
    "speed": Spread(0.001, relative=True),
    "torque": Spread(0.005, relative=True, of_largest=True),
    "shaft_power": Spread(0.01, relative=True),
    "electric_power": Spread(0.01, relative=True),
    "mass_flow": Spread(0.02, relative=True),
    "volume_flow": Spread(0.02, relative=True),
    "bore": Spread(0.001, relative=True),
    "pipe": Spread(0.004, relative=True),
    "inlet_diameter": Spread(0.004, relative=True),
    "outlet_diameter": Spread(0.004, relative=True),
    "wheel_diameter": Spread(0.0005, relative=True),
    "exit_width": Spread(0.01, relative=True),
    "roughness": Spread(0.3, relative=True),
    "recovery": Spread(0.1),
    "motor_efficiency": Spread(0.01),
    "losses": Spread(0.2, relative=True),
    "heat_loss": Spread(0.3, relative=True),
}
"""At 95 %, of a well kept rig: common practice, no source. Pressures and temperatures follow by quantity."""

ASSUMED_BY_QUANTITY = {"pressure": Spread(0.005, relative=True, of_largest=True), "temperature": Spread(0.5)}


@cache
def spread_settings() -> dict[str, Field]:
    """Everything that an uncertainty may be given for, by name."""
    found = {
        name: setting
        for kind in (Readings, Meter, Planes, PowerBy)
        for name, setting in fields_of(kind).items()
        if setting.quantity is not None and name != "coefficient"
    }
    return found | {name: Field(name, Ratio, 1.0) for name in FACTORS}


def read_spreads(table: Table, problems: Problems) -> dict[str, Spread]:
    """The uncertainties of ``[uncertainty]``."""
    known = spread_settings()
    found = {}
    for key, raw in table.values.items():
        line, where = table.lines[key], f"uncertainty.{key}"
        if key not in known:
            problems.unknown(line, where, key, known, raw)
            continue
        try:
            found[key] = read_spread(known[key], raw)
        except WrongValueError as wrong:
            problems.add(line, where, str(wrong), raw)
    return found


def assumed(name: str) -> Spread:
    """What is assumed of a reading or size whose uncertainty the file does not give."""
    quantity = spread_settings()[name].quantity
    if not isinstance(quantity, Quantity):
        raise AssertionError(f"{name} has no quantity")
    return ASSUMED[name] if name in ASSUMED else ASSUMED_BY_QUANTITY[quantity.name]
