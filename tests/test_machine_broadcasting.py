"""Every public function of the machine room: one design gives numbers, many at once give what they give one by one."""

import inspect
from importlib import import_module
from pkgutil import iter_modules

import numpy as np
import pytest

from aerodesign import machine
from aerodesign.core.record import Record
from aerodesign.machine.grease import GREASES
from aerodesign.machine.replaced import KINDS

ONE_AT_A_TIME = {
    "asme_flanges.source_of", "asme_flanges.flange_of", "asme_flanges.nearest_size", "flanges.sized", "flanges.flange_for", "keys.key_for",
    "energy.energy_text", "motor.size_name", "vibration.allowed_at_maker", "vibration.category_for",
}  # fmt: skip
"""Rows and names of tables: of one design by their nature."""
OF_SPACE = {
    "rotor.rotor", "rotor.critical_speeds", "rotor.mode_shapes", "rotor.whirl", "rotor.unbalance_response", "rotor.deflection",
    "rotor.separation", "disc.rotating_disc", "disc.mean_hoop", "loads.reactions", "bearings.in_series", "drive.supply_speeds",
    "energy.sensitivity", "energy.yearly_energy", "sound_bands.a_weighted", "sound_bands.summed", "sound_bands.with_tones",
    "sound_bands.octave_bands",
}  # fmt: skip
"""Space, bands or duty points come first: they have tests of their own below, or beside their check values."""

RANGES = {
    "a_iso": (0.2, 5), "a": (0.1, 1), "air_power": (1e3, 2e4), "area": (0.02, 0.05),
    "clearance": (4e-4, 6e-4), "growth": (0, 2e-4), "torque": (5, 80),
    "ambient": (285, 320), "axial": (0, 800), "ball": (0.005, 0.02), "balls": (8, 12),
    "best": (0.4, 0.8), "blades": (8, 18), "bore": (0.02, 0.06), "centre": (0.5, 1.2), "cm1": (40, 90), "conductance": (0.1, 2),
    "conductivity": (30, 60), "contact": (0.0, 0.7), "cooling": (100, 400), "core": (0.4, 0.6), "critical": (500, 3000), "density": (1.0, 1.3),
    "diameter": (0.02, 0.06), "distance": (1, 5), "dynamic": (1e4, 6e4), "efficiency": (0.7, 0.95), "energy": (1e11, 1e12), "expansion": (1e-5, 2e-5),
    "exponent": (3.0, 3.3), "f0": (1.0, 14.0), "factor": (0.7, 0.9), "flow": (0.3, 3), "flow_ratio": (0.5, 1.2), "frequency": (40, 9000),
    "friction": (0.4, 1.5), "fastest": (1000, 1500), "gap": (0.001, 0.004), "gas_load": (0, 5e3), "height": (0.002, 0.004), "held": (0, 1),
    "high": (0.10, 0.11), "highest": (1e8, 2e8), "hot": (310, 360), "hours": (100, 8000), "kind": (1.0, 10.0),
    "large": (0.15, 0.3), "lean": (0.2, 0.8),
    "length": (0.05, 0.3), "life": (1e3, 1e4), "load": (200, 3000), "loss": (0.02, 0.05), "low": (0.06, 0.08), "mass": (5, 50),
    "mass_flow": (0.3, 2), "mean_diameter": (0.04, 0.08), "mean_hoop": (5e7, 1e8), "moment": (0, 50), "sag": (0, 1e-4), "modulus": (7e10, 2e11),
    "motor_efficiency": (0.85, 0.95), "motor_power": (1e4, 3e4), "motor_speed": (150, 310), "outside": (0.07, 0.1), "p1": (9e4, 1e5),
    "p2": (1.1e5, 1.3e5), "p_out": (1.1e5, 1.3e5), "part": (0.4, 1), "plain": (0.4, 0.5), "power": (5e3, 1e5), "power_factor": (0.8, 0.9),
    "power_level": (80, 120), "preload": (50, 300), "pressure_rise": (500, 3e4), "price": (1e3, 1e4), "pulley": (0.06, 0.1), "r": (0.08, 0.1),
    "r1": (0.05, 0.06), "r1h": (0.02, 0.03), "r1s": (0.06, 0.07), "r2": (0.11, 0.13), "r_holes": (0.0, 0.06), "r_in": (0.02, 0.04),
    "r_out": (0.11, 0.13), "r_root": (0.03, 0.04), "r_shaft": (0.012, 0.018), "r_tip": (0.06, 0.08), "radial": (200, 2000),
    "radial_front": (200, 900), "radial_rear": (200, 900), "radius": (1e-6, 1e-5), "reliability": (0.9, 0.99), "revolutions": (1e7, 1e9),
    "rho2": (1.1, 1.4), "rise": (10, 80), "rise_total": (500, 3e4), "rotation": (1.0, 1.2), "saved": (1e2, 1e3), "shaft_power": (1e4, 3e4),
    "share": (0.5, 1.5), "slip": (0.01, 0.03), "slowest": (600, 900), "small": (0.06, 0.1), "speed": (800, 1500), "static": (8e3, 4e4),
    "strength": (3e8, 5e8), "surface": (0.02, 0.1), "T": (300, 380), "tariff": (0.1, 0.3), "thickness_root": (0.002, 0.003),
    "thickness_tip": (0.001, 0.002), "thrust": (-500, 900), "transmission_efficiency": (0.9, 1.0), "ultimate": (4e8, 6e8),
    "unbalance": (1e-6, 1e-4), "vaned_core": (0.6, 0.9), "velocity": (1e-3, 1e-2), "viscosity": (1e-5, 1e-4), "viscosity_ratio": (0.1, 4),
    "voltage": (380, 480), "width": (0.015, 0.03), "wire_power": (1e4, 3e4), "wrap": (2.2, 3.1), "Y": (0.5, 0.7), "before": (2e4, 4e4),
    "after": (1e4, 2e4), "grade": (1e-3, 6.3e-3), "diameter_mass": (0.03, 0.05), "poles": (2, 6), "efficiency_before": (0.3, 0.6),
}  # fmt: skip
WORDS = {
    "belt": {"kind": "ribbed"}, "drive": {"kind": "direct"}, "replaced": {"kind": next(iter(KINDS))},
    "motor": {"standard": "IEC", "ie_class": "IE3", "poles": 4},
    "vibration": {"mounting": "rigid"}, "grease": {"grease": next(iter(GREASES.values()))},
    "bearing_temperature": {"grease": next(iter(GREASES.values()))},
}  # fmt: skip
FLAGS = {"covered", "through", "hybrid"}
MORE = {
    "fan_energy_index.transmission_efficiency": {"power": (5.0, 100.0)},
    "fan_energy_index.motor_efficiency": {"power": (5.0, 300.0)},
}


def functions():
    """Every public function of the room by file and name."""
    for entry in iter_modules(machine.__path__):
        module = import_module(f"{machine.__name__}.{entry.name}")
        for name, one in vars(module).items():
            if inspect.isfunction(one) and one.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{entry.name}.{name}", one


EVERY = dict(functions())
DESIGNS = sorted(set(EVERY) - ONE_AT_A_TIME - OF_SPACE)


def inputs(name, rng, shape=(7,)):
    """Numbers for every parameter, from the ranges; words as they stand."""
    file = name.split(".")[0]
    found = {}
    for one in inspect.signature(EVERY[name]).parameters.values():
        if one.name in WORDS.get(file, {}) and not (name == "grease.grease_life" and one.name == "kind"):
            found[one.name] = WORDS[file][one.name]
        elif one.name in FLAGS:
            found[one.name] = rng.random(shape) < 0.5
        elif one.name == "vanes":
            found[one.name] = (0.06 + 0 * rng.random(shape), 0.10 + 0.01 * rng.random(shape))
        else:
            low, high = MORE.get(name, {}).get(one.name, RANGES[one.name])
            found[one.name] = low + (high - low) * rng.random(shape)
    return found


def at(values, i):
    """The inputs of one design as plain numbers."""

    def pick(value):
        if isinstance(value, tuple):
            return tuple(pick(v) for v in value)
        return value[i].item() if isinstance(value, np.ndarray) else value

    return {name: pick(value) for name, value in values.items()}


def parts(answer):
    """The arrays of an answer: itself, of a tuple or a record."""
    if isinstance(answer, Record):
        return [value for _, value in answer.items()]
    if isinstance(answer, tuple):
        return [part for one in answer for part in parts(one)]
    if hasattr(answer, "__dataclass_fields__"):
        return [getattr(answer, field) for field in answer.__dataclass_fields__]
    return [answer]


@pytest.mark.parametrize("name", DESIGNS)
def test_many_designs_at_once_are_many_designs(name):
    made = inputs(name, np.random.default_rng(5))
    together = [np.broadcast_to(part, (7,)) for part in parts(EVERY[name](**made))]
    for i in range(7):
        alone = parts(EVERY[name](**at(made, i)))
        assert len(alone) == len(together)
        for one, many in zip(alone, together, strict=True):
            assert np.ndim(one) == 0, name  # a number for one design, no array without dimensions hidden in a list
            assert not isinstance(one, np.ndarray), name
            np.testing.assert_allclose(many[i], one, rtol=1e-12, atol=1e-300, equal_nan=True)


@pytest.mark.parametrize("name", DESIGNS)
def test_a_column_of_designs_meets_a_row_of_points(name):
    made = inputs(name, np.random.default_rng(6), shape=(5,))
    columns = {
        key: value[:3, None] if isinstance(value, np.ndarray) and number % 2 else value
        for number, (key, value) in enumerate(made.items())
    }
    wide = [np.shape(part) for part in parts(EVERY[name](**columns))]
    if any(isinstance(v, np.ndarray) and v.shape == (3, 1) for v in columns.values()):
        assert (3, 5) in wide or (3, 1) in wide, (name, wide)
        assert all(shape in ((3, 5), (3, 1), (5,), (1, 5), ()) for shape in wide), (name, wide)


def test_nothing_is_left_out():
    assert ONE_AT_A_TIME <= set(EVERY)
    assert OF_SPACE <= set(EVERY)
    assert len(DESIGNS) > 60


def test_discs_of_many_designs():
    from aerodesign.machine.disc import mean_hoop, rotating_disc

    nodes = np.linspace(0.02, np.array([0.1, 0.12, 0.15]), 41)
    thickness = 0.01 - 0.03 * (nodes - 0.02)
    metal = dict(density=2810.0, modulus=71.7e9, poisson=0.33)
    speed = np.array([1500.0, 1200.0, 900.0])
    many = rotating_disc(nodes=nodes, thickness=thickness, speed=speed, hung=1e-5 * np.ones((41, 3)), **metal)
    for i in range(3):
        one = rotating_disc(
            nodes=nodes[:, i], thickness=thickness[:, i], speed=speed[i], hung=1e-5 * np.ones(41), **metal
        )
        assert many.growth[:, i] == pytest.approx(one.growth, rel=1e-9)
        assert many.highest[i] == pytest.approx(one.highest, rel=1e-9)
    whole = mean_hoop(nodes=nodes, thickness=thickness, speed=speed, density=2810.0)
    alone = [
        float(mean_hoop(nodes=nodes[:, i], thickness=thickness[:, i], speed=speed[i], density=2810.0)) for i in range(3)
    ]
    assert whole == pytest.approx(alone, rel=1e-9)


def test_reactions_of_many_designs():
    from aerodesign.machine.loads import reactions

    force, z = np.arange(1.0, 13.0).reshape(4, 3), np.linspace(0, 0.5, 4)[:, None] * np.ones(3)
    front, rear = reactions(force=force, z=z, front=np.array([0.1, 0.11, 0.12]), rear=np.array([0.4, 0.41, 0.42]))
    for i in range(3):
        one = reactions(force=force[:, i], z=z[:, i], front=0.1 + 0.01 * i, rear=0.4 + 0.01 * i)
        assert (front[i], rear[i]) == pytest.approx(one)
