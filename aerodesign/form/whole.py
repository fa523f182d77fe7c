"""All choices of form in one record."""

from collections.abc import Iterator
from dataclasses import field

from aerodesign.core.record import Record, record
from aerodesign.form.blade import BladeForm
from aerodesign.form.casing import CasingForm
from aerodesign.form.chosen import Chosen
from aerodesign.form.rotor import RotorForm
from aerodesign.form.shop import Shop
from aerodesign.form.wheel import WheelForm


@record
class Form(Record):
    """The designer's choices of form: of the blades, the wheel's body, the casing, the shop that cuts the wheel, and the rotor."""

    blade: BladeForm = field(default_factory=BladeForm)
    wheel: WheelForm = field(default_factory=WheelForm)
    casing: CasingForm = field(default_factory=CasingForm)
    shop: Shop = field(default_factory=Shop)
    rotor: RotorForm = field(default_factory=RotorForm)

    def faults(self) -> Iterator[tuple[str, str, str]]:
        """Table, key and complaint of every choice that contradicts others of its table."""
        for name, table in self.items():
            if isinstance(table, Chosen):
                for fault in table.faults():
                    yield name, fault.key, fault.complaint
