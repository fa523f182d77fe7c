"""Parallel keys by shaft diameter: DIN 6885 sheet 1, whose sections are those of ISO/R 773 (from memory, check before cutting)."""

from typing import NamedTuple

from aerodesign.core.quantities import Length


class Key(NamedTuple):
    """``width`` and ``height`` of a key, and the ``depth`` of its keyway in the hub, beyond the bore."""

    width: Length
    height: Length
    depth: Length


KEYS: tuple[tuple[Length, Key], ...] = tuple(
    (1e-3 * up_to, Key(1e-3 * width, 1e-3 * height, 1e-3 * depth))
    for up_to, width, height, depth in (
        (8, 2, 2, 1.0),
        (10, 3, 3, 1.4),
        (12, 4, 4, 1.8),
        (17, 5, 5, 2.3),
        (22, 6, 6, 2.8),
        (30, 8, 7, 3.3),
        (38, 10, 8, 3.3),
        (44, 12, 8, 3.3),
        (50, 14, 9, 3.8),
        (58, 16, 10, 4.3),
        (65, 18, 11, 4.4),
        (75, 20, 12, 4.9),
        (85, 22, 14, 5.4),
        (95, 25, 14, 5.4),
        (110, 28, 16, 6.4),
    )
)
"""Keys for shafts up to and including a diameter."""

LEAST_SHAFT: Length = 0.006
"""Shafts thinner than this have no key."""


def key_for(shaft: Length) -> Key | None:
    """The key for a shaft diameter; None where the table has none."""
    if shaft <= LEAST_SHAFT:
        return None
    return next((key for up_to, key in KEYS if shaft <= up_to * (1 + 1e-9)), None)
