"""What energy costs, and the machine that this one would replace."""

from typing import Annotated

from aerodesign.core.bounds import OneOf, Within
from aerodesign.core.quantities import Ratio, Time, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.form.chosen import FREE
from aerodesign.machine.replaced import KINDS

NOTHING = "nothing"


@record
class MoneyForm(Record):
    """Prices; table ``[money]`` of a case file. Amounts are plain numbers in ``currency``.

    ``tariff`` is the price of a kilowatt hour, ``carbon`` the kilograms of CO2 that one emits, ``price`` what the new machine
    costs installed. ``hours`` a year at the design point count where no duty point has hours.
    """

    currency: str = "EUR"
    tariff: Annotated[Ratio, Within(0, 1000)] = 0.15
    carbon: Annotated[Ratio, Within(0, 3)] = FREE
    price: Annotated[Ratio, Within(0, 1e12)] = FREE
    hours: Annotated[Time, Within("0 h", "8784 h")] = 8000 * 3600.0


@record
class ReplacedForm(Record):
    """The machine that this one would replace; table ``[replaces]`` of a case file.

    ``efficiency`` is its best, isentropic at the shaft; left free it is that of its kind. ``flow`` is its rated flow,
    the design duty's where free; ``drive_efficiency`` counts its motor and transmission.
    """

    kind: Annotated[str, OneOf((NOTHING, *KINDS))] = NOTHING
    efficiency: Annotated[Ratio, Within(0.05, 0.95)] = FREE
    flow: Annotated[VolumeFlow, Within("1 m3/h", "1e6 m3/h")] = FREE
    drive_efficiency: Annotated[Ratio, Within(0.3, 1)] = 0.90
