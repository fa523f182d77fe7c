"""A reduced test as the table of points that a calibration reads."""

from typing import Any

import numpy as np

from aerodesign.rig.results import Reduced

COLUMNS = {"flow": "m3/s", "rise_total": "Pa", "power": "W"}
"""Results that go into the table, with their units there."""

NAMES = {"rise_total": "pressure_rise", "flow_at_rest": "flow"}


def points_text(reduced: Reduced, *, stamp: str = "") -> str:
    """CSV text: flow, speed, total pressure rise and shaft power per point with uncertainties at 95 %.

    At the agreed conditions where the test names any (then the case of the calibration should stand at them), else as tested.
    """
    values: Any = reduced
    spreads: Any = reduced.uncertainty
    speed, where = reduced.test.readings.speed, "as tested"
    if reduced.agreed is not None and reduced.test.agreed is not None:
        values, spreads = reduced.agreed, reduced.agreed_uncertainty
        speed, where = reduced.test.agreed.speed, "at the agreed conditions"
    heads, columns = ["speed [rad/s]"], [np.broadcast_to(speed, np.shape(values.flow))]
    # A calibration counts flow at the inlet's total state, as the conversion to agreed conditions does.
    at_rest = {"flow_at_rest" if name == "flow" and values is reduced else name: unit for name, unit in COLUMNS.items()}
    for name, unit in at_rest.items():
        heads += [f"{NAMES.get(name, name)} [{unit}]", f"{NAMES.get(name, name)}_uncertainty [{unit}]"]
        columns += [getattr(values, name), getattr(spreads, name)]
    rows = [", ".join(f"{value:.9g}" for value in row) for row in np.transpose(columns)]
    lines = [
        f"# {stamp}",
        f"# {reduced.test.title}, {where}",
        "# basis = total",
        "# power_at = shaft",
        ", ".join(heads),
        *rows,
    ]
    return "\n".join(lines) + "\n"
