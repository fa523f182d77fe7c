"""Ball bearings of standard series: dimensions after ISO 15, load ratings of catalogues.

Dimensions of the series 60 and 62 up to 50 mm of bore, 63 up to 30 mm, agree with a public list after JIS B 1520; the rest and all ratings
are from memory. Two public lists of other makers' ratings lie up to a tenth below those here.

A maker's catalogue goes before this table: ratings differ by some per cent between makers and years.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.core.correlation import Source
from aerodesign.core.quantities import Angle, Count, Force, Length

ISO_15 = Source(
    "ISO 15 / JIS B 1520",
    None,
    "Boundary dimensions of radial bearings",
    "public list of the series 60, 62, 63 up to 50 mm",
)
CATALOGUE = Source("catalogues of bearing makers", None, "dimensions and load ratings", from_memory=True)


@dataclass(frozen=True)
class Bearing:
    """A ball bearing of a series: bore, outer diameter, width; dynamic and static load rating; contact angle, 0 of a deep groove."""

    name: str
    series: str
    bore: Length
    outside: Length
    width: Length
    dynamic: Force
    static: Force
    contact: Angle = 0.0

    @property
    def mean_diameter(self) -> Length:
        """Mean of bore and outer diameter."""
        return (self.bore + self.outside) / 2

    @property
    def ball(self) -> Length:
        """Diameter of a ball, three tenths of the ring's height on both sides: common practice, no source."""
        return 0.3 * (self.outside - self.bore)

    @property
    def balls(self) -> Count:
        """Number of balls: they fill 0.58 of the pitch circle of a deep groove, 0.85 with a contact angle; common practice, no source."""
        return float(round((0.85 if self.contact else 0.58) * np.pi * self.mean_diameter / self.ball))


DEEP_GROOVE: dict[str, str] = {
    "60": "10 26 8 4.75 1.96, 12 28 8 5.4 2.36, 15 32 9 5.85 2.85, 17 35 10 6.37 3.25, 20 42 12 9.95 5.0, 25 47 12 11.9 6.55, "
    "30 55 13 13.8 8.3, 35 62 14 16.8 10.2, 40 68 15 17.8 11.0, 45 75 16 22.1 14.6, 50 80 16 22.9 15.6, 55 90 18 29.6 21.2, "
    "60 95 18 30.7 23.2, 65 100 18 31.9 25.0, 70 110 20 39.7 31.0, 75 115 20 41.6 33.5, 80 125 22 49.4 40.0",
    "62": "10 30 9 5.4 2.36, 12 32 10 7.28 3.1, 15 35 11 8.06 3.75, 17 40 12 9.95 4.75, 20 47 14 13.5 6.55, 25 52 15 14.8 7.8, "
    "30 62 16 20.3 11.2, 35 72 17 27.0 15.3, 40 80 18 32.5 19.0, 45 85 19 35.1 21.6, 50 90 20 37.1 23.2, 55 100 21 46.2 29.0, "
    "60 110 22 55.3 36.0, 65 120 23 58.5 40.5, 70 125 24 63.7 45.0, 75 130 25 68.9 49.0, 80 140 26 72.8 55.0",
    "63": "10 35 11 8.52 3.4, 12 37 12 10.1 4.15, 15 42 13 11.9 5.4, 17 47 14 14.3 6.55, 20 52 15 16.8 7.8, 25 62 17 23.4 11.6, "
    "30 72 19 29.6 16.0, 35 80 21 35.1 19.0, 40 90 23 42.3 24.0, 45 100 25 55.3 31.5, 50 110 27 65.0 38.0, 55 120 29 74.1 45.0, "
    "60 130 31 85.2 52.0, 65 140 33 97.5 60.0, 70 150 35 111.0 68.0, 75 160 37 119.0 76.5, 80 170 39 130.0 86.5",
}
ANGULAR: dict[str, str] = {
    "72B": "10 30 9 7.02 3.35, 12 32 10 7.61 3.8, 15 35 11 9.5 5.1, 17 40 12 11.0 5.85, 20 47 14 14.3 8.15, 25 52 15 15.6 10.2, "
    "30 62 16 24.0 15.6, 35 72 17 31.0 20.8, 40 80 18 36.4 26.0, 45 85 19 38.0 28.0, 50 90 20 40.0 31.0, 55 100 21 48.8 38.0, "
    "60 110 22 57.2 45.5, 65 120 23 66.3 54.0, 70 125 24 71.5 60.0, 75 130 25 72.8 64.0, 80 140 26 83.2 73.5",
}
"""Bore, outer diameter, width in mm; C and C0 in kN."""


def _series(name: str, rows: str, contact: float) -> list[Bearing]:
    letters = name.lstrip("0123456789")
    found = []
    for row in rows.split(", "):
        bore, outside, width, dynamic, static = map(float, row.split())
        size = {10: "00", 12: "01", 15: "02", 17: "03"}.get(int(bore), f"{int(bore) // 5:02d}")
        found.append(
            Bearing(
                name.removesuffix(letters) + size + letters,
                name,
                1e-3 * bore,
                1e-3 * outside,
                1e-3 * width,
                1e3 * dynamic,
                1e3 * static,
                contact,
            )
        )
    return found


SERIES: dict[str, list[Bearing]] = {name: _series(name, rows, 0.0) for name, rows in DEEP_GROOVE.items()} | {
    name: _series(name, rows, float(np.radians(40))) for name, rows in ANGULAR.items()
}
"""Bearings of each series, the smallest first."""

BEARINGS: dict[str, Bearing] = {bearing.name: bearing for rows in SERIES.values() for bearing in rows}
