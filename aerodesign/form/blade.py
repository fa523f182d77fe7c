"""The form of the blades: what the meanline leaves open between the leading and the trailing edge."""

from itertools import pairwise
from typing import Annotated

from aerodesign.core.bounds import OneOf, Several, Within
from aerodesign.core.quantities import Angle, Length, Ratio
from aerodesign.core.record import record
from aerodesign.form.chosen import FREE, Chosen, Fault

SMOOTH, POINTS, LOADING = ANGLES = ("smooth", "points", "loading")
CUT, ROUNDED, FULL_ROUND = TRAILING_EDGES = ("cut", "rounded", "full round")
FREE_FORM, RULED = SURFACES = ("free", "ruled")


@record
class BladeForm(Chosen):
    """Choices for the blade surfaces; table ``[blade]`` of a case file.

    ``angles`` says how the blade angle goes from its value at the leading edge to that at the exit: "smooth", a cubic;
    "points", through ``hub_angles`` and ``shroud_angles`` (0 is the angle at the leading edge, 1 that at the exit) at the parts
    ``angles_at`` of the meridional length; "loading", so that the ratio of swirl to blade speed rises most steeply at
    the parts ``hub_loading`` and ``shroud_loading``. To these a hump at mid-length is added that gives the wanted ``wrap`` (free: what
    follows) and puts the leading edge at ``lean``, the angle about the axis by which its tip is ahead of its hub. With
    ``exact_angles`` there is no hump, and the leading edge leans as it will.

    ``surface`` is "free" (point milled) or "ruled": straight lines from hub to tip, which the flank of a cutter can follow.
    ``thickness_along`` multiplies the thickness at equal steps from leading edge to exit. ``trailing_edge`` is "cut"
    blunt on the cylinder of the outer radius, "rounded": both sides run in an ellipse, ``trailing_edge_ratio`` times as long as
    half the thickness, to a flat of half the thickness; or "full round": to the end of that ellipse, a half circle where the ratio
    is 1, whose outermost points stand a hair within the outer radius, so that the rim is turned and the edge is not.
    ``splitter_position`` is the part of the pitch from a full blade to its splitter, in the sense of rotation. ``clearance_inlet`` is
    the gap at the leading edge of a semi-open wheel, free: as at the exit.
    """

    angles: Annotated[str, OneOf(ANGLES)] = SMOOTH
    angles_at: Annotated[Ratio, Within(0.02, 0.98), Several(1, 8)] = ()
    hub_angles: Annotated[Ratio, Within(-3, 4), Several(1, 8)] = ()
    shroud_angles: Annotated[Ratio, Within(-3, 4), Several(1, 8)] = ()
    hub_loading: Annotated[Ratio, Within(0.25, 0.75)] = 0.5
    shroud_loading: Annotated[Ratio, Within(0.25, 0.75)] = 0.5
    exact_angles: bool = False
    wrap: Annotated[Angle, Within("5 deg", "200 deg")] = FREE
    lean: Annotated[Angle, Within("-30 deg", "30 deg")] = 0.0
    surface: Annotated[str, OneOf(SURFACES)] = FREE_FORM
    thickness_along: Annotated[Ratio, Within(0.3, 3), Several(2, 9)] = ()
    trailing_edge: Annotated[str, OneOf(TRAILING_EDGES)] = CUT
    trailing_edge_ratio: Annotated[Ratio, Within(1, 6)] = 3.0
    splitter_position: Annotated[Ratio, Within(0.35, 0.65)] = 0.5
    clearance_inlet: Annotated[Length, Within("0.02 mm", "10 mm")] = FREE

    def faults(self) -> list[Fault]:
        """Lists that do not belong together, and a wrap that exact angles cannot have."""
        found = []
        if self.angles == POINTS:
            for key in ("angles_at", "hub_angles", "shroud_angles"):
                if not getattr(self, key):
                    found.append(Fault(key, 'is missing; angles = "points" needs it'))
                elif len(getattr(self, key)) != len(self.angles_at):
                    found.append(
                        Fault(key, f"lists {len(getattr(self, key))} values for {len(self.angles_at)} in angles_at")
                    )
            if any(b - a < 0.02 for a, b in pairwise(self.angles_at)):
                found.append(Fault("angles_at", "must grow from value to value, by 0.02 at least"))
        if self.trailing_edge == ROUNDED and self.trailing_edge_ratio < 2:
            found.append(Fault("trailing_edge_ratio", f'must be 2 at least where trailing_edge = "{ROUNDED}"'))
        if self.exact_angles:
            if self.wrap == self.wrap:
                found.append(
                    Fault("wrap", "follows from the angles where exact_angles = true; take one of the two out")
                )
            if self.lean != 0:
                found.append(
                    Fault("lean", "follows from the angles where exact_angles = true; take one of the two out")
                )
        return found
