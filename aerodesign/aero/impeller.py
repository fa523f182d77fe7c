"""The flow path as numbers: impeller, diffuser, volute and the blower that they make."""

import numpy as np

from aerodesign.aero.sections import Section
from aerodesign.core.quantities import Angle, Area, Count, Length, Ratio, Values
from aerodesign.core.record import Record, record


@record
class Impeller(Record):
    """A centrifugal impeller. Blade angles from the meridional direction, positive against rotation (backswept).

    ``blades`` are full blades, ``splitters`` shorter ones between them (none or as many), beginning at
    ``splitter_start`` of the meridional length. ``clearance`` is the gap between blade tip and shroud of a semi-open wheel;
    of a covered one it is the radial gap of the eye seal. A wheel with a cylindrical leading edge (radial inlet, as of many
    fans) has ``r1h = r1s`` and the height ``b1`` of that edge; ``b1 = 0`` stands for the usual axial inlet.
    ``throat_ratio`` is the inducer's true throat over the area that the blade angles at its leading edge promise.
    """

    r1h: Length
    r1s: Length
    r2: Length
    b2: Length
    axial_length: Length
    beta1h_blade: Angle
    beta1s_blade: Angle
    beta2_blade: Angle
    blades: Count
    splitters: Count = 0
    splitter_start: Ratio = 0.35
    thickness_hub: Length
    thickness_shroud: Length
    clearance: Length
    covered: Values = False
    fillet: Length
    roughness: Length = 3.2e-6
    leading_edge_ratio: Ratio = 3.0
    rake: Angle = 0.0
    bore: Length = 0.0
    b1: Length = 0.0
    throat_ratio: Ratio = 1.0

    @property
    def r1(self) -> Values:
        """Radius that halves the inlet area."""
        return np.sqrt((self.r1h**2 + self.r1s**2) / 2)

    @property
    def beta1_blade(self) -> Values:
        """Blade angle at ``r1``: tan(beta) taken linear in radius between hub and shroud."""
        height = self.r1s - self.r1h
        x = np.where(height > 0, (self.r1 - self.r1h) / np.where(height > 0, height, 1), 0.5)[()]
        return np.arctan((1 - x) * np.tan(self.beta1h_blade) + x * np.tan(self.beta1s_blade))

    @property
    def inlet_area(self) -> Values:
        """Area swept by the leading edge, blades not counted."""
        return np.where(self.b1 > 0, 2 * np.pi * self.r1s * self.b1, np.pi * (self.r1s**2 - self.r1h**2))[()]

    @property
    def inlet_height(self) -> Values:
        """Height of the leading edge."""
        return np.where(self.b1 > 0, self.b1, self.r1s - self.r1h)[()]

    @property
    def blades_exit(self) -> Values:
        """Blades and splitters that end at the exit."""
        return self.blades + self.splitters

    @property
    def blades_effective(self) -> Values:
        """Blades that count in slip and loading: a splitter by the part of the length that it covers."""
        return self.blades + self.splitters * (1 - self.splitter_start)

    @property
    def thickness(self) -> Values:
        """Blade thickness at mid-height."""
        return (self.thickness_hub + self.thickness_shroud) / 2


@record
class Diffuser(Record):
    """Vaneless diffuser with parallel walls from the impeller's exit to ``r3``, ``b3`` wide after a pinch at its entry."""

    r3: Length
    b3: Length


@record
class Volute(Record):
    """Spiral volute on the base circle ``r3``, its throat at the end of the spiral, then the exit cone.

    ``size4`` is the size parameter of the section at 360 degrees (see :mod:`aerodesign.aero.sections`), ``A4`` its area
    beyond the base circle and ``r4`` the radius of its centroid. ``opening`` is the part of the throat's flow that passes
    under the tongue back into the spiral's beginning. ``section`` names the section's shape.
    """

    size4: Length
    A4: Area
    r4: Length
    r5: Length
    cone_length: Length
    tongue_radius: Length
    opening: Ratio = 0.06
    section: Section

    @property
    def A5(self) -> Values:
        """Area of the round discharge flange."""
        return np.pi * self.r5**2

    @property
    def cone_angle(self) -> Values:
        """Full angle of the exit cone, from a circle of the throat's area to the flange."""
        return 2 * np.arctan((self.r5 - np.sqrt(self.A4 / np.pi)) / self.cone_length)


@record
class Blower(Record):
    """A whole flow path: inlet flange, impeller, vaneless diffuser, volute with exit cone."""

    r0: Length
    impeller: Impeller
    diffuser: Diffuser
    volute: Volute

    @property
    def A0(self) -> Values:
        """Area of the inlet flange."""
        return np.pi * self.r0**2
