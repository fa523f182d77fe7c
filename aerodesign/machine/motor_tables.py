"""Tables of standard induction motors: sizes, efficiencies and full-load currents, row by row as in their sources."""

import numpy as np

from aerodesign.core.correlation import Source

HORSEPOWER = 745.6998715822702
"""Watts in a mechanical horsepower."""

IEC_SOURCE = Source(
    "IEC 60034-30-1",
    2014,
    "Efficiency classes of line operated AC motors",
    "4 poles, 50 Hz, two public copies of the table",
)
IEC_CURVE = Source("IEC 60034-30-1", 2014, "Interpolation of the efficiency limits, 50 Hz", from_memory=True)
NEMA_SOURCE = Source(
    "NEMA MG 1 / CSA",
    None,
    "Premium efficiency, enclosed motors",
    "as quoted by the library fluids, checked with rows of 10 CFR 431.25",
)
NEC_SOURCE = Source("NEC", 2023, "Table 430.250, full-load currents of three-phase motors, induction types")

IEC_SIZES = 1e3 * np.array(
    [0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 7.5, 11, 15, 18.5, 22, 30, 37, 45, 55, 75, 90, 110, 132, 160, 200, 250, 315, 355]
)
"""Rated powers of IEC motors in W; beyond 355 kW makers differ."""

IEC_FOUR_POLES = {
    "IE1": (
        72.1, 75.0, 77.2, 79.7, 81.5, 83.1, 84.7, 86.0, 87.6, 88.7, 89.3, 89.9, 90.7, 91.2, 91.7, 92.1, 92.7, 93.0, 93.3, 93.5, 93.8, 94.0,
    ),
    "IE2": (
        79.6, 81.4, 82.8, 84.3, 85.5, 86.6, 87.7, 88.7, 89.8, 90.6, 91.2, 91.6, 92.3, 92.7, 93.1, 93.5, 94.0, 94.2, 94.5, 94.7, 94.9, 95.1,
    ),
    "IE3": (
        82.5, 84.1, 85.3, 86.7, 87.7, 88.6, 89.6, 90.4, 91.4, 92.1, 92.6, 93.0, 93.6, 93.9, 94.2, 94.6, 95.0, 95.2, 95.4, 95.6, 95.8, 96.0,
    ),
    "IE4": (
        85.7, 87.2, 88.2, 89.5, 90.4, 91.1, 91.9, 92.6, 93.3, 93.9, 94.2, 94.5, 94.9, 95.2, 95.4, 95.7, 96.0, 96.1, 96.3, 96.4, 96.6, 96.7,
    ),
}  # fmt: skip
"""Percent, for the sizes up to 200 kW; the last holds beyond."""

IEC_COEFFICIENTS = {
    ("IE1", 2): (0.5234, -5.0499, 17.4180, 74.3171),
    ("IE1", 4): (0.5234, -5.0499, 17.4180, 74.3171),
    ("IE2", 2): (0.2972, -3.3454, 13.0651, 79.0770),
    ("IE2", 4): (0.0278, -1.9247, 10.4395, 80.9761),
    ("IE3", 2): (0.3569, -3.3076, 11.6108, 82.2503),
    ("IE3", 4): (0.0773, -1.8951, 9.2984, 83.7025),
    ("IE4", 2): (0.3400, -3.0479, 10.2930, 84.8208),
    ("IE4", 4): (0.2412, -2.3608, 8.4460, 86.8321),
}
"""Cubic in lg(P / kW) for percent, 0.12 to 200 kW."""

NEMA_SIZES = HORSEPOWER * np.array(
    [0.25, 1 / 3, 0.5, 0.75, 1, 1.5, 2, 3, 4, 5, 5.5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 175, 200, 250, 300, 350, 400, 450, 500]
)  # fmt: skip
"""Rated powers of NEMA motors in W."""

PREMIUM_SIZES = NEMA_SIZES[4:26]
PREMIUM = {
    2: (
        77.0, 84.0, 85.5, 86.5, 88.5, 88.5, 88.5, 89.5, 90.2, 91.0, 91.0, 91.7, 91.7, 92.4, 93.0, 93.6, 93.6, 94.1, 95.0, 95.0, 95.4, 95.4,
    ),
    4: (
        85.5, 86.5, 86.5, 89.5, 89.5, 89.5, 89.5, 91.7, 91.7, 92.4, 93.0, 93.6, 93.6, 94.1, 94.5, 95.0, 95.4, 95.4, 95.4, 95.8, 96.2, 96.2,
    ),
}  # fmt: skip
"""Percent by poles, for 1 to 200 hp; the last holds beyond."""

NEC_VOLTAGES = (208, 230, 460, 575)
NEC_CURRENTS = {
    1: (4.6, 4.2, 2.1, 1.7), 1.5: (6.6, 6.0, 3.0, 2.4), 2: (7.5, 6.8, 3.4, 2.7), 3: (10.6, 9.6, 4.8, 3.9), 5: (16.7, 15.2, 7.6, 6.1),
    7.5: (24.2, 22, 11, 9), 10: (30.8, 28, 14, 11), 15: (46.2, 42, 21, 17), 20: (59.4, 54, 27, 22), 25: (74.8, 68, 34, 27),
    30: (88, 80, 40, 32), 40: (114, 104, 52, 41), 50: (143, 130, 65, 52), 60: (169, 154, 77, 62), 75: (211, 192, 96, 77),
    100: (273, 248, 124, 99), 125: (343, 312, 156, 125), 150: (396, 360, 180, 144), 200: (528, 480, 240, 192),
    250: (np.nan, np.nan, 302, 242), 300: (np.nan, np.nan, 361, 289), 350: (np.nan, np.nan, 414, 336), 400: (np.nan, np.nan, 477, 382),
    450: (np.nan, np.nan, 515, 412), 500: (np.nan, np.nan, 590, 472),
}  # fmt: skip
"""Amperes by horsepower, for the voltages above; nan where the table has none."""
