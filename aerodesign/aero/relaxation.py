"""How far streamlines move from pass to pass: a smoother that knows what curvature answers, and mixing of past passes."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from aerodesign.aero.streamlines import Array

DEPTH = 3
"""Differences of passes that the mixing looks back on: five gained nothing."""

REGULAR = 1e-12
"""Added to the least squares of the mixing, of their trace."""


@dataclass(frozen=True, eq=False)
class Smoother:
    r"""Turns the displacement that a pass asks for into one that the next pass will not take back.

    Moved by :math:`\delta`, streamlines change their curvature by :math:`\delta_{mm}`; the velocity gradient answers, and
    continuity then asks for a further displacement with :math:`\delta_{qq} = -w\,\delta_{mm}`. Plain substitution therefore
    diverges as soon as stations stand much closer than the channel is high. Wilkinson (1970, from memory) damps all by what the
    shortest wave needs. Here each wave has its own damping, :math:`(1 - w h^2\partial_{mm}/\mu_k)^{-1}` for each sine wave k across
    the channel with its eigenvalue :math:`\mu_k`, so that the number of passes does not grow with that of stations.
    """

    waves: Array
    inverse: Any

    def __call__(self, wanted: Array) -> Array:
        """The displacement to take for the one wanted, both (stations, streamlines, *designs), nil on the walls."""
        designs = tuple(range(2, wanted.ndim))
        inner = wanted[:, 1:-1].transpose(*designs, 1, 0)
        taken = self.waves @ (self.inverse @ (self.waves @ inner)[..., None])[..., 0]
        moved = np.zeros_like(wanted)
        moved[:, 1:-1] = taken.transpose(-1, -2, *(axis - 2 for axis in designs))
        return moved


def smoother(*, height: Array, step: Array, weight: Array, streamlines: int) -> Smoother:
    """A smoother for channels with heights and weights w (stations, *designs) and steps (stations - 1, *designs)."""
    k = np.arange(1, streamlines - 1)
    waves = np.sqrt(2 / (streamlines - 1)) * np.sin(np.pi * np.outer(k, k) / (streamlines - 1))
    eigenvalues = (2 * (streamlines - 1) * np.sin(np.pi * k / (2 * (streamlines - 1)))) ** 2

    height, step, weight = (np.moveaxis(x, 0, -1) for x in (height, step, weight))
    before, after = step[..., :-1], step[..., 1:]
    count = height.shape[-1]
    inside = np.arange(1, count - 1)
    second = np.zeros((*height.shape, count))
    second[..., inside, inside - 1] = 2 / (before * (before + after))
    second[..., inside, inside] = -2 / (before * after)
    second[..., inside, inside + 1] = 2 / (after * (before + after))
    second[..., 0, :], second[..., -1, :] = second[..., 1, :], second[..., -2, :]

    # Displacements are shares of the height: w h (h eta)_mm.
    operator = (weight * height)[..., None] * second * height[..., None, :]
    return Smoother(waves, np.linalg.inv(np.eye(count) - operator[..., None, :, :] / eigenvalues[:, None, None]))


@dataclass(eq=False)
class Mixing:
    """Anderson's mixing (1965, from memory) of the last passes of a fixed-point iteration, each design for itself.

    Call it with the unknowns x and the change that a pass asks for, both (unknowns, *designs); it returns the change to take. It
    stretches that combination of the last passes which would ask for least, and takes the part ``share`` of what is left. The first
    ``plain`` calls only take the part ``first`` of the change: less, for the first guess may be far off.
    """

    share: float
    first: float
    plain: int
    _last: tuple[Array, Array] | None = None
    _steps: list[tuple[Array, Array]] = field(default_factory=list)

    def __call__(self, x: Array, change: Array) -> Array:
        """The change to take."""
        if self.plain > 0:
            self.plain -= 1
            return self.first * change
        if self._last is not None:
            self._steps = [*self._steps, (x - self._last[0], change - self._last[1])][-DEPTH:]
        self._last = x, change
        if not self._steps:
            return self.share * change

        dx, df = (np.array(step) for step in zip(*self._steps, strict=True))
        normal = np.einsum("kn...,ln...->...kl", df, df)
        trace = np.trace(normal, axis1=-2, axis2=-1)[..., None, None]
        normal = normal + np.eye(len(dx)) * (REGULAR * trace + np.finfo(float).tiny)
        right = np.einsum("kn...,n...->...k", df, change)[..., None]
        parts = np.moveaxis(np.linalg.solve(normal, right)[..., 0], -1, 0)
        taken: Array = self.share * change - np.sum(parts[:, None] * (dx + self.share * df), axis=0)
        return taken
