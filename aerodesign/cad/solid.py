"""A solid with what is known about it beforehand, so that it can be judged."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.core.flags import Flag

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Solid:
    """``shape`` is the kernel's solid in millimetres; ``volume`` (m3) and ``bounds`` (2, 3) in metres are expectations.

    Both come from the numbers the solid was built from, not from the kernel; the gate compares the two. ``skin`` holds
    points (n, 3) in metres that span the bounds, where these change as the solid turns about the axis.
    """

    shape: Any
    volume: float
    bounds: Array
    flags: list[Flag] = field(default_factory=list)
    skin: Array | None = None
