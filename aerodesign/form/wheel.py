"""The form of the wheel's body: back disc, bore, nose."""

from itertools import pairwise
from typing import Annotated

from aerodesign.core.bounds import OneOf, Several, Within
from aerodesign.core.quantities import Count, Length, Ratio
from aerodesign.core.record import record
from aerodesign.form.chosen import FREE, Chosen, Fault

TAPERED, FLAT, POINTS = BACKS = ("tapered", "flat", "points")
PLAIN, KEYWAY, TAPER, TIE_BOLT = MOUNTINGS = ("plain", "keyway", "taper", "tie bolt")
ROUND, CONE, BLUNT = NOSES = ("round", "cone", "blunt")


@record
class WheelForm(Chosen):
    """Choices for the wheel without its blades; table ``[wheel]`` of a case file. What is free is proposed in proportion to the wheel.

    ``back`` of the disc: "tapered" from the boss to four fifths of the radius, then flat; "flat"; or "points": straight from point
    to point, with the axial thicknesses ``back_thickness`` of the disc at ``back_at``, in parts of the radius, the last of them 1.
    ``rim`` is the disc's thickness at the outer edge.

    ``mounting`` on the shaft by the bore (of the flow path's ``bore``): "plain"; "keyway" as DIN 6885 sheet 1 has it for the
    bore, cut through, or from the back over ``keyway_length`` where that is given and shorter than the bore;
    "taper", the bore at the nose growing by ``taper`` of its diameter a length towards the back; "tie bolt", a
    bolt's hole with a pilot bore at the back. A bore of nothing makes a solid hub.

    ``balance_stock`` is the height of a ring on the back to be drilled or milled at balancing, ``nose_stock`` that of a collar ahead of
    the nose: the two planes of correction. ``back_vanes`` straight radial ribs
    and ``balance_holes``, one a passage through the disc at ``hole_at`` of the radius, ease the thrust; both need a flat back. A
    labyrinth at ``back_labyrinth`` of the radius, outside of the holes, lets them ease all of the back within it; its ring is the CAD
    room's and not drawn.
    """

    back: Annotated[str, OneOf(BACKS)] = TAPERED
    back_at: Annotated[Ratio, Within(0.1, 1), Several(2, 12)] = ()
    back_thickness: Annotated[Length, Within("0.5 mm", "1 m"), Several(2, 12)] = ()
    rim: Annotated[Length, Within("0.5 mm", "100 mm")] = FREE
    boss_length: Annotated[Length, Within("0.5 mm", "1 m")] = FREE
    boss_diameter: Annotated[Length, Within("3 mm", "2 m")] = FREE
    mounting: Annotated[str, OneOf(MOUNTINGS)] = PLAIN
    keyway_length: Annotated[Length, Within("2 mm", "1 m")] = FREE
    taper: Annotated[Ratio, Within(0.01, 0.5)] = 0.1
    pilot_diameter: Annotated[Length, Within("3 mm", "500 mm")] = FREE
    pilot_depth: Annotated[Length, Within("0.5 mm", "200 mm")] = FREE
    nose: Annotated[str, OneOf(NOSES)] = ROUND
    nose_length: Annotated[Ratio, Within(0.1, 2)] = 0.6
    balance_stock: Annotated[Length, Within("0 mm", "20 mm")] = 0.0
    nose_stock: Annotated[Length, Within("0 mm", "20 mm")] = 0.0
    back_vanes: Annotated[Count, Within(0, 24)] = 0
    vane_height: Annotated[Length, Within("0.5 mm", "30 mm")] = FREE
    balance_holes: bool = False
    hole_at: Annotated[Ratio, Within(0.2, 0.95)] = 0.5
    hole_diameter: Annotated[Length, Within("1 mm", "100 mm")] = FREE
    back_labyrinth: Annotated[Ratio, Within(0.2, 0.98)] = FREE

    def faults(self) -> list[Fault]:
        """Lists that do not belong together, and what needs a flat back."""
        found = []
        if self.back == POINTS:
            if not self.back_at:
                found.append(Fault("back_at", 'is missing; back = "points" needs it'))
            elif abs(self.back_at[-1] - 1) > 1e-9 or any(b - a < 0.01 for a, b in pairwise(self.back_at)):
                found.append(
                    Fault("back_at", "must grow from value to value, by 0.01 at least, and end with 1, the rim")
                )
            if len(self.back_thickness) != len(self.back_at):
                found.append(
                    Fault(
                        "back_thickness", f"lists {len(self.back_thickness)} values for {len(self.back_at)} in back_at"
                    )
                )
            if self.rim == self.rim:
                found.append(Fault("rim", 'is the last of back_thickness where back = "points"; take it out'))
        if self.back != FLAT:
            for key in ("back_vanes", "balance_holes"):
                if getattr(self, key):
                    found.append(Fault(key, f'needs a flat back of the disc; write back = "{FLAT}" or take it out'))
        if self.back_labyrinth == self.back_labyrinth:
            if not self.balance_holes:
                found.append(
                    Fault("back_labyrinth", "needs balance_holes to ease what it encloses; write them or take it out")
                )
            elif self.back_labyrinth <= self.hole_at:
                found.append(Fault("back_labyrinth", f"must lie outside of hole_at = {self.hole_at:.3g}"))
        if self.keyway_length == self.keyway_length and self.mounting != KEYWAY:
            found.append(Fault("keyway_length", f'needs a keyway; write mounting = "{KEYWAY}" or take it out'))
        if self.balance_stock and self.back_vanes:
            found.append(Fault("balance_stock", "has no room beside back_vanes; take one of the two out"))
        return found
