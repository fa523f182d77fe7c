"""Standard induction motors: size, efficiency at full and part load, current. Electrical sizing is not done here.

Cables, fuses, starters and protection follow the electrical code of the place, in the hands of those licensed for it.
"""

import numpy as np

from aerodesign.core.quantities import Current, Power, Ratio, Values, Voltage
from aerodesign.machine.motor_tables import (
    HORSEPOWER,
    IEC_COEFFICIENTS,
    IEC_FOUR_POLES,
    IEC_SIZES,
    NEC_CURRENTS,
    NEC_VOLTAGES,
    NEMA_SIZES,
    PREMIUM,
    PREMIUM_SIZES,
)

STANDARDS = {"IEC": IEC_SIZES, "NEMA": NEMA_SIZES}
CLASSES = tuple(IEC_FOUR_POLES)
IDLE_SHARE = 0.5
"""Part of a motor's losses at full load that does not fall with the load: common practice, no source.

Within 1.5 % of the part-load curve of Natural Resources Canada in the library fluids, from a quarter load up.
"""


def standard_size(*, power: Power, standard: str) -> Power:
    """The smallest rated power of a standard (IEC or NEMA) that is not below a power; nan beyond the largest."""
    sizes = np.append(STANDARDS[standard], np.nan)
    # A power that is a standard size but for rounding takes that size.
    return sizes[np.searchsorted(sizes[:-1] * (1 + 1e-9), power)]


def size_name(*, power: float, standard: str) -> str:
    """A motor's rated power as its standard says it, in every system of units: "22 kW", "75 hp"."""
    return f"{power / HORSEPOWER:.4g} hp" if standard == "NEMA" else f"{power / 1e3:.4g} kW"


def iec_efficiency(*, power: Power, ie_class: str, poles: int) -> Ratio:
    """Efficiency at full load after IEC 60034-30-1 at 50 Hz; nan below 0.12 kW.

    Four poles from 0.75 kW up by the table, between its sizes straight over the logarithm of the power, beyond 200 kW its last;
    two poles, and below 0.75 kW, by the standard's cubic (from memory). Motors of six poles and more are taken as four.
    """
    power = np.asarray(power, float)
    in_kilowatts = np.log10(np.clip(power, 120, 200e3) / 1e3)
    cubic = np.polyval(IEC_COEFFICIENTS[ie_class, 2 if poles == 2 else 4], in_kilowatts)
    table = np.interp(np.log(np.maximum(power, 1.0)), np.log(IEC_SIZES[:22]), IEC_FOUR_POLES[ie_class])
    percent = cubic if poles == 2 else np.where(power < IEC_SIZES[0], cubic, table)
    return np.where(power >= 120, percent / 100, np.nan)[()]


def nema_premium_efficiency(*, power: Power, poles: int) -> Ratio:
    """Efficiency at full load of enclosed NEMA Premium motors, straight between sizes; nan below 1 hp, beyond 200 hp the last.

    Motors of six poles and more are taken as four.
    """
    power = np.asarray(power, float)
    percent = np.interp(power, PREMIUM_SIZES, PREMIUM[2 if poles == 2 else 4])
    return np.where(power >= PREMIUM_SIZES[0] * (1 - 1e-9), percent / 100, np.nan)[()]


def part_load_efficiency(*, efficiency: Ratio, load: Ratio) -> Ratio:
    r"""Efficiency at a part of the full load, :math:`x / (x + (1/\eta - 1)(f + (1 - f) x^2))`.

    Half of the losses at full load (``f``) stay, the rest goes with the square of the load: common practice, no source.
    """
    lost = (1 / efficiency - 1) * (IDLE_SHARE + (1 - IDLE_SHARE) * load**2)
    return load / (load + lost)


def full_load_current(*, power: Power, voltage: Voltage, efficiency: Ratio, power_factor: Ratio) -> Current:
    r"""Current of a three-phase motor, :math:`P / (\sqrt 3\, U\, \eta \cos\varphi)`, with P at its shaft."""
    return power / (np.sqrt(3.0) * voltage * efficiency * power_factor)


def nec_current(*, power: Power, voltage: Voltage) -> Current:
    """Full-load current of a NEMA size by NEC table 430.250; nan where the size or the voltage is none of the table's."""
    horsepower, volts = np.broadcast_arrays(np.asarray(power, float) / HORSEPOWER, np.asarray(voltage, float))
    found: Values = np.full(horsepower.shape, np.nan)
    for size, currents in NEC_CURRENTS.items():
        for column, current in zip(NEC_VOLTAGES, currents, strict=True):
            here = np.isclose(horsepower, size, rtol=1e-6) & (volts == column)
            found = np.where(here, current, found)
    return found[()]
