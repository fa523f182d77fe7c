"""A view as data: lines, cut areas, dimensions and notes in millimetres of the part, with layers; writers turn it into files.

Coordinates are those of the part at full size. Heights of letters are given in the part's millimetres too: what the eye is to see
on paper, times the denominator of the scale.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
MM = 1000.0
"""Millimetres of a drawing in a metre."""


class Layer(NamedTuple):
    """Look of a layer: width of the line on paper in mm, dashes on paper in mm (none: full), colour number of DXF."""

    width: float
    dashes: tuple[float, ...] = ()
    colour: int = 7


LAYERS = {
    "outline": Layer(0.5),
    "blade": Layer(0.35, colour=5),
    "gas path": Layer(0.35, colour=4),
    "thin": Layer(0.18, colour=8),
    "hidden": Layer(0.25, (3.0, 1.5), colour=8),
    "centre line": Layer(0.18, (8.0, 1.5, 0.7, 1.5), colour=1),
    "hatch": Layer(0.13, colour=8),
    "dimensions": Layer(0.18, colour=3),
    "text": Layer(0.25),
}
"""Layers by name; widths in steps of root two as drawing practice has them (ISO 128, from memory)."""

PAPER_TEXT = 2.5
"""Height in mm of letters on paper, to which widths of lines and dashes belong."""


@dataclass(frozen=True, eq=False)
class Stroke:
    """A polyline of points (n, 2)."""

    points: Array
    layer: str = "outline"
    closed: bool = False


@dataclass(frozen=True, eq=False)
class Cut:
    """An area of cut material within a closed outline (n, 2)."""

    outline: Array


@dataclass(frozen=True, eq=False)
class Dimension:
    """The distance between two points along x, y or the line through both; the dimension line runs through ``at``.

    ``prefix`` stands before the number ("Ø"), ``after`` behind it (a tolerance, a name). A number without room between the arrow
    heads stands beyond ``end``, or beyond ``start`` where ``ahead`` is set.
    """

    start: Array
    end: Array
    at: Array
    along: str = "x"
    prefix: str = ""
    after: str = ""
    ahead: bool = False

    @property
    def direction(self) -> Array:
        """Unit vector of the dimension line."""
        if self.along in ("x", "y"):
            return np.array([1.0, 0.0]) if self.along == "x" else np.array([0.0, 1.0])
        way = self.end - self.start
        return np.asarray(way / np.linalg.norm(way))

    @property
    def measured(self) -> float:
        """What is measured, mm."""
        return float(abs((self.end - self.start) @ self.direction))

    @property
    def text(self) -> str:
        """The number as written: to a hundredth below 10 mm, to a tenth above."""
        return f"{self.prefix}{number(self.measured)}{self.after}"


def number(length: float) -> str:
    """A length in mm as written on a drawing."""
    return f"{length:.2f}" if abs(length) < 9.995 else f"{length:.1f}"


class Note(NamedTuple):
    """A line of text at a point; ``anchor`` is left, middle or right, ``turn`` in degrees, ``size`` a multiple of the view's height."""

    text: str
    at: tuple[float, float]
    anchor: str = "left"
    turn: float = 0.0
    size: float = 1.0


@dataclass(eq=False)
class View:
    """One view; ``height`` is that of its letters."""

    name: str
    height: float
    strokes: list[Stroke] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    dimensions: list[Dimension] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    def draw(self, points: ArrayLike, layer: str = "outline", *, closed: bool = False) -> None:
        """Add a polyline."""
        self.strokes.append(Stroke(np.asarray(points, float).reshape(-1, 2), layer, closed))

    def circle(self, centre: ArrayLike, radius: float, layer: str = "outline") -> None:
        """Add a circle as a polyline that keeps within a thousandth of its radius."""
        angle = np.linspace(0, 2 * np.pi, 181)[:-1]
        self.draw(
            np.asarray(centre, float) + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1), layer, closed=True
        )

    def dimension(self, start: ArrayLike, end: ArrayLike, at: ArrayLike, along: str = "x", **words: Any) -> None:
        """Add a dimension."""
        self.dimensions.append(
            Dimension(np.asarray(start, float), np.asarray(end, float), np.asarray(at, float), along, **words)
        )

    def note(self, text: str, at: Sequence[float], anchor: str = "left", turn: float = 0.0, size: float = 1.0) -> None:
        """Add a line of text."""
        self.notes.append(Note(text, (float(at[0]), float(at[1])), anchor, turn, size))

    @property
    def box(self) -> Array:
        """Least and greatest corner of everything drawn, letters by a guess at their width, (2, 2)."""
        points = [stroke.points for stroke in self.strokes] + [cut.outline for cut in self.cuts]
        for dimension in self.dimensions:
            marks = marked(dimension, self.height)
            points += [*marks.lines, np.array(marks.text_at)[None] + [[-self.height] * 2, [self.height] * 2]]
        for note in self.notes:
            points.append(_room(note, self.height))
        every = np.concatenate(points)
        return np.array([every.min(axis=0), every.max(axis=0)])


LETTER = 0.62
"""Width of a letter over its height, about."""


def _room(note: Note, height: float) -> Array:
    """Corners of the room that a note takes."""
    tall = height * note.size
    wide = LETTER * tall * len(note.text)
    left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[note.anchor]
    turn = np.radians(note.turn)
    corners = np.array([[left, -0.3 * tall], [left + wide, -0.3 * tall], [left + wide, tall], [left, tall]])
    return np.array(note.at) + corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


class Marks(NamedTuple):
    """A dimension drawn out: lines, filled arrow heads (3, 2), the text's place and turn in degrees."""

    lines: list[Array]
    heads: list[Array]
    text: str
    text_at: tuple[float, float]
    turn: float


def marked(dimension: Dimension, height: float) -> Marks:
    """The lines of a dimension, as drawing practice has them: heads outside and the number beside where it has no room within."""
    way = dimension.direction
    across = np.array([-way[1], way[0]])
    ends = [p + ((dimension.at - p) @ across) * across for p in (dimension.start, dimension.end)]
    if (ends[1] - ends[0]) @ way < 0:
        ends.reverse()
    lines = []
    for point in (dimension.start, dimension.end):
        reach = (dimension.at - point) @ across
        if abs(reach) > 0.8 * height:
            sense = np.sign(reach) * across
            lines.append(np.array([point + 0.4 * height * sense, point + reach * across + 0.6 * height * sense]))
    long = dimension.measured
    tight = long < 4.2 * height
    wide = LETTER * height * len(dimension.text)
    beside = long < wide + 2.6 * height
    inward = -way if tight else way
    heads = [_head(ends[0], inward, across, height), _head(ends[1], -inward, across, height)]
    reach = 3.0 * height if tight else 0.0
    tails = [reach, reach]
    tails[0 if dimension.ahead else 1] += wide if beside else 0.0
    lines.append(np.array([ends[0] - tails[0] * way, ends[1] + tails[1] * way]))
    turn = float(np.degrees(np.arctan2(way[1], way[0])))
    turn = turn - 180 if turn > 90 else turn + 180 if turn <= -90 else turn
    up = np.array([-np.sin(np.radians(turn)), np.cos(np.radians(turn))])
    away = 0.4 * reach + 0.6 * height + wide / 2
    middle = ends[0] - away * way if dimension.ahead else ends[1] + away * way
    if not beside:
        middle = (ends[0] + ends[1]) / 2
    text_at = middle + 0.35 * height * up
    return Marks(lines, heads, dimension.text, (float(text_at[0]), float(text_at[1])), turn)


def _head(tip: Array, way: Array, across: Array, height: float) -> Array:
    """A slim arrow head: from its tip along ``way``."""
    return np.array([tip, tip + height * way + 0.17 * height * across, tip + height * way - 0.17 * height * across])


def hatched(outline: Array, spacing: float) -> list[Array]:
    """Lines at 45 degrees within a closed outline, by the even-odd rule, each (2, 2)."""
    turn = np.array([[1.0, -1.0], [1.0, 1.0]]) / np.sqrt(2)
    flat = outline @ turn
    here, there = flat, np.roll(flat, -1, axis=0)
    low, high = flat[:, 1].min(), flat[:, 1].max()
    found = []
    for y in np.arange(np.floor(low / spacing) + 0.5, high / spacing) * spacing:
        cut = (here[:, 1] - y) * (there[:, 1] - y) < 0
        a, b = here[cut], there[cut]
        x = np.sort(a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
        found += [np.array([[x0, y], [x1, y]]) @ turn.T for x0, x1 in zip(x[0::2], x[1::2], strict=False)]
    return found


SCALES = (0.2, 0.5, 1, 2, 5, 10, 20, 50)
"""Denominators of scales (ISO 5455, from memory): 5:1 to 1:50; what does not fit the last is drawn in it all the same."""


def fitted(
    build: Callable[[float], list[View]], room: ArrayLike, *, letters: float, least: float
) -> tuple[float, list[View]]:
    """The views that ``build`` makes for a height of letters, side by side in ``room`` (mm on paper): largest scale, views.

    ``letters`` is the height on paper, ``least`` a length in mm that the views span in any case.
    """
    width, height = np.asarray(room, float)
    for scale in SCALES:
        if least / scale > width:
            continue
        views = build(letters * scale)
        sizes = np.array([np.ptp(view.box, axis=0) for view in views]) / scale
        if sizes[:, 0].sum() <= width and sizes[:, 1].max() <= height:
            break
    return scale, views


def scale_text(scale: float) -> str:
    """A scale as written in a title block."""
    return f"{1 / scale:g}:1" if scale < 1 else f"1:{scale:g}"
