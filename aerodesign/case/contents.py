"""What a case file says, as checked records in SI units."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Annotated, Any

from aerodesign.aero.choices import Choices, Drive, Limits
from aerodesign.aero.duty import Duty, Site
from aerodesign.aero.site_curves import Conditions
from aerodesign.aero.system import System
from aerodesign.core.bounds import Accepts, OneOf, Within
from aerodesign.core.errors import CaseError, RejectedMachine
from aerodesign.core.quantities import Power, Pressure, Ratio, Speed, Temperature, VolumeFlow
from aerodesign.core.record import Record, record
from aerodesign.form import Form

COMPLAINT = re.compile(r"(?P<table>[a-z_]+)\.(?P<key>[a-z0-9_]+) = ")
"""How a complaint about a key begins that was found after the file had been read."""


@record
class StandardState(Record):
    """The state of air that a standard or normal volume flow counts in."""

    pressure: Annotated[Pressure, Accepts("absolute", advice="give it absolute"), Within("800 mbar", "1100 mbar")]
    temperature: Annotated[Temperature, Within("250 K", "320 K")]
    relative_humidity: Annotated[Ratio, Within(0, 1)]


STANDARD_STATES = {
    # 14.7 psia, 68 degF, 36 %: the state most often meant by scfm, which has no single meaning; a case may say another.
    "standard": StandardState(pressure=101352.932, temperature=293.15, relative_humidity=0.36),
    # The physical normal state of DIN 1343, dry.
    "normal": StandardState(pressure=101325.0, temperature=273.15, relative_humidity=0.0),
}


@record
class Measured(Record):
    """Measurements of one machine at one speed: arrays of equal length, nan where a quantity was not measured.

    ``definition`` says what the pressure and efficiency mean (static or total, which flanges), ``source`` where the
    numbers come from, ``tolerance`` their relative uncertainty, ``trust`` how far they may be trusted, in a word or two.
    ``plane`` is the station that pressure and efficiency reach to: behind the impeller (2), at the end of the vaneless
    diffuser (3), or the discharge flange (5). ``asked`` is the largest relative error of the pressure rise (of the work
    where no pressure was measured) that was set as a target beforehand, for flows ``asked_from`` to ``asked_to``.
    """

    flow: Annotated[VolumeFlow, Accepts("actual"), Within("0 m3/h", "1e6 m3/h")]
    speed: Annotated[Speed, Within("10 rpm", "200000 rpm")] = float("nan")
    pressure_rise: Annotated[Pressure, Accepts("gauge"), Within("-1 bar", "10 bar")] = float("nan")
    pressure_ratio: Annotated[Ratio, Within(0.1, 20)] = float("nan")
    efficiency: Annotated[Ratio, Within(-1, 1)] = float("nan")
    power: Annotated[Power, Within("0 W", "100 MW")] = float("nan")
    definition: str = ""
    source: str = ""
    tolerance: Annotated[Ratio, Within(0, 1)] = float("nan")
    trust: str = ""
    plane: Annotated[str, OneOf(("2", "3", "5"))] = "5"
    asked: Annotated[Ratio, Within(0, 1)] = float("nan")
    asked_from: Annotated[VolumeFlow, Accepts("actual"), Within("0 m3/h", "1e6 m3/h")] = 0.0
    asked_to: Annotated[VolumeFlow, Accepts("actual"), Within("0 m3/h", "1e9 m3/h")] = float("inf")


@dataclass(frozen=True)
class Given:
    """A geometry to rate: the dimensions that the file gives, in SI units; the rest is to be estimated.

    Parts are ``impeller``, ``diffuser``, ``volute`` and ``inlet`` (``r0`` of the blower), each with the names of its
    record's fields. ``speed`` is nan where not given. ``estimated`` names dimensions that are given but only estimates of
    whoever wrote the file, as ``"impeller.clearance"``: they widen the bands.
    """

    speed: float
    parts: Mapping[str, Mapping[str, Any]]
    estimated: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class Case:
    """A case file, read and checked.

    ``duty`` holds all duty points, each field of shape ``(points,)``, and ``design_index`` names the design point; None
    in a case that only rates. ``models`` names a correlation by phenomenon where the file does. ``flow_references``
    says per point how its flow was given: "actual", "standard", "normal" or "mass"; ``lines`` is where each key stands in the
    file; ``standard_states`` holds the
    states of those used. ``defaults`` lists the keys that the file left at their defaults, ``digest`` is the SHA-256
    of the content, whatever its layout.
    """

    title: str
    service: str
    site: Site
    duty: Duty | None = None
    design_index: int = 0
    limits: Limits = field(default_factory=Limits)
    drive: Drive = field(default_factory=Drive)
    choices: Choices = field(default_factory=Choices)
    system: System = field(default_factory=System)
    conditions: Conditions = field(default_factory=Conditions)
    form: Form = field(default_factory=Form)
    models: Mapping[str, str] = field(default_factory=dict)
    given: Given | None = None
    measured: tuple[Measured, ...] = ()
    flow_references: tuple[str, ...] = ()
    standard_states: Mapping[str, StandardState] = field(default_factory=dict)
    notes: str = ""
    invented: bool = False
    defaults: tuple[str, ...] = ()
    digest: str = ""
    path: str = ""
    lines: Mapping[tuple[str | int, ...], int] = field(default_factory=dict)

    def located(self, complaint: str) -> str:
        """A complaint that begins with a key ("motor.rated = ...") with the file and the line of that key before it; others as they are."""
        key = COMPLAINT.match(complaint)
        if key is None or not self.lines:
            return complaint
        path = (key["table"], key["key"])
        found = next((self.lines[p] for p in (path, path[:1]) if p in self.lines), None)
        return f"{self.path}:{found} {complaint}" if found else complaint

    @contextmanager
    def locating(self) -> Iterator[None]:
        """What is found impossible inside names the line of the case file as well as the key."""
        try:
            yield
        except (CaseError, RejectedMachine) as cause:
            told = self.located(str(cause))
            if told == str(cause):
                raise
            raise type(cause)(told) from cause

    @property
    def design_duty(self) -> Duty:
        """The design point alone. Raises AttributeError in a case without a duty."""
        if self.duty is None:
            raise AttributeError("this case has no duty")
        return self.duty[self.design_index]
