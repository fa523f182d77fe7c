"""What a run of the volute writes while it goes on: flows, total pressures, and the force on the wheel's exit cylinder."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aerodesign.cfd.history import series

Array = NDArray[np.float64]
WINDOW = 100
"""Iterations over which a run must have settled, and over which its loss is averaged: behind a tongue the flow seldom comes to rest."""


@dataclass(frozen=True)
class VoluteHistory:
    """Iterations (n,), flows out of the domain, mass-averaged total pressures, and the force (n, 2) across the axis."""

    iteration: Array
    inlet: Array
    outlet: Array
    pt2: Array
    pt5: Array
    force: Array

    @property
    def last(self) -> int:
        """The last iteration; 0 before the first entry."""
        return int(self.iteration[-1]) if self.iteration.size else 0

    @property
    def recent(self) -> NDArray[np.bool_]:
        """The entries over which a run must have settled."""
        return np.asarray(self.iteration > self.last - WINDOW)

    @property
    def fall(self) -> Array:
        """Fall of total pressure."""
        return self.pt2 - self.pt5

    @property
    def mean_over_last(self) -> float:
        """The mean fall of total pressure over the last iterations over that at the end."""
        return float(self.fall[self.recent].mean() / self.fall[-1])

    @property
    def loss_swing(self) -> float:
        """Half the range of the fall of total pressure over the last iterations, as a part of its mean."""
        if self.last <= WINDOW:
            return float("inf")
        fall = self.fall[self.recent]
        return float(np.ptp(fall) / 2 / abs(fall.mean()))

    @property
    def force_swing(self) -> float:
        """Half the range of either component of the force over the last iterations, newtons."""
        return float(np.ptp(self.force[self.recent], axis=0).max() / 2) if self.last > WINDOW else float("inf")

    @property
    def imbalance(self) -> float:
        """Flow in less flow out over flow in, the mean of the last iterations."""
        if self.last <= WINDOW:
            return float("inf")
        return float(abs(np.mean((self.inlet + self.outlet)[self.recent])) / abs(self.inlet[-1]))


def read_volute_history(case: Path) -> VoluteHistory:
    """The histories of a case so far, restarts joined."""
    names = ("flow_inlet", "flow_outlet", "total_inlet", "total_outlet")
    tables = [series(case, name, "surfaceFieldValue.dat") for name in names]
    rim = series(case, "force_rim", "force.dat")
    known = sorted(set(rim).intersection(*tables))
    columns = [np.array([table[n][0] for n in known]) for table in tables]
    inlet, outlet, pt2, pt5 = columns
    force = np.array([rim[n][:2] for n in known]).reshape(-1, 2)
    return VoluteHistory(np.array(known, float), inlet, outlet, pt2, pt5, force)
