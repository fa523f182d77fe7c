"""Random casings and the rooms of the gas within, judged by the gate: how many pass, how long they take.

``pytest tests/benchmarks/test_casing_sweep.py -n 0 --override-ini addopts=``; the number in the environment variable
AERODESIGN_SWEEP (500 where it is not set). Times are of the processor, building only,
over that of a reference kernel run right after (see ``test_speed.py``).
"""

import os
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from aerodesign.cad.gate import accept
from aerodesign.cad.regions import Regions
from aerodesign.core.errors import RejectedSolid

sys.path.insert(0, str(Path(__file__).parents[1]))
from random_machines import casings
from test_speed import REFERENCE, cpu_seconds, kernel

pytestmark = pytest.mark.solids


def test_every_random_volute_and_casing_passes_the_gate(capsys):
    count = int(os.environ.get("AERODESIGN_SWEEP", "500"))
    seconds: dict[str, list[float]] = {"volute": [], "casing": []}
    refused, rejected = [], []
    Regions(*next(casings(1, seed=1))).volute()  # loads the kernel
    for number, (blower, form) in enumerate(casings(count, seed=29)):
        regions = Regions(blower, form)
        _ = regions.room  # the blades' time is the wheel's, not the casing's
        for name, times in seconds.items():
            begun = time.process_time()
            try:
                solid = getattr(regions, name)()
            except RejectedSolid as cause:
                refused.append(f"{number} {name}: {cause}")
                continue
            spent = time.process_time() - begun
            times.append(spent * REFERENCE / cpu_seconds(kernel, 3))
            try:
                accept(solid.shape, volume=solid.volume, bounds=solid.bounds, tolerance=3e-6, name=name)
            except RejectedSolid as cause:
                rejected.append(f"{number} {blower.volute.section} {name}: {cause}")
    with capsys.disabled():
        for name, times in seconds.items():
            low, middle, high = np.percentile(times, [5, 50, 100])
            print(f"\n{name}: {len(times)} built, {low:.2f} to {high:.2f} s, median {middle:.2f} s")
        print("\n".join([f"refused in words: {len(refused)}", *refused, f"not accepted: {len(rejected)}", *rejected]))
    assert not rejected
    assert max(seconds["volute"]) < 2
