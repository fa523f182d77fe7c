"""Impeller solids: hundreds of random ones through the gate, and the time of one, with the way by booleans measured beside it.

Run by hand: ``pytest tests/benchmarks/test_impeller_solids.py -p no:xdist -o addopts="" -s``. Times are CPU time in one thread, over that of
a reference kernel run beside them (see ``test_speed.py``). ``WHEELS`` of the environment says how many, 500 where it does not, and
``SEED`` which. Where ``WHEELS_LOG`` names a file, every wheel leaves a line there, and a run that was stopped goes on: of the same code only.
"""

import os
import time
from collections import Counter

import numpy as np
import pytest
from by_booleans import expected_volume, fused_wheel
from kept import keep, kept
from random_wheels import random_wheels
from test_cad_impeller import OPEN
from test_impeller_looks_speed import reference_seconds

from aerodesign.cad.gate import TOLERANCE, accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.shapes import largest_tolerance, parts, valid, volume
from aerodesign.core.errors import AerodesignError

COUNT, SEED = int(os.environ.get("WHEELS", "500")), int(os.environ.get("SEED", "100"))
LOG = os.environ.get("WHEELS_LOG")
EIGHT = OPEN.but(blades=8, splitters=8)


def test_random_wheels_all_pass_the_gate():
    """Every one is one valid closed solid that does not cross itself, with tolerances of 3 um, or the report names what failed."""
    done = {line["number"]: line for line in kept(LOG)}
    for number, (wheel, form) in enumerate(random_wheels(COUNT, SEED)):
        if number not in done:
            done[number] = keep(LOG, judged(number, wheel, form))
        if number % 50 == 49:
            print(f"{number + 1} wheels, {sum(bool(line['failed']) for line in done.values())} failed", flush=True)
    lines = [done[number] for number in range(COUNT)]
    failed = [line for line in lines if line["failed"]]
    passed = [line for line in lines if not line["failed"]]
    seconds, loosest = [line["seconds"] for line in passed], max(line["tolerance"] for line in passed)
    print(
        f"{COUNT} wheels from seed {SEED}: {len(passed)} passed, {sum(line['smaller'] for line in passed)} with a smaller fillet than "
        f"asked; {dict(Counter(line['kind'] for line in lines))}; build of CPU time median {np.median(seconds):.2f} s, longest "
        f"{max(seconds):.2f} s; largest tolerance {1e6 * loosest:.2f} um; failed: {failed}"
    )
    assert not failed
    assert loosest <= TOLERANCE


def judged(number, wheel, form):
    """One wheel through the gate as a line of the log: what failed in words, or nothing."""
    words = (
        "covered" if wheel.covered else "open",
        "split" if wheel.splitters else "full",
        form.blade.surface,
        form.blade.trailing_edge,
    )
    line = {"number": number, "kind": " ".join(words), "failed": ""}
    begun = time.process_time()
    try:
        solid = impeller_solid(wheel, form)
        line["seconds"] = time.process_time() - begun
        line["tolerance"] = float(
            accept(solid.shape, volume=solid.volume, bounds=solid.bounds, crossing=True).tolerance
        )
        line["smaller"] = any(flag.code.startswith("fillet") for flag in solid.flags)
    except AerodesignError as cause:
        line["failed"] = str(cause)
        print(f"failed {number} ({line['kind']}): {cause}", flush=True)
    return line


@pytest.mark.parametrize(
    ("wheel", "target"), [(EIGHT, 3.0), (EIGHT.but(covered=True), 5.0)], ids=["semi-open", "covered"]
)
def test_eight_and_eight_blades_with_fillets(wheel, target, benchmark):
    """Semi-open in 3 s, covered in 5 s; beside it the same blades without fillets, fused to the body by the kernel."""
    impeller_solid(wheel)  # loads the kernel
    benchmark.pedantic(lambda: impeller_solid(wheel), rounds=3, iterations=1)
    seconds = reference_seconds(lambda: impeller_solid(wheel), 3)
    fused = []
    by_booleans = reference_seconds(lambda: fused.append(fused_wheel(wheel)), 1)
    sound = valid(fused[0]) and len(parts(fused[0], "SOLID")) == 1
    off = volume(fused[0]) / expected_volume(wheel) - 1
    print(
        f"direct {seconds:.2f} s with fillets; by booleans {by_booleans:.1f} s without (sound: {sound}, volume off by {off:.1e}, "
        f"tolerance {1e6 * largest_tolerance(fused[0]):.2f} um)"
    )
    benchmark.extra_info |= {"reference_seconds": seconds, "by_booleans": by_booleans}
    assert seconds < target
