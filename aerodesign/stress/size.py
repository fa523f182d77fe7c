"""How fine the stress mesh is, in elements."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Size:
    """Elements ahead of the blades, along them, between two (half the way), across one, over half a fillet, up a blade, and in depth."""

    ahead: int
    along: int
    between: int
    across: int
    fillet: int
    up: int
    deep: int


SIZES = {
    "look": Size(ahead=4, along=14, between=2, across=1, fillet=1, up=3, deep=4),
    "design": Size(ahead=5, along=20, between=3, across=2, fillet=2, up=4, deep=5),
    "study": Size(ahead=6, along=30, between=4, across=2, fillet=3, up=5, deep=6),
}
"""By what they are for."""
