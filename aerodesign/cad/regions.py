"""The room of the gas, from the inlet flange to the discharge, in pieces that fit each other face to face.

Everything stands in the machine's frame, see :mod:`.placing`. Inlet and wheel share the ring at the plane where the
wheel's walls begin; wheel and volute share the cylinder at r2.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline

from aerodesign.aero.impeller import Blower
from aerodesign.cad.casing import casing_solid
from aerodesign.cad.kernel import MM
from aerodesign.cad.mount import mount_solid
from aerodesign.cad.passage import annulus_solid, passage_solid
from aerodesign.cad.placing import placed
from aerodesign.cad.solid import Solid
from aerodesign.cad.split import casing_half
from aerodesign.cad.turned import turned_solid
from aerodesign.cad.volute import volute_solid
from aerodesign.core.flags import Flag, raised
from aerodesign.form import Form
from aerodesign.geometry.body import Body, Curve, body, points, revolved_volume
from aerodesign.geometry.casing import Sizes, block_reach, casing_sizes
from aerodesign.geometry.cavity import Wheelhouse
from aerodesign.geometry.entry import diffuser_entry, middle
from aerodesign.geometry.gas_room import GasRoom, gas_room
from aerodesign.geometry.inlet import Inlet, inlet, nose_of


@dataclass(frozen=True, eq=False)
class Regions:
    """The regions of a single blower; blades are computed once, when first asked for."""

    blower: Blower
    form: Form

    @cached_property
    def room(self) -> GasRoom:
        """The gas in the wheel."""
        return gas_room(self.blower.impeller, self.form.blade)

    @cached_property
    def wheel(self) -> Body:
        """The wheel's body, whose nose stands in the inlet."""
        return body(self.blower.impeller, self.room.blading.meridional, lead=-self.room.start, form=self.form.wheel)

    @cached_property
    def inlet_wall(self) -> Inlet:
        """The wall of the inlet in front of the wheel."""
        z, eye = self.room.casing.at(self.room.start)
        casing, nose = self.form.casing, self._nose[-1]
        sizes = self.sizes
        ahead = middle(self.blower.impeller) - block_reach(self.blower, sizes) - sizes.flange - 2 * sizes.wall
        return inlet(
            casing.inlet,
            r0=self.blower.r0,
            eye=eye,
            z=z,
            nose=float(points(nose)[-1, 0]),
            length=casing.inlet_length,
            land=sizes.gap,
            ahead=ahead,
        )

    @cached_property
    def sizes(self) -> Sizes:
        """Sizes of the casing round the regions."""
        return casing_sizes(self.blower, self.form.casing)

    @cached_property
    def _nose(self) -> list[Curve]:
        return nose_of(self.wheel.outline)

    def inlet(self) -> Solid:
        """From the inlet flange to the wheel, round its nose."""
        wall, nose = self.inlet_wall, self._nose
        z, eye = self.room.casing.at(self.room.start)
        ring = np.array([[z, eye], points(nose[0])[0]])
        mouth = np.array([[wall.face, 0.0], [wall.face, wall.radius]])
        curves = [*wall.wall, ring, *nose, mouth]
        volume = revolved_volume(np.concatenate([points(c) for c in curves]))
        widest = max(float(points(c)[:, 1].max()) for c in wall.wall)
        bounds = np.array([[-widest, -widest, wall.face], [widest, widest, max(z, points(nose[0])[0, 0])]])
        shape = turned_solid(
            [BSpline(c.t, MM * c.c, c.k) if isinstance(c, BSpline) else MM * c for c in curves], side=-1.0
        )
        return placed(Solid(shape, volume, bounds), self.form.casing)

    def passage(self) -> Solid:
        """One passage of the wheel."""
        return self._without_holes(placed(passage_solid(self.room), self.form.casing))

    def annulus(self) -> Solid:
        """All passages of the wheel."""
        return self._without_holes(placed(annulus_solid(self.room), self.form.casing))

    def _without_holes(self, gas: Solid) -> Solid:
        """The gas in the wheel, with a word on the balance holes that its hub does not have."""
        flag = Flag(
            code="balance_holes_left_out",
            active=self.form.wheel.balance_holes,
            message="the room of the gas in the wheel has a plain hub: the balance holes are left out of it",
            advice="draw them into the hub where their leakage is to be simulated",
        )
        return replace(gas, flags=[*gas.flags, *raised([flag])])

    def volute(self) -> Solid:
        """Vaneless diffuser and volute, from the cylinder r2 to the discharge flange."""
        blower = self.blower
        solid = volute_solid(
            blower.volute,
            blower.diffuser,
            r2=blower.impeller.r2,
            entry=diffuser_entry(blower),
            turn=self.form.casing.discharge_turn,
        )
        return placed(solid, self.form.casing, shift=middle(blower.impeller))

    @property
    def _house(self) -> Wheelhouse:
        return Wheelhouse(self.blower, self.room, self.wheel, self.inlet_wall, self.sizes)

    def casing(self) -> Solid:
        """The metal round all of it."""
        return placed(casing_solid(self._house, self.form.casing), self.form.casing, shift=middle(self.blower.impeller))

    def casing_half(self, side: int) -> Solid:
        """The half of the casing at the inlet (-1) or at the drive (1)."""
        half = casing_half(self._house, self.form.casing, side)
        return placed(half, self.form.casing, shift=middle(self.blower.impeller))

    def mount(self) -> Solid:
        """The room that feet, or the drive's flange, take; see :mod:`.mount`."""
        return mount_solid(self._house, self.form.casing, self.casing())
