"""What drives the wheel, beyond the kind of drive: the motor and the belt."""

from typing import Annotated

import numpy as np

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Length, Power, Ratio, Voltage
from aerodesign.core.record import Record, record
from aerodesign.form.chosen import FREE, Chosen, Fault
from aerodesign.machine.belt import BELTS
from aerodesign.machine.motor import CLASSES


@record
class MotorForm(Record):
    """Choices for the motor; table ``[motor]`` of a case file.

    ``standard`` "supply" means NEMA on 60 Hz, else IEC. ``efficiency_class`` is that of an IEC motor; a NEMA one is Premium.
    ``reserve`` is what the rated power is larger by than the largest power of the duty points. ``rated`` gives the motor
    instead of the next standard size; ``voltage`` left free is 460 V on 60 Hz, else 400 V.
    """

    standard: Annotated[str, OneOf(("supply", "IEC", "NEMA"))] = "supply"
    efficiency_class: Annotated[str, OneOf(CLASSES)] = "IE3"
    reserve: Annotated[Ratio, Within(0, 1)] = 0.10
    rated: Annotated[Power, Within("100 W", "10 MW")] = FREE
    voltage: Annotated[Voltage, Within("100 V", "15 kV")] = FREE
    power_factor: Annotated[Ratio, Within(0.3, 1)] = 0.86


@record
class BeltForm(Chosen):
    """Choices for a belt; table ``[belt]`` of a case file. They count where the kind of drive is "belt".

    ``pulley`` is the one on the wheel's shaft; the motor's follows from both speeds.
    """

    kind: Annotated[str, OneOf(BELTS)] = "ribbed"
    pulley: Annotated[Length, Within("10 mm", "2 m")] = FREE
    centre: Annotated[Length, Within("50 mm", "10 m")] = FREE
    width: Annotated[Length, Within("3 mm", "1 m")] = FREE
    loss: Annotated[Ratio, Within(0, 0.2)] = 0.04

    def faults(self) -> list[Fault]:
        """A pulley that the belt cannot bend round."""
        least = BELTS[self.kind].pulley
        if self.pulley >= least or np.isnan(self.pulley):
            return []
        return [
            Fault(
                "pulley",
                f"a {self.kind} belt bends round no less than {1e3 * least:.4g} mm; take a larger one or another kind",
            )
        ]
