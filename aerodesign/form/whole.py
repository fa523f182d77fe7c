"""All choices of form in one record."""

from collections.abc import Iterator
from dataclasses import field

from aerodesign.core.record import Record, record
from aerodesign.form.blade import BladeForm
from aerodesign.form.casing import CasingForm
from aerodesign.form.chosen import Chosen
from aerodesign.form.drive_line import BeltForm, MotorForm
from aerodesign.form.fit import FitForm
from aerodesign.form.money import MoneyForm, ReplacedForm
from aerodesign.form.rotor import RotorForm
from aerodesign.form.sheet import SheetForm
from aerodesign.form.shop import Shop
from aerodesign.form.sound import SoundForm
from aerodesign.form.wheel import WheelForm


@record
class Form(Record):
    """The designer's choices of form: blades, the wheel's body, the casing, the shop that cuts the wheel; then shaft and bearings,
    drive, sound, money, the place to fit and the data sheet.
    """

    blade: BladeForm = field(default_factory=BladeForm)
    wheel: WheelForm = field(default_factory=WheelForm)
    casing: CasingForm = field(default_factory=CasingForm)
    shop: Shop = field(default_factory=Shop)
    rotor: RotorForm = field(default_factory=RotorForm)
    motor: MotorForm = field(default_factory=MotorForm)
    belt: BeltForm = field(default_factory=BeltForm)
    noise: SoundForm = field(default_factory=SoundForm)
    money: MoneyForm = field(default_factory=MoneyForm)
    replaces: ReplacedForm = field(default_factory=ReplacedForm)
    fit: FitForm = field(default_factory=FitForm)
    sheet: SheetForm = field(default_factory=SheetForm)

    def faults(self) -> Iterator[tuple[str, str, str]]:
        """Table, key and complaint of every choice that contradicts others of its table."""
        for name, table in self.items():
            if isinstance(table, Chosen):
                for fault in table.faults():
                    yield name, fault.key, fault.complaint
