"""Random casings and the rooms of the gas within, judged by the gate: how many pass, how long they take.

``pytest tests/benchmarks/test_casing_sweep.py -n 0 --override-ini addopts=``; the number in the environment variable
AERODESIGN_SWEEP (500 where it is not set), the first of them in AERODESIGN_SWEEP_FROM (0), so that a long sweep can be had in
slices; AERODESIGN_SWEEP_PARTS, as "volute,block", says which parts (all). One line for each casing goes to the file that
AERODESIGN_SWEEP_LOG names, as soon as it is known. Times are of the processor, building only, over that of a reference kernel
run right after (see ``test_speed.py``).
"""

import os
import sys
import time
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from aerodesign.aero.sections import Rectangle
from aerodesign.cad.gate import accept
from aerodesign.cad.regions import Regions
from aerodesign.core.errors import RejectedSolid

sys.path.insert(0, str(Path(__file__).parents[1]))
from random_machines import casings
from test_speed import REFERENCE, cpu_seconds, kernel

pytestmark = pytest.mark.solids


def parts_of(blower, form):
    """By name what is built: gas, both outsides, and a half of the one that is cast where its section is symmetric."""
    section = blower.volute.section
    plain, shell = (Regions(blower, form.but(casing=form.casing.but(outside=o))) for o in ("block", "shell"))
    parts = {"volute": plain.volute, "block": plain.casing}
    if not isinstance(section, Rectangle):
        parts["shell"] = shell.casing
    if not getattr(section, "lean", 0.0) and not getattr(section, "side", 0.0):
        cast = plain if isinstance(section, Rectangle) else shell
        parts["front half"] = lambda: cast.casing_half(-1)
        parts["back half"] = lambda: cast.casing_half(1)
    for regions in (plain, shell):
        _ = regions.room  # the blades' time is the wheel's, not the casing's
    return parts


def test_every_random_volute_and_casing_passes_the_gate(capsys):
    count, skipped = (int(os.environ.get(f"AERODESIGN_SWEEP{key}", usual)) for key, usual in (("", 500), ("_FROM", 0)))
    log = os.environ.get("AERODESIGN_SWEEP_LOG")
    parts = set(filter(None, os.environ.get("AERODESIGN_SWEEP_PARTS", "").split(",")))
    seconds: dict[str, list[float]] = {}
    refused, rejected = [], []
    Regions(*next(casings(1, seed=1))).volute()  # loads the kernel
    for number, (blower, form) in enumerate(islice(casings(skipped + count, seed=29), skipped, None), skipped):
        lines = []
        for name, build in parts_of(blower, form).items():
            if parts and name not in parts:
                continue
            label = f"{number} {blower.volute.section.name} {name}"
            begun = time.process_time()
            try:
                solid = build()
            except RejectedSolid as cause:
                refused.append(f"{label}: {cause}")
                lines.append(f"refused {refused[-1]}")
                continue
            spent = (time.process_time() - begun) * REFERENCE / cpu_seconds(kernel, 3)
            seconds.setdefault(name, []).append(spent)
            try:
                accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name=name)
                lines.append(f"passed {label} {spent:.2f}")
            except RejectedSolid as cause:
                rejected.append(f"{label} {blower.volute.section}: {cause}")
                lines.append(f"rejected {rejected[-1]}")
        if log:
            with open(log, "a", encoding="utf-8") as file:
                file.write("\n".join(lines) + "\n")
    with capsys.disabled():
        for name, times in seconds.items():
            low, middle, high = np.percentile(times, [5, 50, 100])
            print(f"\n{name}: {len(times)} built, {low:.2f} to {high:.2f} s, median {middle:.2f} s")
        print("\n".join([f"refused in words: {len(refused)}", *refused, f"not accepted: {len(rejected)}", *rejected]))
    assert not rejected
    assert max(seconds["volute"]) < 2
