"""A wheel as a mill meets it: sheets of its blades, walls of revolution, and the passages between neighbours."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.form import BladeForm, WheelForm
from aerodesign.geometry.blade import Blading
from aerodesign.geometry.meridional import Contour
from aerodesign.geometry.row import BladeRow, blade_row
from aerodesign.geometry.skin import Skin, skin
from aerodesign.milling.sheets import Cloud, Sheet, sides


@dataclass(frozen=True, eq=False)
class Blade:
    """One blade where it stands: its skin, its place ``angle`` about the axis, its two sides (not turned)."""

    name: str
    skin: Skin
    angle: float
    suction: Sheet
    pressure: Sheet

    @property
    def cloud(self) -> Cloud:
        """Points of both sides where the blade stands."""
        return Cloud.of([self.suction.cloud, self.pressure.cloud]).turned(self.angle)


@dataclass(frozen=True, eq=False)
class Passage:
    """The gap between the pressure side of one blade and the suction side of the next in rotation.

    It begins at ``start`` in the contours' t; ahead of a splitter there is a wider one from full blade to full blade.
    """

    name: str
    behind: Blade
    ahead: Blade
    start: float
    end: float
    between: Blade | None = None

    @property
    def walls(self) -> Cloud:
        """What a ball between the two blades can meet: their sides, the noses from the other side, a splitter that begins between."""
        behind, ahead = self.behind, self.ahead
        clouds = [Cloud.of([behind.pressure.cloud, behind.suction.nose]).turned(behind.angle)]
        clouds += [Cloud.of([ahead.suction.cloud, ahead.pressure.nose]).turned(ahead.angle)]
        return Cloud.of(clouds + ([self.between.cloud] if self.between else []))


@dataclass(frozen=True, eq=False)
class Wheel:
    """A wheel for the checks. Made by :func:`wheel_of` with its fillets, by :func:`bare_wheel` without them."""

    impeller: Impeller
    blading: Blading
    row: BladeRow
    form: WheelForm = field(default_factory=WheelForm)
    """That of the body: bore, nose and back."""

    @property
    def hub(self) -> Contour:
        """The hub's contour."""
        return self.blading.meridional.hub

    @property
    def cover(self) -> Contour | None:
        """The cover's inside; None for a semi-open wheel."""
        return self.blading.meridional.shroud if bool(self.impeller.covered) else None

    @property
    def pitch(self) -> float:
        """Angle from full blade to full blade."""
        return float(2 * np.pi / self.impeller.blades)

    @cached_property
    def blades(self) -> tuple[Blade, ...]:
        """The blades from one full blade to the next: full, perhaps splitter, full."""
        suction, pressure = sides(self.row.full)
        full = Blade("blade", self.row.full, 0.0, suction, pressure)
        following = Blade("blade", self.row.full, self.pitch, suction, pressure)
        if self.row.splitter is None:
            return full, following
        turn = self.blading.form.splitter_position * self.pitch
        splitter = Blade("splitter", self.row.splitter, turn, *sides(self.row.splitter))
        return full, splitter, following

    @cached_property
    def passages(self) -> tuple[Passage, ...]:
        """What a cutter passes through between the two full blades."""
        if len(self.blades) == 2:
            return (Passage("between blades", *self.blades, 0.0, 1.0),)
        full, splitter, following = self.blades
        begins = float(splitter.pressure.track[0, 1])
        return (
            Passage("ahead of the splitters", full, following, 0.0, begins, splitter),
            Passage("blade to splitter", full, splitter, begins, 1.0),
            Passage("splitter to blade", splitter, following, begins, 1.0),
        )


def wheel_of(impeller: Impeller, form: BladeForm | None = None, body: WheelForm | None = None) -> Wheel:
    """The wheel with its fillets. Raises AerodesignError where its blades cannot be drawn."""
    blading = Blading(impeller, form)
    return Wheel(impeller, blading, blade_row(blading), body or WheelForm())


def bare_wheel(impeller: Impeller, blading: Blading | None = None) -> Wheel:
    """The wheel without fillets, in a fifth of the time.

    A ball larger than the fillet that touches blade and hub passes over the fillet, so the largest balls are the same.
    """
    blading = blading or Blading(impeller)
    return Wheel(
        impeller, blading, bare_row(blading, float(impeller.splitter_start) if impeller.splitters > 0 else None)
    )


def bare_row(blading: Blading, splitter_start: float | None, full: Skin | None = None) -> BladeRow:
    """Blades without fillets, with splitters that begin at ``splitter_start`` or none; ``full`` where that skin is known already.

    Contours and cambers depend neither on the number of blades nor on where splitters begin.
    """
    bare = {"hub_radius": 0.0, "tip_radius": 0.0}
    splitter = None if splitter_start is None else skin(blading, start=splitter_start, **bare)
    return BladeRow(full or skin(blading, start=0.0, **bare), splitter, 0.0)
