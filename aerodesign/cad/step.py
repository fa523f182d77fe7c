"""STEP files (ISO 10303-21) written and read, in millimetres, with names and colours, the same bytes every time."""

import os
import re
import tempfile
from collections.abc import Mapping
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

from aerodesign.cad.kernel import load, occ
from aerodesign.cad.shapes import parts as parts_of
from aerodesign.core.errors import AerodesignError, RejectedSolid

Colour = tuple[float, float, float]
COLOURS: tuple[Colour, ...] = ((0.55, 0.62, 0.70), (0.80, 0.71, 0.52), (0.47, 0.67, 0.56), (0.72, 0.52, 0.50))
"""Red, green, blue of the parts in their order, where they are not told: quiet tones of our own."""
SCHEMAS = {"ap214": "AP214IS", "ap242": "AP242DIS"}
"""Application protocols of ISO 10303 by the name that a user types, and the kernel's word for them."""
_COLOURS = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_USE = re.compile(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+('(?:'[^']*'|[^';])*;)")
"""A use of a part: what stands before its number, and what comes after up to the end of the statement."""


def write_step(
    parts: Mapping[str, Any],
    path: str | Path,
    stamp: str,
    *,
    schema: str = "ap214",
    colours: Mapping[str, Colour] | None = None,
) -> Path:
    """Write named shapes of the kernel to a STEP file and return its path.

    ``stamp`` names the writer in the header, ``schema`` is one of :data:`SCHEMAS`. ``colours`` go by the
    names of the parts. The time is SOURCE_DATE_EPOCH where set, else now; all other bytes depend on the shapes
    only. The file appears under its name when it is complete. Raises :class:`RejectedSolid` where the kernel cannot write it,
    AerodesignError for an unknown schema.
    """
    path, colours = Path(path), colours or {}
    if schema not in SCHEMAS:
        raise AerodesignError(f'schema = "{schema}": no such application protocol; choose one of {", ".join(SCHEMAS)}')
    cadquery = load("cadquery")
    assembly = cadquery.Assembly(name=f"{path.stem} (assembly)")
    for number, (name, shape) in enumerate(parts.items()):
        colour = cadquery.Color(*colours.get(name, COLOURS[number % len(COLOURS)]))
        assembly.add(cadquery.Shape.cast(shape), name=name, color=colour)
    # the kernel's switch is global, so every writer sets it
    occ.Interface.Interface_Static.SetCVal_s("write.step.schema", SCHEMAS[schema])
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".step-") as folder:
        draft = Path(folder) / path.name
        if not load("cadquery.occ_impl.exporters.assembly").exportAssembly(assembly, str(draft)) or not draft.exists():
            raise RejectedSolid(f"{path}: the kernel could not write the solid")
        draft.write_text(_stamped(draft.read_text(encoding="utf-8"), path.name, stamp), encoding="utf-8")
        os.replace(draft, path)
    return path


def _stamped(text: str, name: str, stamp: str) -> str:
    """The file with a header of our own; the kernel's holds the time, its path, and counters."""
    when = datetime.fromtimestamp(int(os.environ.get("SOURCE_DATE_EPOCH") or datetime.now(UTC).timestamp()), UTC)
    entry = f"FILE_NAME('{_quoted(name)}','{when:%Y-%m-%dT%H:%M:%S}',(''),(''),'{_quoted(stamp)}','','');"
    head, data = text.split("DATA;", 1)
    head = re.sub(r"FILE_NAME\(.*?\);", lambda _: entry, head, count=1, flags=re.DOTALL)
    head = re.sub(r"FILE_DESCRIPTION\(.*?\);", "FILE_DESCRIPTION((''),'2;1');", head, count=1, flags=re.DOTALL)
    return head + "DATA;" + _steady(data)


def _steady(data: str) -> str:
    """The data section with what changes from one writing to the next made steady.

    The kernel numbers the uses of parts through the life of the process (a longer number also breaks the line elsewhere), and
    writes the colours in the order of addresses in memory, parts of one colour sharing it: the uses are numbered from 1 and stand
    on a line each, every part gets a colour of its own, and the colours are sorted by the part that they belong to.
    """
    numbers = count(1)
    data = _USE.sub(lambda use: use[1] + str(next(numbers)) + re.sub(r"\n *", "", use[2]), data)
    blocks = re.split(rf"^(?=#\d+ = {_COLOURS})", data, flags=re.MULTILINE)
    if len(blocks) < 3:
        return data
    blocks[-1], end = re.split(r"(?=^ENDSEC;)", blocks[-1], maxsplit=1, flags=re.MULTILINE)
    ordered = sorted(_own_colours(blocks[1:]), key=_styled)
    numbers = count(min(map(int, re.findall(r"^#(\d+) =", "".join(blocks[1:]), flags=re.MULTILINE))))
    moved = {old: next(numbers) for old in re.findall(r"^#(\d+) =", "".join(ordered), flags=re.MULTILINE)}
    return blocks[0] + re.sub(r"#(\d+)", lambda m: f"#{moved.get(m[1], m[1])}", "".join(ordered)) + end


def _own_colours(blocks: list[str]) -> list[str]:
    """The blocks, each with a colour of its own at its end: parts of one colour share that of the part that was written first."""
    colours = dict(re.findall(r"^#(\d+) = (COLOUR_RGB\([^;]*;)", "".join(blocks), flags=re.MULTILINE))
    fresh = count(1 + max(map(int, re.findall(r"#(\d+)", "".join(blocks)))))
    made = []
    for block in blocks:
        text = re.sub(r"^#\d+ = COLOUR_RGB\([^;]*;\n", "", block, flags=re.MULTILINE)
        for used in sorted(set(re.findall(r"#(\d+)", text)) & set(colours)):
            own = next(fresh)
            text = re.sub(rf"#{used}\b", f"#{own}", text) + f"#{own} = {colours[used]}\n"
        made.append(text)
    return made


def _styled(block: str) -> int:
    """Number of the shape that a block of colour belongs to."""
    found = re.search(r"STYLED_ITEM\('[^']*',\(#\d+\),#(\d+)\)", block)
    return int(found[1]) if found else 0


def _quoted(text: str) -> str:
    return re.sub(r"[^ -~]", "?", text).replace("'", "''")


def read_step(path: str | Path) -> list[Any]:
    """The solids of a STEP file as shapes of the kernel. Raises :class:`RejectedSolid` where it cannot be read."""
    reader = occ.STEPControl.STEPControl_Reader()
    if reader.ReadFile(str(path)) != occ.IFSelect.IFSelect_ReturnStatus.IFSelect_RetDone:
        raise RejectedSolid(f"{path}: not a STEP file that the kernel can read")
    reader.TransferRoots()
    return parts_of(reader.OneShape(), "SOLID")


def step_names(path: str | Path) -> list[str]:
    """Names of the products in a STEP file, in the order of the file."""
    return re.findall(r"PRODUCT\('([^']*)'", Path(path).read_text(encoding="utf-8"))
