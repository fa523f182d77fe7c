"""A view as SVG (W3C SVG 1.1), at full size in millimetres of the part, one group a layer."""

from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from aerodesign.drawing.view import LAYERS, PAPER_TEXT, Array, View, hatched, marked

INK = {"blade": "#0072b2", "gas path": "#0072b2", "thin": "#6b7580", "hidden": "#6b7580", "hatch": "#8a949e"}
"""Colours where a layer is not black; told apart by colour-blind readers, and never the only sign."""
FONT = """stroke="none" fill="black" font-family="'DejaVu Sans', Verdana, Geneva, sans-serif\""""


def write_svg(view: View, path: str | Path, stamp: str) -> Path:
    """Write a view and return the path. The bytes depend on the arguments only."""
    Path(path).write_text(svg_of(view, stamp), encoding="utf-8")
    return Path(path)


def svg_of(view: View, stamp: str) -> str:
    """The view as the text of an SVG file."""
    (x0, y0), (x1, y1) = view.box + np.array([[-2], [2]]) * view.height
    groups = {name: _lines(view, name) for name in LAYERS}
    groups["hatch"] += [_polyline(line) for cut in view.cuts for line in hatched(cut.outline, 0.9 * view.height)]
    for dimension in view.dimensions:
        marks = marked(dimension, view.height)
        groups["dimensions"] += [_polyline(line) for line in marks.lines]
        groups["dimensions"] += [f'<polygon fill="black" points="{_points(head)}"/>' for head in marks.heads]
        groups["dimensions"].append(_text(marks.text, marks.text_at, "middle", marks.turn, view.height))
    groups["text"] += [_text(n.text, n.at, n.anchor, n.turn, n.size * view.height) for n in view.notes]
    body = "\n".join(_group(name, lines, view.height) for name, lines in groups.items() if lines)
    size = f'width="{x1 - x0:.3f}mm" height="{y1 - y0:.3f}mm" viewBox="{x0:.3f} {-y1:.3f} {x1 - x0:.3f} {y1 - y0:.3f}"'
    ground = f'<rect x="{x0:.3f}" y="{-y1:.3f}" width="{x1 - x0:.3f}" height="{y1 - y0:.3f}" fill="white"/>'
    return (
        f'<?xml version="1.0" encoding="utf-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" {size}>\n'
        f"<title>{escape(view.name)}</title>\n<desc>{escape(stamp)}; millimetres, full size</desc>\n"
        f"{ground}\n{body}\n</svg>\n"
    )


def _group(name: str, lines: list[str], height: float) -> str:
    layer, scale = LAYERS[name], height / PAPER_TEXT
    dashes = f' stroke-dasharray="{" ".join(f"{scale * d:.3g}" for d in layer.dashes)}"' if layer.dashes else ""
    look = f'stroke="{INK.get(name, "#000000")}" stroke-width="{scale * layer.width:.4g}"{dashes}'
    return (
        f'<g id="{name.replace(" ", "-")}" fill="none" stroke-linejoin="round" {look}>\n' + "\n".join(lines) + "\n</g>"
    )


def _lines(view: View, name: str) -> list[str]:
    return [_polyline(stroke.points, closed=stroke.closed) for stroke in view.strokes if stroke.layer == name]


def _polyline(points: Array, *, closed: bool = False) -> str:
    return f'<{"polygon" if closed else "polyline"} points="{_points(points)}"/>'


def _points(points: Array) -> str:
    return " ".join(f"{x:.3f},{-y:.3f}" for x, y in points)


def _text(text: str, at: tuple[float, float], anchor: str, turn: float, height: float) -> str:
    x, y = at[0], -at[1]
    turned = f' transform="rotate({-turn:.6g} {x:.3f} {y:.3f})"' if turn else ""
    anchor = {"left": "start", "right": "end"}.get(anchor, anchor)
    # a capital letter stands about 0.73 of the font's size high
    look = f'{FONT} font-size="{height / 0.73:.4g}" text-anchor="{anchor}"'
    return f'<text x="{x:.3f}" y="{y:.3f}" {look}{turned}>{escape(text)}</text>'
