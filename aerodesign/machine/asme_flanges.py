"""Round flanges of ASME B16.5, class 150, by nominal inches (millimetres), and tubes that fit a flange."""

from collections.abc import Mapping

from aerodesign.core.correlation import Source
from aerodesign.machine.flanges import RATINGS, Flange, sized

EN_SOURCE = Source("EN 1092-1", None, "Circular flanges for pipes, steel", from_memory=True)
EN_READ = Source(
    "ISO 7005 / EN 1092-1",
    None,
    "Circular flanges for pipes, steel",
    "row read in a public copy (tonykurya/appengine-web, flange-dimension.php)",
)
ASME_SOURCE = Source(
    "ASME B16.5",
    None,
    "Pipe flanges, class 150, outsides rounded to 5 mm",
    "circles and holes as in a public copy (123docz.net/document/6634371)",
)
TUBE_SOURCE = Source("ISO 4200 / ASME B36.10", None, "Outside diameters of steel tubes", from_memory=True)

# nominal inches: outside, bolt circle, holes, hole
CLASS_150 = {
    1: (110, 79.4, 4, 15.9),
    1.5: (125, 98.4, 4, 15.9),
    2: (150, 120.7, 4, 19.1),
    2.5: (180, 139.7, 4, 19.1),
    3: (190, 152.4, 4, 19.1),
    4: (230, 190.5, 8, 19.1),
    5: (255, 215.9, 8, 22.2),
    6: (280, 241.3, 8, 22.2),
    8: (345, 298.5, 8, 22.2),
    10: (405, 362.0, 12, 25.4),
    12: (485, 431.8, 12, 25.4),
    14: (535, 476.3, 12, 28.6),
    16: (595, 539.8, 16, 28.6),
    18: (635, 577.9, 16, 31.8),
    20: (700, 635.0, 20, 31.8),
    24: (815, 749.3, 20, 34.9),
}
NOMINAL = {
    1: 25, 1.5: 40, 2: 50, 2.5: 65, 3: 80, 4: 100, 5: 125, 6: 150, 8: 200, 10: 250, 12: 300, 14: 350, 16: 400, 18: 450, 20: 500, 24: 600,
}  # fmt: skip
"""The metric nominal size of each size in inches."""
TUBES = {
    25: 33.7, 32: 42.4, 40: 48.3, 50: 60.3, 65: 76.1, 80: 88.9, 100: 114.3, 125: 139.7, 150: 168.3, 200: 219.1, 250: 273.0, 300: 323.9,
    350: 355.6, 400: 406.4, 450: 457.0, 500: 508.0, 600: 610.0, 700: 711.0, 800: 813.0,
}  # fmt: skip
"""Outside diameter of the steel tube of a nominal size, in millimetres."""

Table = Mapping[int, tuple[float, float, int, float]]
STANDARDS: dict[str, tuple[Table, Source]] = {
    **{name: (table, EN_SOURCE) for name, table in RATINGS.items()},
    "class 150": ({NOMINAL[inches]: row for inches, row in CLASS_150.items()}, ASME_SOURCE),
}
"""Flanges by metric nominal size, with their source."""

CONFIRMED = {("PN6", n) for n in (65, 100, 125, 300, 350)} | {("PN10", n) for n in (125, 300)}
"""Rows of EN 1092-1 that were read in a copy; all others are from memory."""


def source_of(standard: str, nominal: int) -> Source:
    """Where a flange's row comes from."""
    return EN_READ if (standard, nominal) in CONFIRMED else STANDARDS[standard][1]


def flange_of(standard: str, nominal: int) -> Flange | None:
    """The flange of a nominal size, in metres; None where the standard has none of that size here."""
    row = STANDARDS[standard][0].get(nominal)
    return None if row is None else sized(nominal, row)


def nearest_size(diameter: float) -> int:
    """The nominal size nearest to a bore, over the ratio of both: the tube that would be bought for it."""
    return min(TUBES, key=lambda nominal: max(nominal / (1e3 * diameter), 1e3 * diameter / nominal))
