"""How much there is to cut, and what it takes at stated rates: roughing volume, finished areas, passes, hours, money.

The blank is the wheel turned to its outline, solid between hub and tip contours (under the cover of a covered one). Turning,
balancing, inspection and material are not in it.
"""

from dataclasses import dataclass

import numpy as np

from aerodesign.form import Shop
from aerodesign.geometry.body import revolved_volume
from aerodesign.geometry.meridional import Array
from aerodesign.geometry.volume import blade_volume
from aerodesign.milling.scallop import step_over
from aerodesign.milling.sheets import Sheet
from aerodesign.milling.wheel import Passage, Wheel


@dataclass(frozen=True)
class Part:
    """One kind of finished surface over the whole wheel: area, step and passes across one piece of it, time in the cut."""

    name: str
    cutter: float
    area: float
    step: float
    passes: int
    time: float


@dataclass(frozen=True)
class Work:
    """Volume to rough out, surfaces to finish, times in seconds (``idle`` and ``setup`` as the shop states them), cost."""

    volume: float
    roughing: float
    parts: tuple[Part, ...]
    idle: float
    setup: float
    cost: float

    @property
    def finishing(self) -> float:
        """Time in the cut of all finishing."""
        return sum(part.time for part in self.parts)

    @property
    def total(self) -> float:
        """Time on the machine with setting up."""
        return self.roughing + self.finishing + self.idle + self.setup


def work(wheel: Wheel, shop: Shop, *, cutter: float, root_cutter: float) -> Work:
    """The work with one ball cutter for hub and blades and another for the fillets, both diameters."""
    volume = chip_volume(wheel)
    roughing = volume / float(shop.removal_rate)
    parts = tuple(
        part
        for part in (_hub(wheel, shop, cutter), _faces(wheel, shop, cutter), _roots(wheel, shop, root_cutter))
        if part
    )
    idle = float(shop.idle) * (roughing + sum(part.time for part in parts))
    hours = (roughing + sum(part.time for part in parts) + idle + float(shop.setup)) / 3600
    return Work(volume, roughing, parts, idle, float(shop.setup), hours * float(shop.hourly_rate))


def chip_volume(wheel: Wheel) -> float:
    """Room between hub and tip contours less the blades, m3."""
    channel, p = wheel.blading.meridional, wheel.impeller
    t = np.linspace(0, 1, 801)
    room = revolved_volume(np.concatenate([channel.hub.at(t), channel.shroud.at(t)[::-1]]))
    blades = [(wheel.row.full, float(p.blades)), (wheel.row.splitter, float(p.splitters))]
    metal = sum(n * blade_volume(skin, channel.hub, channel.shroud, float(p.r2)) for skin, n in blades if skin)
    return float(room - metal)


def area(grid: Array) -> float:
    """Area of a grid of points (n, m, 3), each cell by its diagonals."""
    one = grid[1:, 1:] - grid[:-1, :-1]
    other = grid[1:, :-1] - grid[:-1, 1:]
    return float(np.sum(np.linalg.norm(np.cross(one, other), axis=2)) / 2)


def _count(wheel: Wheel) -> tuple[tuple[Sheet, float], ...]:
    """All sides that differ, with how many of each a wheel has."""
    blades = wheel.blades[:-1]
    numbers = (float(wheel.impeller.blades), float(wheel.impeller.splitters))
    return tuple(
        (sheet, n) for blade, n in zip(blades, numbers, strict=False) for sheet in (blade.suction, blade.pressure)
    )


def _hub(wheel: Wheel, shop: Shop, cutter: float) -> Part:
    """The hub between the fillets, passes along the blades; its curvature across them by Euler's theorem."""
    total, time, passes, steps = 0.0, 0.0, 0, []
    for passage in wheel.passages:
        t = np.linspace(passage.start, passage.end, 40)
        zr, d = wheel.hub.at(t), wheel.hub.slope(t)
        speed = np.linalg.norm(d, axis=1)
        line = wheel.blading.span(0.0)
        beta = np.interp(t, line.t, line.beta)
        around, along = d[:, 0] / speed / zr[:, 1], -wheel.hub.curvature(t)
        bulge = around * np.cos(beta) ** 2 + along * np.sin(beta) ** 2
        step = step_over(height=float(shop.scallop), radius=cutter / 2, curvature=bulge)
        width = zr[:, 1] * _open(passage, t)
        strip = np.trapezoid(width * speed, t)
        total += float(strip) * float(wheel.impeller.blades)
        time += float(np.trapezoid(width * speed / step, t)) * float(wheel.impeller.blades) / float(shop.feed)
        passes = max(passes, int(np.ceil(np.max(width * np.cos(beta) / step))))
        steps.append(float(np.mean(step)))
    return Part("hub", cutter, total, float(np.mean(steps)), passes, time)


def _open(passage: Passage, t: Array) -> Array:
    """Angle on the hub between the fillets of two neighbours."""
    low, high = (
        np.interp(t, np.maximum.accumulate(sheet.track[:, 1]), sheet.track[:, 0]) + angle
        for sheet, angle in (
            (passage.behind.pressure, passage.behind.angle),
            (passage.ahead.suction, passage.ahead.angle),
        )
    )
    return np.asarray(np.maximum(high - low, 0.0))


def _faces(wheel: Wheel, shop: Shop, cutter: float) -> Part:
    """Both sides of all blades, passes along the blade."""
    total, time, passes, steps = 0.0, 0.0, 0, []
    for sheet, number in _count(wheel):
        across = np.gradient(sheet.face, sheet.v, axis=1)
        bend = np.gradient(across, sheet.v, axis=1)
        bulge = -np.sum(bend * sheet.outward, axis=2) / np.sum(across**2, axis=2)
        step = float(np.mean(step_over(height=float(shop.scallop), radius=cutter / 2, curvature=bulge)))
        face = area(sheet.face)
        total += number * face
        time += number * face / (step * float(shop.feed))
        passes = max(passes, int(np.ceil(np.max(sheet.height) / step)))
        steps.append(step)
    return Part("blade sides", cutter, total, float(np.mean(steps)), passes, time)


def _roots(wheel: Wheel, shop: Shop, cutter: float) -> Part | None:
    """The fillets at hub and cover; None without fillets."""
    radius = wheel.row.fillet
    if radius <= 0:
        return None
    step = float(step_over(height=float(shop.scallop), radius=min(cutter / 2, radius), curvature=-1 / radius))
    step = min(step, 0.5 * np.pi * radius)
    total, time, passes = 0.0, 0.0, 0
    for sheet, number in _count(wheel):
        for grid in (sheet.root, sheet.head):
            if grid is None:
                continue
            surface = area(grid)
            width = np.max(np.sum(np.linalg.norm(np.diff(grid, axis=1), axis=2), axis=1))
            total += number * surface
            time += number * surface / (step * float(shop.feed))
            passes = max(passes, int(np.ceil(width / step)))
    return Part("fillets", cutter, total, step, passes, time)
