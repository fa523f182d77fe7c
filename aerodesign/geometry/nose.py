"""The nose of a blade: an ellipse that runs into the sides without a jump of curvature; the same at a rounded trailing edge.

The quarter of an ellipse ends with a curvature that the side does not have. Here the ellipse is kept to half of its long axis, where
it has 87 % of the thickness; from there on its axis coordinate w is led smoothly to zero over another whole axis.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PURE = 0.5
"""Length of the true ellipse, in long half axes."""
END = 1.5
"""Where the nose has reached the full thickness, in long half axes."""
ROUND_WITHIN = 5e-4
"""How far within r2 the outermost points of a full round trailing edge stand, in parts of r2: what turns the rim must not touch it."""
EXIT_FLAT = 0.5
"""What a rounded trailing edge leaves of the thickness as a flat on the cylinder r2: an edge to measure and to balance on."""


def nose_share(axes: Array) -> Array:
    """Part of the half thickness at a distance from the nose counted in long half axes; zero ahead of it.

    ``1 - w**2`` is the square of the part, w = 1 - axes for the ellipse. Beyond ``PURE`` the slope of w goes from -1 to 0 by a cubic,
    so w ends with three vanishing derivatives and the half thickness is smooth to the second one everywhere.
    """
    ellipse = np.clip(axes, 0, PURE)
    q = np.clip((axes - PURE) / (END - PURE), 0, 1)
    short = ellipse + (q - q**3 + q**4 / 2)  # 1 - w: sums up to 1 because the blend takes END - PURE = 2 (1 - PURE)
    return np.asarray(np.sqrt(np.clip(short * (2 - short), 0, None)))


def exit_share(axes: Array) -> Array:
    """Part of the half thickness left by a rounded trailing edge, at a distance ahead of r2 counted in long half axes.

    The nose's curve, cut where it has grown to ``EXIT_FLAT``. Behind r2, where the blade is only made to be cut off, it goes on with the
    same slope and levels off at -``EXIT_FLAT``: the sides cross there, but stay surfaces that a fillet can be rolled along, and go on outwards.
    """
    cut = 1 - np.sqrt(1 - EXIT_FLAT**2)
    slope = (1 - cut) / EXIT_FLAT
    ahead = nose_share(cut + np.clip(axes, 0, None))
    behind = EXIT_FLAT * (1 + 2 * np.tanh(slope * np.minimum(axes, 0) / (2 * EXIT_FLAT)))
    return np.asarray(np.where(axes >= 0, ahead, behind))
