"""Blade angle over the meridional length before any hump is added: smooth, through points, or by loading.

A law is a function of x (0 leading edge, 1 exit) that may be asked a little beyond both.
"""

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.special import betainc

from aerodesign.core.errors import AerodesignError
from aerodesign.form.blade import LOADING, POINTS, BladeForm
from aerodesign.geometry.camber import ramp

Array = NDArray[np.float64]
Law: TypeAlias = Callable[[Array], Array]

LEAST_INLET_ANGLE = np.radians(5.0)
"""A loading counts its meridional velocity from the blade angle at the leading edge; below this there is none to speak of."""


def angle_law(form: BladeForm, *, span: float, beta1: float, beta2: float, x: Array, r: Array, area: Array) -> Law:
    """The law of one span (0 hub .. 1 tip) between its two angles; ``r`` and passage ``area`` at stations ``x`` from 0 to 1."""
    if form.angles == POINTS:
        shares = (1 - span) * np.array(form.hub_angles) + span * np.array(form.shroud_angles)
        return through_points(np.array(form.angles_at), shares, beta1=beta1, beta2=beta2)
    if form.angles == LOADING:
        steepest = (1 - span) * form.hub_loading + span * form.shroud_loading
        return by_loading(steepest, beta1=beta1, beta2=beta2, x=x, r=r, area=area)
    return lambda x: beta1 + (beta2 - beta1) * ramp(x)


def through_points(at: Array, shares: Array, *, beta1: float, beta2: float) -> Law:
    """The spline without curvature at its ends through parts of the way from ``beta1`` (at 0) to ``beta2`` (at 1)."""
    beta = beta1 + (beta2 - beta1) * np.r_[0.0, shares, 1.0]
    return continued(CubicSpline(np.r_[0.0, at, 1.0], beta, bc_type="natural"))


def swirl_share(x: Array, steepest: float) -> Array:
    """Part of the final ratio of swirl to blade speed reached at x: no rise at either end, the steepest at a given x."""
    before, after = (1.0, 1 / steepest - 1) if steepest < 0.5 else (steepest / (1 - steepest), 1.0)
    return np.asarray(betainc(before + 1, after + 1, np.clip(x, 0, 1)))


def by_loading(steepest: float, *, beta1: float, beta2: float, x: Array, r: Array, area: Array) -> Law:
    r"""The angle that lets c_u / u grow as :func:`swirl_share` says, in a flow that follows the blades.

    :math:`\tan\beta = (u - c_u)/c_m`, here at unit speed; c_m goes inversely with the passage area, and its level is the one that meets
    the leading edge without incidence. No slip, no change of density: what shapes a blade, not what rates it. A law for r c_u itself
    would bend the hub of a wheel with a small eye far forward, where it asks for swirl that the blade speed there does not have.
    """
    if beta1 < LEAST_INLET_ANGLE:
        raise AerodesignError(
            f'blade: angles = "loading" needs blade angles above {np.degrees(LEAST_INLET_ANGLE):.0f} deg at the leading edge, '
            f'got {np.degrees(beta1):.3g} deg; take angles = "smooth" or "points"'
        )
    cm = r[0] / np.tan(beta1) * area[0] / area
    final = 1 - cm[-1] * np.tan(beta2) / r[-1]
    beta = np.arctan(r / cm * (1 - final * swirl_share(x, steepest)))
    return continued(CubicSpline(x, beta))


def continued(inside: CubicSpline) -> Law:
    """A spline over 0 to 1 that goes on straight beyond its ends."""

    def law(x: Array) -> Array:
        held = np.clip(x, 0.0, 1.0)
        return np.asarray(inside(held) + inside(held, 1) * (x - held))

    return law
