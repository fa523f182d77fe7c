"""What all figures have in common: one look, plain Figure objects, and SVG text that is the same every time."""

import io
import re
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec, cast

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

STYLE: dict[str, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 10,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.titlesize": 10.5,
    "axes.titlelocation": "left",
    "axes.labelsize": 10,
    "axes.formatter.useoffset": False,
    "grid.color": "#e4e7ea",
    "grid.linewidth": 0.7,
    "legend.frameon": False,
    "legend.fontsize": 9,
    "lines.linewidth": 1.6,
    "xtick.labelsize": 9,
    "ytick.labelsize": 9,
    "svg.fonttype": "none",
    "svg.hashsalt": "aerodesign",
    "figure.dpi": 72,
    "path.simplify": True,
}

INK, GREY, PALE = "#1d2329", "#6b7580", "#d5dae0"
BLUE, ORANGE, GREEN, PURPLE = "#0072b2", "#d55e00", "#009e73", "#8a4f8f"
"""Fixed colours that colour-blind readers tell apart (after Okabe and Ito, from memory)."""
SPANS = {"hub": BLUE, "mean": GREEN, "shroud": ORANGE}

P = ParamSpec("P")


def styled(draw: Callable[P, Figure]) -> Callable[P, Figure]:
    """Draw in our style, whatever the process has set; its settings come back afterwards."""

    @wraps(draw)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> Figure:
        with mpl.rc_context():
            mpl.rcdefaults()
            mpl.rcParams.update(cast(Any, STYLE))
            return draw(*args, **kwargs)

    return wrapped


def new_figure(width: float = 7.4, height: float = 4.4) -> Figure:
    """An empty figure in inches."""
    return Figure(figsize=(width, height), layout="constrained")


def boxed(axes: Axes, x: float, y: float, text: str, **options: Any) -> None:
    """A small text on a white ground, so that lines under it do not make it hard to read."""
    settings: dict[str, Any] = dict(fontsize=9, color=INK, zorder=6)
    settings["bbox"] = dict(boxstyle="round,pad=0.15", facecolor="white", edgecolor="none", alpha=0.85)
    axes.text(x, y, text, **(settings | options))


def svg_text(figure: Figure, prefix: str = "") -> str:
    """The figure as an SVG element for a page. ``prefix`` keeps its ids apart from those of other figures there."""
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(cast(Any, STYLE))
        stream = io.StringIO()
        # savefig would draw everything twice, for backends that have to measure first
        cast(Any, FigureCanvasSVG(figure)).print_svg(
            stream, metadata={"Date": None, "Creator": None, "Format": None, "Type": None}
        )
    text = stream.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text, flags=re.DOTALL)
    # A reader without our font takes one of the same width.
    text = text.replace("'DejaVu Sans'", "'DejaVu Sans', Verdana, Geneva, sans-serif").replace(
        ", sans-serif, sans-serif", ", sans-serif"
    )
    if prefix:
        text = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{prefix}-", text)
    return text


def save_svg(figure: Figure, path: str | Path, *, stamp: str = "") -> None:
    """Write the figure as an SVG file, with a stamp in a comment."""
    save_drawing(svg_text(figure), path, stamp=stamp)


def save_drawing(svg: str, path: str | Path, *, stamp: str = "") -> None:
    """Write an SVG element, as :func:`svg_text` gives it, as a file."""
    comment = f"<!-- {stamp.replace('--', '- -')} -->\n" if stamp else ""
    Path(path).write_text(f'<?xml version="1.0" encoding="utf-8"?>\n{comment}{svg}', encoding="utf-8")
