"""A tool taken along the passages and over the blades: where it reaches, how far the axis must tilt, how far it must stand out."""

from dataclasses import dataclass

import numpy as np

from aerodesign.geometry.meridional import Array
from aerodesign.milling.access import Reach, Surroundings, Tool, fan_about
from aerodesign.milling.ball import Ball
from aerodesign.milling.sheets import Sheet, turned
from aerodesign.milling.wheel import Passage, Wheel

HUB_STATIONS, BLADE_STATIONS = 9, 9
"""Places where a tool is tried: along the hub of each passage, and on each side of the blade at three heights."""
CLEAR = 1.15
"""The lowest place on a blade is so many radii of the cutter from the hub: below it the fillet's own cutter works."""


@dataclass(frozen=True, eq=False)
class Place:
    """One place with the axes that are free there; ``t`` along the passage, ``height`` 0 on the hub."""

    where: str
    t: float
    height: float
    r: float
    reach: Reach


@dataclass(frozen=True, eq=False)
class Sweep:
    """All places tried with one tool on one machine."""

    tool: Tool
    tilt_limit: float
    places: list[Place]

    @property
    def reached(self) -> list[Place]:
        """The places that the tool reaches within its length and the machine's tilt."""
        return [place for place in self.places if np.any(place.reach.free(self.tool, self.tilt_limit))]

    @property
    def part(self) -> float:
        """Reached part of all places."""
        return len(self.reached) / len(self.places)

    @property
    def missed(self) -> dict[str, int]:
        """How many places fail, by what is in the way."""
        why = {"walls": 0, "reach": 0, "tilt": 0}
        for place in self.places:
            free = place.reach
            if not len(free.tilt):
                why["walls"] += 1
            elif not np.any(free.need <= self.tool.reach):
                why["reach"] += 1
            elif not np.any(free.free(self.tool, self.tilt_limit)):
                why["tilt"] += 1
        return why

    @property
    def stick_out(self) -> float:
        """The least reach with which every place that can be had at all can be had; nan where there is none."""
        needs = [float(np.min(place.reach.need)) for place in self.places if len(place.reach.need)]
        return max(needs, default=float("nan"))

    @property
    def tilts(self) -> tuple[float, float]:
        """The narrowest range of tilt in which every place that is reached has a free axis; nan where none is reached."""
        return least_window([p.reach.tilt[p.reach.free(self.tool, self.tilt_limit)] for p in self.reached])

    @property
    def furthest(self) -> float:
        """The least tilt limit with which the machine reaches all that the tool can reach."""
        spans = [place.reach.tilt[place.reach.need <= self.tool.reach] for place in self.places]
        return max((float(np.min(tilt)) for tilt in spans if len(tilt)), default=float("nan"))

    @property
    def leads(self) -> tuple[float, float]:
        """The narrowest range of lead along the flow, likewise."""
        return least_window([p.reach.lead[p.reach.free(self.tool, self.tilt_limit)] for p in self.reached])

    def entered(self) -> tuple[float, float]:
        """Parts of the places that can be had leaning against the flow (from the inlet) and with it (from the exit)."""
        free = [place.reach.lead[place.reach.free(self.tool, self.tilt_limit)] for place in self.places]
        return (float(np.mean([np.any(x <= 0) for x in free])), float(np.mean([np.any(x >= 0) for x in free])))


def least_window(groups: list[Array]) -> tuple[float, float]:
    """The narrowest range of numbers that holds one at least of every group; nan without groups."""
    if not groups:
        return float("nan"), float("nan")
    values = np.concatenate(groups)
    owner = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    order = np.argsort(values)
    held, first, best = np.zeros(len(groups), int), 0, (-np.inf, np.inf)
    for last in order:
        held[owner[last]] += 1
        while np.all(held):
            if values[last] - values[order[first]] < best[1] - best[0]:
                best = float(values[order[first]]), float(values[last])
            held[owner[order[first]]] -= 1
            first += 1
    return best


def hub_sweep(wheel: Wheel, around: Surroundings, balls: list[Ball], tool: Tool, tilt: float) -> Sweep:
    """The tool along the hub of every passage, where the largest ball rolls."""
    places, blades = [], around.blades(tool.radius)
    for ball, passage in zip(balls, wheel.passages, strict=True):
        count = max(3, round(HUB_STATIONS * (passage.end - passage.start)))
        for i in np.unique(np.round(np.linspace(0, len(ball.t) - 1, count)).astype(int)):
            up = _up(passage, float(ball.t[i]))
            flow = ball.foot[min(i + 1, len(ball.t) - 1)] - ball.foot[max(i - 1, 0)]
            reach = around.reach(ball.foot[i], ball.normal[i], fan_about(up, flow), tool, blades)
            places.append(
                Place(f"hub, {passage.name}", float(ball.t[i]), 0.0, float(np.hypot(*ball.foot[i, :2])), reach)
            )
    return Sweep(tool, tilt, places)


def blade_sweep(wheel: Wheel, around: Surroundings, tool: Tool, tilt: float) -> Sweep:
    """The tool over both sides of the full blade, from where its ball clears the hub to the tip, or to where it clears the cover.

    Where the blade is lower than that there is one place, at mid-height.
    """
    places, blades = [], around.blades(tool.radius)
    full, following = wheel.blades[0], wheel.blades[-1]
    for sheet, angle, name in ((full.pressure, 0.0, "pressure side"), (following.suction, wheel.pitch, "suction side")):
        face, outward = turned(sheet.face, angle), turned(sheet.outward, angle)
        for i in np.round(np.linspace(0.03, 0.97, BLADE_STATIONS) * (len(face) - 1)).astype(int):
            up, flow = face[i, -1] - face[i, 0], face[min(i + 1, len(face) - 1), 0] - face[i - 1, 0]
            for height in _heights(float(sheet.height[i]), tool.radius, wheel.cover is not None):
                j = round(height * (face.shape[1] - 1))
                reach = around.reach(face[i, j], outward[i, j], fan_about(up, flow), tool, blades)
                t = float(sheet.track[i, 1])
                places.append(Place(name, t, height, float(np.hypot(*face[i, j, :2])), reach))
    return Sweep(tool, tilt, places)


def _heights(blade: float, radius: float, covered: bool) -> list[float]:
    """Parts of a blade's height where a ball of that radius is tried."""
    low = CLEAR * radius / blade
    high = 1 - low if covered else 0.97
    return [low, (low + high) / 2, high] if low < high else [0.5]


def _up(passage: Passage, t: float) -> Array:
    """From hub to tip midway between two blades."""
    return _height(passage.behind.pressure, passage.behind.angle, t) + _height(
        passage.ahead.suction, passage.ahead.angle, t
    )


def _height(sheet: Sheet, angle: float, t: float) -> Array:
    row = int(np.argmin(np.abs(sheet.track[:, 1] - t)))
    up = turned(sheet.face[row, -1] - sheet.face[row, 0], angle)
    return np.asarray(up / np.linalg.norm(up))
