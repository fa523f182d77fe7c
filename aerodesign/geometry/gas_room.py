"""The room of the gas in a wheel: between hub and casing, from the plane where the wheel's walls begin to the cylinder r2."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.form.blade import BladeForm
from aerodesign.geometry.between import Between
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.body import revolved_volume
from aerodesign.geometry.meridional import Contour
from aerodesign.geometry.possible import refuse_impossible
from aerodesign.geometry.row import BladeRow, blade_row, inlet_lead
from aerodesign.geometry.volume import blade_volume


@dataclass(frozen=True, eq=False)
class GasRoom:
    """The gas in one wheel: its blades, and the contours of hub and casing from t = ``start`` to 1 (metres)."""

    impeller: Impeller
    blading: Blading
    row: BladeRow
    casing: Contour
    start: float

    @property
    def hub(self) -> Contour:
        return self.blading.meridional.hub

    @property
    def pitch(self) -> float:
        return 2 * np.pi / round(float(self.impeller.blades))

    @cached_property
    def between(self) -> Between:
        return Between(self.blading, self.hub, self.casing, self.start)

    @property
    def first(self) -> float:
        """Turn from the camber of full blade 0 to the surface that begins its passage."""
        behind = self.pitch if self.row.splitter is None else self.pitch - self.row.splitter_turn
        return -behind / 2

    @property
    def volume(self) -> float:
        """Volume of the gas in all passages, m3."""
        t = np.linspace(self.start, 1, 4001)
        tip = self.blading.meridional.shroud
        parts = [(self.row.full, float(self.impeller.blades)), (self.row.splitter, float(self.impeller.splitters))]
        r2 = float(self.impeller.r2)
        blades = sum(n * blade_volume(skin, self.hub, tip, r2) for skin, n in parts if skin is not None)
        return revolved_volume(np.concatenate([self.hub.at(t), self.casing.at(t)[::-1]])) - blades


def gas_room(impeller: Impeller, form: BladeForm | None = None) -> GasRoom:
    """The room of the gas in a single wheel. Raises :class:`RejectedSolid` where its blades cannot be built."""
    form = form or BladeForm()
    refuse_impossible(impeller, form)
    blading = Blading(impeller, form)
    row = blade_row(blading)
    return GasRoom(impeller, blading, row, blading.casing(), -inlet_lead(blading, row))
