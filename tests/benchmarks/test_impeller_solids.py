"""Impeller solids: hundreds of random ones through the gate, and the time of one, with the way by booleans measured beside it.

Run by hand: ``pytest tests/benchmarks/test_impeller_solids.py -p no:xdist -o addopts="" -s``. Times are CPU time in one thread, over that of
a reference kernel run beside them (see ``test_speed.py``). ``WHEELS`` of the environment says how many, 500 where it does not, and
``SEED`` which.
"""

import os
import time

import numpy as np
import pytest
from by_booleans import expected_volume, fused_wheel
from random_wheels import random_wheels
from test_cad_impeller import OPEN
from test_impeller_looks_speed import reference_seconds

from aerodesign.cad.gate import TOLERANCE, accept
from aerodesign.cad.impeller import impeller_solid
from aerodesign.cad.shapes import largest_tolerance, parts, valid, volume
from aerodesign.core.errors import AerodesignError

COUNT, SEED = int(os.environ.get("WHEELS", "500")), int(os.environ.get("SEED", "100"))
EIGHT = OPEN.but(blades=8, splitters=8)


def test_random_wheels_all_pass_the_gate():
    """Every one is one valid closed solid with tolerances of 3 um, or the report names what failed."""
    failed, seconds, loosest, smaller = [], [], 0.0, 0
    for number, (wheel, form) in enumerate(random_wheels(COUNT, SEED)):
        begun = time.process_time()
        try:
            solid = impeller_solid(wheel, form)
            seconds.append(time.process_time() - begun)
            judged = accept(solid.shape, volume=solid.volume, bounds=solid.bounds)
        except AerodesignError as cause:
            failed.append(f"{number}: {cause}")
            print("failed", failed[-1], flush=True)
            continue
        loosest = max(loosest, judged.tolerance)
        smaller += any(flag.code.startswith("fillet") for flag in solid.flags)
        if number % 50 == 49:
            print(f"{number + 1} wheels, {len(failed)} failed, loosest {1e6 * loosest:.2f} um", flush=True)
    print(
        f"{COUNT} wheels from seed {SEED}: {COUNT - len(failed)} passed, {smaller} with a smaller fillet than asked; build of CPU time "
        f"median {np.median(seconds):.2f} s, longest {max(seconds):.2f} s; largest tolerance {1e6 * loosest:.2f} um"
    )
    assert not failed
    assert loosest <= TOLERANCE


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
