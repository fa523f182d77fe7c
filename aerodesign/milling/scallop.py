"""Ridges that a ball leaves between passes. Closed forms of plane geometry, exact on a flat and on a round surface.

Curvature is counted positive where the surface bulges towards the cutter, across the passes.
"""

import numpy as np

from aerodesign.core.quantities import Length, Values


def scallop_height(*, step: Length, radius: Length, curvature: Values = 0.0) -> Length:
    """Height of the ridge between two passes of a ball, ``step`` apart along the surface, to first order in step / radius.

    h = s^2 / (8 R) with R the radius that the surface's curvature makes of the ball's: 1/R = 1/radius + curvature.
    """
    return step**2 / 8 * (1 / radius + curvature)


def scallop_height_exact(*, step: Length, radius: Length, curvature: Values = 0.0) -> Length:
    """The same without the approximation, on a flat (curvature 0) or a cylinder: where the two balls' circles cross.

    Single numbers; kept as the measure of the approximation.
    """
    if curvature == 0:
        return radius - np.sqrt(radius**2 - step**2 / 4)
    surface = 1 / curvature
    centre, half = surface + radius, step * curvature / 2
    return centre * np.cos(half) - np.sqrt(radius**2 - (centre * np.sin(half)) ** 2) - surface


def step_over(*, height: Length, radius: Length, curvature: Values = 0.0) -> Length:
    """Step between passes that leaves ridges of a given height, at most the cutter's diameter.

    Where the surface is as hollow as the ball itself there is no ridge at all, and the step is the diameter.
    """
    sharp = 1 / radius + curvature
    return np.minimum(np.sqrt(8 * height / np.maximum(sharp, 2 * height / radius**2)), 2 * radius)
