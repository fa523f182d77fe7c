"""A view as DXF: the only file that imports ezdxf. Millimetres at full size, named layers, real dimensions, real hatches."""

import io
import os
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from aerodesign.drawing.view import LAYERS, PAPER_TEXT, Dimension, View

VERSION = "R2010"
"""Of the format: old enough for every CAD room, new enough for Unicode."""
STYLE = "aerodesign"
ALIGN = {"left": "LEFT", "middle": "CENTER", "right": "RIGHT"}


def write_dxf(view: View, path: str | Path, stamp: str) -> Path:
    """Write a view and return the path.

    The file's dates are SOURCE_DATE_EPOCH where set, else now; all other bytes depend on the arguments only.
    """
    drawing = _document(view, stamp)
    space = drawing.modelspace()
    for stroke in view.strokes:
        space.add_lwpolyline(stroke.points.tolist(), close=stroke.closed, dxfattribs={"layer": stroke.layer})
    for cut in view.cuts:
        hatch = space.add_hatch(dxfattribs={"layer": "hatch"})
        hatch.set_pattern_fill("ANSI31", scale=0.28 * view.height)
        hatch.paths.add_polyline_path(cut.outline.tolist(), is_closed=True)
    for dimension in view.dimensions:
        _dimension(space, dimension)
    for note in view.notes:
        text = space.add_text(
            note.text,
            height=note.size * view.height,
            rotation=note.turn,
            dxfattribs={"layer": "text", "style": STYLE},
        )
        text.set_placement(note.at, align=_alignment(note.anchor))
    Path(path).write_text(_steady(drawing), encoding="utf-8")
    return Path(path)


def _alignment(anchor: str) -> Any:
    from ezdxf.enums import TextEntityAlignment

    return TextEntityAlignment[ALIGN[anchor]]


def _document(view: View, stamp: str) -> Any:
    from ezdxf import units
    from ezdxf.filemanagement import new

    drawing = new(VERSION, setup=False, units=units.MM)
    drawing.header["$MEASUREMENT"] = 1
    drawing.header["$LTSCALE"] = 1.0
    drawing.header.custom_vars.append("made by", stamp)
    drawing.header.custom_vars.append("view", view.name)
    drawing.styles.add(STYLE, font="arial.ttf")
    scale = view.height / PAPER_TEXT
    for name, layer in LAYERS.items():
        look: dict[str, Any] = {"color": layer.colour, "lineweight": round(100 * layer.width)}
        if layer.dashes:
            steps = [scale * d * (-1) ** i for i, d in enumerate(layer.dashes)]
            drawing.linetypes.add(name, [sum(map(abs, steps)), *steps], description=name)
            look["linetype"] = name
        drawing.layers.add(name, **look)
    style = drawing.dimstyles.new(STYLE)
    style.dxf.dimtxsty = STYLE
    for name, value in dict(
        dimtxt=view.height, dimasz=view.height, dimexe=0.6 * view.height, dimexo=0.4 * view.height, dimgap=0.3 * view.height,
        dimtad=1, dimdec=2, dimzin=0, dimlunit=2, dimdsep=ord("."), dimtih=0, dimtoh=0, dimclrd=0, dimclre=0, dimclrt=0,
    ).items():  # fmt: skip
        setattr(style.dxf, name, value)
    return drawing


def _dimension(space: Any, dimension: Dimension) -> None:
    """A DIMENSION entity; the number is the CAD program's own measurement, put between prefix and name."""
    decimals = 2 if dimension.measured < 9.995 else 1
    base: Any = dict(
        p1=dimension.start.tolist(),
        p2=dimension.end.tolist(),
        dimstyle=STYLE,
        text=f"{dimension.prefix}<>{dimension.after}",
        override={"dimdec": decimals},
        dxfattribs={"layer": "dimensions"},
    )
    angle = {"x": 0.0, "y": 90.0}.get(dimension.along)
    if angle is None:
        way = dimension.direction
        away = float((dimension.at - dimension.start) @ [-way[1], way[0]])
        space.add_aligned_dim(distance=away, **base).render()
        return
    space.add_linear_dim(base=dimension.at.tolist(), angle=angle, **base).render()


def _steady(drawing: Any) -> str:
    """The file's text with its dates from SOURCE_DATE_EPOCH and without the random names that mark a file."""
    when = datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH") or datetime.now(UTC).timestamp()), UTC)
    classes = drawing.classes
    classes.add_required_classes(drawing.dxfversion)
    classes.classes = dict(sorted(classes.classes.items()))  # they come from a set
    stream = io.StringIO()
    drawing.write(stream)
    text = stream.getvalue()
    day = f"{when.timestamp() / 86400 + 2440587.5:.8f}"
    for name in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
        text = re.sub(rf"(\{name}\n *40\n)[^\n]*", rf"\g<1>{day}", text)
    for name in ("$FINGERPRINTGUID", "$VERSIONGUID"):
        text = re.sub(rf"(\{name}\n *2\n)[^\n]*", r"\g<1>{00000000-0000-0000-0000-000000000000}", text)
    return re.sub(r"(\d+\.\d+\.\d+) @ \d{4}-\d\d-\d\dT[^\n]*", rf"\g<1> @ {when:%Y-%m-%dT%H:%M:%S}+00:00", text)
