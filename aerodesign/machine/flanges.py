"""Round pipe flanges by nominal size: outside, bolt circle and holes as of EN 1092-1 and ISO 7005 (from memory, millimetres).

For a first drawing of what must fit whom; thickness, gasket and bolts are the piping engineer's, under the code that
applies. A blower's 45 kPa are far below what these are rated for: the sizes are used because the trade has them on the shelf.
"""

from typing import NamedTuple

from aerodesign.core.quantities import Length


class Flange(NamedTuple):
    """Sizes in metres; ``holes`` of diameter ``hole`` on the circle of diameter ``bolt_circle``."""

    nominal: int
    outside: Length
    bolt_circle: Length
    holes: int
    hole: Length


# nominal size: outside, bolt circle, holes, hole
_PN6 = {
    25: (100, 75, 4, 11),
    32: (120, 90, 4, 14),
    40: (130, 100, 4, 14),
    50: (140, 110, 4, 14),
    65: (160, 130, 4, 14),
    80: (190, 150, 4, 18),
    100: (210, 170, 4, 18),
    125: (240, 200, 8, 18),
    150: (265, 225, 8, 18),
    200: (320, 280, 8, 18),
    250: (375, 335, 12, 18),
    300: (440, 395, 12, 22),
    350: (490, 445, 12, 22),
    400: (540, 495, 16, 22),
    450: (595, 550, 16, 22),
    500: (645, 600, 20, 22),
    600: (755, 705, 20, 26),
    700: (860, 810, 24, 26),
    800: (975, 920, 24, 30),
}
_PN10 = {
    25: (115, 85, 4, 14),
    32: (140, 100, 4, 18),
    40: (150, 110, 4, 18),
    50: (165, 125, 4, 18),
    65: (185, 145, 8, 18),
    80: (200, 160, 8, 18),
    100: (220, 180, 8, 18),
    125: (250, 210, 8, 18),
    150: (285, 240, 8, 22),
    200: (340, 295, 8, 22),
    250: (395, 350, 12, 22),
    300: (445, 400, 12, 22),
    350: (505, 460, 16, 22),
    400: (565, 515, 16, 26),
    450: (615, 565, 20, 26),
    500: (670, 620, 20, 26),
    600: (780, 725, 20, 30),
    700: (895, 840, 24, 30),
    800: (1015, 950, 24, 33),
}
HEADS = 2.4
"""Bolt heads or nuts across their corners, over the diameter of the hole: what must stay free beside the tube."""
BORE = 0.8
"""Nominal size over the tube's outside at the least: a flange of the next size below would narrow the bore."""
RATINGS = {"PN6": _PN6, "PN10": _PN10}


def sized(nominal: int, row: tuple[float, float, int, float]) -> Flange:
    """A flange from a row of a table in millimetres."""
    outside, bolt_circle, holes, hole = row
    return Flange(nominal, outside / 1e3, bolt_circle / 1e3, holes, hole / 1e3)


def flange_for(rating: str, *, tube: Length) -> Flange | None:
    """The smallest flange whose bolts clear a tube of a given outside diameter; None where the list ends below it."""
    flanges = (sized(nominal, row) for nominal, row in RATINGS[rating].items())
    return next((f for f in flanges if f.nominal >= BORE * 1e3 * tube and f.bolt_circle - HEADS * f.hole >= tube), None)
