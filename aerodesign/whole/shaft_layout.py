"""From the choices to a shaft in pieces: lengths, diameters, what sits where; proposals where the case leaves things open.

All proposals are common practice, no source.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from aerodesign.aero.impeller import Impeller
from aerodesign.core.errors import RejectedMachine
from aerodesign.core.quantities import Force, Inertia, Length, Mass, Ratio, Stiffness, Torque, Values
from aerodesign.form.rotor import ANY, BETWEEN, RotorForm
from aerodesign.geometry.disc_profile import WheelBody
from aerodesign.geometry.shaft import Pieces
from aerodesign.machine.bearing_table import BEARINGS, SERIES, Bearing
from aerodesign.machine.rotor import Rotor, rotor

STEEL = dict(modulus=206e9, density=7850.0)
"""Shaft of heat-treatable steel."""

SEAL = 0.30
"""Overhang from the wheel's back to the bearing's edge, over r2: back plate, shaft seal, slinger."""

ROTOR_SHEAR = 12e3
"""Pa: torque of a motor's rotor over twice its volume, for motors cooled by air; it gives the rotor's mass."""

ROTOR_DENSITY = 7400.0
SIZES = 6
"""Sizes of a series that are tried."""

SHOULDER = 1.2
"""Diameter of the shaft between the bearings over their bore."""


@dataclass(frozen=True, eq=False)
class Layout:
    """A rotor in pieces; ``wheel``, ``front``, ``rear`` and ``drive`` are numbers of nodes; front is the bearing next to the inlet.

    ``loaded`` says which of the bearings is next to the wheel.
    """

    length: Values
    diameter: Values
    wheel: int
    front: int
    rear: int
    drive: int
    mass: Mass
    polar: Inertia
    diametral: Inertia
    overhang: Length
    span: Length
    drive_mass: Mass
    motor: bool

    def on(self, stiffness: Stiffness) -> Rotor:
        """The rotor on bearings of a stiffness, (2, *designs): front and rear."""
        return rotor(**self.pieces(stiffness))

    def pieces(self, stiffness: Stiffness) -> dict[str, Any]:
        """What :func:`rotor` is made of, for bearings of a stiffness."""
        support = np.zeros_like(self.mass)
        support[self.front], support[self.rear] = stiffness
        return dict(
            length=self.length, diameter=self.diameter, mass=self.mass, polar=self.polar, diametral=self.diametral, support=support, **STEEL
        )  # fmt: skip

    @property
    def z(self) -> Length:
        """Places of the nodes."""
        return np.concatenate([np.zeros_like(self.length[:1]), np.cumsum(self.length, axis=0)])

    @property
    def total_mass(self) -> Mass:
        """Mass of shaft, wheel and drive."""
        return (self.mass.sum(axis=0) + np.sum(self.length * self.diameter**2, axis=0) * np.pi / 4 * STEEL["density"])[
            ()
        ]


def candidates(form: RotorForm, impeller: Impeller) -> list[Bearing]:
    """The bearings that may be taken: the one that is named, else the smallest of the series, or of each, that the shaft passes through.

    Raises RejectedMachine where there is none.
    """
    for fault in form.faults():
        raise RejectedMachine(f"rotor.{fault.key} = {getattr(form, fault.key)}: {fault.complaint}")
    seat = seat_diameter(impeller)
    shaft = form.shaft_diameter
    if np.isfinite(shaft) and shaft < seat * (1 - 1e-9) and float(impeller.bore) > 0:
        raise RejectedMachine(
            f"rotor.shaft_diameter = {1e3 * shaft:.4g} mm: is smaller than the wheel's bore of {1e3 * seat:.4g} mm; "
            "take a thicker shaft or a smaller bore (choices.bore)"
        )
    least = shaft if np.isfinite(shaft) else 1.05 * seat
    if form.bearing != ANY:
        named = BEARINGS[form.bearing]
        if named.bore < (shaft if np.isfinite(shaft) else seat) * (1 - 1e-9):
            raise RejectedMachine(
                f"rotor.bearing = {named.name}: its bore of {1e3 * named.bore:.4g} mm is smaller than its shaft, which the wheel's bore makes "
                f"{1e3 * seat:.4g} mm at least; take a larger bearing or a smaller bore (choices.bore)"
            )
        return [named]
    allowed = SERIES if form.series == ANY else {form.series: SERIES[form.series]}
    found = [[bearing for bearing in rows if bearing.bore >= least * (1 - 1e-9)] for rows in allowed.values()]
    if not any(found):
        largest = max((rows[-1] for rows in allowed.values()), key=lambda bearing: bearing.bore)
        raise RejectedMachine(
            f"rotor.series = {form.series}: no bearing here takes a shaft of {1e3 * least:.4g} mm, the largest is {largest.name} with "
            f"{1e3 * largest.bore:.4g} mm; give a smaller shaft_diameter or choices.bore"
        )
    return [bearing for rows in found for bearing in rows[:SIZES]]


def seat_diameter(impeller: Impeller) -> Length:
    """Diameter of the shaft in the wheel: the bore, or nine tenths of the hub at the inlet where the hub is solid."""
    bore = float(impeller.bore)
    return bore if bore > 0 else 0.9 * float(impeller.r1h)


def motor_rotor(torque: Torque) -> tuple[Mass, Inertia, Inertia, Length]:
    """Mass, polar and diametral inertia and length of a motor's rotor as long as thick, by its torque."""
    size = (4 / np.pi * torque / (2 * ROTOR_SHEAR)) ** (1 / 3)
    mass = ROTOR_DENSITY * np.pi / 4 * size**3
    return mass, mass * size**2 / 8, mass * (size**2 / 16 + size**2 / 12), size


def layout(
    form: RotorForm,
    impeller: Impeller,
    wheel: WheelBody,
    *,
    drive: str,
    torque: Torque,
    pulley: Length = np.nan,
    bore: Length,
    width: Length,
    outside: Length,
) -> Layout:
    """The shaft for bearings of ``bore``, ``width`` and ``outside``, which may be arrays.

    Wheels turned directly or by an inverter sit on the motor's shaft: its rotor is the mass between the bearings. Belt and gear
    have a pulley (of diameter ``pulley`` where it is known) or pinion behind the rear bearing; so has the wheel between bearings. Inside
    the wheel the shaft has the bore's diameter: the hub's stiffness is left out, which is on the safe side.
    """
    bore, width, outside = (np.asarray(x, float) for x in (bore, width, outside))
    r2, seat = float(impeller.r2), seat_diameter(impeller) + 0 * bore
    shaft = _chosen(form.shaft_diameter, bore)
    between = form.layout == BETWEEN
    motor = drive in ("direct", "inverter") and not between
    mass, polar, diametral, size = motor_rotor(torque)
    if not motor:
        mass, polar, diametral, size = _pulley(bore, np.where(np.isnan(pulley), 3 * bore, pulley))
    if np.isfinite(form.drive_mass):
        share = form.drive_mass / mass
        mass, polar, diametral = form.drive_mass + 0 * mass, polar * share, diametral * share

    inside = wheel.back - wheel.centre
    overhang = _chosen(form.overhang, SEAL * r2 + width / 2)
    stub = width + bore / 2
    if between:
        ahead = wheel.centre - wheel.front + float(impeller.r1s) + width / 2
        if np.isfinite(form.span):
            ahead = form.span - inside - overhang
            if np.any(ahead <= wheel.centre - wheel.front):
                raise RejectedMachine(
                    f"rotor.span = {1e3 * form.span:.4g} mm: leaves no room for the wheel between the bearings; "
                    f"{1e3 * float(np.max(wheel.back - wheel.front + overhang + width)):.4g} mm is the least"
                )
        pieces = [(ahead, seat, 4), (inside + 0 * bore, seat, 2), (overhang, shaft, 3), (stub, 0.9 * bore, 2)]
        nodes = (4, 0, 9, 11)
        span = ahead + inside + overhang
    else:
        proposal = size * 1.7 + 2 * width if motor else np.maximum(2.5 * (overhang + inside), 3 * outside)
        span = _chosen(form.span, np.maximum(proposal, 4 * bore))
        pieces = [(inside + 0 * bore, seat, 2), (overhang, shaft, 2), (span, SHOULDER * bore, 6), (stub, 0.9 * bore, 2)]
        nodes = (0, 4, 10, 7 if motor else 12)
    length = np.concatenate([np.stack([piece / n] * n) for piece, _, n in pieces])
    diameter = np.concatenate([np.stack([d] * n) for _, d, n in pieces])
    at = np.zeros((3, len(length) + 1, *bore.shape))
    at[:, nodes[0]] += np.reshape([wheel.mass, wheel.polar, wheel.diametral], (3,) + (1,) * bore.ndim)
    at[:, nodes[3]] += np.stack(np.broadcast_arrays(mass + 0 * bore, polar, diametral))
    return Layout(
        length=length,
        diameter=diameter,
        wheel=nodes[0],
        front=nodes[1],
        rear=nodes[2],
        drive=nodes[3],
        mass=at[0],
        polar=at[1],
        diametral=at[2],
        overhang=overhang,
        span=span,
        drive_mass=mass + 0 * bore,
        motor=motor,
    )


def _pulley(bore: Length, diameter: Length) -> tuple[Mass, Inertia, Inertia, Length]:
    """Mass, inertias and diameter of a steel pulley, pinion or coupling, one and a half bores long, half of it air."""
    length = 1.5 * bore
    mass = 0.5 * 7850 * np.pi / 4 * diameter**2 * length
    return mass, mass * diameter**2 / 8, mass * (diameter**2 / 16 + length**2 / 12), diameter


def shaft_pieces(parts: Layout, wheel: WheelBody) -> tuple[Pieces, Pieces]:
    """The shaft's cylinders ahead of a wheel and behind it, going away from it, of a layout of one bearing."""
    length, diameter = (np.ravel(x) for x in (parts.length, parts.diameter))
    cut = (wheel.centre - wheel.front, wheel.back - wheel.centre)
    sides = (
        (length[: parts.wheel][::-1], diameter[: parts.wheel][::-1]),
        (length[parts.wheel :], diameter[parts.wheel :]),
    )
    ahead, behind = (
        _beyond(lengths, diameters, inside) for (lengths, diameters), inside in zip(sides, cut, strict=True)
    )
    return ahead, behind


def _beyond(length: Values, diameter: Values, inside: float) -> Pieces:
    """Cylinders beyond the first ``inside`` metres, neighbours of one diameter joined."""
    found: list[tuple[float, float]] = []
    for one, d in zip(length, diameter, strict=True):
        left = min(one, max(0.0, one - inside))
        inside -= one
        if left < 1e-9:
            continue
        if found and abs(found[-1][0] - d) < 1e-9:
            found[-1] = (found[-1][0], found[-1][1] + float(left))
        else:
            found.append((float(d), float(left)))
    return tuple(found)


def _chosen(asked: float, proposed: Values) -> Values:
    return asked + 0 * proposed if np.isfinite(asked) else proposed


def reach(layout: Layout, force: Force) -> Ratio:
    """Sizes of the two bearings' reactions (2, *designs) to forces on nodes, (nodes, *designs), each counted to the bad side."""
    z, front, rear = layout.z, layout.z[layout.front], layout.z[layout.rear]
    share = (z - front) / (rear - front)
    share = share.reshape(share.shape + (1,) * (np.ndim(force) - share.ndim))
    at_rear, at_front = np.abs(force * share).sum(axis=0), np.abs(force * (1 - share)).sum(axis=0)
    return np.stack([at_front, at_rear])
