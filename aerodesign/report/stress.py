"""The command ``simulate --stress``: a case file to its wheel's stress in a folder, beside the machine check's estimates."""

import json
from dataclasses import replace
from functools import partial
from html import escape
from typing import Any

import numpy as np

from aerodesign.case import read_case
from aerodesign.core.plain import to_plain
from aerodesign.report.deliver import stamp
from aerodesign.report.figures_base import svg_text
from aerodesign.report.figures_stressed import stressed
from aerodesign.report.machine_chapter import DEFERENCE
from aerodesign.report.simulate import STYLE, Told, Wish, machine_of, put_text, task_of
from aerodesign.report.stress_gas import pushed_by, simulated_flow
from aerodesign.stress.wheel import Compared, Model, Stressed, solve_model, write_model

RPM = 30 / np.pi
LEFT_OUT = (
    "not in the model: keyway, pilot bore, a full round trailing edge (it is cut), balance holes and stock, ribs on the back, "
    "the fit on the shaft, vibration, and what a melt or a mill "
    "gets wrong. The gas pushes as at the design point. Metal behaves elastically; fatigue is not judged."
)


def stress_case(wish: Wish, *, heat: bool = True, flow_pressure: bool = False) -> Told:
    """Design or rate the machine of a case, solve its wheel's stress, and leave the answer in the folder.

    With ``flow_pressure`` the gas pushes as in the simulated flow at the design point, which is run first where it is not there.

    Raises AerodesignError where nothing could be begun. A missing solver is such an error, but only after the model is written.
    """
    content = read_case(wish.case)
    design = machine_of(content)
    flow = (
        simulated_flow(replace(task_of(wish, content, design), parts=(1.0,), write_only=False))
        if flow_pressure
        else None
    )
    pushes = None if flow is None else partial(pushed_by, flow)
    model = write_model(design, wish.folder, size=wish.size, heat=heat, pushes=pushes)
    if wish.write_only:
        return Told([*model_lines(model), f"written to {model.path}"], model_record(model), True)
    done = solve_model(model, design)
    mark = stamp(content)
    record = stress_record(done) | {"title": content.title, "stamp": mark}
    lines = stress_lines(done)
    drawing = svg_text(stressed(done), prefix="stress")
    texts = {
        "stress.json": json.dumps(record, indent=1, allow_nan=False) + "\n",
        "stress.svg": f'<?xml version="1.0" encoding="utf-8"?>\n{drawing}',
        "stress.html": page_of(content.title, lines, drawing, mark),
    }
    for name, text in texts.items():
        put_text(wish.folder / name, text)
    return Told(
        [*lines, "", f"written to {wish.folder}: {', '.join(['wheel.inp', 'wheel.frd', *texts])}"], record, True
    )


def model_lines(model: Model) -> list[str]:
    """What is modelled, in lines."""
    sector = model.sector
    lines = [
        f"stress model: {len(sector.hexes)} hexahedra of twenty nodes, {len(sector.points)} nodes ({model.size}); one of {sector.pitches} sectors "
        f"at {model.speed * RPM:.0f} rpm, {'warm' if model.load.warmth is not None else 'cold'}, gas pressure {_push_words(model)} "
        f"on the blades; fillet {1e3 * sector.fillet:.3g} mm; {model.check.material.name}"
    ]
    if sector.hole:
        lines.append(
            f"the solid hub has a hole of {2e3 * sector.hole:.3g} mm in the model, which about doubles the stress at its middle"
        )
    return lines


def _push_words(model: Model) -> str:
    if model.even:
        return f"{float(np.mean(model.load.push)) / 1e3:.3g} kPa evenly"
    low, high = np.percentile(model.load.push, [5, 95]) / 1e3
    return f"of the simulated flow, {low:.3g} to {high:.3g} kPa over nine tenths,"


def stress_lines(done: Stressed) -> list[str]:
    """The answer beside the estimates."""
    lines = model_lines(done.model)
    lines.append(
        f"highest von Mises stress {done.highest / 1e6:.4g} MPa at radius {1e3 * done.where[0]:.1f} mm, z {1e3 * done.where[1]:.1f} mm; "
        f"yield strength when hot {done.strength / 1e6:.4g} MPa (typical, from memory): "
        f"{done.strength / done.highest:.2f} times as much; solved in {done.answer.seconds:.0f} s"
    )
    lines.append(f"  {'':44s}{'sector':>12s}{'estimate':>12s}{'ratio':>8s}")
    lines += [_row(one) for one in done.compared]
    return [*lines, LEFT_OUT, DEFERENCE]


def _row(one: Compared) -> str:
    scale, unit = (1e-6, "MPa") if one.quantity == "stress" else (1e3, "mm")
    words = f"  {one.words + ', ' + unit:44s}{one.sector * scale:12.4g}"
    if not np.isfinite(one.estimate):
        return words
    return f"{words}{one.estimate * scale:12.4g}{one.ratio:8.2f}  {one.model}"


def model_record(model: Model) -> dict[str, Any]:
    """The model as plain data, SI units."""
    sector = model.sector
    return {
        "size": model.size,
        "elements": len(sector.hexes),
        "nodes": len(sector.points),
        "sectors": sector.pitches,
        "speed": model.speed,
        "warm": model.load.warmth is not None,
        "gas_load": float(np.mean(model.load.push)),
        "gas_load_even": model.even,
        "fillet": sector.fillet,
        "hole": sector.hole,
        "material": model.check.material.name,
    }


def stress_record(done: Stressed) -> dict[str, Any]:
    """Everything as plain data, SI units."""
    return {
        "model": model_record(done.model),
        "highest": done.highest,
        "where": {"r": done.where[0], "z": done.where[1]},
        "strength": to_plain(done.strength),
        "seconds": done.answer.seconds,
        "left_out": LEFT_OUT,
        "compared": [
            {"name": c.name, "words": c.words, "sector": c.sector, "estimate": to_plain(c.estimate), "model": c.model}
            for c in done.compared
        ],
    }


def page_of(title: str, lines: list[str], drawing: str, mark: str) -> str:
    """The answer as a page that opens without a network."""
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}: stress of the wheel</title>\n'
        f"<style>{STYLE} pre {{ white-space: pre-wrap }}</style></head>\n<body><h1>{escape(title)}: stress of the wheel</h1>\n"
        f"<pre>{escape(chr(10).join(lines))}</pre>\n{drawing}\n<footer>{escape(mark)}</footer></body></html>\n"
    )
