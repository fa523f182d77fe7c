"""A solid model as a text that the solver reads, and that can be read, edited and run again by hand."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aerodesign.machine.materials import Material

Array = NDArray[Any]

ELEMENT = "C3D20R"
"""Hexahedra of twenty nodes with reduced integration: on a turning disc nearer to the closed form than those with full integration."""


@dataclass(frozen=True, eq=False)
class Load:
    """A state to solve: ``speed`` (rad/s), ``warmth`` over the cold state by node (K) or None, ``push`` on the pressure sides (Pa), even
    or one for each face of them.
    """

    speed: float
    warmth: Array | None = None
    push: float | Array = 0.0


def deck(
    *,
    points: Array,
    hexes: Array,
    low: Array,
    high: Array,
    held: Array,
    turned: Array,
    pitches: int,
    material: Material,
    load: Load,
    pushed: Iterable[tuple[int, int]] = (),
    title: str = "",
) -> str:
    """The input of CalculiX for one of ``pitches`` equal sectors about z: nodes (n, 3), elements (m, 20), both cuts.

    The cuts' nodes match in their order. ``held`` nodes do not move along the axis, ``turned`` ones not round it: surfaces, not single
    nodes, because the gas's axial force and torque end there. Those on the dependent cut are left to their partners, as the solver demands.
    """
    held, turned = (nodes[~np.isin(nodes, low)] + 1 for nodes in (held, turned))
    lines = [
        f"** {title}" if title else "** one sector of a wheel",
        f"** metres, newtons, kilograms, kelvin; axis of rotation z; one of {pitches} equal sectors",
        "*NODE, NSET=ALL",
        *(f"{n}, {x:.9e}, {y:.9e}, {z:.9e}" for n, (x, y, z) in enumerate(points, start=1)),
        f"*ELEMENT, TYPE={ELEMENT}, ELSET=METAL",
        *_elements(hexes),
        "*NSET, NSET=LOW", *_listed(low + 1),
        "*NSET, NSET=HIGH", *_listed(high + 1),
        "*NSET, NSET=HELD", *_listed(held),
        "*NSET, NSET=TURNED", *_listed(turned),
        "** cyclic symmetry: the dependent cut first",
        "*SURFACE, NAME=CUTLOW, TYPE=NODE", "LOW",
        "*SURFACE, NAME=CUTHIGH, TYPE=NODE", "HIGH",
        "*TIE, NAME=PITCH, CYCLIC SYMMETRY, POSITION TOLERANCE=1e-6", "CUTLOW, CUTHIGH",
        f"*CYCLIC SYMMETRY MODEL, N={pitches}, NGRAPH=1, TIE=PITCH, ELSET=METAL", "0., 0., 0., 0., 0., 1.",
        f"** {material.name}: elasticity and density of the project's table",
        "*MATERIAL, NAME=WHEEL",
        "*ELASTIC", f"{material.modulus:.6e}, {material.poisson:g}",
        "*DENSITY", f"{material.density:.6e}",
        "*EXPANSION", f"{material.expansion:.6e}",
        "*SOLID SECTION, ELSET=METAL, MATERIAL=WHEEL",
        "** held along the axis, and kept from turning about it",
        "*TRANSFORM, TYPE=C, NSET=TURNED", "0., 0., 0., 0., 0., 1.",
        "*BOUNDARY", "HELD, 3, 3", "TURNED, 2, 2",
    ]  # fmt: skip
    if load.warmth is not None:
        lines += ["*INITIAL CONDITIONS, TYPE=TEMPERATURE", "ALL, 0."]
    lines += ["*STEP", "*STATIC"]
    if load.warmth is not None:
        lines += [
            "** over the cold state",
            "*TEMPERATURE",
            *(f"{n}, {T:.6e}" for n, T in enumerate(load.warmth, start=1)),
        ]
    lines += [
        "** square of the speed in rad/s",
        "*DLOAD",
        f"METAL, CENTRIF, {load.speed**2:.9e}, 0., 0., 0., 0., 0., 1.",
    ]
    pushed = list(pushed)
    if np.any(load.push):
        lines += [
            "** pressure on the sides that push the gas",
            "*DLOAD",
            *(
                f"{e + 1}, P{face}, {p:.6e}"
                for (e, face), p in zip(pushed, np.broadcast_to(load.push, len(pushed)), strict=True)
            ),
        ]
    lines += ["*NODE FILE", "U", "*EL FILE", "S", "*END STEP"]
    return "\n".join(lines) + "\n"


def _elements(hexes: Array) -> list[str]:
    """Twenty nodes in two lines, as the solver wants."""
    found = []
    for n, nodes in enumerate((hexes + 1).tolist(), start=1):
        found.append(f"{n}, " + ", ".join(map(str, nodes[:10])) + ",")
        found.append(", ".join(map(str, nodes[10:])))
    return found


def _listed(nodes: Array) -> list[str]:
    """Numbers, ten in a line."""
    every = [str(int(n)) for n in nodes]
    return [", ".join(every[i : i + 10]) + ("," if i + 10 < len(every) else "") for i in range(0, len(every), 10)]
