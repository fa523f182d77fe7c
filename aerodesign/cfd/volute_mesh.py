"""The volute's mesh, as orders to the solver's own mesher: a box of flat cells, split where the walls ask for it, cut and snapped.

The cells are flat because the slot is: its walls lie on planes of the grid, so that its cells are true hexahedra.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aerodesign.aero.impeller import Blower
from aerodesign.aero.spiral import schedule, tongue
from aerodesign.cad.volute_skin import SKIN
from aerodesign.cfd.polymesh import OPEN
from aerodesign.cfd.settings import dictionary
from aerodesign.core.quantities import Count, Length
from aerodesign.core.record import Record, record

FLAT = 1.4
"""Length of a cell along and across the flow over its height along the axis."""
NOSE = 2.0
"""Cells across the tongue's thickness that are aimed at; refinement ends at :data:`DEEPEST`."""
DEEPEST = 3
LEVELS = {"inlet": None, "outlet": 0, "diffuser": None, "spiral": 1, "discharge": 0}
"""How often cells at a patch are halved; None stands for the slot's own number."""


@dataclass(frozen=True)
class VoluteSize:
    """What a size of mesh asks for: cells across the slot, and over the throat's diameter before any is split."""

    slot: int
    throat: int


SIZES = {"look": VoluteSize(6, 12), "design": VoluteSize(8, 18), "study": VoluteSize(12, 26)}


@record
class Lattice(Record):
    """The box of cells that is split: corners, cells along each axis, and how often cells are halved in slot and at the tongue."""

    low: Length
    high: Length
    cells: Count
    slot_level: Count
    tongue_level: Count


def lattice(blower: Blower, size: VoluteSize, low: NDArray[np.float64], high: NDArray[np.float64]) -> Lattice:
    """The box round a skin between the corners ``low`` and ``high``, its planes on the walls of the slot."""
    volute, b3 = blower.volute, float(blower.diffuser.b3)
    height = b3 / size.slot
    coarse = 2 * np.sqrt(float(volute.A4) / np.pi) / size.throat / FLAT
    level = int(np.clip(np.round(np.log2(coarse / height)), 1, DEEPEST))
    step = height * 2**level * np.array([FLAT, FLAT, 1.0])
    across = 2 * float(volute.tongue_radius) / NOSE
    nose = int(np.clip(np.ceil(np.log2(step[0] / across)), level, DEEPEST))

    origin = np.array([0.0, 0.0, -b3 / 2])
    first, last = np.floor((low - origin) / step - 0.6), np.ceil((high - origin) / step + 0.6)
    return Lattice(
        low=origin + first * step, high=origin + last * step, cells=last - first, slot_level=level, tongue_level=nose
    )


def box(made: Lattice) -> str:
    """``system/blockMeshDict``."""
    corners = [(x, y, z) for z in (0, 1) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
    ends = np.stack([made.low, made.high])
    points = "\n".join(f"    ({' '.join(f'{ends[c][a]:.9g}' for a, c in enumerate(corner))})" for corner in corners)
    cells = " ".join(f"{int(n)}" for n in made.cells)
    return dictionary(
        "blockMeshDict",
        f"""
scale 1;
vertices
(
{points}
);
blocks (hex (0 1 2 3 4 5 6 7) ({cells}) simpleGrading (1 1 1));
boundary ( box {{ type patch; faces ((0 3 2 1) (4 5 6 7) (0 1 5 4) (1 2 6 5) (2 3 7 6) (3 0 4 7)); }} );
""",
    )


def features() -> str:
    """``system/surfaceFeatureExtractDict``: sharp edges, which the mesh has to follow."""
    return dictionary(
        "surfaceFeatureExtractDict",
        f"{SKIN} {{ extractionMethod extractFromSurface; extractFromSurfaceCoeffs {{ includedAngle 140; }} writeObj no; }}",
    )


def mesher(blower: Blower, made: Lattice) -> str:
    """``system/snappyHexMeshDict``: where cells are split, how they are moved onto the walls, what a cell must not be."""
    r2, r3, b3 = (float(x) for x in (blower.impeller.r2, blower.diffuser.r3, blower.diffuser.b3))
    slot, nose = int(made.slot_level), int(made.tongue_level)
    tip = tongue(blower.volute, blower.diffuser)
    first = float(schedule(blower.volute, blower.diffuser, 0.0).size)
    x, radius = float(tip.wall_radius), float(tip.nose_radius)
    low = (r3, -4 * radius, -b3 / 2 - first - 3 * radius)
    high = (x + 4 * radius, 6 * radius, b3 / 2 + first + 3 * radius)
    levels = {name: slot if n is None else n for name, n in LEVELS.items()}
    inside = np.array([np.cos(2.1), np.sin(2.1)]) * (0.47 * r2 + 0.53 * r3)
    return dictionary(
        "snappyHexMeshDict",
        f"""
castellatedMesh true;
snap true;
addLayers false;    // wall functions take the walls as they are

geometry
{{
    {SKIN} {{ type triSurfaceMesh; name volute; regions {{ {" ".join(f"{n} {{ name {n}; }}" for n in LEVELS)} }} }}
    slot {{ type searchableCylinder; point1 (0 0 {-0.6 * b3:.9g}); point2 (0 0 {0.6 * b3:.9g}); radius {r3 + 0.25 * b3:.9g}; }}
    tongue {{ type searchableBox; min ({_vector(low)}); max ({_vector(high)}); }}
}}

castellatedMeshControls
{{
    maxLocalCells 2000000;
    maxGlobalCells 4000000;
    minRefinementCells 0;
    nCellsBetweenLevels 2;
    resolveFeatureAngle 30;
    allowFreeStandingZoneFaces true;
    locationInMesh ({inside[0]:.9g} {inside[1]:.9g} {0.031 * b3:.9g});
    features ( {{ file "{SKIN.replace(".stl", ".eMesh")}"; level {slot}; }} );
    refinementSurfaces
    {{
        volute
        {{
            level (1 1);
            regions
            {{
{chr(10).join(f"                {name} {{ level ({n} {n}); patchInfo {{ type {_kind(name)}; }} }}" for name, n in levels.items())}
            }}
        }}
    }}
    refinementRegions
    {{
        slot {{ mode inside; levels ((1e15 {slot})); }}
        tongue {{ mode inside; levels ((1e15 {nose})); }}
    }}
}}

snapControls
{{
    nSmoothPatch 3;
    tolerance 2;
    nSolveIter 60;
    nRelaxIter 5;
    nFeatureSnapIter 12;
    implicitFeatureSnap false;
    explicitFeatureSnap true;
    multiRegionFeatureSnap true;
}}

addLayersControls {{ relativeSizes true; layers {{}} expansionRatio 1.2; finalLayerThickness 0.4; minThickness 0.1; nGrow 0;
    featureAngle 130; nRelaxIter 5; nSmoothSurfaceNormals 1; nSmoothNormals 3; nSmoothThickness 10; maxFaceThicknessRatio 0.5;
    maxThicknessToMedialRatio 0.3; minMedialAxisAngle 90; nBufferCellsNoExtrude 0; nLayerIter 50; }}

meshQualityControls
{{
    maxNonOrtho 65;
    maxBoundarySkewness 4;
    maxInternalSkewness 4;
    maxConcave 80;
    minVol 1e-16;
    minTetQuality 1e-15;
    minArea -1;
    minTwist 0.02;
    minDeterminant 0.001;
    minFaceWeight 0.05;
    minVolRatio 0.01;
    minTriangleTwist -1;
    nSmoothScale 4;
    errorReduction 0.75;
    relaxed {{ maxNonOrtho 72; }}
}}
mergeTolerance 1e-6;
debug 0;
""",
    )


def _kind(patch: str) -> str:
    return "patch" if patch in OPEN else "wall"


def _vector(values: tuple[float, ...]) -> str:
    return " ".join(f"{value:.9g}" for value in values)
