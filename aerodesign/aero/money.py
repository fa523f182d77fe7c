"""What the machine takes, costs and emits in a year, by its control, and what it saves over the machine that it replaces."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from aerodesign.aero.control import Control
from aerodesign.aero.points import Points
from aerodesign.core.book import Book, Step
from aerodesign.core.correlation import PRACTICE
from aerodesign.core.quantities import Energy, Power, Ratio, Time, Values, VolumeFlow
from aerodesign.form import MoneyForm, ReplacedForm
from aerodesign.form.money import NOTHING
from aerodesign.machine import energy, replaced
from aerodesign.machine.drive import CONVERTER_EFFICIENCY

PARTS = np.array([0.5, 0.75, 1.0, 1.25])
"""Hours of the sensitivity over those given."""
TARIFFS = np.array([0.5, 1.0, 1.5, 2.0])
"""Tariffs of the sensitivity over that given."""


@dataclass(frozen=True)
class Replaced:
    """The machine of today: its efficiency and electrical power at the duty points, its energy, and what the new one saves a year.

    ``payback`` is nan without a price; ``sensitivity`` is that for parts of the hours (rows) and of the tariff (columns).
    """

    kind: str
    efficiency: Ratio
    wire_power: Power
    energy: Energy
    saved_energy: Energy
    saved: Values
    power_saved: Ratio
    payback: Time
    sensitivity: Time


@dataclass(frozen=True)
class Money:
    """A year of the machine. ``hours`` are those counted, ``assumed`` says that the case gives none.

    ``by_control`` is the electrical energy by kind of control, nan where a point is out of reach. ``carbon`` is in kg, nan where no
    factor is given.
    """

    hours: Time
    assumed: bool
    energy: Energy
    cost: Values
    carbon: Values
    by_control: dict[str, Energy]
    replaced: Replaced | None
    steps: Mapping[str, Step]


def money(
    points: Points, *, wire_power: Power, wire: Callable[[Power], Power], control: Control, air_power: Power, design_index: int, inverter: bool,
    form: MoneyForm, replaces: ReplacedForm,
) -> Money:  # fmt: skip
    """A year at the duty points; ``air_power`` is the isentropic power that the duty asks, ``wire`` the drive's own function."""
    book, given = Book(), np.asarray(points.hours, float)
    assumed = not np.any(given > 0)
    hours = np.where(np.arange(len(given)) == design_index, form.hours, 0.0) if assumed else given
    year = book.note("yearly_energy", energy.yearly_energy, power=wire_power, hours=hours)
    price = book.note("yearly_cost", energy.cost, energy=year, tariff=form.tariff)

    by_control = {}
    for kind, one in control.points.items():
        extra = CONVERTER_EFFICIENCY if kind == "speed" and not inverter else 1.0
        reached = np.all(np.asarray(one.reached) | (hours <= 0))
        by_control[kind] = energy.yearly_energy(power=wire(one.shaft_power) / extra, hours=hours) if reached else np.nan
    old = (
        None
        if replaces.kind == NOTHING
        else _replaced(
            book,
            replaces,
            form,
            flow=points.flow,
            design_flow=points.flow[design_index],
            air_power=air_power,
            hours=hours,
            year=year,
        )
    )
    return Money(
        hours=hours, assumed=assumed, energy=year, cost=price, carbon=year / energy.KWH * form.carbon, by_control=by_control, replaced=old,
        steps=book.steps,
    )  # fmt: skip


def _replaced(
    book: Book, form: ReplacedForm, prices: MoneyForm, *, flow: VolumeFlow, design_flow: VolumeFlow, air_power: Power, hours: Time, year: Energy
) -> Replaced:  # fmt: skip
    best = replaced.KINDS[form.kind].efficiency if np.isnan(form.efficiency) else form.efficiency
    rated = design_flow if np.isnan(form.flow) else form.flow
    efficiency = book.note(
        "replaced_efficiency",
        replaced.efficiency_at,
        flow_ratio=flow / rated,
        kind=form.kind,
        best=best,
        source=PRACTICE,
    )
    power = book.note(
        "replaced_power", replaced.shaft_power, air_power=air_power, efficiency=efficiency * form.drive_efficiency
    )
    before = energy.yearly_energy(power=power, hours=hours)
    saved = energy.cost(energy=before - year, tariff=prices.tariff)
    back = book.note("payback", energy.payback, price=prices.price, saved=saved)
    return Replaced(
        kind=form.kind, efficiency=efficiency, wire_power=power, energy=before, saved_energy=before - year, saved=saved,
        power_saved=book.note("power_saved", replaced.power_saved, before=year, after=before) if before > 0 else np.nan, payback=back,
        sensitivity=energy.sensitivity(price=prices.price, saved=saved, hours=PARTS, tariff=TARIFFS),
    )  # fmt: skip
