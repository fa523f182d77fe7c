"""The room of the gas, from the inlet flange to the discharge, in pieces that fit each other face to face (machine's frame)."""

from aerodesign.aero.impeller import Blower
from aerodesign.cad.placing import placed
from aerodesign.cad.solid import Solid
from aerodesign.cad.volute import volute_solid
from aerodesign.form import CasingForm
from aerodesign.geometry.entry import diffuser_entry, middle


def volute_region(blower: Blower, form: CasingForm) -> Solid:
    """Vaneless diffuser and volute, from the cylinder r2 to the discharge flange."""
    solid = volute_solid(blower.volute, blower.diffuser, r2=blower.impeller.r2, entry=diffuser_entry(blower))
    return placed(solid, form, shift=middle(blower.impeller))
