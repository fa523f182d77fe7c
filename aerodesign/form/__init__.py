"""What the designer decides about the form of the parts, beyond the flow path: blade, wheel body, casing, and the shop that cuts it.

Each table of a case file is a record here; a field is a key of the file, its type says what may stand there.
"""

from aerodesign.form.blade import BladeForm
from aerodesign.form.casing import CasingForm
from aerodesign.form.drive_line import BeltForm, MotorForm
from aerodesign.form.fit import FitForm
from aerodesign.form.money import MoneyForm, ReplacedForm
from aerodesign.form.rotor import RotorForm
from aerodesign.form.sheet import SheetForm
from aerodesign.form.shop import Shop
from aerodesign.form.sound import SoundForm
from aerodesign.form.wheel import WheelForm
from aerodesign.form.whole import Form

__all__ = [
    "BeltForm",
    "BladeForm",
    "CasingForm",
    "FitForm",
    "Form",
    "MoneyForm",
    "MotorForm",
    "ReplacedForm",
    "RotorForm",
    "SheetForm",
    "Shop",
    "SoundForm",
    "WheelForm",
]  # fmt: skip
