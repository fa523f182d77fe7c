"""What a calibration found, in a few lines of plain text for the terminal."""

import numpy as np

from aerodesign.aero.calibration import FAR, Calibration, Fitted
from aerodesign.aero.coefficients import Coefficient

NAMES = {"pressure_rise": "pressure rise", "power": "power", "work": "work", "efficiency": "efficiency"}


def calibration_lines(calibration: Calibration) -> list[str]:
    """The coefficients with their uncertainty, what the test could not determine, and the errors before and after."""
    low, high = calibration.tested
    points = f"{calibration.points} test point{'s' if calibration.points != 1 else ''} used"
    span = f", flow coefficients Q / (u2 D2^2) {low:.4f} to {high:.4f}" if np.isfinite(low) else ""
    lines = [points + span]
    if calibration.unused:
        listed = ", ".join(str(n + 1) for n in calibration.unused)
        lines.append(f"not used, the meanline has no solution there: point {listed} of the test")
    lines += [_coefficient(one, part) for one, part in zip(calibration.fitted, calibration.coefficients, strict=True)]
    lines += [
        f"{NAMES[name]}: rms error {_percent(name, calibration.before[name])} before, {_percent(name, after)} after"
        for name, after in calibration.after.items()
    ]
    return lines + _warnings(calibration)


def _coefficient(one: Fitted, part: Coefficient) -> str:
    kind = "offset" if part.absolute else "factor"
    start = f"0 +- {part.scatter:.3g}" if part.absolute else f"1 +- {part.scatter:.2g}"
    value = f"{one.value:+.4f} +- {one.deviation:.4f}" if part.absolute else f"{one.value:.3f} +- {one.deviation:.3f}"
    known = (
        f"{100 * (1 - one.left):.0f} % of its uncertainty removed" if one.determined else "NOT DETERMINED by this test"
    )
    return f"{one.name}: {kind} {value} (before the test {start}; moved {one.pull:+.1f} of these); {known}"


def _percent(name: str, value: float) -> str:
    return f"{100 * value:.2f} {'points' if name == 'efficiency' else '%'}"


def _warnings(calibration: Calibration) -> list[str]:
    lines = []
    if calibration.undetermined:
        powered = {"power", "work", "efficiency"} & set(calibration.after)
        remedy = "test a wider range of flows" if powered else "measure the power too, over a wide range of flows"
        lines.append(f"could not be determined: {', '.join(calibration.undetermined)}; {remedy}")
    lines += [
        f"{first} and {second} cannot be told apart by this test (correlation {together:+.2f}): trust their joint effect only"
        for first, second, together in calibration.alike
    ]
    lines += [
        f"{one.name} had to move {abs(one.pull):.1f} prior deviations: look for another cause first, such as a wrong dimension or flow reading"
        for one in calibration.fitted
        if abs(one.pull) > FAR
    ]
    worse = [NAMES[name] for name, after in calibration.after.items() if after > calibration.before[name]]
    if worse:
        lines.append(
            f"worse than before: {', '.join(worse)}; the readings contradict each other, or the model cannot follow them"
        )
    if calibration.excess > 1.05:
        lines.append(
            f"the readings scatter {calibration.excess:.1f} times as much about the fit as their uncertainty allows; all deviations above "
            "are widened by that"
        )
    if not calibration.solved:
        lines.append("the fit did not settle: do not use it; look at the test points and leave out doubtful ones")
    if calibration.points:
        lines.append(
            "holds for this machine and near relatives between the flow coefficients tested; beyond them it may be worse than none"
        )
    return lines
