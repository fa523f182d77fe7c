"""Random wheels over the range that the sizing draws from, with random choices of form."""

from collections.abc import Iterator

import numpy as np
from conftest import _many

from aerodesign.aero.impeller import Impeller
from aerodesign.form import BladeForm, Form, WheelForm

LEAST_KEYED = 6e-3
"""Bores up to this have no key in the standard."""


def random_wheels(count: int, seed: int) -> Iterator[tuple[Impeller, Form]]:
    """Semi-open and covered, with splitters or not, ruled and free, all with fillets; the same for the same seed."""
    rng = np.random.default_rng(seed)
    drawn = _many(count, seed).blower.impeller
    for i in range(count):
        wheel = drawn[i]
        splitters = rng.random() < 0.4
        blades = round(float(rng.integers(6, 11) if splitters else rng.integers(9, 19)))
        thick, fillet = rng.uniform(0.8, 1.3), rng.uniform(0.7, 1.5)
        yield (
            wheel.but(
                covered=bool(rng.random() < 0.4),
                blades=blades,
                splitters=blades if splitters else 0,
                splitter_start=rng.uniform(0.25, 0.5),
                thickness_hub=thick * wheel.thickness_hub,
                thickness_shroud=thick * wheel.thickness_shroud,
                fillet=fillet * wheel.fillet,
                leading_edge_ratio=rng.uniform(1.5, 4.0),
                rake=np.radians(rng.uniform(-10, 20)),
                bore=(bore := rng.uniform(0.5, 0.9) * wheel.r1h),
            ),
            Form(blade=random_blade(rng), wheel=random_body(rng, keyed=bore > LEAST_KEYED)),
        )


def random_blade(rng: np.random.Generator) -> BladeForm:
    """A form of blade that a designer might choose."""
    angles = str(rng.choice(["smooth", "smooth", "points", "loading"]))
    edge = str(rng.choice(["cut", "rounded", "full round"]))
    shares = [np.sort(rng.uniform(0.05, 0.95, 2)) for _ in range(2)]
    return BladeForm(
        angles=angles,
        angles_at=(0.33, 0.67) if angles == "points" else (),
        hub_angles=tuple(shares[0]) if angles == "points" else (),
        shroud_angles=tuple(shares[1]) if angles == "points" else (),
        hub_loading=rng.uniform(0.35, 0.65),
        shroud_loading=rng.uniform(0.35, 0.65),
        surface=str(rng.choice(["free", "ruled"])),
        lean=np.radians(rng.uniform(-5, 5)),
        thickness_along=(1.0, rng.uniform(1.0, 1.3), rng.uniform(0.7, 1.0)) if rng.random() < 0.3 else (),
        trailing_edge=edge,
        trailing_edge_ratio=rng.uniform(1.0 if edge == "full round" else 2.0, 4.0),
        splitter_position=rng.uniform(0.45, 0.55),
    )


def random_body(rng: np.random.Generator, *, keyed: bool) -> WheelForm:
    """A form of body that a designer might choose, with a keyway where the bore can have one."""
    back = str(rng.choice(["tapered", "flat", "points"]))
    points = tuple(np.sort(rng.uniform(0.003, 0.012, 3))[::-1]) if back == "points" else ()
    mounting = str(rng.choice(["plain", "keyway", "taper", "tie bolt"]))
    return WheelForm(
        back=back,
        back_at=(0.6, 0.8, 1.0) if back == "points" else (),
        back_thickness=points,
        mounting=mounting if keyed or mounting != "keyway" else "plain",
        taper=0.05,
        pilot_depth=0.004,
        nose=str(rng.choice(["round", "cone", "blunt"])),
        balance_stock=0.001 if rng.random() < 0.3 else 0.0,
        balance_holes=bool(back == "flat" and rng.random() < 0.5),
        hole_at=0.6,
    )
